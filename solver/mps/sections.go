package mps

import (
	"math/big"

	"bittersum/solver"
)

func (w *writer) rowTypes() {
	w.line("ROWS")
	w.line(" N %s", w.objective)
	for _, row := range w.rows {
		w.line(" %c %s", row.kind, row.name)
	}
}

func (w *writer) columns() {
	type entry struct {
		row   string
		value string
	}
	entries := make([][]entry, len(w.p.Columns))
	for _, row := range w.rows {
		for k, t := range w.p.Rows[row.row].Terms {
			entries[t.Column] = append(entries[t.Column], entry{row.name, w.term(row.row, k)})
		}
	}
	w.line("COLUMNS")
	marked := false
	for j, column := range w.p.Columns {
		if integer := column.Kind == solver.Integer; integer != marked {
			w.marker(integer)
			marked = integer
		}
		if column.Cost != 0 || len(entries[j]) == 0 {
			w.line("    %s %s %s", w.columnNames[j], w.objective, w.minimized(column.Cost, w.p.ExactCost(j)))
		}
		for _, e := range entries[j] {
			w.line("    %s %s %s", w.columnNames[j], e.row, e.value)
		}
	}
	if marked {
		w.marker(false)
	}
	if w.offset != "" {
		w.line("    %s %s %s", w.offset, w.objective, w.minimized(w.p.Offset, w.p.ExactOffset()))
	}
}

// minimized writes a figure of the objective as that of a minimisation.
func (w *writer) minimized(value float64, exact *big.Rat) string {
	f := exactBound(value, exact)
	if w.p.Sense == solver.Maximize {
		f = f.negative()
	}
	return f.String()
}

// term writes the coefficient of term k of row i.
func (w *writer) term(i, k int) string {
	if value := w.p.Rows[i].Terms[k].Value; w.p.Figures == nil {
		return figure{value: value}.String()
	}
	return exactFigure(w.p.ExactTerm(i, k)).String()
}

func (w *writer) marker(begin bool) {
	if begin {
		w.line("    MARKER 'MARKER' 'INTORG'")
	} else {
		w.line("    MARKER 'MARKER' 'INTEND'")
	}
}

func (w *writer) rightHandSides() {
	w.line("RHS")
	ranged := false
	for _, row := range w.rows {
		if row.rhs.value != 0 {
			w.line("    RHS %s %s", row.name, row.rhs)
		}
		ranged = ranged || row.spread.value != 0
	}
	if !ranged {
		return
	}
	w.line("RANGES")
	for _, row := range w.rows {
		if row.spread.value != 0 {
			w.line("    RANGE %s %s", row.name, row.spread)
		}
	}
}

// bounds writes every bound that differs from [0, infinity), and both of an integer column, since
// readers differ over what such a column has by default.
func (w *writer) bounds() {
	w.line("BOUNDS")
	for j, column := range w.p.Columns {
		w.bound(j, column)
	}
	if w.offset != "" {
		w.line(" FX BOUND %s 1", w.offset)
	}
}

func (w *writer) bound(j int, c solver.Column) {
	name := w.columnNames[j]
	lower, upper := w.exactBounds(solver.ColumnVariable(j), c.Lower, c.Upper)
	free, open := c.Lower <= -solver.Huge, c.Upper >= solver.Huge
	switch {
	case c.Kind == solver.SemiContinuous:
		if c.Lower != 0 {
			w.line(" LO BOUND %s %s", name, lower)
		}
		w.line(" SC BOUND %s %s", name, upper)
	case free && open:
		w.line(" FR BOUND %s", name)
	case c.Lower == c.Upper && lower.rational().Cmp(upper.rational()) == 0:
		w.line(" FX BOUND %s %s", name, lower)
	default:
		// An upper bound below zero comes first: some readers take it to remove the lower bound.
		if !open && c.Upper < 0 {
			w.line(" UP BOUND %s %s", name, upper)
		}
		switch {
		case free:
			w.line(" MI BOUND %s", name)
		case c.Lower != 0 || c.Upper < 0:
			w.line(" LO BOUND %s %s", name, lower)
		}
		switch {
		case open && c.Kind == solver.Integer:
			w.line(" PL BOUND %s", name)
		case !open && c.Upper >= 0:
			w.line(" UP BOUND %s %s", name, upper)
		}
	}
}
