package chance

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Independent normal quantities: the chance that any of them passes z is 1 - Φ(z)^n, and of the same quantity
// twice that of one.
func TestAnyOfSeveral(t *testing.T) {
	m := model(t, Normal, 0, 1, 0, 1, 0, 1)
	alone := func(i int) Outcome {
		w := make([]float64, 3)
		w[i] = 1
		return Outcome{Weights: w}
	}
	for _, z := range []float64{0, 1, 2, 3} {
		three := m.Any([]Passing{{alone(0), z}, {alone(1), z}, {alone(2), z}}, 1<<16)
		want := 1 - math.Pow(below(z), 3)
		assert.InDelta(t, want, three.Chance, 4*math.Sqrt(want/(1<<16)))
		assert.GreaterOrEqual(t, three.AtMost, want)
		twice := m.Any([]Passing{{alone(0), z}, {alone(0), z}}, 1<<16)
		assert.InEpsilon(t, above(z), twice.Chance, 0.03)
	}
	never := m.Any([]Passing{{alone(0), 40}}, 1600)
	assert.Equal(t, 0.0, never.Chance)
	assert.InDelta(t, 0.0023, never.AtMost, 1e-4, "none of 1600: at most 2.3 in a thousand")
	unknown := m.Any([]Passing{{Outcome{Of: func([]float64) float64 { return math.NaN() }}, 1}}, 160)
	assert.Equal(t, 1.0, unknown.Chance, "what is no number passes")
	assert.Equal(t, 1.0, unknown.AtMost)
}
