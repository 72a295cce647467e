package profile

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const togetherBark = `[[ingredient]]
name = "house-bark"
plants = ["cinchona"]
basis = "memory"
soluble_share = 0.3
specific_volume_ml_per_g = 0.6
contents = { bitterness = 60, tannin = 40, sweetness = 0.01 }
[ingredient.correlations]
basis = "invented"
`

func TestCorrelations(t *testing.T) {
	l := embedded(t)
	own, err := l.Overlay(folder(t, "ingredients/bark.toml", togetherBark+"tannin = { bitterness = 0.5 }\nsweetness.tannin = -0.2\n"))
	require.NoError(t, err)
	c := own.Ingredients["house-bark"].Correlations
	assert.Equal(t, 0.5, c.Between("bitterness", "tannin"))
	assert.Equal(t, 0.5, c.Between("tannin", "bitterness"))
	assert.Equal(t, -0.2, c.Between("tannin", "sweetness"))
	assert.Equal(t, 0.0, c.Between("bitterness", "sweetness"))
	assert.Equal(t, 1.0, c.Between("tannin", "tannin"))
	assert.Equal(t, Invented, c.Basis)
	assert.Equal(t, 0.0, (*Correlations)(nil).Between("a", "b"))

	measured, err := l.Overlay(folder(t, "measured/bark.toml", "[[measured]]\ningredient = \"cinchona-bark-yellow\"\nfrom = \"12 lots\"\ncorrelations.quinine = { bitterness = 0.7 }\n"))
	require.NoError(t, err)
	c = measured.Ingredients["cinchona-bark-yellow"].Correlations
	assert.Equal(t, 0.7, c.Between("bitterness", "quinine"))
	assert.Equal(t, Provenance{Measured, "12 lots"}, c.Provenance)
	assert.Equal(t, 0.9, l.Ingredients["cinchona-bark-yellow"].Correlations.Between("bitterness", "quinine"), "the library is not changed")
}

// The nearest correlations to 0.9, -0.9, 0.9 among three are 1/2, -1/2, 1/2, by symmetry.
func TestCorrelationFaults(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"no matrix", "tannin = { bitterness = 0.9, sweetness = 0.9 }\nbitterness.sweetness = -0.9\n",
			"DIR:8: ingredient[1].correlations: no contents can go together so (the nearest that can be: bitterness and sweetness -0.50, bitterness and tannin 0.50, sweetness and tannin 0.50)"},
		{"beyond 1", "tannin = { bitterness = 1.5 }\n", "DIR:10: ingredient[1].correlations.tannin.bitterness: 1.5 is out of range; it must be from -1 to 1"},
		{"twice", "tannin = { bitterness = 0.5 }\nbitterness = { tannin = 0.5 }\n", "DIR:11: ingredient[1].correlations.bitterness.tannin: says twice how bitterness and tannin go together"},
		{"with itself", "tannin = { tannin = 1 }\n", "says twice how tannin and tannin go together"},
		{"no such attribute", "tanin = { bitterness = 0.5 }\n", `DIR:10: ingredient[1].correlations.tanin: there is no attribute "tanin" (did you mean "tannin"?)`},
		{"no such content", "tannin = { quassin = 0.5 }\n", "DIR:10: ingredient[1].correlations.tannin.quassin: house-bark has no content of quassin that could vary"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := folder(t, "ingredients/bark.toml", togetherBark+c.text)
			_, err := embedded(t).Overlay(dir)
			require.Error(t, err)
			assert.Contains(t, strings.ReplaceAll(err.Error(), filepath.Join(dir, "ingredients", "bark.toml"), "DIR"), c.want)
		})
	}
	dir := folder(t, "ingredients/bark.toml", strings.Replace(togetherBark, "basis = \"invented\"\n", "", 1)+"basis = \"invnted\"\ntannin = { bitterness = 0.5 }\n")
	_, err := embedded(t).Overlay(dir)
	require.ErrorContains(t, err, "invnted")
}
