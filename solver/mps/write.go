package mps

import (
	"bufio"
	"fmt"
	"io"
	"math"

	"bittersum/solver"
)

// Write writes p in the free layout, in those parts of MPS on which readers agree.
//
// Readers differ over OBJSENSE and over a constant in the objective. So the program written is always
// a minimisation, with the costs of a maximisation negated, and a constant becomes the cost of a
// column fixed at 1. Comments at the head of the file say so, and state the name in p of every row and
// column whose name had to change. Numbers have as many digits as it takes to read back the same one.
// The bounds of rows and columns read back as they are; a row with crossed bounds is written as two.
// Sets, indicators and cones are refused.
func Write(w io.Writer, p *solver.Problem) error {
	if err := p.Check(); err != nil {
		return fmt.Errorf("mps: %w", err)
	}
	if len(p.SOS1)+len(p.Indicators)+len(p.Cones) > 0 {
		return fmt.Errorf("mps: sets, indicators and cones have no form on which readers agree")
	}
	out := &writer{Writer: bufio.NewWriter(w), p: p}
	out.prepare()
	out.head()
	out.rowTypes()
	out.columns()
	out.rightHandSides()
	out.bounds()
	out.line("ENDATA")
	if err := out.Flush(); err != nil {
		return fmt.Errorf("mps: %w", err)
	}
	return nil
}

// writer holds what all sections need. Errors of the underlying writer show when it is flushed.
type writer struct {
	*bufio.Writer
	p           *solver.Problem
	rows        []writtenRow
	rowNames    []string
	columnNames []string
	objective   string
	offset      string // the column that carries the constant, empty if there is none
}

// writtenRow is a row in the words of MPS.
type writtenRow struct {
	name        string
	kind        byte
	rhs, spread float64 // a spread of 0 is none
	terms       []solver.Term
}

func (w *writer) line(format string, values ...any) {
	fmt.Fprintf(w, format+"\n", values...)
}

// prepare chooses the names and types.
func (w *writer) prepare() {
	names := make([]string, len(w.p.Rows))
	for i, row := range w.p.Rows {
		names[i] = row.Name
	}
	w.rowNames = rename("r", names)
	taken := map[string]bool{}
	for i, row := range w.p.Rows {
		taken[w.rowNames[i]] = true
		w.rows = append(w.rows, express(w.rowNames[i], row)...)
	}
	for i := range w.rows {
		if w.rows[i].name == "" {
			w.rows[i].name = distinct(w.rows[i-1].name+"_upper", taken)
			taken[w.rows[i].name] = true
		}
	}
	w.objective = distinct("objective", taken)

	names = make([]string, len(w.p.Columns))
	for j, column := range w.p.Columns {
		names[j] = column.Name
	}
	w.columnNames = rename("c", names)
	if w.p.Offset != 0 {
		taken = map[string]bool{}
		for _, name := range w.columnNames {
			taken[name] = true
		}
		w.offset = distinct("constant", taken)
	}
}

// express puts the bounds of a row as type, right-hand side and range. A second row, without a name,
// follows if one cannot hold both bounds.
func express(name string, row solver.Row) []writtenRow {
	lower, upper := row.Lower, row.Upper
	switch {
	case lower <= -solver.Huge && upper >= solver.Huge:
		return []writtenRow{{name, 'N', 0, 0, row.Terms}}
	case lower <= -solver.Huge:
		return []writtenRow{{name, 'L', upper, 0, row.Terms}}
	case upper >= solver.Huge:
		return []writtenRow{{name, 'G', lower, 0, row.Terms}}
	case lower == upper:
		return []writtenRow{{name, 'E', lower, 0, row.Terms}}
	}
	if spread, ok := between(lower, upper); ok && math.Abs(lower) <= math.Abs(upper) {
		return []writtenRow{{name, 'G', lower, spread, row.Terms}}
	} else if spread, back := between(-upper, -lower); back {
		return []writtenRow{{name, 'L', upper, spread, row.Terms}}
	} else if ok {
		return []writtenRow{{name, 'G', lower, spread, row.Terms}}
	}
	return []writtenRow{{name, 'G', lower, 0, row.Terms}, {"", 'L', upper, 0, row.Terms}}
}

// between returns a positive spread for which from + spread is to exactly.
func between(from, to float64) (spread float64, ok bool) {
	spread = to - from
	for _, try := range []float64{spread, math.Nextafter(spread, 0), math.Nextafter(spread, solver.Huge)} {
		if try > 0 && try < solver.Huge && from+try == to {
			return try, true
		}
	}
	return 0, false
}

// head writes the comments and the name.
func (w *writer) head() {
	if w.p.Sense == solver.Maximize {
		w.line("* The program is a maximisation; here its objective is negated.")
	}
	if w.offset != "" {
		w.line("* Column %s is fixed at 1 and carries the constant of the objective.", w.offset)
	}
	for i, name := range w.rowNames {
		if w.p.Rows[i].Name != name {
			w.line("* Row %s is %q.", name, w.p.Rows[i].Name)
		}
	}
	for j, name := range w.columnNames {
		if w.p.Columns[j].Name != name {
			w.line("* Column %s is %q.", name, w.p.Columns[j].Name)
		}
	}
	w.line("NAME          %s  FREE", plain(w.p.Name, "program", 0))
}
