package solver

import (
	"fmt"
	"math/big"
)

// Side is one side, or both, of a two-sided limit.
type Side int8

const (
	LowerSide Side = iota
	UpperSide
	// BothSides moves the two sides together, as the one figure of an equality or a fixed column.
	BothSides
)

func (s Side) String() string {
	switch s {
	case LowerSide:
		return "lower"
	case UpperSide:
		return "upper"
	}
	return "both"
}

// Variable names a column, or a row's logical variable, whose value is the row's activity.
type Variable struct {
	Row   bool
	Index int
}

// ColumnVariable and RowVariable name the variable of a column and of a row.
func ColumnVariable(j int) Variable { return Variable{Index: j} }
func RowVariable(i int) Variable    { return Variable{Row: true, Index: i} }

// Bound names a side of a row or a bound of a column.
type Bound struct {
	Variable
	Side Side
}

// RowBound and ColumnBound name a side of a row and a bound of a column.
func RowBound(i int, side Side) Bound    { return Bound{RowVariable(i), side} }
func ColumnBound(j int, side Side) Bound { return Bound{ColumnVariable(j), side} }

// bounds returns where the bounds of a variable of p are kept, or nil if there is no such variable.
func (p *Problem) bounds(v Variable) (lower, upper *float64) {
	switch {
	case v.Index < 0:
	case v.Row && v.Index < len(p.Rows):
		return &p.Rows[v.Index].Lower, &p.Rows[v.Index].Upper
	case !v.Row && v.Index < len(p.Columns):
		return &p.Columns[v.Index].Lower, &p.Columns[v.Index].Upper
	}
	return nil, nil
}

func (e *exactProgram) variable(number int) Variable {
	if number < e.columns {
		return ColumnVariable(number)
	}
	return RowVariable(number - e.columns)
}

// along returns base + t·rate for every entry, where a nil base stays nil and a nil rate is zero.
func along(base, rate []*big.Rat, t *big.Rat) []*big.Rat {
	moved := make([]*big.Rat, len(base))
	for v := range base {
		moved[v] = base[v]
		if base[v] != nil && rate[v] != nil {
			moved[v] = new(big.Rat).Mul(rate[v], t)
			moved[v].Add(moved[v], base[v])
		}
	}
	return moved
}

// checkSide returns an error unless the limit is a single finite side of p.
func (p *Problem) checkSide(limit Bound) error {
	lower, upper := p.bounds(limit.Variable)
	switch {
	case lower == nil:
		return fmt.Errorf("solver: there is no variable %+v", limit.Variable)
	case limit.Side == LowerSide && *lower > -Huge, limit.Side == UpperSide && *upper < Huge:
		return nil
	}
	return fmt.Errorf("solver: %+v has no %v limit", limit.Variable, limit.Side)
}
