package mps

import (
	"math"
	"strconv"

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
		value float64
	}
	entries := make([][]entry, len(w.p.Columns))
	for _, row := range w.rows {
		for _, t := range row.terms {
			entries[t.Column] = append(entries[t.Column], entry{row.name, t.Value})
		}
	}
	w.line("COLUMNS")
	marked := false
	for j, column := range w.p.Columns {
		if integer := column.Kind == solver.Integer; integer != marked {
			w.marker(integer)
			marked = integer
		}
		cost := column.Cost
		if w.p.Sense == solver.Maximize && cost != 0 {
			cost = -cost
		}
		if cost != 0 || len(entries[j]) == 0 {
			w.line("    %s %s %s", w.columnNames[j], w.objective, decimal(cost))
		}
		for _, e := range entries[j] {
			w.line("    %s %s %s", w.columnNames[j], e.row, decimal(e.value))
		}
	}
	if marked {
		w.marker(false)
	}
	if w.offset != "" {
		offset := w.p.Offset
		if w.p.Sense == solver.Maximize {
			offset = -offset
		}
		w.line("    %s %s %s", w.offset, w.objective, decimal(offset))
	}
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
		if row.rhs != 0 {
			w.line("    RHS %s %s", row.name, decimal(row.rhs))
		}
		ranged = ranged || row.spread != 0
	}
	if !ranged {
		return
	}
	w.line("RANGES")
	for _, row := range w.rows {
		if row.spread != 0 {
			w.line("    RANGE %s %s", row.name, decimal(row.spread))
		}
	}
}

// bounds writes every bound that differs from [0, infinity), and both of an integer column, since
// readers differ over what such a column has by default.
func (w *writer) bounds() {
	w.line("BOUNDS")
	for j, column := range w.p.Columns {
		w.bound(w.columnNames[j], column)
	}
	if w.offset != "" {
		w.line(" FX BOUND %s 1", w.offset)
	}
}

func (w *writer) bound(name string, c solver.Column) {
	free, open := c.Lower <= -solver.Huge, c.Upper >= solver.Huge
	switch {
	case c.Kind == solver.SemiContinuous:
		if c.Lower != 0 {
			w.line(" LO BOUND %s %s", name, decimal(c.Lower))
		}
		w.line(" SC BOUND %s %s", name, decimal(c.Upper))
	case free && open:
		w.line(" FR BOUND %s", name)
	case c.Lower == c.Upper:
		w.line(" FX BOUND %s %s", name, decimal(c.Lower))
	default:
		// An upper bound below zero comes first: some readers take it to remove the lower bound.
		if !open && c.Upper < 0 {
			w.line(" UP BOUND %s %s", name, decimal(c.Upper))
		}
		switch {
		case free:
			w.line(" MI BOUND %s", name)
		case c.Lower != 0 || c.Upper < 0:
			w.line(" LO BOUND %s %s", name, decimal(c.Lower))
		}
		switch {
		case open && c.Kind == solver.Integer:
			w.line(" PL BOUND %s", name)
		case !open && c.Upper >= 0:
			w.line(" UP BOUND %s %s", name, decimal(c.Upper))
		}
	}
}

// decimal returns the shortest decimal number that reads back as v.
func decimal(v float64) string {
	if v == 0 {
		v = 0 // not -0
	}
	if a := math.Abs(v); a != 0 && (a < 1e-4 || a >= 1e15) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
