package study

import (
	"context"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/liquor"
	"bittersum/solver"
)

// drag is what the least cost gains per unit of each component of the liquor's state. A limit that moves
// the recipe moves its volumes and activities too, so that its rate is the one at a fixed state plus the
// drag times the move of the state.
type drag [4]float64

// components returns a state as numbers, in the order of drag, with a change of each that is large
// against rounding and small against what bends.
func components(s liquor.State) (values, steps [4]float64) {
	return [4]float64{s.Solids, s.Titrated, s.Lowest, s.Highest}, [4]float64{1, 0.02 * s.Titrated, 0.02 * s.Lowest, 0.02 * s.Highest}
}

func stateFrom(v [4]float64) liquor.State {
	return liquor.State{Solids: v[0], Titrated: v[1], Lowest: v[2], Highest: v[3]}
}

// dragOf works out the drag of an answer by solving at states moved a little.
func (a *Answer) dragOf(ctx context.Context) (d drag, err error) {
	if a.Job.Kind != brief.Drink {
		return d, nil
	}
	values, steps := components(a.Formulation.State)
	for k := range values {
		moved := values
		moved[k] += steps[k]
		s, err := solver.Solve(ctx, formulate.At(a.Job, stateFrom(moved)).Problem, solver.Options{Start: a.Solution.Basis})
		if err != nil {
			return d, err
		}
		if s.Status == solver.Optimal && steps[k] > 0 {
			d[k] = (s.Objective - a.LeastCost) / steps[k]
		}
	}
	return d, nil
}

// dragged returns what the move of the state adds to a limit's rate on the side of sign, which holds to
// the value to.
func (a *Answer) dragged(ctx context.Context, d drag, l formulate.Limit, basis *solver.Basis, rate, to, sign float64) (float64, error) {
	step := math.Min(1e-3*math.Max(math.Abs(l.Value), 1e-3), math.Abs(to-l.Value)/2)
	if d == (drag{}) || basis == nil || step == 0 {
		return 0, nil
	}
	here, err := a.Formulation.StateOf(a.Solution.X)
	if err != nil {
		return 0, nil
	}
	from, _ := components(here)
	f := a.Formulation
	index := slices.IndexFunc(f.Limits, func(m formulate.Limit) bool { return m.Row == l.Row && m.Column == l.Column && m.Side == l.Side })
	sum := 0.0
	for range 2 { // the second round counts what the first move moves again
		s, err := solver.Solve(ctx, f.With(f.Limits[index], l.Value+sign*step), solver.Options{Start: basis})
		if err != nil || s.Status != solver.Optimal {
			return 0, err
		}
		there, err := f.StateOf(s.X)
		if err != nil {
			return 0, nil // no drink has that state
		}
		at, _ := components(there)
		sum = 0
		for k := range d {
			sum += d[k] * (at[k] - from[k]) / (sign * step)
		}
		if math.Abs(sum) <= negligible*math.Abs(rate) {
			break
		}
		f = formulate.At(a.Job, there)
	}
	return sum, nil
}

// negligible is the share of a rate below which what the state adds is not refined.
const negligible = 1e-3
