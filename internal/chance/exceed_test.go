package chance

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// TestEveryWayToPassIsFound takes sums that either of two lognormal inputs can bring over the limit by itself. Points
// about the one likeliest way miss the other. The chances are integrals over the scores of the first input, by
// the trapezium rule on 200 001 points.
func TestEveryWayToPassIsFound(t *testing.T) {
	for _, c := range []struct{ mean, sd, weight [2]float64 }{
		{[2]float64{1, 0.1}, [2]float64{0.125, 1}, [2]float64{1, 0.375}},
		{[2]float64{1, 1}, [2]float64{0.5, 0.5}, [2]float64{1, 1}},
		{[2]float64{0.25, 10}, [2]float64{1, 0.875}, [2]float64{1.5, 3}},
		{[2]float64{2, 0.1}, [2]float64{0.3, 2}, [2]float64{1, 1}},
	} {
		var inputs []Distribution
		for i := range 2 {
			d, err := New(Lognormal, c.mean[i], c.sd[i], 0, 0)
			require.NoError(t, err)
			inputs = append(inputs, d)
		}
		for _, times := range []float64{1.5, 2, 3, 5} {
			limit := times * (c.mean[0]*c.weight[0] + c.mean[1]*c.weight[1])
			truth, step := 0.0, 1e-4
			for n := -100_000; n <= 100_000; n++ {
				u := float64(n) * step
				rest := (limit - c.weight[0]*inputs[0].at(u)) / c.weight[1]
				truth += step * distuv.UnitNormal.Prob(u) * inputs[1].Above(rest)
			}
			m := &Model{Inputs: inputs, Seed: 1}
			found := m.Above(&Outcome{Weights: c.weight[:]}, limit, 1<<15)
			assert.InDelta(t, truth, found.Chance, math.Max(6*found.Error, 0.02*truth), "%v over %g", c, limit)
			assert.Less(t, found.Error, 0.02*truth, "%v over %g", c, limit)
		}
	}
}
