package brief_test

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A bitterness value is measured on what boiling water draws (Ph. Eur. 2.8.15: 1.0 g in 100 mL of boiling water, 30
// min on the water bath): 20 000 mL/g is 100 mg of quinine hydrochloride for each gram so extracted, and nothing of it
// is lost again. The old infusion of quassia, 10 g/L cold for a quarter of an hour, is as bitter as 6.25 g/L exhausted
// (British Pharmaceutical Codex 1911). What caps are judged by is all of it, whatever the method.
func TestABitternessValueIsOfBoilingWater(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	open := func(extraction string) (*brief.Job, error) {
		path := filepath.Join(t.TempDir(), "brief.toml")
		text := "name = \"x\"\nmarkets = [\"eu\"]\nuse = [\"water\", \"gentian-root\", \"quassia-wood-jamaica\", \"cinchona-bark-red\", \"house\"]\n" + extraction + `
[[ingredient]]
name = "house"
other_plants = ["willow"]
basis = "invented"
soluble_share = 0.2
specific_volume_ml_per_g = 0.62
usual_method = "cold-maceration"
contents.bitterness = { per_g = 40, measured_on = "decoction", recovery = 0.5 }
contents.tannin = { per_g = 40, recovery = 0.5 }
[ingredient.methods.with-alcohol]
recovery = { tannin = 0.8 }
[ingredient.absent]
families = ["taste", "aroma", "colour", "texture", "physical", "nutrition", "preservative", "restricted"]
basis = "invented"
source = "a tale"
[targets.bitterness]
min = 10
`
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return brief.Open(path, lib)
	}
	bitter := func(extraction, name string) float64 {
		j, err := open(extraction)
		require.NoError(t, err)
		return j.Source(name).Expected("bitterness")
	}
	assert.Equal(t, 100.0, bitter("", "gentian-root"))
	assert.Equal(t, 100.0, bitter("[extraction.gentian-root]\nmethod = \"decoction\"\nextractions = 2\n", "gentian-root"))
	assert.Equal(t, 200.0, bitter("", "quassia-wood-jamaica"))
	const cold = "[extraction.quassia-wood-jamaica]\nmethod = \"cold-maceration\"\n"
	assert.InDelta(t, 200*6.25/10, bitter(cold, "quassia-wood-jamaica"), 1.01)
	assert.InDelta(t, 200*(1-0.38*0.38), bitter(cold+"extractions = 2\n", "quassia-wood-jamaica"), 1e-9)
	assert.Equal(t, 22.5, bitter("", "cinchona-bark-red"), "worked out from its quinine, of which water draws half")
	assert.Equal(t, 20.0, bitter("", "house"), "as its usual method draws")
	assert.Equal(t, 20.0, bitter("[extraction.house]\nmethod = \"cold-maceration\"\n", "house"))
	j, err := open("[extraction.house]\nmethod = \"with-alcohol\"\n")
	require.NoError(t, err)
	c, _ := j.Source("house").Content("bitterness")
	assert.Equal(t, profile.Memory, c.RecoveryProvenance.Basis, "nothing is known of spirit")

	usual, err := open("")
	require.NoError(t, err)
	macerated, err := open(cold)
	require.NoError(t, err)
	for _, substance := range []string{"quassin", "quinine", "cinchona-alkaloids"} {
		for n, s := range usual.Sources {
			assert.Equal(t, usual.Guarded(s, substance), macerated.Guarded(macerated.Sources[n], substance), "%s of %s", substance, s.Name)
			content, _ := s.Content(substance)
			assert.GreaterOrEqual(t, usual.Guarded(s, substance), content.PerGram, "%s of %s", substance, s.Name)
		}
	}

	_, err = open("[extraction.gentian-root]\nmethod = \"cold-maceration\"\n")
	assert.ErrorContains(t, err, `the profile of "gentian-root" has no method "cold-maceration"`)
	assert.ErrorContains(t, err, "known are decoction")
}
