package study

import (
	"context"
	"fmt"
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// Alternatives are recipes within a share of the least cost, as different from each other as can be found.
type Alternatives struct {
	Job *brief.Job
	// Within is the share of the least cost that an alternative may cost more.
	Within float64
	// Best is the cheapest recipe, or the conflict.
	Best *Answer
	// Others are the alternatives, the most different first.
	Others []Alternative
}

// Alternative is another recipe of a brief.
type Alternative struct {
	Assessment *assess.Assessment
	// Proof proves that the recipe is within brief and cost, and the most different one in its direction.
	Proof *solver.Proof
	Drift Drift
	// Different is the share of the recipe's cost that goes into other amounts than in the recipes before it.
	Different float64
	// Avoids are the sources of the cheapest recipe that it does without, and Adds those that are new.
	Avoids, Adds []*brief.Source
}

// leastDifferent is the share by which a recipe must differ from all before it to be worth showing.
const leastDifferent = 0.002

// FindAlternatives finds at most count recipes that cost at most within more than the least.
//
// How much two recipes differ is half the sum over the sources of |difference of amount|·cost, as a share
// of the cost. To be as different as possible is to maximise a convex function, for which vertices are
// searched: for each source the recipe with the least and with the most of it, each then improved by
// maximising the sum of the differences from all recipes found, linearised at the last one, until it
// stays (O. L. Mangasarian, Journal of Global Optimization 8 (1996) 1-13); and of those the one whose
// smallest difference from the recipes found is largest (T. F. Gonzalez, Theoretical Computer Science 38
// (1985) 293-306). That is a good answer, not a proof that none differs more.
func FindAlternatives(ctx context.Context, j *brief.Job, within float64, count int) (*Alternatives, error) {
	out := &Alternatives{Job: j, Within: within}
	var err error
	if out.Best, err = Cheapest(ctx, j); err != nil || out.Best.Conflict != nil {
		return out, err
	}
	s := newSearch(out.Best, within)
	candidates, err := s.corners(ctx)
	if err != nil {
		return nil, err
	}
	found := [][]float64{out.Best.Solution.X}
	for len(out.Others) < count {
		var pick corner
		most := leastDifferent
		for _, c := range candidates {
			better, err := s.improve(ctx, c, found)
			if err != nil {
				return nil, err
			}
			for _, c := range []corner{c, better} {
				if d := s.apart(c.x, found); d > most*(1+1e-9) {
					most, pick = d, c
				}
			}
		}
		if pick.x == nil {
			break
		}
		found = append(found, pick.x)
		a, err := s.judge(ctx, pick)
		if err != nil {
			return nil, err
		}
		if a == nil {
			continue
		}
		a.Different = most
		a.Drift = DriftBetween(out.Best.Assessment, a.Assessment)
		for _, source := range j.Sources {
			now, then := a.Assessment.Recipe.Amount(source.Name), out.Best.Assessment.Recipe.Amount(source.Name)
			switch {
			case now == 0 && then > 0:
				a.Avoids = append(a.Avoids, source)
			case now > 0 && then == 0:
				a.Adds = append(a.Adds, source)
			}
		}
		out.Others = append(out.Others, *a)
	}
	return out, nil
}

// search looks for recipes within the cost.
type search struct {
	f       *formulate.Formulation
	problem *solver.Problem
	session *solver.Session
	cost    []float64 // of each column
	budget  float64
}

// corner is a vertex of the recipes within the cost, and the costs that it minimises.
type corner struct{ x, costs []float64 }

func newSearch(best *Answer, within float64) *search {
	s := &search{f: best.Formulation, problem: best.Formulation.Problem.Clone(), budget: best.LeastCost + within*math.Abs(best.LeastCost)}
	row := solver.Row{Name: "cost", Lower: -solver.Inf, Upper: s.budget}
	for n := range s.problem.Columns {
		c := &s.problem.Columns[n]
		s.cost = append(s.cost, c.Cost)
		if c.Cost != 0 {
			row.Terms = append(row.Terms, solver.Term{Column: n, Value: c.Cost})
		}
		c.Cost = 0
	}
	s.problem.AddRow(row)
	s.session, _ = solver.NewSession(s.problem, solver.Options{}) // well formed as the program of an answer is
	return s
}

// least returns the recipe of least costs.
func (s *search) least(ctx context.Context, costs []float64) (corner, bool, error) {
	for n, c := range costs {
		s.session.SetCost(n, c)
	}
	t, err := s.session.Solve(ctx)
	if err != nil {
		return corner{}, false, err
	}
	if ctx.Err() != nil {
		return corner{}, false, ctx.Err()
	}
	return corner{t.X, costs}, t.Status == solver.Optimal, nil
}

// corners returns for each source the recipe with least and with most of it.
func (s *search) corners(ctx context.Context) ([]corner, error) {
	var out []corner
	for n := range s.f.Job.Sources {
		if s.weight(n) == 0 {
			continue
		}
		for _, sign := range []float64{1, -1} {
			costs := make([]float64, len(s.cost))
			costs[n] = sign
			c, ok, err := s.least(ctx, costs)
			if err != nil {
				return nil, err
			}
			if ok {
				out = append(out, c)
			}
		}
	}
	return out, nil
}

// weight is what a unit of source n counts in a difference.
func (s *search) weight(n int) float64 {
	return math.Abs(s.cost[n]) / (2 * math.Max(math.Abs(s.budget), 1e-12))
}

// improve moves a corner away from the recipes found, as far as linearisation goes.
func (s *search) improve(ctx context.Context, c corner, found [][]float64) (corner, error) {
	sum := func(x []float64) float64 {
		total := 0.0
		for _, y := range found {
			total += s.difference(x, y)
		}
		return total
	}
	for range 20 {
		costs := make([]float64, len(s.cost))
		for n := range s.f.Job.Sources {
			for _, y := range found {
				switch {
				case c.x[n] > y[n]+1e-9:
					costs[n] -= s.weight(n)
				case c.x[n] < y[n]-1e-9:
					costs[n] += s.weight(n)
				}
			}
		}
		next, ok, err := s.least(ctx, costs)
		if err != nil || !ok || sum(next.x) <= sum(c.x)*(1+1e-9) {
			return c, err
		}
		c = next
	}
	return c, nil
}

func (s *search) difference(x, y []float64) float64 {
	total := 0.0
	for n := range s.f.Job.Sources {
		total += s.weight(n) * math.Abs(x[n]-y[n])
	}
	return total
}

// apart returns the smallest difference of x from the recipes found.
func (s *search) apart(x []float64, found [][]float64) float64 {
	least := math.Inf(1)
	for _, y := range found {
		least = math.Min(least, s.difference(x, y))
	}
	return least
}

// judge proves and assesses a corner. It is nil when the volumes of its own liquor put it out of the brief
// by more than the assessment allows: it was found at those of the cheapest recipe.
func (s *search) judge(ctx context.Context, c corner) (*Alternative, error) {
	p := s.problem.Clone()
	for n, cost := range c.costs {
		p.Columns[n].Cost = rounded(cost, 12, 0)
	}
	t, err := solver.Solve(ctx, p, solver.Options{})
	if err != nil {
		return nil, err
	}
	proof, err := solver.Prove(ctx, p, t, solver.Options{})
	if err != nil {
		return nil, err
	}
	if proof.Status != solver.Optimal {
		return nil, fmt.Errorf("%w: exact arithmetic finds an alternative %s", ErrUnproved, proof.Status)
	}
	f := s.f
	x := proof.Solution().X
	if state, err := f.StateOf(x); err == nil && !state.Near(f.State) {
		if moved, ok, err := s.refit(ctx, c, x); err != nil {
			return nil, err
		} else if ok {
			f, x = moved.f, moved.x
		}
	}
	a, err := settle(f, x)
	if err != nil {
		return nil, nil
	}
	if a.Cost.PerLitre > s.budget*(1+1e-4) {
		return nil, nil
	}
	return &Alternative{Assessment: a, Proof: proof}, nil
}

// refitted is a corner at the state of its own liquor.
type refitted struct {
	f *formulate.Formulation
	x []float64
}

// refit finds the corner anew at the state of its own liquor, a few times.
func (s *search) refit(ctx context.Context, c corner, x []float64) (refitted, bool, error) {
	f := s.f
	for range 10 {
		state, err := f.StateOf(x)
		if err != nil {
			return refitted{}, false, nil
		}
		if state.Near(f.State) {
			return refitted{f, x}, true, nil
		}
		f = formulate.At(s.f.Job, state)
		p := f.Problem.Clone()
		row := s.problem.Rows[len(s.problem.Rows)-1]
		for n := range p.Columns {
			p.Columns[n].Cost = c.costs[n]
		}
		p.AddRow(row)
		t, err := solver.Solve(ctx, p, solver.Options{})
		if err != nil || t.Status != solver.Optimal {
			return refitted{}, false, err
		}
		x = t.X
	}
	return refitted{f, x}, true, nil
}
