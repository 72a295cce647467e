package label

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Each case stands at, just below or just above a threshold of 21 CFR 101.9(c) as Appendix H of the FDA's
// Food Labeling Guide (2009) tabulates it.
func TestUSRounding(t *testing.T) {
	for _, c := range []struct {
		name  string
		round func(float64) string
		cases map[float64]string
	}{
		{"calories (c)(1)", USCalories, map[float64]string{0: "0", 4.99: "0", 5: "5", 7.49: "5", 7.5: "10", 47.4: "45", 47.5: "50", 50: "50", 50.01: "50", 54.9: "50", 55: "60", 94.9: "90", 95: "100"}},
		{"fat (c)(2)", USFat, map[float64]string{0: "0 g", 0.49: "0 g", 0.5: "0.5 g", 0.74: "0.5 g", 0.75: "1 g", 4.74: "4.5 g", 4.75: "5 g", 4.99: "5 g", 5: "5 g", 5.49: "5 g", 5.5: "6 g"}},
		{"sodium (c)(4)", USSodium, map[float64]string{0: "0 mg", 4.99: "0 mg", 5: "5 mg", 7.49: "5 mg", 7.5: "10 mg", 137.4: "135 mg", 140: "140 mg", 140.1: "140 mg", 144.9: "140 mg", 145: "150 mg"}},
		{"carbohydrate, sugars, protein (c)(6), (7)", USGrams, map[float64]string{0: "0 g", 0.49: "0 g", 0.5: "less than 1 g", 0.99: "less than 1 g", 1: "1 g", 1.49: "1 g", 1.5: "2 g", 30.5: "31 g"}},
		{"potassium (c)(8)", USPotassium, map[float64]string{4: "0 mg", 5: "10 mg", 94: "90 mg", 95: "100 mg"}},
		{"daily value of minerals (c)(8)(iii)", USMineralDaily, map[float64]string{0: "0 %", 1.99: "0 %", 2: "2 %", 2.99: "2 %", 3: "4 %", 10: "10 %", 10.1: "10 %", 12.4: "10 %", 12.5: "15 %", 50: "50 %", 50.1: "50 %", 54.9: "50 %", 55: "60 %"}},
	} {
		for x, want := range c.cases {
			assert.Equal(t, want, c.round(x), "%s: %v", c.name, x)
		}
	}
}

// The rounding table of the Commission's guidance of December 2012 on tolerances, at its thresholds.
func TestEURounding(t *testing.T) {
	for _, c := range []struct {
		name  string
		round func(float64) string
		cases map[float64]string
	}{
		{"energy", EUEnergy, map[float64]string{0: "0", 144.4: "144", 144.5: "145"}},
		{"fat, carbohydrate, sugars, protein", EUGrams, map[float64]string{0: "0 g", 0.01: "< 0.5 g", 0.5: "< 0.5 g", 0.51: "0.5 g", 0.55: "0.6 g", 8.04: "8.0 g", 8.05: "8.1 g", 9.94: "9.9 g", 9.96: "10 g", 10: "10 g", 10.49: "10 g", 10.5: "11 g"}},
		{"saturates", EUSaturates, map[float64]string{0: "0 g", 0.1: "< 0.1 g", 0.11: "0.1 g", 9.94: "9.9 g", 10.4: "10 g"}},
		{"salt", EUSalt, map[float64]string{0: "0 g", 0.0125: "< 0.01 g", 0.0126: "0.01 g", 0.015: "0.02 g", 0.994: "0.99 g", 0.996: "1.0 g", 1: "1.0 g", 1.25: "1.3 g"}},
	} {
		for x, want := range c.cases {
			assert.Equal(t, want, c.round(x), "%s: %v", c.name, x)
		}
	}
	assert.Equal(t, "173", threeFigures(172.6))
	assert.Equal(t, "1730", threeFigures(1726))
	assert.Equal(t, "0.123", threeFigures(0.1234))
}

// Regulation (EU) 1169/2011 Annex XIV, one gram of each.
func TestEUFactors(t *testing.T) {
	for n, want := range [][2]float64{{17, 4}, {10, 2.4}, {17, 4}, {37, 9}, {29, 7}, {13, 3}, {8, 2}} {
		var g [7]float64
		g[n] = 1
		assert.Equal(t, want[0], EUKilojoules(g[0], g[1], g[2], g[3], g[4], g[5], g[6]), "kJ of nutrient %d", n)
		assert.Equal(t, want[1], EUKilocalories(g[0], g[1], g[2], g[3], g[4], g[5], g[6]), "kcal of nutrient %d", n)
	}
}

func TestQuantities(t *testing.T) {
	// 12 fl oz are 355 mL, 8.4 fl oz 250 mL and 33.8 fl oz a litre, as cans and bottles say.
	assert.Equal(t, "12 FL OZ (355 mL)", usQuantity(355))
	assert.Equal(t, "8.4 FL OZ (250 mL)", usQuantity(250))
	assert.Equal(t, "33.8 FL OZ (1000 mL)", usQuantity(1000))
	// Directive 76/211/EEC Annex I 3.1, recalled.
	for ml, mm := range map[float64]int{50: 2, 51: 3, 200: 3, 201: 4, 1000: 4, 1001: 6} {
		assert.Equal(t, mm, figureHeight(ml), "%v mL", ml)
	}
}
