package study

import (
	"context"
	"errors"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// settledRate returns the rate of a limit to the side of sign, with the volumes and activities that move
// as the recipe moves: the difference of two settled answers over a step that is small against what bends
// and large against rounding. side.Rate is the rate at the present state, which holds up to the value to
// and serves where no step can be taken.
func (a *Answer) settledRate(ctx context.Context, l formulate.Limit, side solver.OneSided, to, sign float64) (float64, error) {
	share := 1e-3
	if l.Curved() {
		share = 1e-4
	}
	step := math.Min(share*math.Max(math.Abs(l.Value), 1e-3), math.Abs(to-l.Value)/4)
	if a.Job.Kind != brief.Drink || side.Empty || step == 0 {
		return side.Rate, nil
	}
	moved := a.Formulation.Moved(l, l.Value+sign*step)
	_, s, err := formulate.SettleFrom(ctx, moved, a.Formulation.State, solver.Options{Start: side.Basis})
	if errors.Is(err, formulate.ErrUnsettled) || err == nil && s.Status != solver.Optimal {
		return side.Rate, nil
	}
	if err != nil {
		return 0, err
	}
	return (s.Objective - a.LeastCost) / (sign * step), nil
}
