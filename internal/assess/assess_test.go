package assess_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func job(t *testing.T, text string) *brief.Job {
	t.Helper()
	path := filepath.Join(t.TempDir(), "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.Open(path, lib)
	require.NoError(t, err)
	return j
}

func recipe(j *brief.Job, amounts ...any) *brief.Recipe {
	r := &brief.Recipe{}
	for n := 0; n < len(amounts); n += 2 {
		r.Parts = append(r.Parts, brief.Part{Source: j.Source(amounts[n].(string)), Amount: amounts[n+1].(float64)})
	}
	return r
}

// traced is a drink of plain figures, so that every value can be worked out by hand: a gram of tincture
// brings 83 mg of quinine and takes 1 mL; a gram of bark brings 10 mg of bitterness, half of which is
// recovered, dissolves by half and holds 2 mL back.
const traced = `name = "traced"
markets = ["us"]
carbonated = true
bottle_ml = 500
batch_l = 10
use = ["clear-water", "tincture", "test-bark"]
[targets.bitterness]
min = 1
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
name = "tincture"
plants = ["cinchona"]
pure = true
price_per_kg = 100
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
contents = { quinine = 83, cinchona-alkaloids = 83 }
[[ingredient]]
name = "test-bark"
pure = true
price_per_kg = 40
trimming_loss = 0.2
labour_per_kg = 10
basis = "invented"
soluble_share = 0.5
specific_volume_ml_per_g = 0.8
hold_up_l_per_g = 0.002
contents = { bitterness = { per_g = 10, recovery = 0.5, basis = "invented" } }
`

func TestValuesByHand(t *testing.T) {
	j := job(t, traced)
	// 20 g of bark dissolve 10 g that take 8 mL and hold 40 mL back: with 1032 g of water 1.040 L of
	// liquor are made and 1.000 L is recovered.
	a, err := assess.Assess(j, recipe(j, "clear-water", 1032.0, "test-bark", 20.0))
	require.NoError(t, err)
	assert.InDelta(t, 1.040, a.Liquor, 1e-12)
	assert.InDelta(t, 1.000, a.Recovered, 1e-12)
	assert.InDelta(t, 1.042, a.MassKg, 1e-12)
	assert.InDelta(t, 20*10*0.5/1.040, a.Attributes[0].Value, 1e-12, "mg/L of bitterness in the liquor, and so in the drink")
	assert.InDelta(t, 20*(40/0.8+10)/1000, a.Cost.PerLitre, 1e-12, "price over what trimming leaves, plus labour")
	assert.InDelta(t, a.Cost.PerLitre/2, a.Cost.PerBottle, 1e-12)
	assert.InDelta(t, a.Cost.PerLitre*10, a.Cost.PerBatch, 1e-12)
	assert.True(t, a.KeepsCaps())
	assert.Empty(t, a.Misses())
}

func TestWaterLeftOutIsFilledUp(t *testing.T) {
	j := job(t, traced)
	a, err := assess.Assess(j, recipe(j, "test-bark", 20.0))
	require.NoError(t, err)
	assert.True(t, a.FilledWater)
	assert.InDelta(t, 1032, a.Recipe.Amount("clear-water"), 1e-9)
	assert.InDelta(t, 1, a.Recovered, 1e-9)
}

// A cap is kept to the last digit: 83 mg to exactly a kilogram of water keeps 83 mg/kg (21 CFR 172.575), and a
// millionth of a gram more of what carries it does not. The tincture itself makes no weight.
func TestACapHoldsToTheLastDigit(t *testing.T) {
	j := job(t, traced)
	for _, c := range []struct {
		tincture, water float64
		holds           bool
	}{{1, 1000, true}, {1.000001, 1000, false}, {0.999999, 1000, true}, {1, 999.999999, false}, {1, 1000.000001, true}} {
		a, err := assess.Assess(j, recipe(j, "clear-water", c.water, "tincture", c.tincture, "test-bark", 0.0))
		require.NoError(t, err)
		assert.Equal(t, c.holds, a.KeepsCaps(), "%v g in %v g of water", c.tincture, c.water)
	}
}

// The cap is judged with the upper content at the stated assurance: at 95 % a normal content stays
// below its mean plus 1.6449 standard deviations (tables of the normal distribution).
func TestACapIsJudgedWithTheUpperContent(t *testing.T) {
	assert.Equal(t, 1.6449, brief.Deviates(0.95))
	assert.Equal(t, 2.3264, brief.Deviates(0.99), "2.32635 in the tables, rounded to the safe side")
	assert.Equal(t, 0.0, brief.Deviates(0.5))
	j := job(t, traced+"[limits.tincture]\nmax_g_per_l = 2\n")
	s := j.Source("tincture")
	c := s.Ingredient.Contents["quinine"]
	c.SD = 10
	s.Ingredient.Contents["quinine"] = c
	a, err := assess.Assess(j, recipe(j, "clear-water", 1000.0, "tincture", 1.0))
	require.NoError(t, err)
	require.False(t, a.KeepsCaps())
	for _, capped := range a.Caps {
		if capped.Substance == "quinine" {
			assert.InDelta(t, 83+16.449, capped.Guarded, 1e-9)
			assert.InDelta(t, 83/1.001, capped.Expected, 1e-9, "in the whole drink, the tincture with it")
			assert.InDelta(t, -16.449/83, capped.HeadRoom, 1e-9)
		}
	}
}

func TestARecipeThatMakesNoDrink(t *testing.T) {
	j := job(t, traced)
	_, err := assess.Assess(j, recipe(j, "clear-water", 10.0, "test-bark", 20.0))
	require.EqualError(t, err, "assess: the recipe makes nothing: of 0.018 L the plant matter and the process would keep 0.04 L")
}

// A drink that holds alcohol although the brief says it has none is said so: 50 g of ethanol to the litre
// are 6.3 % by volume.
func TestAlcoholThatTheBriefDoesNotSay(t *testing.T) {
	j := job(t, `name = "spirited"
markets = ["eu"]
use = ["water", "sugar", "neutral-spirit"]
[targets.alcohol]
min = 50
max = 50
`)
	a, err := assess.Assess(j, recipe(j, "neutral-spirit", 53.2, "sugar", 20.0))
	require.NoError(t, err)
	require.NotEmpty(t, a.Cautions)
	assert.Equal(t, "The recipe holds 6.3 % alcohol by volume, the brief says 0: caps and label rules here follow the brief's figure.", a.Cautions[0].Text)
}

// The library's prices are in one currency; a brief in another is told that nothing converts them.
func TestPricesOfTheLibraryInAnotherCurrency(t *testing.T) {
	for currency, told := range map[string]bool{"EUR": false, "USD": true} {
		j := job(t, "name = \"lemon\"\nmarkets = [\"us\"]\nuse = [\"water\", \"sugar\", \"citric-acid\"]\ncurrency = \""+currency+"\"\n[limits.sugar]\nprice_per_kg = 1\n")
		a, err := assess.Assess(j, recipe(j, "sugar", 80.0, "citric-acid", 5.0))
		require.NoError(t, err)
		var texts []string
		for _, c := range a.Cautions {
			texts = append(texts, c.Text)
		}
		const text = "Prices of profiles count as USD here, unconverted; the library's are in EUR. The brief or a price list gives your own (citric-acid)."
		assert.Equal(t, told, slices.Contains(texts, text), currency)
	}
}

// Neither dead weight nor spent plants are a way round a cap. 20 g of bark hold back 0.04 L: the kilogram of the cap
// loses 1.35 kg for each.
func TestACapIsJudgedAgainstAPlausibleDrink(t *testing.T) {
	j := job(t, traced)
	guarded := func(parts ...any) float64 {
		a, err := assess.Assess(j, recipe(j, parts...))
		require.NoError(t, err)
		for _, capped := range a.Caps {
			if capped.Substance == "quinine" {
				return capped.Guarded
			}
		}
		t.Fatal("no cap of quinine")
		return 0
	}
	assert.InDelta(t, 83, guarded("clear-water", 1000.0, "tincture", 1.0), 1e-9)
	held := j.Source("test-bark").Ingredient.HoldUp * 20
	assert.InDelta(t, 83/(1-1.35*held), guarded("clear-water", 1000.0, "tincture", 1.0, "test-bark", 20.0), 1e-9, "what spent bark holds back counts as delivered")
}

// 20 g of bark in a litre take 25 g bought, of which a fifth is cut off: 250 g for the 10 litres of the brief, and
// 25 g for a batch of one litre.
func TestASupplyCountsTrimmings(t *testing.T) {
	for _, c := range []struct {
		supplyKg float64
		batch    bool
		verdict  assess.Verdict
		most     float64
	}{
		{0.2501, false, assess.Met, 20.008}, {0.2490, false, assess.Above, 19.92}, {0.02501, true, assess.Met, 20.008}, {0.0249, true, assess.Above, 19.92},
	} {
		j := job(t, traced+fmt.Sprintf("[limits.test-bark]\nsupply_kg = %v\n", c.supplyKg))
		r := recipe(j, "clear-water", 1032.0, "test-bark", 20.0)
		r.Batch = c.batch
		a, err := assess.Assess(j, r)
		require.NoError(t, err)
		require.Len(t, a.Uses, 1)
		assert.Equal(t, c.verdict, a.Uses[0].Verdict, "%v kg", c.supplyKg)
		assert.InDelta(t, c.most, a.Uses[0].Max, 1e-9)
	}
	j := job(t, traced+"[limits.test-bark]\nsupply_kg = 0.2\n")
	a, err := assess.Assess(j, recipe(j, "clear-water", 1000.0))
	require.NoError(t, err)
	assert.InDelta(t, 16, a.Uses[0].Max, 1e-9, "also where nothing is used")
}
