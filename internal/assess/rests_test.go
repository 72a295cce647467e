package assess_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// resting is a drink of a recalled and a published bitterness: 2 g and 1 g of alder at 10 mg/g beside 3 g of
// briar at 20 mg/g.
const resting = `name = "resting"
markets = ["us"]
carbonated = true
use = ["clear-water", "alder", "briar", "house"]
[targets.bitterness]
max = 1000
[limits.briar]
price_per_kg = 40
[[ingredient]]
name = "clear-water"
kind = "water"
pure = true
price_per_kg = 0
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
[[ingredient]]
name = "alder"
other_plants = ["alder"]
pure = true
price_per_kg = 10
price_basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
basis = "memory"
[ingredient.contents]
bitterness = 10
quinine = { per_g = 4, sd = 1, basis = "memory" }
[[ingredient]]
name = "briar"
other_plants = ["briar"]
pure = true
price_per_kg = 20
price_basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
basis = "published"
source = "a handbook, p. 1"
[ingredient.contents]
bitterness = 20
quinine = { per_g = 1, basis = "published", source = "a handbook, p. 1" }
[[preparation]]
name = "house"
basis = "measured"
[preparation.grams]
alder = 10
clear-water = 90
`

func of(t *testing.T, all []assess.Rests, kind, name string) assess.Rests {
	t.Helper()
	for _, r := range all {
		if r.Kind == kind && r.Name == name {
			return r
		}
	}
	require.Failf(t, "missing", "%s %s", kind, name)
	return assess.Rests{}
}

// Worked out by hand: 20 mg of alder and 10 more by the house's preparation, 60 of briar; caps are judged with
// (4 + 1.6449 x 1) mg of quinine a gram of alder; alder costs 0.03 EUR and briar, at the brief's price, 0.12.
func TestWhatARecipeRestsOn(t *testing.T) {
	j := job(t, resting)
	a, err := assess.Assess(j, recipe(j, "clear-water", 900.0, "alder", 2.0, "briar", 3.0, "house", 10.0))
	require.NoError(t, err)
	all := a.Rests()

	bitter := of(t, all, assess.RestsTarget, "bitterness")
	assert.InDelta(t, 30.0/90, bitter.Weak(), 1e-9)
	assert.InDelta(t, 60.0/90, bitter.Share(profile.Published), 1e-9)
	require.Len(t, bitter.Contributions, 2)
	assert.Equal(t, "alder", bitter.Contributions[0].Name, "what is to be measured first")
	assert.InDelta(t, 30.0/90, bitter.Contributions[0].Share, 1e-9, "by itself and in the preparation")

	capped := of(t, all, assess.RestsCap, "quinine")
	assert.InDelta(t, 3*5.6449/(3*5.6449+3), capped.Weak(), 1e-9)

	cost := of(t, all, assess.RestsCost, "")
	assert.InDelta(t, 0.03/0.15, cost.Share(profile.Invented), 1e-9)
	assert.InDelta(t, 0.12/0.15, cost.Share(assess.Given), 1e-9)
	invented, priced, share := a.Priced()
	assert.Equal(t, []int{1, 2}, []int{invented, priced}, "water costs nothing")
	assert.InDelta(t, 0.2, share, 1e-9)
	worked := job(t, strings.Replace(resting, "basis = \"measured\"\n[preparation", "basis = \"invented\"\nlabour_per_kg = 5\n[preparation", 1))
	b, err := assess.Assess(worked, recipe(worked, "clear-water", 900.0, "alder", 2.0, "briar", 3.0, "house", 10.0))
	require.NoError(t, err)
	invented, priced, share = b.Priced()
	assert.Equal(t, []int{1, 2}, []int{invented, priced}, "labour is no price of an ingredient")
	assert.InDelta(t, 0.03/0.2, share, 1e-9)

	r, ok := a.Bitterness()
	assert.True(t, ok)
	assert.Equal(t, bitter, r)
	plain, err := assess.Assess(j, recipe(j, "clear-water", 900.0))
	require.NoError(t, err)
	assert.Empty(t, plain.Unpriced(), "water is free")
	free := job(t, strings.Replace(resting, "price_per_kg = 10\nprice_basis = \"invented\"\n", "", 1))
	unpriced, err := assess.Assess(free, recipe(free, "clear-water", 900.0, "alder", 2.0, "briar", 3.0, "house", 10.0))
	require.NoError(t, err)
	assert.Equal(t, []string{"alder"}, unpriced.Unpriced())
	_, ok = plain.Bitterness()
	assert.False(t, ok)
	assert.Empty(t, plain.Rests())
}

