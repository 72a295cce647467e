package mps

import (
	"fmt"
	"math"
	"strings"

	"bittersum/solver"
)

// bound takes one line of BOUNDS.
func (b *builder) bound(r record) error {
	kind := strings.ToUpper(r.kind)
	needsValue, known := map[string]bool{
		"LO": true, "UP": true, "FX": true, "LI": true, "UI": true, "SC": true,
		"FR": false, "MI": false, "PL": false, "BV": false,
	}[kind]
	if !known {
		return fmt.Errorf("bound type %q is not LO, UP, FX, FR, MI, PL, BV, LI, UI or SC", r.kind)
	}
	if r.setUnclear {
		if err := b.settle(&r, needsValue); err != nil {
			return err
		}
	}
	j, ok := b.colIndex[r.name1]
	if !ok {
		return fmt.Errorf("there is no column %q", r.name1)
	}
	if needsValue && !r.hasValue {
		return fmt.Errorf("bound type %s needs a number", kind)
	}
	var read figure
	if r.hasValue {
		var err error
		if read, err = number(r.text1); err != nil {
			return err
		}
		read = read.infinite()
	}
	switch value := read.value; {
	case kind == "FX" && math.IsInf(value, 0):
		return fmt.Errorf("column %q is fixed at infinity", r.name1)
	case (kind == "LO" || kind == "LI") && math.IsInf(value, 1), (kind == "UP" || kind == "UI") && math.IsInf(value, -1):
		return fmt.Errorf("bound %s of column %q leaves no value", kind, r.name1)
	case kind == "SC" && (math.IsInf(value, 0) || value < 0):
		return fmt.Errorf("semi-continuous column %q needs a finite upper bound of at least 0", r.name1)
	}
	if !inUse(r, &b.boundsSet) {
		return nil
	}
	return b.apply(kind, j, read)
}

// settle decides what the three words of a bound line in the free layout are: type, set and column,
// or type, column and number.
func (b *builder) settle(r *record, needsValue bool) error {
	_, first := b.colIndex[r.set]
	_, second := b.colIndex[r.text1]
	if needsValue && second && !first {
		r.name1 = r.text1
		return nil
	}
	if needsValue || (first && !second) {
		r.name1, r.set, r.hasValue = r.set, "", true
		return nil
	}
	if first && second {
		return fmt.Errorf("it is unclear whether %q is the set or the column", r.set)
	}
	r.name1, r.text1 = r.text1, ""
	return nil
}

// apply changes the bounds of column j.
func (b *builder) apply(kind string, j int, value figure) error {
	column, state := &b.problem.Columns[j], &b.columns[j]
	state.bound = true
	lower := func(v figure) error {
		if state.hasLower {
			return fmt.Errorf("column %q has two lower bounds", column.Name)
		}
		state.hasLower, column.Lower = true, v.value
		b.keepBounds(solver.ColumnVariable(j), v, figure{})
		return nil
	}
	upper := func(v figure) error {
		if state.hasUpper {
			return fmt.Errorf("column %q has two upper bounds", column.Name)
		}
		state.hasUpper, column.Upper = true, v.value
		b.keepBounds(solver.ColumnVariable(j), figure{}, v)
		return nil
	}
	both := func(l, u figure) error {
		if err := lower(l); err != nil {
			return err
		}
		return upper(u)
	}
	setKind := func(k solver.Kind) error {
		if state.hasKind && column.Kind != k {
			return fmt.Errorf("column %q is both integer and semi-continuous", column.Name)
		}
		if k == solver.SemiContinuous && state.marked {
			return fmt.Errorf("column %q is both integer and semi-continuous", column.Name)
		}
		state.hasKind, column.Kind = true, k
		return nil
	}
	switch kind {
	case "LI", "UI", "BV":
		if err := setKind(solver.Integer); err != nil {
			return err
		}
	case "SC":
		if err := setKind(solver.SemiContinuous); err != nil {
			return err
		}
	}
	switch kind {
	case "LO", "LI":
		return lower(value)
	case "UP", "UI", "SC":
		if value.value < 0 && !state.hasLower {
			column.Lower = -solver.Inf
		}
		return upper(value)
	case "FX":
		return both(value, value)
	case "FR":
		return both(figure{value: -solver.Inf}, figure{value: solver.Inf})
	case "MI":
		return lower(figure{value: -solver.Inf})
	case "PL":
		return upper(figure{value: solver.Inf})
	default: // BV
		return both(figure{}, figure{value: 1})
	}
}
