package report

import (
	"fmt"
	"io"
	"maps"
	"slices"

	"bittersum/internal/words"
)

// Words writes how a spreadsheet is read.
func Words(w io.Writer, t *words.Table) {
	of := ""
	if t.Sheet != "" {
		of = fmt.Sprintf(", sheet %q", t.Sheet)
	}
	fmt.Fprintf(w, "%s%s: %d rows of %s, the heading on row %d.\n\n", t.File, of, len(t.Body), t.Kind.Name, t.Heading.Line)
	table := newTable("  ", "lheading", "lread as")
	for _, cell := range t.Heading.Cells {
		if cell.Text == "" {
			continue
		}
		means := t.Kind.Means(cell.Text, t.Words)
		if means == "" || means == words.LeftOut {
			means = "left out"
		}
		table.row(cell.Text, means)
	}
	table.write(w)
	if len(t.Words.Names) > 0 {
		fmt.Fprintln(w)
		table = newTable("  ", "lname", "lis")
		for _, name := range slices.Sorted(maps.Keys(t.Words.Names)) {
			means := t.Words.Names[name]
			if means == words.LeftOut {
				means = "left out"
			}
			table.row(name, means)
		}
		table.write(w)
	}
	if w := t.Words; len(w.Columns)+len(w.Names)+len(w.Own) == 0 && w.Sheet+w.Currency == "" && w.Decimal == 0 && !w.LeaveUnknown {
		return
	}
	fmt.Fprintf(w, "\nKept in %s, which may be changed freely.\n", words.Beside(t.File))
}
