package study

import (
	"context"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// settledRate returns the rate of a limit to the side of sign, with the volumes and activities that move
// as the recipe moves: the difference of two settled answers over a step that is small against what bends
// and large against rounding. fixed is the rate at the present state, which holds up to the value to and
// serves where no step can be taken.
func (a *Answer) settledRate(ctx context.Context, l formulate.Limit, side solver.OneSided, to, sign float64) (float64, error) {
	share := 1e-3
	if l.Curved() {
		share = 1e-4
	}
	step := math.Min(share*math.Max(math.Abs(l.Value), 1e-3), math.Abs(to-l.Value)/4)
	if a.Job.Kind != brief.Drink || side.Empty || step == 0 {
		return side.Rate, nil
	}
	f := a.Formulation
	index := slices.IndexFunc(f.Limits, func(m formulate.Limit) bool { return m.Row == l.Row && m.Column == l.Column && m.Side == l.Side })
	for range 20 {
		s, err := solver.Solve(ctx, f.With(f.Limits[index], l.Value+sign*step), solver.Options{Start: side.Basis})
		if err != nil || s.Status != solver.Optimal {
			return side.Rate, err
		}
		state, err := f.StateOf(s.X)
		if err != nil {
			return side.Rate, nil // no drink has that state
		}
		if state.Near(f.State) {
			return (s.Objective - a.LeastCost) / (sign * step), nil
		}
		f = formulate.At(a.Job, state)
	}
	return side.Rate, nil
}
