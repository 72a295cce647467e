package chem

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// times returns how far a solution is saturated with a salt.
func times(t require.TestingT, s *Solution, celsius float64, salt string) float64 {
	found, err := Saturations(s, celsius)
	require.NoError(t, err)
	for _, x := range found {
		if x.Name == salt {
			return x.Times
		}
	}
	return 0
}

// Solutions that are saturated by measurement: cream of tartar 0.0341 mol/kg at 25 °C (NIST pH standard, memory) and
// 2.3, 3.4, 4.9, 6.9 g/L at 0, 10, 20, 30 °C (memory); quinine sulfate 1 in 810 at 20 °C and 1 in 30 boiling (memory),
// in which quinine has one proton.
func TestSaturatedSolutions(t *testing.T) {
	tartar := func(grams float64) *Solution {
		m := grams / 188.176
		return mix{Tartaric: m, Potassium: m}.solution()
	}
	c := newTally(t, "saturated potassium hydrogen tartrate and quinine sulfate, times saturated", 0.12)
	c.row(1, times(t, tartar(0.0341*188.176), 25, "potassium hydrogen tartrate"), "25 °C")
	for _, row := range []struct{ celsius, grams float64 }{{0, 2.3}, {10, 3.4}, {20, 4.9}, {30, 6.9}} {
		c.row(1, times(t, tartar(row.grams), row.celsius, "potassium hydrogen tartrate"), row.celsius)
	}
	quinine := mix{Quinine: 2 * quinineSulfate20 / 782.95, Sulfate: quinineSulfate20 / 782.95}.solution()
	c.row(1, times(t, quinine, 20, "quinine sulfate"), "20 °C")
}

// Calcium citrate by an independent calculation of log10 of the product over Ks (drinks of citric acid
// brought to a pH with sodium): 3 g/L citric and 160 mg/L calcium -4.9 at pH 3, -1.5 at 4, -0.9 at 5; 400 mg/L at pH 5
// +0.35. It binds calcium in pairs, which here count as free: so these stand higher, never lower.
func TestCalciumCitrate(t *testing.T) {
	at := func(pH, citric, calcium float64) float64 {
		s := mix{Citric: citric / 192.123, Calcium: calcium / 40078, Chloride: 2 * calcium / 40078}.solution()
		p, err := BaseToReach(s, pH)
		require.NoError(t, err)
		s.Amounts[Sodium] += p.Base
		return times(t, s, 25, "calcium citrate")
	}
	assert.Less(t, at(3, 3, 160), 0.3)
	assert.Less(t, at(4, 3, 160), 1.0)
	assert.Greater(t, at(5, 3, 400), 1.17) // 10^(0.35/5)
}

// What dissolves at drink strength: 83 mg/L of quinine in a drink with no sulfate, and with it; a syrup of six times that
// with Epsom salt in the cold does not hold it.
func TestQuinineSulfateInDrinks(t *testing.T) {
	drink := mix{Quinine: 0.083 / 324.424, Citric: 0.02, Sodium: 0.008, Sulfate: 0.00013}
	assert.Less(t, times(t, drink.solution(), 4, "quinine sulfate"), 0.5)
	drink[Sulfate] = 0
	assert.Zero(t, times(t, drink.solution(), 4, "quinine sulfate"))
	syrup := mix{Quinine: 0.5 / 324.424, Citric: 0.005, Sodium: 0.011, Sulfate: 0.02, Magnesium: 0.02}
	assert.Greater(t, times(t, syrup.solution(), 4, "quinine sulfate"), 1.0)
}

// Cold and more of either ion never dissolve more.
func TestSaturationGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drink(t)
		s.Amounts[Sulfate] = 1e-4 + amount(t, "sulfate", 0.01)
		s.Amounts[Sodium] += 2 * s.Amounts[Sulfate]
		s.Amounts[Quinine] = 1e-4
		warm := times(t, s, 25, "quinine sulfate")
		require.GreaterOrEqual(t, times(t, s, 4, "quinine sulfate"), warm)
		s.Amounts[Quinine] *= 1.5
		require.Greater(t, times(t, s, 25, "quinine sulfate"), warm)
	})
}
