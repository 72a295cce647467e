package solver

import (
	"context"
	"math"
	"slices"
)

// Limits on the cuts at the root: rounds, cuts a round, how much of a cut's own length it must cut off,
// how alike two cuts of one round may be (the cosine between them), and by what part of the objective
// two rounds must move the bound to go on.
const (
	cutRounds    = 10
	cutsPerRound = 20
	cutEfficacy  = 1e-4
	cutLikeness  = 0.9
	cutProgress  = 1e-5
)

// cutRoot strengthens the relaxation, whose optimum is r, by mixed-integer rounding cuts, and returns
// its new optimum. Cuts that do not bind in the end are dropped.
func (s *search) cutRoot(ctx context.Context, r *Solution) (*Solution, error) {
	m := newRounder(s.p, s.lp)
	first := len(s.lp.session.Problem().Rows)
	var added []Row
	stalled := 0
	for range cutRounds {
		cuts := slices.DeleteFunc(m.separate(r.X), func(cut Row) bool { return !s.lp.liftsWell(cut) })
		if len(cuts) == 0 || len(s.lp.violations(r.X)) == 0 {
			break
		}
		for _, cut := range cuts {
			if _, err := s.lp.session.AddRow(s.lp.lift(cut)); err != nil {
				return nil, err
			}
		}
		added = append(added, cuts...)
		next, err := s.lp.solve(ctx)
		if err != nil {
			return nil, err
		}
		s.iterations += next.Iterations
		if next.Status != Optimal {
			// Rounding has made a cut too deep, or a limit struck: go on without any cut.
			if err := s.lp.open(); err != nil {
				return nil, err
			}
			s.lp.session.SetBasis(r.Basis)
			next, err = s.lp.solve(ctx)
			if err == nil && next.Status != Optimal {
				next = r
			}
			return next, err
		}
		moved := math.Abs(next.Objective - r.Objective)
		r = next
		if stalled++; moved > cutProgress*(1e-6+math.Abs(r.Objective)) {
			stalled = 0
		}
		if stalled == 2 {
			break
		}
	}
	if len(added) == 0 || len(s.p.Cones) > 0 {
		return r, nil
	}
	return s.keepBinding(ctx, r, first, added)
}

// keepBinding makes the session anew with only those of the added rows that are not basic in r.
func (s *search) keepBinding(ctx context.Context, r *Solution, first int, added []Row) (*Solution, error) {
	basis := r.Basis.Clone()
	basis.Rows = basis.Rows[:first]
	for i, cut := range added {
		if place := r.Basis.Rows[first+i]; place != Basic {
			s.lp.linear.AddRow(cut)
			basis.Rows = append(basis.Rows, place)
		}
	}
	if err := s.lp.open(); err != nil {
		return nil, err
	}
	s.lp.session.SetBasis(basis)
	again, err := s.lp.solve(ctx)
	if err != nil {
		return nil, err
	}
	s.iterations += again.Iterations
	if again.Status != Optimal {
		// The first relaxation was optimal, so this is a failure of the arithmetic or a limit.
		again.Status = Unproved
	}
	return again, nil
}
