package brief_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const extracted = `name = "extracted"
markets = ["us"]
batch_l = 10
lots = "lots.toml"
use = ["water", "bark"]
[targets.bitterness]
min = 10
[losses]
kettle = 0.02
filter = 0.05
[extraction.bark]
method = "decoction"
extractions = 3
[[ingredient]]
name = "bark"
other_plants = ["willow"]
basis = "invented"
soluble_share = 0.2
specific_volume_ml_per_g = 0.62
hold_up_l_per_g = 0.003
moisture_share = 0.10
contents_on = "dry"
contents = { bitterness = 50, tannin = { per_g = 20, recovery = 0.5, sd = 2, basis = "invented" } }
[ingredient.absent]
families = ["taste", "aroma", "colour", "texture", "physical", "nutrition", "preservative", "restricted"]
source = "tested"
[ingredient.solutes]
citric_mmol_per_g = 0.1
[ingredient.methods.decoction]
hold_up_l_per_g = 0.004
soluble_share = 0.25
solutes_share = 0.8
recovery = { bitterness = 0.4 }
[limits.bark]
max_g_per_l = 50
`

func job(t *testing.T, text, lots string) *brief.Job {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lots.toml"), []byte(lots), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "brief.toml"), []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.Open(filepath.Join(dir, "brief.toml"), lib)
	require.NoError(t, err)
	return j
}

// Figures traced by hand: 50 mg per g of dry bark are 45 as it is at 10 % of water; a decoction brings out
// 40 % of what is left each time, so three bring 1 - 0.6³ = 0.784.
func TestExtractionMoistureAndLosses(t *testing.T) {
	j := job(t, extracted, "[[lot]]\nnumber = \"W\"\ningredient = \"bark\"\nquantity_kg = 1\nmoisture_share = 0.28\n")
	bark := j.Source("bark")
	assert.InDelta(t, 45*0.784, bark.Expected("bitterness"), 1e-9)
	assert.InDelta(t, 18*(1-0.125), bark.Expected("tannin"), 1e-9, "the method says nothing of it: half each time")
	assert.InDelta(t, 18+1.645*1.8, j.Guarded(bark, "tannin"), 1e-3, "caps are judged with all of it")
	assert.Equal(t, 0.004, bark.Ingredient.HoldUp)
	assert.Equal(t, 0.25, bark.Ingredient.SolubleShare)
	solutes, known := bark.Solutes()
	assert.True(t, known)
	assert.InDelta(t, 0.1*0.9*0.8, solutes[0], 1e-12, "citric")
	assert.InDelta(t, 0.98*0.95, j.Kept(), 1e-12)
	wet := j.Source("bark/W")
	assert.InDelta(t, 45*0.784*0.8, wet.Expected("bitterness"), 1e-9, "a lot of 28 % of water has 0.72/0.90 of it")
}

// Cross-current extraction: shares of what is left, stage by stage.
func TestRecovered(t *testing.T) {
	left := 1.0
	for n := 1; n <= 6; n++ {
		left *= 1 - 0.35
		assert.InDelta(t, 1-left, brief.Recovered(0.35, n), 1e-12)
	}
	assert.Equal(t, 1.0, brief.Recovered(1, 4))
	assert.Equal(t, 0.0, brief.Recovered(0, 4))
}

// A certificate's acidity scales what the profile says of acids and ions.
func TestACertificateOfAcidity(t *testing.T) {
	j := job(t, `name = "sour"
markets = ["us"]
batch_l = 10
lots = "lots.toml"
use = ["water", "lemon-juice"]
[targets.ph]
max = 3
`, "[[lot]]\nnumber = \"L\"\ningredient = \"lemon-juice\"\nquantity_kg = 5\n[lot.contents.acidity]\nper_g = 0.0561012\n")
	usual, _ := j.Source("lemon-juice").Solutes()
	lot, known := j.Source("lemon-juice/L").Solutes()
	require.True(t, known)
	for n := range usual {
		assert.InDelta(t, 1.2*usual[n], lot[n], 1e-3*math.Abs(usual[n]))
	}
}
