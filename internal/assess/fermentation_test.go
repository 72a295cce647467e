package assess_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

const lemonade = `name = "lemonade"
markets = ["us"]
use = ["water", "sugar", "citric-acid", "sodium-benzoate"]
carbonated = true
carbon_dioxide_volumes = 3.5
filling_temperature_c = 4
`

// Twenty grams of sugar in a litre that ferment on 3.5 volumes make about 10 bar of carbon dioxide over the
// atmosphere at 25 °C, and the air in the bottle comes on top; nothing in the drink stands in the way.
func TestSugarWithoutHeatOrPreservativeIsSaidToBurst(t *testing.T) {
	a := judged(t, lemonade, map[string]float64{"sugar": 80, "citric-acid": 3})
	assert.InDelta(t, 20, a.Fermentation.Fermented, 1e-9)
	assert.InDelta(t, 80, a.Fermentation.Sugars, 0.2)
	assert.InDelta(t, 12.2, a.Fermentation.Gauge, 0.6)
	assert.Empty(t, a.Fermentation.Between)
	assert.Contains(t, said(a), "Yeast: nothing here stands between it and the sugar")
	assert.Contains(t, said(a), "and bottles burst")
}

// What stands in the way is named: a preservative, heat with its units; a little sugar is no hazard.
func TestWhatStandsBetweenYeastAndSugar(t *testing.T) {
	kept := judged(t, lemonade, map[string]float64{"sugar": 80, "citric-acid": 3, "sodium-benzoate": 0.15})
	assert.Equal(t, []string{"benzoic-acid"}, kept.Fermentation.Between)
	assert.Contains(t, said(kept), "resistant yeasts survive any of these in a dirty plant")

	heated := judged(t, lemonade+"[heat]\ncelsius = 65\nminutes = 10\n", map[string]float64{"sugar": 80, "citric-acid": 3})
	assert.InEpsilon(t, 51.79, heated.Fermentation.Units60, 1e-3) // 10 minutes at 65 °C, z 7 °C
	assert.Contains(t, said(heated), "a process authority sets the process")
	assert.NotContains(t, said(heated), "less than the 15")
	hottest := heated.Carbonation.Pressures[len(heated.Carbonation.Pressures)-1]
	assert.Equal(t, "while heated", hottest.When)
	assert.Greater(t, hottest.Gauge, 8.0)

	weak := judged(t, lemonade+"[heat]\ncelsius = 60\nminutes = 5\n", map[string]float64{"sugar": 80, "citric-acid": 3})
	assert.Contains(t, said(weak), "That is less than the 15 that makers of sour drinks usually give")

	assert.Nil(t, judged(t, lemonade, map[string]float64{"sugar": 3, "citric-acid": 3}).Fermentation)
}

// A bottle filled to the brim bursts as the drink expands, and is said to.
func TestAFullBottleIsSaidToBurst(t *testing.T) {
	full := judged(t, lemonade+"headspace_share = 0.01\n[heat]\ncelsius = 65\nminutes = 10\n", map[string]float64{"sugar": 80, "citric-acid": 3})
	assert.True(t, full.Carbonation.Full)
	assert.Contains(t, said(full), "A bottle with 1 % of headspace at 4 °C is full at 65 °C: it would burst. Leave more room.")
}

// For a throw the soda must bring all the gas of the drink as served: 6 g/L at 1+5 are 7.2 in the soda.
func TestSodaOfAThrow(t *testing.T) {
	text := strings.Replace(lemonade, "carbon_dioxide_volumes = 3.5", "carbon_dioxide_g_per_l = 6\nthrow = \"1+5\"", 1)
	a := judged(t, text, map[string]float64{"sugar": 480, "citric-acid": 20})
	assert.InDelta(t, 7.2, a.Carbonation.SodaGrams, 1e-9)
	assert.Contains(t, said(a), "so the soda must bring 7.2 g/L")
}
