package brief_test

import (
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// infused is a drink with an infusion of plain figures: 900 g of water and 100 g of a root of which half
// dissolves in 30 mL make 0.93 L of 950 g; the root keeps 0.2 L of it. It brings 1000 mg of bitterness, half
// of which reaches the liquor.
const infused = `name = "infused"
markets = ["us"]
use = ["clear-water", "infusion"]
batch_l = 10
lots = "lots.toml"
[targets.bitterness]
max = 100
[[ingredient]]
name = "clear-water"
kind = "water"
pure = true
price_per_kg = 0
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
[[ingredient]]
name = "test-root"
plants = ["gentian"]
pure = true
price_per_kg = 38
basis = "memory"
soluble_share = 0.5
specific_volume_ml_per_g = 0.6
hold_up_l_per_g = 0.002
trimming_loss = 0.05
contents = { bitterness = { per_g = 10, recovery = 0.5, sd = 2, basis = "memory" } }
solutes = { citric_mmol_per_g = 0.2 }
[ingredient.methods.hot]
recovery = { bitterness = 0.6 }
[[preparation]]
name = "infusion"
basis = "measured"
[preparation.grams]
clear-water = 900
test-root = 100
`

func prepared(t *testing.T, change ...string) *brief.Source {
	t.Helper()
	text := infused
	for n := 0; n < len(change); n += 2 {
		require.Contains(t, text, change[n])
		text = strings.Replace(text, change[n], change[n+1], 1)
	}
	j := job(t, text, "[[lot]]\nnumber = \"R-1\"\ningredient = \"test-root\"\nquantity_kg = 1\nprice_per_kg = 19\n[lot.contents.bitterness]\nper_g = 20\nsure = \"tasted twice\"\n")
	return j.Source("infusion")
}

// Worked out by hand, see infused.
func TestPreparationHoldsWhatItsPartsBring(t *testing.T) {
	s := prepared(t)
	assert.InDelta(t, 0.93, s.Made.LiquorL, 1e-12)
	assert.InDelta(t, 0.73, s.Made.YieldL, 1e-12)
	assert.InDelta(t, 0.73*950/930, s.Made.YieldKg, 1e-12)
	c, known := s.Content("bitterness")
	assert.True(t, known)
	assert.InDelta(t, 500.0/950, c.PerGram*c.Recovery, 1e-11)
	assert.InDelta(t, (1000+1.645*200)/950, (c.PerGram+1.645*c.SD)*c.CapRecovery, 1e-11, "caps are judged with all of it and its deviation")
	assert.Equal(t, profile.Memory, c.Basis)
	assert.InDelta(t, 930.0/950, s.Ingredient.SpecificVolume, 1e-11)
	assert.InDelta(t, 0.1*38/0.95/(0.73*950/930), s.PricePerKg, 1e-9, "4 EUR of root for what is obtained")
	assert.InDelta(t, s.PricePerKg/1000, s.CostPerGram, 1e-12)
	assert.InDelta(t, 20.0/950, s.Ingredient.Solutes["citric"], 1e-11)
	assert.Equal(t, []string{"gentian"}, s.Ingredient.Plants)
	_, known = s.Content("quinine")
	assert.True(t, known, "its parts are pure")

	labour := prepared(t, "basis = \"measured\"\n[preparation", "basis = \"measured\"\nlabour_per_kg = 2\n[preparation")
	assert.InDelta(t, s.CostPerGram+0.002, labour.CostPerGram, 1e-12)
}

func TestPreparationByYieldAndExtraction(t *testing.T) {
	const head = "basis = \"measured\"\n[preparation"
	plain := prepared(t)
	less := prepared(t, head, "basis = \"measured\"\nyield_l = 0.5\nlost_as = \"liquor\"\n[preparation")
	assert.Equal(t, plain.Expected("bitterness"), less.Expected("bitterness"), "what is left is as strong")
	assert.InDelta(t, 4/(0.5*950/930), less.PricePerKg, 1e-9)
	assert.InDelta(t, 0.23, less.Made.LostL, 1e-12)

	weighed := prepared(t, head, "basis = \"measured\"\nyield_kg = 0.5\nlost_as = \"liquor\"\n[preparation")
	assert.InDelta(t, 8, weighed.PricePerKg, 1e-9)

	// 0.73 L hold 500 x 0.73 / 0.93 mg in 745.7 g; 0.23 L of water are boiled off.
	boiled := prepared(t, head, "basis = \"measured\"\nyield_l = 0.5\nlost_as = \"water\"\n[preparation")
	left := 0.73*950/0.93 - 230*0.998203
	assert.InDelta(t, 500*0.73/0.93/left, boiled.Expected("bitterness"), 1e-9)
	assert.InDelta(t, 4/(left/1000), boiled.PricePerKg, 1e-6)
	assert.InDelta(t, 0.23, boiled.Made.LostL, 1e-9)

	// Twice by the hot way: 1 - 0.4², and the root pressed out.
	hot := prepared(t, "test-root = 100", "test-root = 100\n[preparation.extraction.test-root]\nmethod = \"hot\"\nextractions = 2\nhold_up_l_per_g = 0")
	assert.InDelta(t, 1000*0.84/950, hot.Expected("bitterness"), 1e-11)
	assert.InDelta(t, 0.93, hot.Made.YieldL, 1e-12)
	own := prepared(t, "test-root = 100", "test-root = 100\n[preparation.extraction.test-root]\nrecovery = { bitterness = 0.7 }\nbasis = \"measured\"")
	assert.InDelta(t, 700.0/950, own.Expected("bitterness"), 1e-11)
	guessed := prepared(t, "test-root = 100", "test-root = 100\n[preparation.extraction.test-root]\nrecovery = { bitterness = 0.7 }\nbasis = \"invented\"")
	c, _ := guessed.Content("bitterness")
	assert.Equal(t, profile.Invented, c.Basis, "known no better than what is brought out of it")

	lot := prepared(t, "test-root = 100", "\"test-root/R-1\" = 100")
	assert.InDelta(t, 2*500.0/950, lot.Expected("bitterness"), 1e-11, "the certificate says 20 mg/g")
	assert.InDelta(t, plain.PricePerKg/2, lot.PricePerKg, 1e-9, "19 a kg were paid for it")
	assert.Equal(t, string(profile.Measured), lot.PriceFrom)
}

func TestPreparationInAPreparation(t *testing.T) {
	s := prepared(t, "[[preparation]]\nname = \"infusion\"", `[[preparation]]
name = "strong"
basis = "measured"
[preparation.grams]
infusion = 100
neutral-spirit = 100
[[preparation]]
name = "infusion"`, `"infusion"]`, `"infusion", "strong"]`)
	j := job(t, strings.Replace(strings.Replace(infused, "[[preparation]]", "[[preparation]]\nname = \"strong\"\nbasis = \"measured\"\n[preparation.grams]\ninfusion = 100\nneutral-spirit = 100\n[[preparation]]", 1), `"infusion"]`, `"infusion", "strong"]`, 1), "")
	strong := j.Source("strong")
	assert.InDelta(t, s.Expected("bitterness")/2, strong.Expected("bitterness"), 1e-11)
	require.Len(t, strong.Made.Leaves, 3)
	assert.Equal(t, "test-root", strong.Made.Leaves[1].Source.Name)
	assert.InDelta(t, 50.0/950, strong.Made.Leaves[1].Amount, 1e-12)
	// 93.85 g of ethanol in 100 x 930/950 + 114.8 mL, at 7.8924 g/L for each percent by volume.
	assert.InDelta(t, 93.85/0.21269474/7.8924, strong.Made.AlcoholPercent, 1e-4)
	require.Len(t, strong.Ingredient.Cautions, 0, "the infusion is extracted already")
}

// What one part has no figure for is unknown of the whole, with what the others bring as the least of it.
func TestUnknownIsCarriedThroughAPreparation(t *testing.T) {
	bark := `[[ingredient]]
name = "test-bark"
plants = ["cinchona"]
basis = "memory"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { quinine = 40 }
[ingredient.absent]
families = ["taste", "aroma", "colour", "texture", "physical", "nutrition", "preservative", "restricted"]
source = "tested"
[[ingredient]]
name = "test-herb"
other_plants = ["test-plant"]
basis = "memory"
soluble_share = 1
specific_volume_ml_per_g = 0.6
unknown = ["quinine"]
[ingredient.absent]
families = ["taste", "aroma", "colour", "texture", "physical", "nutrition", "preservative", "restricted"]
source = "tested"
[[preparation]]`
	carbonated := strings.Replace(infused, "batch_l", "carbonated = true\nbatch_l", 1)
	text := strings.Replace(strings.Replace(carbonated, "[[preparation]]", bark, 1), "test-root = 100", "test-bark = 50\ntest-herb = 50", 1)
	lots := map[string]string{"lots.toml": ""}
	err := open(t, text, lots)
	require.Error(t, err)
	assert.Contains(t, err.Error(), `brief.toml:3: use[2]: "infusion" (for its part test-herb) has no figure for quinine, which market us caps (21 CFR 172.575)`)

	var accepts strings.Builder
	for _, line := range strings.Split(err.Error(), "\n") {
		_, rest, _ := strings.Cut(line, "has no figure for ")
		substance, _, found := strings.Cut(rest, ",")
		require.True(t, found, line)
		if !strings.Contains(accepts.String(), `"`+substance+`"`) {
			accepts.WriteString("[[accept]]\ningredient = \"infusion\"\nsubstance = \"" + substance + "\"\nreason = \"test\"\n")
		}
	}
	j := job(t, strings.Replace(text, "[targets.bitterness]", accepts.String()+"[targets.bitterness]", 1), "")
	_, known := j.Source("infusion").Content("quinine")
	assert.False(t, known)
	assert.InDelta(t, 2.0, j.Guarded(j.Source("infusion"), "quinine"), 1e-9, "2000 mg of the bark in 1000 g are counted all the same")
}

func TestFaultsOfPreparations(t *testing.T) {
	const parts = "clear-water = 900\ntest-root = 100\n"
	const head = "basis = \"measured\"\n[preparation"
	for _, c := range []struct{ name, old, new, want string }{
		{"unknown part", "test-root = 100\n", "test-rot = 100\n", `brief.toml:35: preparation.infusion.grams.test-rot: there is no ingredient "test-rot" (did you mean "test-root"?)`},
		{"negative amount", "test-root = 100\n", "test-root = -100\n", `brief.toml:35: preparation[1].grams.test-root: -100 is out of range; it must be above 0`},
		{"no parts", parts, "", `brief.toml:33: preparation[1].grams: is empty: a preparation needs at least one part`},
		{"made of itself", "test-root = 100\n", "infusion = 100\n", `brief.toml:31: preparation.infusion: is made of itself: infusion, of infusion`},
		{"made of itself by another", "test-root = 100\n", "syrup = 100\n[[preparation]]\nname = \"syrup\"\nbasis = \"measured\"\n[preparation.grams]\ninfusion = 5\n",
			`brief.toml:31: preparation.infusion: is made of itself: infusion, of syrup, of infusion`},
		{"no yield", head, "basis = \"measured\"\nyield_l = 0\n[preparation", `brief.toml:33: preparation[1].yield_l: 0 is out of range; it must be above 0`},
		{"more than goes in", head, "basis = \"measured\"\nyield_l = 0.94\n[preparation", `brief.toml:33: preparation.infusion.yield_l: is 0.94 L, but the parts make no more than 0.93 L, of which the spent plants keep 0.2 L`},
		{"loss without reason", head, "basis = \"measured\"\nyield_l = 0.6\n[preparation",
			`brief.toml:33: preparation.infusion.yield_l: is 0.6 L, but the parts give 0.73 L: say what was lost (lost_as = "liquor" when it was left behind, as strong as the rest; lost_as = "water" when it was boiled off)`},
		{"reason without yield", head, "basis = \"measured\"\nlost_as = \"water\"\n[preparation", `brief.toml:33: preparation.infusion.lost_as: says what was lost, but no yield is given (add yield_l or yield_kg, or leave it out)`},
		{"spirit boiled down", "test-root = 100\n", "neutral-spirit = 100\n[[preparation]]\nname = \"x\"\nbasis = \"measured\"\nyield_l = 0.5\nlost_as = \"water\"\n[preparation.grams]\nneutral-spirit = 800\n", ""},
		{"lot not in the file", "test-root = 100\n", "\"test-root/R-2\" = 100\n", `brief.toml:35: preparation.infusion.grams.test-root/R-2: lots.toml has no lot "R-2" of test-root (did you mean "R-1"?)`},
		{"lot that is held", "test-root = 100\n", "\"test-root/R-3\" = 100\n", `brief.toml:35: preparation.infusion.grams.test-root/R-3: lot R-3 is held (no certificate)`},
		{"stronger than its parts", head, "basis = \"measured\"\nalcohol_percent = 40\n[preparation", `brief.toml:33: preparation.infusion.alcohol_percent: is 40, but the parts give no more than 0 % by volume`},
		{"extraction of no part", "test-root = 100\n", "test-root = 100\n[preparation.extraction.test-rot]\nextractions = 2\n", `brief.toml:36: preparation.infusion.extraction.test-rot: "test-rot" is no part of it (did you mean "test-root"?)`},
		{"unknown method", "test-root = 100\n", "test-root = 100\n[preparation.extraction.test-root]\nmethod = \"hott\"\n", `brief.toml:36: preparation.infusion.extraction.test-root.method: the profile of "test-root" has no method "hott" (did you mean "hot"?)`},
		{"nothing to recover", "test-root = 100\n", "test-root = 100\n[preparation.extraction.test-root]\nrecovery = { tannin = 0.5 }\n", `brief.toml:36: preparation.infusion.extraction.test-root.recovery.tannin: the profile of "test-root" has no content of tannin to recover`},
		{"dry", "test-root = 100\n", "test-root = 600\n", `brief.toml:31: preparation.infusion: gives nothing: of 1.08 L the spent plants would keep 1.2 L`},
		{"no basis", head, "[preparation", `brief.toml:30: preparation[1].basis: is missing: say where the figures come from (one of `},
		{"twice", "[[preparation]]\nname = \"infusion\"", "[[preparation]]\nname = \"test-root\"", `brief.toml:31: preparation[1].name: "test-root" is defined twice, first on line 17`},
		{"banned part", "test-root = 100\n", "test-root = 100\nquinine-hydrochloride = 1\n", `brief.toml:3: use[2]: "quinine-hydrochloride" in "infusion" may be used in carbonated drinks only in market us: 21 CFR 172.575, text seen (leave it out, or leave the market out)`},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, infused, c.old)
			err := open(t, strings.Replace(infused, c.old, c.new, 1), map[string]string{"lots.toml": "[[lot]]\nnumber = \"R-1\"\ningredient = \"test-root\"\nquantity_kg = 1\n[[lot]]\nnumber = \"R-3\"\ningredient = \"test-root\"\nquantity_kg = 1\nstate = \"held\"\nreason = \"no certificate\"\n"})
			if c.want == "" {
				require.NoError(t, err, "what is not used need not be right")
				return
			}
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.NotContains(t, err.Error(), "\n", "one fault, one line")
		})
	}
	boiled := strings.Replace(infused, "basis = \"measured\"\n[preparation", "basis = \"measured\"\nyield_l = 0.5\nlost_as = \"water\"\n[preparation", 1)
	err := open(t, strings.Replace(boiled, "clear-water = 900", "clear-water = 800\nneutral-spirit = 80", 1), map[string]string{"lots.toml": ""})
	require.Error(t, err)
	assert.Contains(t, err.Error(), `brief.toml:34: preparation.infusion.lost_as: is "water", but there is alcohol in it, which boils off before the water`)
}

