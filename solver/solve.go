package solver

import (
	"context"
	"sync"
)

// Solve finds the optimum of p, or proves that there is none, and says how sure it is.
//
// The error is non-nil only if p is malformed. An infeasible or unbounded problem and a limit that ran
// out are outcomes: see Solution.Status.
func Solve(ctx context.Context, p *Problem, opt Options) (*Solution, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if p.HasIntegers() || len(p.Cones) > 0 {
		return solveInteger(ctx, p, opt)
	}
	return solveContinuous(ctx, p, opt), nil
}

// idle keeps work space of small solves for the next ones.
var idle = sync.Pool{New: func() any { return new(simplex) }}

// idleMax is the number of rows and columns up to which work space is kept.
const idleMax = 4000

// solveContinuous solves a well-formed p, reading over integrality.
func solveContinuous(ctx context.Context, p *Problem, opt Options) *Solution {
	s := idle.Get().(*simplex)
	solution := s.solveNew(ctx, p, opt.Start, opt)
	if s.n+s.m <= idleMax {
		s.limits = nil
		idle.Put(s)
	}
	return solution
}

// solveNew reads p into s and solves it, from the given basis if there is one and it fits.
func (s *simplex) solveNew(ctx context.Context, p *Problem, start *Basis, opt Options) *Solution {
	f := &s.own
	f.read(p)
	l := newLimits(ctx, opt, f.a.rows+f.a.columns)
	var places []Place
	suspect := false
	if start == nil && f.a.rows >= presolveMin {
		places, suspect = presolved(f, l)
		if l.expired() {
			s.n, s.m = f.a.columns, f.a.rows
			return stoppedEarly(l, places, s.n)
		}
	}
	s.load(f)
	if !s.loadPlaces(places) && !s.loadBasis(start) {
		s.logicalStart()
		s.fresh = !suspect
	}
	return s.solveWithin(p, l)
}

// stoppedEarly is the answer when a limit ran out before the program as stated was taken up.
func stoppedEarly(l *limits, places []Place, columns int) *Solution {
	solution := &Solution{Status: Limit, Reason: l.reason, Iterations: l.iterations}
	if places != nil {
		solution.Basis = &Basis{Columns: places[:columns:columns], Rows: places[columns:]}
	}
	return solution
}

// presolveMin is the number of rows from which presolving pays.
const presolveMin = 60

// presolved returns the places of an optimal basis of f found by way of a smaller form, or those where
// that way ended; nil if it led nowhere. It reports whether presolving found f infeasible.
func presolved(f *form, l *limits) (places []Place, infeasible bool) {
	r := newReducer(f, l.expired)
	if !r.run() {
		return nil, r.infeasible
	}
	small, kept := r.reduced()
	s := newSimplex(small)
	s.logicalStart()
	s.begin(l)
	s.run()
	s.restoreBounds()
	x, y := make([]float64, s.n), make([]float64, s.m)
	for j := range x {
		x[j] = s.x[j] * s.scaling.unit[j]
	}
	for i := range y {
		if v := s.n + i; s.place[v] != Basic {
			y[i] = s.d[v] / (s.scaling.unit[v] * s.scaling.cost)
		}
	}
	return r.undo(kept, s.place, x, y), false
}

// solve runs the simplex method on p, whose figures s holds, from the basis of s.
func (s *simplex) solve(ctx context.Context, p *Problem, opt Options) *Solution {
	return s.solveWithin(p, newLimits(ctx, opt, s.n+s.m))
}

// solveWithin is solve under limits that may be used up in part.
func (s *simplex) solveWithin(p *Problem, l *limits) *Solution {
	s.begin(l)
	if v := s.crossed(); v >= 0 {
		return &Solution{Status: Infeasible, Reason: "the bounds of " + p.variableName(v) + " cross", Basis: s.basis()}
	}
	var solution *Solution
	for range tightenings {
		solution = s.answer(p, s.run())
		if solution.Status != Unproved {
			return solution
		}
		s.tighten()
	}
	return settleExactly(p, solution, l)
}

// tightenings is how often a solve is carried on with smaller tolerances when its answer does not
// stand up to the problem in its own units.
const tightenings = 4

// tighten asks more of the next run. A cost that is tiny beside the others moves the objective as they do
// where its column is large enough, so prices are looked at ever more closely.
func (s *simplex) tighten() {
	s.finalPrimal = max(s.finalPrimal/10, 1e-12)
	s.finalDual = max(s.finalDual/100, 1e-17)
	s.primalTolerance, s.dualTolerance = s.finalPrimal, s.finalDual
	s.factor.threshold = 0.5
	s.factor.ready = false
}
