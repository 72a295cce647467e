package brief

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Price lists as spreadsheets write them: with commas, semicolons and decimal commas, tabs, a mark of the byte
// order, comments.
func TestPriceListsOfSpreadsheets(t *testing.T) {
	for name, text := range map[string]string{
		"commas":     "ingredient,price_per_kg\nsugar,0.95\ngentian-root,38\n",
		"semicolons": "# prices\ningredient;price_per_kg;note\nsugar;0,95;beet\ngentian-root;38,00;\n",
		"tabs":       "ingredient\tprice_per_kg\nsugar\t0,95\ngentian-root\t38\n",
		"a mark":     "\ufeffingredient,price_per_kg\nsugar,\"0,95\"\ngentian-root,38\n",
	} {
		prices, err := ParsePrices("p.csv", text)
		require.NoError(t, err, name)
		assert.Equal(t, 0.95, prices["sugar"].PerKg, name)
		assert.Equal(t, 38.0, prices["gentian-root"].PerKg, name)
	}
	for text, want := range map[string]string{
		"ingredient;price_per_kg\nsugar;1.234,5\n":     `p.csv:2: price_per_kg: "1.234,5" is not a number`,
		"ingredient,price_per_kg\nsugar,\"1,234,5\"\n": `p.csv:2: price_per_kg: "1,234,5" is not a number`,
	} {
		_, err := ParsePrices("p.csv", text)
		assert.EqualError(t, err, want)
	}
}

// What a file outside the brief's folder holds is not repeated in an error.
func TestForeignFilesAreNotRepeated(t *testing.T) {
	secret := filepath.Join(t.TempDir(), "secret.txt")
	require.NoError(t, os.WriteFile(secret, []byte("password,hunter2\n"), 0o600))
	path := filepath.Join(t.TempDir(), "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte("name = \"x\"\nmarkets = [\"eu\"]\nprices = \""+filepath.ToSlash(secret)+"\"\nuse = [\"water\", \"sugar\"]\n"), 0o600))
	library, err := profile.Embedded()
	require.NoError(t, err)
	_, err = Open(path, library)
	require.ErrorContains(t, err, "is no price list")
	assert.NotContains(t, err.Error(), "hunter2")
}