// A part that brings acid without saying which leaves the acids of the whole unsaid: its acidity is what the
// profiles state.
func TestAcidUnsaidOfAPartIsUnsaidOfThePreparation(t *testing.T) {
	s := prepared(t, "solutes = { citric_mmol_per_g = 0.2 }\n", "", "bitterness = { per_g", "acidity = 0.02, bitterness = { per_g",
		"clear-water = 900", "clear-water = 890\ncitric-acid = 10")
	assert.True(t, s.Sour())
	assert.Nil(t, s.Ingredient.Solutes)
	solutes, known := s.Solutes()
	assert.False(t, known)
	assert.Zero(t, solutes, "nothing is counted twice")
	content, stated := s.Content(brief.Acidity)
	assert.True(t, stated)
	assert.Positive(t, content.PerGram)
}

// A certificate of the preparation says what is in it: nothing more can come out.
func TestCertificateOfAPreparation(t *testing.T) {
	j := job(t, infused, "[[lot]]\nnumber = \"T-1\"\ningredient = \"infusion\"\nquantity_kg = 1\n[lot.contents.bitterness]\nper_g = 2\nsd = 0.1\nsure = \"tasted\"\n")
	s := j.Source("infusion/T-1")
	require.NotNil(t, s.Made)
	assert.InDelta(t, 2, s.Expected("bitterness"), 1e-12)
	assert.InDelta(t, 2+1.6449*0.1, j.Guarded(s, "bitterness"), 1e-12)
}

// Spirit brings out other shares than water: where they are not measured it is said.
func TestSpiritIsNoWater(t *testing.T) {
	strong := prepared(t, "clear-water = 900", "clear-water = 400\nneutral-spirit = 500")
	require.Len(t, strong.Ingredient.Cautions, 1)
	assert.Contains(t, strong.Ingredient.Cautions[0], "spirit brings out more or less of test-root than its profile says of water")
	measured := prepared(t, "clear-water = 900", "clear-water = 400\nneutral-spirit = 500",
		"test-root = 100", "test-root = 100\n[preparation.extraction.test-root]\nrecovery = { bitterness = 0.9 }")
	assert.Empty(t, measured.Ingredient.Cautions)
	weaker := prepared(t, "clear-water = 900", "clear-water = 400\nneutral-spirit = 500", "basis = \"measured\"\n[preparation", "basis = \"measured\"\nalcohol_percent = 40\n[preparation")
	assert.InDelta(t, 40, weaker.Made.AlcoholPercent, 1e-12, "what was measured counts")
	litres := weaker.Ingredient.SpecificVolume / 1000
	assert.InDelta(t, 40*7.8924, weaker.Expected(brief.Alcohol)/litres, 1e-6)
}
