package plan

import (
	"context"
	"math"

	"bittersum/solver"
)

// search finds whole packs, orders, batches and changes for a program. A first plan comes from deciding period
// by period with what is later left free (relax and fix: H. Stadtler, Multilevel lot sizing with setup times
// and multiple constrained resources, Operations Research 51, 2003); it is then bettered by deciding some of it
// anew with the rest as it is (fix and optimize: S. Helber and F. Sahling, International Journal of
// Production Economics 123, 2010).
type search struct {
	program *program
	// effort multiplies the nodes and passes of the search.
	effort int
	best   []float64
	cost   float64
	// bound is a cost that no plan of the program goes below.
	bound float64
}

// Limits of one step of the search, in nodes and not in seconds, so that a plan has the same answer on every machine.
const (
	stepNodes   = 30
	stepPeriods = 2
	mostPasses  = 2
	mostBack    = 4
	// closeEnough is the gap, as a share of the cost, at which a step ends.
	closeEnough = 1e-4
)

func newSearch(p *program, effort int) *search {
	return &search{program: p, effort: effort, cost: math.Inf(1), bound: math.Inf(-1)}
}

// strictly lets nothing lack, or lets it at its price.
func (s *search) strictly(strict bool) {
	for _, l := range s.program.lack {
		s.program.problem.Columns[l.column].Upper = solver.Inf
		if strict {
			s.program.problem.Columns[l.column].Upper = 0
		}
	}
}

// relaxation bounds the program; it reports false when even without whole numbers there is no plan.
func (s *search) relaxation(ctx context.Context) (bool, error) {
	found, err := s.solve(ctx, func(decision) (free, whole bool) { return true, false }, 0)
	if err != nil || found.Status == solver.Infeasible || !usable(found) {
		return false, err
	}
	s.bound = found.Objective
	return len(s.program.lacks(found.X, 1e-6)) == 0, nil
}

// solve solves the program with some of its decisions free and others as in the best plan, whole or not.
func (s *search) solve(ctx context.Context, of func(decision) (free, whole bool), nodes int) (*solver.Solution, error) {
	p := *s.program.problem
	p.Columns = append([]solver.Column(nil), p.Columns...)
	for _, d := range s.program.decisions {
		c := &p.Columns[d.column]
		free, whole := of(d)
		if !free {
			v := math.Round(s.best[d.column])
			c.Lower, c.Upper = v, v
		}
		if !whole {
			c.Kind = solver.Continuous
		}
	}
	return solver.Solve(ctx, &p, solver.Options{Nodes: nodes * s.effort})
}

// usable reports whether a solution has a point that meets the limits, whatever ended the solve.
func usable(found *solver.Solution) bool {
	return found.X != nil && found.Status != solver.Infeasible && found.Certificate.PrimalResidual < 1e-6
}

// first decides period by period, scenario by scenario. Where a period cannot be decided, those before it are decided
// anew with it.
func (s *search) first(ctx context.Context) error {
	s.best = make([]float64, len(s.program.problem.Columns))
	parts := len(s.program.parts)
	for step := range s.program.plan.Periods() * parts {
		from, part := step/parts, step%parts
		decided := false
		for back := 0; back <= from && back <= mostBack && !decided; back++ {
			found, err := s.solve(ctx, func(d decision) (bool, bool) {
				mine := d.part == part && d.period >= from-back && d.period < from+2
				return mine || d.period > from || d.period == from && d.part > part, mine
			}, 3*(1+back)*stepNodes)
			if err != nil {
				return err
			}
			if decided = usable(found); decided {
				copy(s.best, found.X)
				s.cost = found.Objective
			}
			s.program.plan.progress("%d of %d periods decided", step+1, s.program.plan.Periods()*parts)
		}
		if !decided {
			s.cost = math.Inf(1)
			return ctx.Err()
		}
	}
	return ctx.Err()
}

// better decides windows of periods, and all of each supplier's and drink's, anew until none is bettered, so
// many times at most.
func (s *search) better(ctx context.Context, passes int) error {
	type family struct {
		part int
		of   string
	}
	known := map[family]bool{}
	var families []family
	for _, d := range s.program.decisions {
		if f := (family{d.part, d.of}); !known[f] {
			known[f] = true
			families = append(families, f)
		}
	}
	periods := s.program.plan.Periods()
	improved := true
	for pass := 0; pass < max(1, passes*s.effort/len(s.program.parts)) && improved && ctx.Err() == nil; pass++ {
		improved = false
		try := func(free func(decision) bool) error {
			if s.cost-s.bound <= closeEnough*math.Abs(s.cost) {
				return nil
			}
			found, err := s.solve(ctx, func(d decision) (bool, bool) { return free(d), true }, stepNodes)
			if err != nil {
				return err
			}
			if usable(found) && found.Objective < s.cost-1e-6*(1+math.Abs(s.cost)) {
				copy(s.best, found.X)
				s.cost, improved = found.Objective, true
				s.program.plan.progress("cost %.2f, not below %.2f", s.cost, s.bound)
			}
			return ctx.Err()
		}
		for part := range s.program.parts {
			for from := 0; from < max(1, periods-stepPeriods+1); from++ {
				if err := try(func(d decision) bool { return d.part == part && d.period >= from && d.period < from+stepPeriods }); err != nil {
					return err
				}
			}
		}
		for _, f := range families {
			if err := try(func(d decision) bool { return d.part == f.part && d.of == f.of }); err != nil {
				return err
			}
		}
	}
	return nil
}

// take begins at the plan that another search has found, with columns of the same names.
func (s *search) take(from *program, x []float64) {
	value := make(map[string]float64, len(x))
	for j, c := range from.problem.Columns {
		value[c.Name] = x[j]
	}
	s.best = make([]float64, len(s.program.problem.Columns))
	for j, c := range s.program.problem.Columns {
		s.best[j] = value[c.Name]
	}
	s.cost = s.program.problem.Value(s.best)
}
