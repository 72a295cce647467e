package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// However columns are fixed and let go, pricing a row gives the sums of the matrix as stated for those that move, and
// passes over the others.
func TestPricePassesOverFixedColumns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		session, err := NewSession(p, Options{})
		require.NoError(t, err)
		_, err = session.Solve(context.Background())
		require.NoError(t, err)
		n, m := len(p.Columns), len(p.Rows)
		if n == 0 || m == 0 || session.simplex == nil || session.simplex.a == nil {
			return
		}
		s := session.simplex
		for range rapid.IntRange(1, 3*n).Draw(t, "changes") {
			lower, upper := drawBounds(t)
			session.SetColumnBounds(rapid.IntRange(0, n-1).Draw(t, "column"), lower, upper)
		}
		rho := &s.row
		rho.Clear()
		for i := range m {
			rho.Value[i] = float64(rapid.IntRange(-3, 3).Draw(t, "multiplier"))
		}
		rho.List()
		s.price(rho)
		for j := range n {
			want := 0.0
			for k := s.a.ColumnStart[j]; k < s.a.ColumnStart[j+1]; k++ {
				want += s.a.ColumnValue[k] * rho.Value[s.a.ColumnIndex[k]]
			}
			if s.place[j] == Basic || s.movable.end != nil && s.lower[j] == s.upper[j] {
				want = 0
			}
			require.InDelta(t, want, s.alpha.Value[j], 1e-9*(1+math.Abs(want)), "column %d", j)
		}
	})
}

// A solve that may end at a bound ends at one that holds, or comes to what it would have come to anyway.
func TestHopelessBoundsHold(t *testing.T) {
	ended := 0
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		want, err := Solve(context.Background(), p, Options{})
		require.NoError(t, err)
		threshold := float64(rapid.IntRange(-40, 40).Draw(t, "threshold"))
		if want.Status == Optimal && rapid.Bool().Draw(t, "near") {
			threshold = want.Objective + float64(rapid.IntRange(-2, 2).Draw(t, "apart"))
		}
		hopeless := func(bound float64) bool {
			return p.Sense == Minimize && bound >= threshold || p.Sense == Maximize && bound <= threshold
		}
		got, err := Solve(context.Background(), p, Options{hopeless: hopeless, updates: searchUpdates})
		require.NoError(t, err)
		if got.Reason != pastHope {
			require.Equal(t, want.Status, got.Status)
			if want.Status == Optimal {
				require.InDelta(t, want.Objective, got.Objective, 1e-7*(1+math.Abs(want.Objective)))
			}
			return
		}
		ended++
		require.True(t, hopeless(got.Bound))
		require.NotEqual(t, Unbounded, want.Status)
		if want.Status == Optimal {
			slack := 1e-7 * (1 + math.Abs(want.Objective))
			if p.Sense == Minimize {
				require.LessOrEqual(t, got.Bound, want.Objective+slack)
			} else {
				require.GreaterOrEqual(t, got.Bound, want.Objective-slack)
			}
		}
	})
	require.NotZero(t, ended, "no solve ended at a bound")
}
