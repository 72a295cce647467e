package solver

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestAlternativeOptima(t *testing.T) {
	t.Run("unique", func(t *testing.T) {
		a, err := AlternativeOptima(context.Background(), textbookProblem(t, "polly"), nil)
		require.NoError(t, err)
		require.True(t, a.Unique)
		require.Equal(t, [][]float64{{4, 0, 0, 4.5, 2, 0}}, a.Vertices)
	})
	t.Run("an edge", func(t *testing.T) {
		p := &Problem{Columns: []Column{{Cost: 1, Upper: Inf}, {Cost: 1, Upper: 3}}}
		p.AddRow(Row{Lower: 4, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}}})
		a, err := AlternativeOptima(context.Background(), p, nil)
		require.NoError(t, err)
		require.False(t, a.Unique)
		require.Equal(t, []float64{1, 0}, a.Low)
		require.Equal(t, []float64{4, 3}, a.High)
		require.ElementsMatch(t, [][]float64{{1, 3}, {4, 0}}, a.Vertices)
	})
	t.Run("without end", func(t *testing.T) {
		p := &Problem{Columns: []Column{{Cost: 1, Upper: 1}, {Cost: 0, Lower: -Inf, Upper: 7}}}
		a, err := AlternativeOptima(context.Background(), p, nil)
		require.NoError(t, err)
		require.False(t, a.Unique)
		require.Equal(t, []float64{0, math.Inf(-1)}, a.Low)
		require.Equal(t, []float64{0, 7}, a.High)
	})
	t.Run("a degenerate vertex hides none", func(t *testing.T) {
		// Every nonbasic column can enter at no loss, yet none can move.
		p := &Problem{Columns: []Column{{Upper: Inf}, {Upper: Inf}}}
		p.AddRow(Row{Lower: -Inf, Upper: 0, Terms: []Term{{0, 1}, {1, 1}}})
		a, err := AlternativeOptima(context.Background(), p, nil)
		require.NoError(t, err)
		require.True(t, a.Unique)
	})
}

// Each vertex is optimal, and each column's least and greatest value is what a fresh exact solve finds
// when the objective may not get worse.
func TestAlternativeOptimaProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := optimalTiny().Draw(rt, "problem")
		best := prove(t, p, nil)
		a, err := AlternativeOptima(context.Background(), p, nil)
		require.NoError(rt, err)
		solved, err := Solve(context.Background(), p, Options{})
		require.NoError(rt, err)
		quick, err := AlternativeOptima(context.Background(), p, solved)
		require.NoError(rt, err)
		require.Equal(rt, a.Unique, quick.Unique)
		require.InDeltaSlice(rt, finite(a.Low), finite(quick.Low), 1e-9)
		require.InDeltaSlice(rt, finite(a.High), finite(quick.High), 1e-9)
		for _, x := range a.Vertices {
			require.InDelta(rt, float(best.Objective), p.Value(x), 1e-9*(1+math.Abs(p.Value(x))))
		}
		require.Equal(rt, a.Unique, len(a.Vertices) == 1 && !hasInfinite(a.Low) && !hasInfinite(a.High))
		// Scaled by 357 the optimum of these programs is mostly a short decimal; others are passed over.
		value := float(best.Objective)
		if Decimal(value).Cmp(best.Objective) != 0 {
			return
		}
		for j := range p.Columns {
			for _, sense := range []Sense{Minimize, Maximize} {
				q := p.Clone()
				hold := Row{Lower: value, Upper: value}
				for k, c := range p.Columns {
					hold.Terms = append(hold.Terms, Term{k, c.Cost})
					q.Columns[k].Cost = 0
				}
				q.AddRow(hold)
				q.Columns[j].Cost = 1
				q.Sense = sense
				proof := prove(t, q, nil)
				want := float(proof.Objective)
				got := a.Low[j]
				if sense == Maximize {
					got = a.High[j]
				}
				if proof.Status == Unbounded {
					require.True(rt, math.IsInf(got, 0))
					continue
				}
				require.Equal(rt, want, got)
			}
		}
	})
}

func hasInfinite(x []float64) bool {
	for _, v := range x {
		if math.IsInf(v, 0) {
			return true
		}
	}
	return false
}

// finite stands a large number in for infinities, which have no difference.
func finite(x []float64) []float64 {
	y := slices.Clone(x)
	for j := range y {
		y[j] = math.Max(-1e300, math.Min(1e300, y[j]))
	}
	return y
}
