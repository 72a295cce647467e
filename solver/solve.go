package solver

import (
	"context"
	"math"
	"sync"

	"bittersum/solver/internal/lp"
	"bittersum/solver/internal/presolve"
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
		s.limits, s.problem = nil, nil
		idle.Put(s)
	}
	return solution
}

// solveNew reads p into s and solves it, from the given basis if there is one and it fits.
func (s *simplex) solveNew(ctx context.Context, p *Problem, start *Basis, opt Options) *Solution {
	f := &s.own
	readForm(f, p)
	l := newLimits(ctx, opt, f.A.Rows+f.A.Columns)
	var places []Place
	suspect := false
	if start == nil && f.A.Rows >= presolveMin {
		var full *presolve.Postsolve
		full, suspect = presolved(f, l)
		if l.expired() {
			s.n, s.m = f.A.Columns, f.A.Rows
			return stoppedEarly(p, l, full)
		}
		if full != nil {
			places = full.Place
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
func stoppedEarly(p *Problem, l *limits, full *presolve.Postsolve) *Solution {
	solution := &Solution{Status: Limit, Reason: l.reason, Iterations: l.iterations, Bound: p.boundOf(nil)}
	if full != nil {
		n := len(p.Columns)
		solution.Basis = &Basis{Columns: full.Place[:n:n], Rows: full.Place[n:]}
		solution.lastPoint(p, full.X, full.Y)
	}
	return solution
}

// lastPoint sets the point x at which a limit stopped the engine, held within the bounds of the columns, and
// the bound that the row prices y of a minimisation give.
func (s *Solution) lastPoint(p *Problem, x, y []float64) {
	s.X = make([]float64, len(p.Columns))
	for j := range s.X {
		c := &p.Columns[j]
		if s.X[j] = min(max(x[j], c.Lower), c.Upper); math.IsNaN(s.X[j]) {
			s.X = nil
			return
		}
	}
	s.Activity = p.Activity(s.X)
	s.Objective = p.Value(s.X)
	s.Certificate.PrimalResidual = p.residual(s.X)
	s.Bound = p.boundOf(y)
}

// boundOf returns the bound on the objective, in the problem's own sense, that the row prices y of a
// minimisation give, up to rounding: c·x = (c - y·A) x + y·(A x), each part where it is best. It is infinite
// where a price points to an infinite bound, and for no prices at all.
func (p *Problem) boundOf(y []float64) float64 {
	sign := 1.0
	if p.Sense == Maximize {
		sign = -1
	}
	if y == nil {
		return -sign * Inf
	}
	price := make([]float64, len(p.Columns))
	for j := range price {
		price[j] = sign * p.Columns[j].Cost
	}
	bound := sign * p.Offset
	best := func(price, lower, upper float64) float64 {
		switch {
		case price == 0:
			return 0
		case price > 0:
			return price * lower
		}
		return price * upper
	}
	for i := range p.Rows {
		row, y := &p.Rows[i], y[i]
		if y > 0 && row.Lower <= -Huge || y < 0 && row.Upper >= Huge {
			continue // a bound holds without this price too
		}
		bound += best(y, row.Lower, row.Upper)
		for _, t := range row.Terms {
			price[t.Column] -= y * t.Value
		}
	}
	for j := range price {
		c := &p.Columns[j]
		if math.Abs(price[j]) <= 1e-9*math.Abs(c.Cost) {
			continue // rounding
		}
		bound += best(price[j], c.Lower, c.Upper)
	}
	return sign * bound
}

// presolveMin is the number of rows from which presolving pays.
const presolveMin = 60

// presolved returns the optimal basis of f found by way of a smaller form, with its values, or those where
// that way ended; nil if it led nowhere. It reports whether presolving found f infeasible.
func presolved(f *lp.Form, l *limits) (full *presolve.Postsolve, infeasible bool) {
	r := presolve.NewReducer(f, l.expired)
	if !r.Run() {
		return nil, r.Infeasible
	}
	small, kept := r.Reduced()
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
	return r.Undo(kept, s.place, x, y), false
}

// solve runs the simplex method on p, whose figures s holds, from the basis of s.
func (s *simplex) solve(ctx context.Context, p *Problem, opt Options) *Solution {
	return s.solveWithin(p, newLimits(ctx, opt, s.n+s.m))
}

// solveWithin is solve under limits that may be used up in part.
func (s *simplex) solveWithin(p *Problem, l *limits) *Solution {
	s.begin(l)
	s.problem, s.boundLook = p, 0
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
	s.factor.Threshold = 0.5
	s.factor.Ready = false
}
