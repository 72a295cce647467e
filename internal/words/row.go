package words

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
)

// Row is a row whose cells are asked for by their column. What is wrong with one is noted in the table.
type Row struct {
	t *Table
	sheet.Row
}

// Rows returns the rows below the heading; one that holds more cells than the heading is noted as a fault and
// left out.
func (t *Table) Rows() []Row {
	var rows []Row
	width := len(t.Heading.Cells)
	for _, row := range t.Body {
		last := len(row.Cells)
		for last > 0 && row.Cells[last-1].Text == "" {
			last--
		}
		if last > width && t.Delimiter != 0 {
			hint := ""
			if t.Delimiter == ',' {
				hint = `a comma within a cell needs quotes around the cell: "0,95"`
			}
			t.Faults = append(t.Faults, t.Table.Fault(row.Line, -1, "", fmt.Sprintf("has %d columns, the heading %d", last, width), hint))
			continue
		}
		rows = append(rows, Row{t, row})
	}
	return rows
}

// Fault notes what is wrong with the cell of a column; "" is the row.
func (r Row) Fault(column, what, hint string) {
	r.t.Faults = append(r.t.Faults, r.Says(column, what, hint))
}

// Says returns what is wrong with the cell of a column, without noting it.
func (r Row) Says(column, what, hint string) tomlfile.Fault {
	at, heading := -1, column
	if n, ok := r.t.columns[column]; ok {
		at, heading = n, r.t.Heading.At(n).Text
	}
	return r.t.Table.Fault(r.Line, at, heading, what, hint)
}

// Has reports whether the table has a column.
func (r Row) Has(column string) bool { return r.t.Has(column) }

// Place names the cell of a column, as faults do.
func (r Row) Place(column string) string {
	return r.t.Table.Fault(r.Line, r.t.columns[column], "", "", "").Key
}

// Cell returns the cell of a column, empty where there is none.
func (r Row) Cell(column string) sheet.Cell {
	if n, ok := r.t.columns[column]; ok {
		return r.At(n)
	}
	return sheet.Cell{}
}

// Text returns what the cell of a column says. A cell that shows an error, or a day where none is meant, is a fault.
func (r Row) Text(column string) string {
	c := r.Cell(column)
	switch c.Kind {
	case sheet.Broken:
		r.broken(column, c)
		return ""
	case sheet.Date:
		r.Fault(column, fmt.Sprintf("is the date %s; a text is needed", c.Text), "spreadsheets turn 4/12 into a day: format the column as text and type it anew")
		return ""
	}
	return c.Text
}

func (r Row) broken(column string, c sheet.Cell) {
	if strings.HasPrefix(c.Text, "=") {
		r.Fault(column, fmt.Sprintf("the result of the formula %s was not saved; open the workbook, let it calculate, and save it", c.Text), "")
		return
	}
	r.Fault(column, fmt.Sprintf("shows the error %s", c.Text), "")
}

// Number returns the number of a column within a range, and absent where the cell is empty or wrong.
func (r Row) Number(column string, allowed tomlfile.Range, absent float64) float64 {
	x, unit, ok := r.Quantity(column, allowed)
	if ok && unit != "" {
		r.Fault(column, fmt.Sprintf("%q is not a number", r.Cell(column).Text), "")
		return absent
	}
	if !ok {
		return absent
	}
	return x
}

// Quantity returns the number of a column and what stands beside it in the cell, such as a unit or a currency; a
// percentage has the unit %. ok is false where the cell is empty or wrong.
func (r Row) Quantity(column string, allowed tomlfile.Range) (x float64, unit string, ok bool) {
	c := r.Cell(column)
	wrong, hint := "", ""
	switch {
	case c.Text == "":
		return 0, "", false
	case c.Kind == sheet.Broken:
		r.broken(column, c)
		return 0, "", false
	case c.Kind == sheet.Number:
		x = c.Value
	case c.Kind == sheet.Percent:
		x, unit = c.Value*100, "%"
	case c.Kind == sheet.Date:
		wrong, hint = fmt.Sprintf("is the date %s; a number is needed", c.Text), "spreadsheets turn 1.5 and 3/4 into days: format the column as a number and type it anew"
	default:
		number, beside := sheet.Split(c.Text)
		if x, wrong = r.t.Parse(number); strings.Contains(wrong, " may be ") {
			wrong, hint = wrong+", as its point or comma is decimal or parts thousands", "say which in "+Beside(r.t.File)+`: decimal = "point" or "comma"`
		} else if wrong != "" {
			wrong = fmt.Sprintf("%q is not a number", c.Text)
		}
		unit = beside
	}
	if wrong == "" && !allowed.Admits(x) {
		wrong = fmt.Sprintf("%v is out of range; it must be %s", x, allowed)
	}
	if wrong != "" {
		r.Fault(column, wrong, hint)
		return 0, "", false
	}
	return x, unit, true
}

// Date returns the day of a column, and the zero time where the cell is empty or wrong.
func (r Row) Date(column string) time.Time {
	c := r.Cell(column)
	switch c.Kind {
	case sheet.Broken:
		r.broken(column, c)
		return time.Time{}
	}
	if c.Text == "" {
		return time.Time{}
	}
	day, wrong := c.AsDay()
	if wrong != "" {
		r.Fault(column, wrong, "")
	}
	return day
}

// Money returns the amount of money of a column and its currency's code, which is empty where neither the cell,
// nor a column called currency, nor the heading, nor the words kept say it. Of a sign that several currencies
// share, such as $, it is wanted where that is one of them.
func (r Row) Money(column, wanted string) (x float64, currency string, ok bool) {
	x, beside, ok := r.Quantity(column, tomlfile.NonNegative)
	if !ok {
		return 0, "", false
	}
	if code := r.Text("currency"); code != "" {
		beside += " " + code
	}
	of, written := Currencies(beside)
	if strings.TrimSpace(beside) != "" && of == nil {
		if beside = strings.TrimSpace(beside); !IsCode(beside) {
			r.Fault(column, fmt.Sprintf("%q beside the price is no currency", beside), "give its code, such as EUR")
			return 0, "", false
		}
		of = []string{beside}
	}
	if of == nil {
		if r.t.Words.Currency != "" {
			return x, r.t.Words.Currency, true
		}
		of, written = Currencies(r.t.Heading.At(r.t.columns[column]).Text)
	}
	switch {
	case of == nil:
		return x, "", true
	case slices.Contains(of, wanted):
		return x, wanted, true
	case len(of) > 1 && slices.Contains(of, r.t.Words.Currency):
		return x, r.t.Words.Currency, true
	case len(of) > 1:
		r.Fault(column, fmt.Sprintf("%s may be %s", written, strings.Join(of, ", ")), fmt.Sprintf("say which in %s: currency = %q", Beside(r.t.File), of[0]))
		return 0, "", false
	}
	return x, of[0], true
}