// Salts take acidity away: shares count what is added and what is taken, and rest on the acids.
func TestAcidityRestsOnTheAcids(t *testing.T) {
	j := job(t, `name = "x"
markets = ["us"]
use = ["water", "sour", "salt"]
[targets.acidity]
max = 10
[[ingredient]]
name = "sour"
category = "acid"
pure = true
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { acidity = { per_g = 1, basis = "measured" } }
solutes = { citric_mmol_per_g = 5.2, basis = "memory" }
[[ingredient]]
name = "salt"
pure = true
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { acidity = 0 }
solutes = { sodium_mmol_per_g = 5.2, basis = "measured" }
`)
	a, err := assess.Assess(j, recipe(j, "water", 990.0, "sour", 4.0, "salt", 1.0))
	require.NoError(t, err)
	r := of(t, a.Rests(), assess.RestsTarget, "acidity")
	// A mole of citric acid takes three of alkali to pH 8.2, less 0.3 % or so.
	assert.InDelta(t, 12.0/13, r.Weak(), 0.002)
	assert.InDelta(t, 1.0/13, r.Share(profile.Measured), 0.002)
}

// A cap on a sum of proportions counts each amount over its own maximum: 40 mg of benzoic acid over 400 and
// 40 of sulphites over 115 a litre.
func TestASumOfProportionsRestsOnItsParts(t *testing.T) {
	j := job(t, `name = "x"
markets = ["au-nz"]
use = ["water", "keeper", "fumed"]
[targets.sugars]
max = 10
[[ingredient]]
name = "keeper"
kind = "preservative"
category = "preservative"
pure = true
basis = "memory"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { benzoic-acid = 40 }
[[ingredient]]
name = "fumed"
kind = "preservative"
category = "preservative"
pure = true
basis = "measured"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { sulphites = 40 }
`)
	a, err := assess.Assess(j, recipe(j, "water", 998.0, "keeper", 1.0, "fumed", 1.0))
	require.NoError(t, err)
	found := false
	for _, r := range a.Rests() {
		if r.Kind == assess.RestsCap && len(r.Cap.Sum) > 0 {
			found = true
			assert.InDelta(t, 40.0/400/(40.0/400+40.0/115), r.Weak(), 1e-9)
		}
	}
	assert.True(t, found)
}

// What a certificate says of a preparation rests on it and not on the parts.
func TestACertifiedPreparationIsNotTakenApart(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lots.toml"), []byte("[[lot]]\nnumber = \"T-1\"\ningredient = \"house\"\nquantity_kg = 1\n[lot.contents.bitterness]\nper_g = 2\n"), 0o600))
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte("lots = \"lots.toml\"\nbatch_l = 1\n"+resting), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.Open(path, lib)
	require.NoError(t, err)
	a, err := assess.Assess(j, recipe(j, "clear-water", 900.0, "house/T-1", 10.0))
	require.NoError(t, err)
	r, ok := a.Bitterness()
	require.True(t, ok)
	assert.Zero(t, r.Weak())
	assert.Equal(t, "house/T-1", r.Contributions[0].Name)
	assert.InDelta(t, 1, of(t, a.Rests(), assess.RestsCap, "quinine").Weak(), 1e-12, "of quinine it says nothing")
}
