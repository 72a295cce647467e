package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Sugar solutions: 40 and 60 % by Bingham and Jackson (1918), 10 to 60 % at 20 °C by NBS Circular C440 as recalled;
// water by handbooks, 1.002 at 20, 0.890 at 25, 0.653 at 40 °C.
func TestViscosity(t *testing.T) {
	for _, c := range []struct{ brix, celsius, want, share float64 }{
		{0, 20, 1.002, 0.001}, {0, 25, 0.890, 0.002}, {0, 40, 0.653, 0.002}, {0, 5, 1.519, 0.005},
		{10, 20, 1.336, 0.02}, {20, 20, 1.945, 0.03}, {30, 20, 3.187, 0.03}, {40, 20, 6.162, 0.04}, {50, 20, 15.43, 0.04}, {60, 20, 58.49, 0.04},
		{39.99, 20, 6.198, 0.03}, {39.99, 25, 5.198, 0.03}, {39.99, 40, 3.270, 0.03}, {39.99, 60, 1.977, 0.03},
		{59.96, 20, 59.81, 0.03}, {59.96, 25, 43.71, 0.03}, {59.96, 40, 20.89, 0.03}, {59.96, 60, 9.714, 0.03},
	} {
		got, err := Viscosity(c.brix, 0, c.celsius)
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, got, c.share, "%v °Bx at %v °C", c.brix, c.celsius)
	}
	for _, c := range [][3]float64{{-1, 0, 20}, {66, 0, 20}, {10, -1, 20}, {10, 0, -1}, {10, 0, 61}, {math.NaN(), 0, 20}} {
		_, err := Viscosity(c[0], c[1], c[2])
		assert.ErrorIs(t, err, ErrRange)
	}
}

// More sugar and more gum are thicker, warmth is thinner, and there is no step where the formula begins.
func TestViscosityIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		brix, gum, celsius := rapid.Float64Range(0, 64).Draw(t, "brix"), rapid.Float64Range(0, 10).Draw(t, "gum"), rapid.Float64Range(0, 59).Draw(t, "celsius")
		at := func(brix, gum, celsius float64) float64 {
			x, err := Viscosity(brix, gum, celsius)
			require.NoError(t, err)
			return x
		}
		here := at(brix, gum, celsius)
		require.Greater(t, at(brix+0.5, gum, celsius), here)
		require.Greater(t, at(brix, gum+0.5, celsius), here)
		require.Less(t, at(brix, gum, celsius+0.5), here)
		require.InDelta(t, at(10-1e-9, gum, celsius), at(10, gum, celsius), 1e-6)
	})
}
