package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFindRoot(t *testing.T) {
	for name, row := range map[string]struct {
		f      func(float64) float64
		lo, hi float64
		want   float64
	}{
		// Textbook equations: Newton's own, and the fixed point of the cosine.
		"Newton 1685":   {func(x float64) float64 { return x*x*x - 2*x - 5 }, 0, 3, 2.0945514815423265},
		"cosine":        {func(x float64) float64 { return x - math.Cos(x) }, 0, 1, 0.7390851332151607},
		"flat":          {func(x float64) float64 { return math.Pow(x-1, 9) }, 0, 1.7, 1},
		"steep":         {func(x float64) float64 { return math.Atan(1e9 * (x - 0.25)) }, 0, 1, 0.25},
		"at the start":  {func(x float64) float64 { return x }, 0, 1, 0},
		"at the end":    {func(x float64) float64 { return x - 1 }, 0, 1, 1},
		"empty bracket": {func(x float64) float64 { return x - 1 }, 0, 0, 0},
	} {
		evaluations := 0
		got := findRoot(func(x float64) float64 { evaluations++; return row.f(x) }, row.lo, row.hi)
		assert.InDelta(t, row.want, got, 1e-14, name)
		assert.LessOrEqual(t, evaluations, 56, name)
	}
	exact := math.Pow(1e-9, 1.0/9)
	assert.InDelta(t, exact+1, findRoot(func(x float64) float64 { return math.Pow(x-1, 9) - 1e-9 }, 0, 2), 1e-14)
}

// The search for the ionic strength ends at the crossing whatever the function, even where plain
// repetition would swing without end, and asks at the finest tolerance there.
func TestSelfConsistent(t *testing.T) {
	for name, row := range map[string]struct {
		f    func(float64) float64
		want float64
	}{
		"gentle":     {func(i float64) float64 { return 0.1 + 0.2*i }, 0.125},
		"constant":   {func(float64) float64 { return 0.03 }, 0.03},
		"steep fall": {func(i float64) float64 { return 0.2 / (1 + 1e4*i*i) }, 0.0272},
		"swings":     {func(i float64) float64 { return math.Max(0.4-7*i, 0.001) }, 0.05},
		"cliff":      {func(i float64) float64 { return 0.2 + 0.2*math.Tanh(1e7*(0.25-i)) }, 0.25},
		"step": {func(i float64) float64 {
			if i < 0.3 {
				return 0.45
			}
			return 0.01
		}, 0.3},
		"beyond Davies":  {func(i float64) float64 { return 3 + math.Min(i, DaviesLimit) }, 3.5},
		"next to nought": {func(i float64) float64 { return 1e-12 }, 1e-12},
	} {
		for _, guess := range []float64{0, row.want / 3, 2 * row.want, 40} {
			calls, last, finestAt := 0, 0.0, 0.0
			got := selfConsistent(guess, func(i, tolerance float64) float64 {
				calls++
				last, finestAt = i, tolerance
				return row.f(i) * (1 + tolerance/100)
			})
			require.Less(t, calls, 102, name)
			require.Equal(t, finest, finestAt, name)
			if name == "steep fall" {
				require.InEpsilon(t, got, row.f(got), 1e-8, name)
				continue
			}
			require.InEpsilon(t, row.want, got, 2e-7, "%s from %g", name, guess)
			require.Equal(t, math.Min(got, DaviesLimit), math.Min(last, DaviesLimit), name)
		}
	}
}
