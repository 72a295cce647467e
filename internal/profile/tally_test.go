package profile

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/internal/tomlfile"
)

// Counted by hand: a root with two contents, one recovered in part, one zero and one unknown; its method,
// its ions, one of them recalled, its volume and its price. A recovery that names no source beside a published
// content is recalled.
func TestFiguresAreCounted(t *testing.T) {
	attributes := map[string]*Attribute{}
	for _, name := range []string{"bitterness", "tannin", "quinine", "thujone"} {
		attributes[name] = &Attribute{Name: name, Family: "restricted"}
	}
	doc, err := tomlfile.Parse("x.toml", []byte(`[[ingredient]]
name = "root"
basis = "memory"
price_per_kg = 3
price_basis = "invented"
soluble_share = 0.3
specific_volume_ml_per_g = 0.6
physical_basis = "practice"
unknown = ["thujone"]
contents.tannin = 2
contents.bitterness = { per_g = 4, recovery = 0.5, basis = "published", source = "a handbook, p. 1" }
absent = { attributes = ["quinine"], basis = "published", source = "a handbook, p. 2" }
solutes = { sodium_mmol_per_g = 1, potassium_mmol_per_g = 2, basis = "published", source = "a table", recalled = ["sodium"] }
methods.hot = { recovery = { bitterness = 0.7 }, basis = "measured" }
`))
	require.NoError(t, err)
	g := ReadIngredient(doc.Root().Tables("ingredient")[0], attributes)
	require.NoError(t, doc.Err())
	l := &Library{Attributes: attributes, Ingredients: map[string]*Ingredient{"root": g, "made": {Name: "made"}}, Preparations: map[string]*Preparation{"made": {}}}
	figures := l.Figures()
	assert.Len(t, figures, 2+1+1+1+1+2+1+1, "contents, recovery, zero, unknown, method, ions, volume, price")
	all := Count(figures, func(f Figure) string { return f.Ingredient })
	require.Len(t, all, 1, "what is made of others has no figures of its own")
	assert.Equal(t, Tally{Name: "root", ByBasis: map[Basis]int{Memory: 3, Published: 2, Measured: 1, Practice: 1, Invented: 1}, Zeros: 1, Unknown: 1}, all[0])
	assert.Equal(t, 8, all[0].All())
	assert.Equal(t, 4, all[0].Weak())
	byAttribute := Count(figures, func(f Figure) string { return f.Attribute })
	var names []string
	for _, x := range byAttribute {
		names = append(names, x.Name)
	}
	assert.Equal(t, []string{"bitterness", "tannin", "quinine", "thujone"}, names, "the weakest first")
	assert.Equal(t, map[Basis]int{Published: 1, Memory: 1, Measured: 1}, byAttribute[0].ByBasis)
}
