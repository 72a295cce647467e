package assess_test

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Citric acid 3 g/L with 0, 50, 150 and 300 mg/L of alkalinity as CaCO3: pH 2.52, 2.59, 2.74, 2.98, a charge
// balance worked apart (Davies, 25 °C, bicarbonate of sodium).
func TestAlkalinityOfWater(t *testing.T) {
	for alkalinity, want := range map[string]float64{"0": 2.52, "50": 2.59, "150": 2.74, "300": 2.98} {
		text := teaBrief
		if alkalinity != "0" {
			text += "[water]\nalkalinity = \"" + alkalinity + " mg/L CaCO3\"\n"
		}
		a := judged(t, text, map[string]float64{"citric-acid": 3})
		assert.InDelta(t, want, a.Served.PH, 0.015, alkalinity)
		if alkalinity == "0" {
			assert.Contains(t, said(a), "The water counts as pure")
		} else {
			assert.NotContains(t, said(a), "The water counts as pure")
		}
	}
}

// The bitter-orange demo with 244 mg/L of bicarbonate and 80 mg/L of calcium: the pH rises by 0.21 and the
// acidity falls by 0.24 g/L against pure water, as from 2.51 and 4.50 to 2.72 and 4.26.
func TestDemoWithHardWater(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "profiles", "demo", "bitter-orange.toml"))
	require.NoError(t, err)
	amounts := map[string]float64{"water": 925.16, "sugar": 76.595, "citric-acid": 3.4473, "seville-orange-juice": 25, "bitter-orange-peel": 0.5, "orange-peel": 0.56871}
	pure := judged(t, string(text), amounts)
	hard := judged(t, string(text)+"\n[water]\nalkalinity = \"244 mg/L HCO3\"\ncalcium = \"80 mg/L\"\n", amounts)
	assert.InDelta(t, 4.26-4.50, hard.Served.Acidity-pure.Served.Acidity, 0.02)
	assert.InDelta(t, 2.72-2.51, hard.Served.PH-pure.Served.PH, 0.03)
	assert.NotContains(t, said(hard), "does not balance")
}

// A report whose charges do not balance is closed, and says by how much; hardness alone counts as calcium.
func TestWaterReportsAreClosed(t *testing.T) {
	off := judged(t, teaBrief+"[water]\nalkalinity = \"2 meq/L\"\ncalcium = \"60 mg/L\"\n", map[string]float64{"citric-acid": 3})
	assert.Contains(t, said(off), "The water report does not balance: its charges are 33 % off; 0.994 mmol/L of chloride closed it.")
	hard := judged(t, teaBrief+"[water]\nhardness = \"10 °dH\"\n", map[string]float64{"citric-acid": 3})
	assert.Contains(t, said(hard), "gives its hardness alone, which counts as calcium")
}

// More alkalinity never lowers the pH, in the drink or by the soda of a throw.
func TestMoreAlkalinityNeverLowersPH(t *testing.T) {
	library, err := profile.Embedded()
	require.NoError(t, err)
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		acid := rapid.Float64Range(0.5, 10).Draw(t, "acid")
		throw := rapid.SampledFrom([]string{"", "throw = \"1+4\"\n"}).Draw(t, "throw")
		before := 0.0
		for _, degrees := range []string{"1", "4", "9", "17"} {
			path := filepath.Join(dir, "brief.toml")
			require.NoError(t, os.WriteFile(path, []byte(throw+teaBrief+"[water]\nalkalinity = \""+degrees+" °dH\"\n"), 0o600))
			j, err := brief.Open(path, library)
			require.NoError(t, err)
			a, err := assess.Assess(j, &brief.Recipe{Parts: []brief.Part{{Source: j.Source("citric-acid"), Amount: acid}}})
			require.NoError(t, err)
			require.GreaterOrEqual(t, a.Served.PH, before)
			before = a.Served.PH
		}
	})
}

// A brief with a hard water gets the recipe that meets it there: more acid than in pure water.
func TestHardWaterTakesMoreAcid(t *testing.T) {
	pure := judged(t, teaBrief, map[string]float64{"citric-acid": 3})
	hard := judged(t, teaBrief+"[water]\nalkalinity = \"200 mg/L CaCO3\"\n", map[string]float64{"citric-acid": 3})
	// 4 meq/L of bicarbonate take 4/1000 of 64.04 g/L citric acid.
	assert.InDelta(t, 4*0.06404, pure.Served.Acidity-hard.Served.Acidity, 0.01)
}
