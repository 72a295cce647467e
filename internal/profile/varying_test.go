package profile

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const varyingBark = `[[ingredient]]
name = "house-bark"
plants = ["cinchona"]
basis = "measured"
soluble_share = 0.3
specific_volume_ml_per_g = 0.6
[ingredient.contents]
`

// Five lots: mean 60, deviation √10; the next one lies below 60 + 2.7764·√12 with 97.5 % (Student, 4 degrees of
// freedom), which is 1.96 of the deviation that is reckoned with.
func TestContentsOfMeasuredLots(t *testing.T) {
	own, err := embedded(t).Overlay(folder(t, "ingredients/bark.toml", varyingBark+"bitterness = { values = [56, 58, 60, 62, 64], recovery = 0.5 }\ntannin = { per_g = 40, sd = 4, shape = \"uniform\" }\nsweetness = { per_g = 0.01, sd = 0.001, shape = \"lognormal\" }\n",
		"measured/m.toml", "[[measured]]\ningredient = \"gentian-root\"\nfrom = \"four lots\"\ncontents.bitterness = { values = [80, 90, 100, 110], shape = \"normal\" }\n"))
	require.NoError(t, err)
	c := own.Ingredients["house-bark"].Contents
	assert.InDelta(t, 60, c["bitterness"].PerGram, 1e-12)
	assert.InDelta(t, 2.776445*math.Sqrt(12)/1.959964, c["bitterness"].SD, 1e-5)
	assert.Equal(t, 0.5, c["bitterness"].Recovery)
	assert.Equal(t, "uniform", c["tannin"].Shape)
	assert.Empty(t, c["sweetness"].Shape, "as when it is left out")
	measured := own.Ingredients["gentian-root"].Contents["bitterness"]
	assert.InDelta(t, 95, measured.PerGram, 1e-12)
	assert.Equal(t, "normal", measured.Shape)
	assert.Equal(t, Measured, measured.Basis)
}

func TestVaryingFaults(t *testing.T) {
	for _, c := range []struct{ content, want string }{
		{"bitterness = { values = [56, 58] }", "contents.bitterness.values: 2 lots say too little of how lots vary; give 3 or more (or per_g and sd)"},
		{"bitterness = { values = [56, 56, 56] }", "contents.bitterness.values: are all the same"},
		{"bitterness = { values = [56, -1, 58] }", "contents.bitterness.values[2]: -1 is out of range; it must be 0 or more"},
		{"bitterness = { values = [56, 57, 58], per_g = 57 }", "contents.bitterness.values: stands beside per_g or sd; give one of the two"},
		{"bitterness = { values = [56, 57, 58], sd = 1 }", "contents.bitterness.values: stands beside per_g or sd; give one of the two"},
		{"bitterness = { per_g = 56, shape = \"normal\" }", "contents.bitterness.shape: needs sd, the deviation between lots"},
		{"bitterness = { per_g = 56, sd = 40, shape = \"uniform\" }", "contents.bitterness.shape: with a deviation of 40 about 56 would reach below zero"},
		{"bitterness = { per_g = 56, sd = 25, shape = \"triangular\" }", "contents.bitterness.shape: with a deviation of 25 about 56 would reach below zero"},
		{"bitterness = { per_g = 56, sd = 5, shape = \"square\" }", `"square" is not allowed; it must be one of lognormal, normal, uniform, triangular`},
		{"bitterness = { sd = 5 }", "contents.bitterness.per_g: is missing"},
	} {
		dir := folder(t, "ingredients/bark.toml", varyingBark+c.content+"\n")
		_, err := embedded(t).Overlay(dir)
		require.Error(t, err, c.content)
		assert.Contains(t, strings.ReplaceAll(err.Error(), filepath.Join(dir, "ingredients", "bark.toml"), "DIR"), c.want)
	}
	_, err := embedded(t).Overlay(folder(t, "ingredients/bark.toml", varyingBark+"bitterness = { per_g = 56, sd = 32, shape = \"uniform\" }\n"))
	require.NoError(t, err, "√3 · 32 is 55.4: it just stays above zero")
}
