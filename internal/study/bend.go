package study

import (
	"context"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// reachOf returns the value of a curved limit up to which, from its present one in the direction of sign,
// the basis stays optimal: doubling steps until it does not, then halving. The cost bends on the way, so
// the rate is the slope at the present value; the end is where other ingredients or limits take over.
func (a *Answer) reachOf(ctx context.Context, l formulate.Limit, basis *solver.Basis, sign float64) (float64, error) {
	stays := func(value float64) (bool, error) {
		s, err := solver.Solve(ctx, a.Formulation.With(l, value), solver.Options{Start: basis})
		if err != nil {
			return false, err
		}
		return s.Status == solver.Optimal && sameBasis(s.Basis, basis), nil
	}
	const fine = 1e-4
	end := brief.MostPH
	if sign < 0 {
		end = brief.LeastPH
	}
	inside, outside := l.Value, end
	for step := 1e-3; ; step *= 2 {
		value := l.Value + sign*step
		if sign*(value-end) >= 0 {
			value = end
		}
		ok, err := stays(value)
		if err != nil {
			return 0, err
		}
		if !ok {
			outside = value
			break
		}
		inside = value
		if value == end {
			return end, nil
		}
	}
	for math.Abs(outside-inside) > fine {
		middle := (inside + outside) / 2
		ok, err := stays(middle)
		if err != nil {
			return 0, err
		}
		if ok {
			inside = middle
		} else {
			outside = middle
		}
	}
	return inside, nil
}

// sameBasis reports whether two bases have the same basic variables.
func sameBasis(a, b *solver.Basis) bool {
	if a == nil || b == nil || len(a.Columns) != len(b.Columns) || len(a.Rows) != len(b.Rows) {
		return false
	}
	for n := range a.Columns {
		if (a.Columns[n] == solver.Basic) != (b.Columns[n] == solver.Basic) {
			return false
		}
	}
	for n := range a.Rows {
		if (a.Rows[n] == solver.Basic) != (b.Rows[n] == solver.Basic) {
			return false
		}
	}
	return true
}
