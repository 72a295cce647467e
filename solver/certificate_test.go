package solver

import (
	"testing"

	"bittersum/solver/internal/lp"

	"github.com/stretchr/testify/require"
)

// The certificate's limits: a value may stray by feasibility·(1 + |bound|), a price by a share of the largest
// cost, and no more.
func TestCertificateRefusesWhatIsOutside(t *testing.T) {
	p := &Problem{Columns: []Column{{Cost: 1, Upper: Inf}, {Cost: 2, Upper: Inf}}}
	p.AddRow(Row{Lower: 1, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}}})
	optimum := func() *Solution {
		return &Solution{Status: Optimal, X: []float64{1, 0}, Activity: []float64{1}, Dual: []float64{1}, ReducedCost: []float64{0, 1},
			Objective: 1, Basis: &Basis{Columns: []Place{Basic, AtLower}, Rows: []Place{AtLower}}}
	}
	judged := func(s *Solution) assessment { return assess(p, s, 1e-9, make([]float64, 4)) }
	a := judged(optimum())
	require.Zero(t, a.primalExcess)
	require.Zero(t, a.dualExcess)
	require.Zero(t, a.gapExcess)

	s := optimum()
	s.X[0] = 1 - 1.9e-9 // feasibility times one plus the bound is 2e-9, and rounding adds 1e-10
	require.Less(t, judged(s).primalExcess, 1.0)
	s.X[0] = 1 - 2.2e-9
	require.Greater(t, judged(s).primalExcess, 1.0)
	s.X[0], s.X[1] = 1, -1.2e-9
	require.Greater(t, judged(s).primalExcess, 1.0, "a column below its bound")

	s = optimum()
	s.Dual[0] = 1 + 1e-8 // makes the first column's price wrong by that much, where 3e-9 would do
	require.Greater(t, judged(s).dualExcess, 0.3)
	s.Dual[0] = 1 + 1e-6
	require.Greater(t, judged(s).dualExcess, 1.0)
	require.InDelta(t, 1e-6, judged(s).DualResidual, 1e-12)
	s = optimum()
	s.Dual[0], s.Basis.Columns[1] = 2.1, AtLower
	require.Greater(t, judged(s).dualExcess, 1.0, "a price below zero at a lower bound")
	s = optimum()
	s.X = []float64{1 + 1e-7, 0}
	require.Greater(t, judged(s).gapExcess, 1.0, "primal and dual objective differ by 1e-7")
}

// An engine's answer that the certificate refuses is not called optimal.
func TestAnswerOutsideABoundIsNoOptimum(t *testing.T) {
	p := &Problem{Columns: []Column{{Cost: 1, Upper: Inf}, {Cost: 2, Upper: 3}}}
	p.AddRow(Row{Lower: 1, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}}})
	solved := func() *simplex {
		f := &lp.Form{}
		readForm(f, p)
		s := newSimplex(f)
		s.logicalStart()
		s.begin(newLimits(t.Context(), Options{}, 3))
		require.Equal(t, finished, s.run())
		return s
	}
	require.Equal(t, Optimal, solved().answer(p, finished).Status)
	for _, off := range []float64{-1e-6, -0.5} {
		s := solved()
		s.x[0] += off
		answer := s.answer(p, finished)
		require.Equal(t, Unproved, answer.Status)
		require.Equal(t, "a bound is overstepped in the problem's own units", answer.Reason)
	}
	s := solved()
	s.x[1] = 4 / s.scaling.unit[1]
	require.Equal(t, Unproved, s.answer(p, finished).Status)
	s = solved()
	s.place[s.n] = AtUpper
	answer := s.answer(p, finished)
	require.Equal(t, Unproved, answer.Status)
	require.Equal(t, "a reduced cost has the wrong sign in the problem's own units", answer.Reason)
	s = solved()
	s.d[s.n] *= 1 + 1e-4
	answer = s.answer(p, finished)
	require.Equal(t, Optimal, answer.Status, "a price that is off is refined")
	require.InDelta(t, 1, answer.Dual[0], 1e-12)
	require.Less(t, answer.Certificate.DualResidual, 1e-12)
	s = solved()
	s.x[0] += 1e-4
	require.Equal(t, "primal and dual objective differ", s.answer(p, finished).Reason)
}
