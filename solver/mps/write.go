package mps

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/big"

	"bittersum/solver"
)

// Write writes p in the free layout, in those parts of MPS on which readers agree.
//
// Readers differ over OBJSENSE and over a constant in the objective. So the program written is always
// a minimisation, with the costs of a maximisation negated, and a constant becomes the cost of a
// column fixed at 1. Comments at the head of the file say so, and state the name in p of every row and
// column whose name had to change. Numbers are written as the decimals
// that they are (solver.Figures, solver.Decimal), so that whoever reads exactly reads the same program.
// The bounds of rows and columns read back as they are; a row with crossed bounds is written as two.
// Cones are refused.
func Write(w io.Writer, p *solver.Problem) error {
	if err := p.Check(); err != nil {
		return fmt.Errorf("mps: %w", err)
	}
	if len(p.Cones) > 0 {
		return fmt.Errorf("mps: cones have no form on which readers agree")
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
	rhs, spread figure // a spread of 0 is none
	row         int    // whose terms it has
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
		w.rows = append(w.rows, w.express(i, row)...)
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

// express puts the bounds of row i as type, right-hand side and range. A second row, without a name, follows
// where no range gives the other bound both to who adds decimals and to who adds floating-point numbers.
func (w *writer) express(i int, row solver.Row) []writtenRow {
	name := w.rowNames[i]
	lower, upper := w.exactBounds(solver.RowVariable(i), row.Lower, row.Upper)
	switch {
	case row.Lower <= -solver.Huge && row.Upper >= solver.Huge:
		return []writtenRow{{name, 'N', figure{}, figure{}, i}}
	case row.Lower <= -solver.Huge:
		return []writtenRow{{name, 'L', upper, figure{}, i}}
	case row.Upper >= solver.Huge:
		return []writtenRow{{name, 'G', lower, figure{}, i}}
	case lower.rational().Cmp(upper.rational()) == 0:
		return []writtenRow{{name, 'E', lower, figure{}, i}}
	}
	fromLower, up := between(lower, upper)
	fromUpper, down := between(upper.negative(), lower.negative())
	switch {
	case up && (math.Abs(row.Lower) <= math.Abs(row.Upper) || !down):
		return []writtenRow{{name, 'G', lower, fromLower, i}}
	case down:
		return []writtenRow{{name, 'L', upper, fromUpper, i}}
	}
	return []writtenRow{{name, 'G', lower, figure{}, i}, {"", 'L', upper, figure{}, i}}
}

// exactBounds returns two bounds with their exact figures.
func (w *writer) exactBounds(v solver.Variable, lower, upper float64) (from, to figure) {
	if w.p.Figures == nil {
		return figure{value: infinite(lower)}, figure{value: infinite(upper)}
	}
	least, most := w.p.ExactBounds(v)
	return exactBound(lower, least), exactBound(upper, most)
}

func exactBound(value float64, exact *big.Rat) figure {
	if exact == nil {
		return figure{value: infinite(value)}
	}
	return exactFigure(exact)
}

// between returns the distance from one figure to a larger one, and whether adding it in floating point
// gives the larger one too.
func between(from, to figure) (spread figure, ok bool) {
	spread = to.plus(from.negative())
	return spread, spread.value > 0 && spread.value < solver.Huge && spread.exact == nil && from.value+spread.value == to.value
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
