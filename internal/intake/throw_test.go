package intake

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/internal/profile"
	"bittersum/internal/words"
)

const syrupLines = "sugar = 450\ncitric-acid = 28\nlemon-juice = 130\ngentian-root = 2\n"

// fromText makes a brief of a recipe in TOML.
func fromText(t *testing.T, text string, wish Wishes) (*Made, error) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "r.toml")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	r, err := FromTOML(file, &words.Words{}, lib.Called)
	if err != nil {
		return nil, err
	}
	wish.Dir, wish.Markets, wish.Currency = "nowhere", []string{"eu"}, "EUR"
	return Make(r, lib, wish)
}

// A syrup thrown 1+5 is a drink of a sixth of its amounts in a litre: what it holds is aimed at as in that drink, and
// its amounts stay those of the syrup.
func TestASyrupAsServed(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		wish Wishes
	}{
		"said by the recipe": {"throw = \"1+5\"\n[grams_per_litre]\n" + syrupLines, Wishes{}},
		"said beside it":     {"[grams_per_litre]\n" + syrupLines, Wishes{Throw: 5}},
		"said over it":       {"throw = \"1+3\"\n[grams_per_litre]\n" + syrupLines, Wishes{Throw: 5}},
	} {
		syrup, err := fromText(t, c.text, c.wish)
		require.NoError(t, err, name)
		assert.Contains(t, syrup.Brief, "throw = \"1+5\"\n", name)
		assert.Contains(t, syrup.Recipe, "of the syrup", name)
		assert.Equal(t, 450.0, amounts(syrup)["sugar"], name)
		drink, err := fromText(t, "[grams_per_litre]\nsugar = 75\ncitric-acid = 4.66666666\nlemon-juice = 21.6666666\ngentian-root = 0.33333333\n", Wishes{})
		require.NoError(t, err)
		require.Len(t, syrup.Targets, len(drink.Targets), name)
		for n, target := range drink.Targets {
			assert.Equal(t, target.Name, syrup.Targets[n].Name)
			assert.InEpsilon(t, target.Value, syrup.Targets[n].Value, 0.01, target.Name)
		}
		assert.Len(t, syrup.Held, len(drink.Held), "what a target holds of the drink it holds of the syrup")
	}
	plain, err := fromText(t, "[grams_per_litre]\n"+syrupLines, Wishes{})
	require.NoError(t, err)
	assert.NotContains(t, plain.Brief, "throw")
	_, err = fromText(t, "throw = \"6\"\n[grams_per_litre]\n"+syrupLines, Wishes{})
	assert.ErrorContains(t, err, `r.toml:1: throw: "6" is no throw (write it as in 1+5)`)
}

// A litre of syrup is what its batch makes, before soda.
func TestABatchOfSyrup(t *testing.T) {
	m, err := fromText(t, "throw = \"1+4\"\n[kg]\nwater = 90\nsugar = 45\ncitric-acid = 2.8\n", Wishes{})
	require.NoError(t, err)
	assert.InDelta(t, 1, m.Assessment.Recovered, 0.005)
	// Sugar of 32.66 % by mass has 1.1407 kg/L (NBS Circular 440, table 114): the acid changes little.
	assert.InEpsilon(t, 1140.7*45/137.8, amounts(m)["sugar"], 0.015)
}
