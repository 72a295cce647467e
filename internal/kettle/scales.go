package kettle

import (
	"context"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// handedOver reports whether an amount is so near the most that a scale takes that the next may do better.
func handedOver(scale brief.Scale, grams float64) bool {
	return grams >= nothing && scale.ToG < grams*room && scale.ToG*room > grams
}

// handOvers returns the sources at a hand-over between two scales.
func handOvers(j *brief.Job, lines []Line, ideal []float64) []int {
	var at []int
	for n, l := range lines {
		scales := j.ScalesFor(l.Source.Ingredient.Name)
		if slices.ContainsFunc(scales[:len(scales)-1], func(s brief.Scale) bool { return handedOver(s, ideal[n]) }) {
			at = append(at, n)
		}
	}
	return at
}

// mostHandOvers is how many hand-overs are tried in every combination, and manySources is from how many sources on
// all are tried together, since each search takes long then.
const (
	mostHandOvers = 3
	manySources   = 100
)

// choice is one way to weigh, with what the search found for it.
type choice struct {
	lines    []Line
	solution *solver.Solution
	batch    *formulate.Batch
}

// onScales rounds off on the scales chosen for the amounts, at hand-overs both ways, and takes the cheapest.
// It searches longer only for what a short search leaves open.
func onScales(ctx context.Context, f *formulate.Formulation, o Options, ideal []float64, all bool) ([]Line, *solver.Solution, *formulate.Batch, error) {
	choices := choose(f.Job, ideal, all)
	short := o
	short.Nodes = min(o.Nodes, easyNodes)
	best := choices[0]
	for _, c := range choices {
		if err := c.search(ctx, f, short); err != nil {
			return c.lines, c.solution, c.batch, err
		}
		if c.cheaper(best) {
			best = c
		}
	}
	found := best.solution.X != nil
	if o.Nodes > short.Nodes && !(found && best.close()) {
		for _, c := range choices {
			if c.solution.Status == solver.Infeasible || found && c != best {
				continue
			}
			if err := c.search(ctx, f, o); err != nil {
				return c.lines, c.solution, c.batch, err
			}
			if c.cheaper(best) {
				best = c
			}
		}
	}
	over(choices, best.solution)
	return best.lines, best.solution, best.batch, nil
}

// over has a solution speak for all choices: its bound for the best of them, that there is none only where all
// searches ended without any.
func over(choices []*choice, best *solver.Solution) {
	for _, c := range choices {
		switch {
		case c.solution.Status == solver.Infeasible || c.solution == best:
		case best.X != nil:
			best.Bound = math.Min(best.Bound, c.solution.Bound)
		default:
			best.Status = solver.Limit
		}
	}
}

// choose returns the ways to weigh amounts; the first keeps room on every scale.
func choose(j *brief.Job, ideal []float64, all bool) []*choice {
	choices := []*choice{{lines: weighing(j, ideal, all)}}
	at := handOvers(j, choices[0].lines, ideal)
	apart := min(len(at), mostHandOvers)
	if len(j.Sources) >= manySources {
		apart = min(apart, 1)
	}
	for n := 1; n < 1<<apart; n++ {
		var fine []int
		for k, source := range at {
			// What is beyond the most goes with the last.
			if n>>min(k, apart-1)&1 == 1 {
				fine = append(fine, source)
			}
		}
		choices = append(choices, &choice{lines: weighing(j, ideal, all, fine...)})
	}
	return choices
}

func (c *choice) search(ctx context.Context, f *formulate.Formulation, o Options) (err error) {
	c.solution, c.batch, err = roundOff(ctx, f, o, c.lines)
	return err
}

// cheaper reports whether a way to weigh costs less than another, by more than floating point is off.
func (c *choice) cheaper(than *choice) bool {
	s, other := c.solution, than.solution
	return s.X != nil && (other.X == nil || s.Objective < other.Objective-1e-9*math.Abs(other.Objective))
}

// close reports whether nothing can be much cheaper on the same scales.
func (c *choice) close() bool {
	return c.solution.Status == solver.Optimal || c.solution.Objective-c.solution.Bound <= closeEnough*math.Abs(c.solution.Objective)
}
