package solver

import "context"

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

// solveContinuous solves a well-formed p, reading over integrality.
func solveContinuous(ctx context.Context, p *Problem, opt Options) *Solution {
	s := newSimplex(p)
	if !s.loadBasis(opt.Start) {
		s.logicalStart()
	}
	return s.solve(ctx, p, opt)
}

// solve runs the simplex method on p, whose figures s holds, from the basis of s.
func (s *simplex) solve(ctx context.Context, p *Problem, opt Options) *Solution {
	s.begin(ctx, opt)
	if v := s.crossed(); v >= 0 {
		return &Solution{Status: Infeasible, Reason: "the bounds of " + p.variableName(v) + " cross", Basis: s.basis()}
	}
	var solution *Solution
	for range tightenings {
		solution = s.answer(p, s.run())
		if solution.Status != Unproved {
			break
		}
		s.tighten()
	}
	return solution
}

// tightenings is how often a solve is carried on with smaller tolerances when its answer does not
// stand up to the problem in its own units.
const tightenings = 4

// tighten asks more of the next run.
func (s *simplex) tighten() {
	s.primalTolerance = max(s.primalTolerance/10, 1e-12)
	s.dualTolerance = max(s.dualTolerance/10, 1e-12)
	s.factor.threshold = 0.5
	s.factor.ready = false
}
