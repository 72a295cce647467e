package chem

import (
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Cells of the tables of OIML R 22, 20 °C and off it.
func TestSpiritDensity(t *testing.T) {
	for _, c := range []struct{ p, celsius, density float64 }{
		{0, 20, 998.2012}, {0, 4, 999.9688}, {0, 40, 992.2135}, {1, 0, 806.2152}, {1, 20, 789.2391}, {1, 40, 771.9323},
		{0.1, 20, 981.848}, {0.2, 20, 968.607}, {0.4, 20, 935.145}, {0.6, 20, 891.098}, {0.8, 20, 843.386},
		{0.1, 4, 984.591}, {0.2, 4, 974.458}, {0.4, 4, 946.585}, {0.6, 4, 904.010}, {0.8, 4, 856.973},
		{0.1, 30, 978.731}, {0.2, 30, 963.908}, {0.4, 30, 927.638}, {0.6, 30, 882.723}, {0.8, 30, 834.646},
	} {
		got, err := SpiritDensity(c.p, c.celsius)
		require.NoError(t, err)
		assert.InDelta(t, c.density, got, 6e-4, "%v at %v °C", c.p, c.celsius)
	}
	for _, c := range [][2]float64{{-0.01, 20}, {1.01, 20}, {0.4, -21}, {0.4, 41}} {
		_, err := SpiritDensity(c[0], c[1])
		assert.ErrorIs(t, err, ErrRange)
	}
}

// The whole table that BITTERSUM_REFERENCE holds, at eight temperatures.
func TestSpiritDensityTable(t *testing.T) {
	rows := reference.Open(t, "drink", "r22_check.csv").Rows
	require.Greater(t, len(rows), 19)
	number := func(text string) float64 { return reference.Number(t, text) }
	for _, row := range rows {
		for n, celsius := range []float64{0, 4, 10, 15, 20, 25, 30, 40} {
			got, err := SpiritDensity(number(row[1]), celsius)
			require.NoError(t, err)
			assert.InDelta(t, number(row[2+n]), got, 1e-3, "%s %% vol at %v °C", row[0], celsius)
		}
	}
}

// 50 L of ethanol and 50 L of water make 96.463 L of 51.834 % vol; 0.1 L of 96 % and 0.9 L of water 0.99391 L of 9.659
// %; 1 L of 40 % is 0.41667 L of 96 % and 0.61272 L of water (worked out by OIML R 22).
func TestStrengthOfMixtures(t *testing.T) {
	ninetySix := 96 * EthanolDensity / 100 // g/L
	density, err := SpiritDensity(0.93838387, 20)
	require.NoError(t, err)
	water := density - ninetySix
	for _, c := range []struct{ ethanol, water, strength, litres float64 }{
		{50 * EthanolDensity, 50 * 998.2012, 51.834, 96.463},
		{0.1 * ninetySix, 0.1*water + 0.9*998.2012, 9.659, 0.99391},
		{0.41667 * ninetySix, 0.41667*water + 0.61272*998.2012, 40, 1},
	} {
		got, err := Strength(c.ethanol, c.water, 0)
		require.NoError(t, err)
		assert.InDelta(t, c.strength, got, 1e-3)
		assert.InDelta(t, c.litres, 100*c.ethanol/EthanolDensity/got, 1e-4*c.litres)
	}
	thinned, err := Strength(400, 600, 100)
	require.NoError(t, err)
	neat, err := Strength(400, 600, 0)
	require.NoError(t, err)
	assert.InDelta(t, neat, thinned*(1000/935.145+0.1)/(1000/935.145), 1e-3)
	_, err = Strength(0, 0, 0)
	assert.ErrorIs(t, err, ErrRange)
}
