package assess_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cautioned returns the cautions of a drink of 1 g/L of each of its ingredients but water.
func cautioned(t *testing.T, text string) map[string]bool {
	t.Helper()
	j := job(t, text)
	var parts []any
	for _, s := range j.Sources {
		amount := 1.0
		if s.Water() {
			amount = 997
		}
		parts = append(parts, s.Name, amount)
	}
	a, err := assess.Assess(j, recipe(j, parts...))
	require.NoError(t, err)
	out := map[string]bool{}
	for _, c := range a.Cautions {
		out[c.Text] = true
	}
	return out
}

// Juice sold as such or used as an ingredient in beverages is processed under 21 CFR part 120 (120.1(a)).
func TestJuiceInTheUnitedStatesIsProcessedUnderAPlan(t *testing.T) {
	const want = "Market us: juice that is used as an ingredient must be processed under a plan of hazard analysis and critical control points (HACCP): ask its supplier for it, or keep one where you press it yourself."
	with := "name = \"t\"\nmarkets = [\"MARKET\"]\nuse = [\"water\", \"lemon-juice\"]\n"
	assert.True(t, cautioned(t, strings.Replace(with, "MARKET", "us", 1))[want])
	assert.False(t, cautioned(t, strings.Replace(with, "MARKET", "eu", 1))[want])
	assert.False(t, cautioned(t, "name = \"t\"\nmarkets = [\"us\"]\nuse = [\"water\", \"citric-acid\"]\n")[want])
}

// A market without a rule that names an additive does not pass it in silence; a plant that nothing knows is
// named, too.
func TestWhatNoRuleSpeaksOfIsSaid(t *testing.T) {
	const gas = `
[[ingredient]]
name = "house-gas"
kind = "gas"
pure = true
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
[[ingredient]]
name = "house-root"
kind = "root"
other_plants = ["yellow-dock"]
pure = true
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
`
	got := cautioned(t, "name = \"t\"\nmarkets = [\"us\", \"eu\"]\ncarbonated = true\nuse = [\"water\", \"potassium-metabisulphite\", \"magnesium-sulfate\", \"citric-acid\", \"house-gas\", \"house-root\"]\n"+gas)
	const none, unnamed = "of whose rules on such additives none is held: ", "of whose rules none that is held names them: "
	for _, want := range []string{
		"Not judged in market us, " + none + "house-gas (packaging gas). Look them up.",
		"Not judged in market us, " + unnamed + "potassium-metabisulphite (preservative), magnesium-sulfate (mineral salt). Look them up.",
		"Not judged in market eu, " + none + "magnesium-sulfate (mineral salt), house-gas (packaging gas). Look them up.",
		"No rule of the drink's markets and no profile here knows yellow-dock, of which house-root is made: whether it may be used, and what it holds, is not judged.",
	} {
		assert.True(t, got[want], want)
	}
	assert.False(t, got["Not judged in market eu, "+unnamed+"potassium-metabisulphite (preservative). Look them up."])
	// 21 CFR 184.1033 and Schedule 16 name citric acid.
	for text := range cautioned(t, "name = \"t\"\nmarkets = [\"us\", \"au-nz\"]\nuse = [\"water\", \"citric-acid\"]\n") {
		assert.NotContains(t, text, "Not judged")
	}
}

// A class is judged only where each market of the drink has rules of it.
func TestCoverageIsThatOfAllMarkets(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "markets"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "markets", "canal.toml"), []byte(`name = "canal"
alcoholic_from_percent = 1
[[cap]]
substance = "quinine"
max_mg_per_kg = 50
citation = "harbour by-law 3"
text = "seen"
`), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	lib, err = lib.Overlay(dir)
	require.NoError(t, err)
	path := filepath.Join(dir, "brief.toml")
	for markets, want := range map[string]bool{`"eu", "us"`: true, `"eu", "canal"`: false, `"canal", "eu"`: false} {
		require.NoError(t, os.WriteFile(path, []byte("name = \"t\"\nmarkets = ["+markets+"]\nuse = [\"water\"]\n"), 0o600))
		j, err := brief.Open(path, lib)
		require.NoError(t, err)
		held, lacking := assess.Coverage(j)
		assert.Contains(t, held, "active principles")
		assert.Contains(t, lacking, "contaminants")
		assert.Equal(t, want, slices.Contains(held, "sweeteners"), markets)
		assert.Equal(t, !want, slices.Contains(lacking, "sweeteners"), markets)
	}
}

// No market caps furanocoumarins: a certificate that states them is not read as a judgement.
func TestACertificateThatNoRuleAsksForIsSaid(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lots.toml"), []byte(`[[lot]]
number = "J1"
ingredient = "grapefruit-juice"
quantity_kg = 5
[lot.contents.furanocoumarins]
per_g = 0.01
`), 0o600))
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte("name = \"t\"\nmarkets = [\"us\"]\nbatch_l = 10\nlots = \"lots.toml\"\nuse = [\"water\", \"grapefruit-juice\"]\n"), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.Open(path, lib)
	require.NoError(t, err)
	a, err := assess.Assess(j, recipe(j, "water", 950.0, "grapefruit-juice/J1", 50.0))
	require.NoError(t, err)
	var texts []string
	for _, c := range a.Cautions {
		texts = append(texts, c.Text)
	}
	assert.Contains(t, texts, "The certificate of grapefruit-juice/J1 states furanocoumarins, which no rule of the drink's markets caps: it is not judged.")
}
