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
		prices, err := ParsePrices("p.csv", text, Money{Currency: "EUR", Rates: map[string]float64{"USD": 0.9}})
		require.NoError(t, err, name)
		assert.Equal(t, 0.95, prices["sugar"].PerKg, name)
		assert.Equal(t, 38.0, prices["gentian-root"].PerKg, name)
	}
	for text, want := range map[string]float64{
		"Ingredient;Price per kg (EUR)\nsugar;1.234,5\n":                         1234.5,
		"Our prices 2026\n\nINGREDIENT;Price/kg\nsugar;0,95\n":                   0.95,
		"ingredient;price;pack_kg\nsugar;23,75;25\n":                             0.95,
		"ingredient;price_per_kg;currency\nsugar;10;USD\n":                       9,
		"ingredient;price_per_kg USD\nsugar;10\n":                                9,
		"ingredient;price_per_kg\nsugar;USD 10\n":                                9,
		"ingredient;price_per_kg;currency\nsugar;10;EUR\nwater;1\u00a0000;EUR\n": 10,
	} {
		prices, err := ParsePrices("p.csv", text, Money{Currency: "EUR", Rates: map[string]float64{"USD": 0.9}})
		require.NoError(t, err, text)
		assert.InDelta(t, want, prices["sugar"].PerKg, 1e-12, text)
	}
	for text, want := range map[string]string{
		"ingredient,price_per_kg\nsugar,0,95\n":         `p.csv:2: has 3 columns, the heading 2 (a comma within a cell needs quotes around the cell: "0,95")`,
		"ingredient,price_per_kg\nsugar,-1\n":           `p.csv:2: price_per_kg: -1 is out of range; it must be 0 or more`,
		"ingredient,price_per_kg\nsugar,\n":             `p.csv:2: price_per_kg: is missing; a number is needed`,
		"ingredient,price_per_kg\n,1\n":                 `p.csv:2: ingredient: is missing`,
		"ingredient,price_per_kg\nsugar,dear\n":         `p.csv:2: price_per_kg: "dear" is not a number`,
		"ingredient,price_per_kg\nsugar,1\nsugar,2\n":   `p.csv:3: ingredient: "sugar" stands twice, first on line 2`,
		"ingredient,price_per_kg,Price/kg\nsugar,1,2\n": `p.csv:1: column 3: price_per_kg stands twice`,
		"ingredient\tprice_per_kg\nsugar\t1.234\n":      `p.csv:2: price_per_kg: "1.234" may be 1.234 or 1234, as its point or comma is decimal or parts thousands (say which in p.csv.words.toml: decimal = "point" or "comma")`,
		"ingredient,price_per_kg\nsugar,12 GBP\n":       `p.csv:2: price_per_kg: is in GBP, and the brief reckons in EUR (what one GBP costs may stand in the brief: [exchange] GBP = 0.00)`,
		"ingredient,price_per_kg\nsugar,$12\n":          `p.csv:2: price_per_kg: $ may be USD, AUD, NZD, CAD, MXN, ARS, CLP, COP, HKD, SGD, TWD (say which in p.csv.words.toml: currency = "USD")`,
		"ingredient,price_per_kg\nsugar,12 crowns\n":    `p.csv:2: price_per_kg: "crowns" beside the price is no currency (give its code, such as EUR)`,
		"ingredient,price\nsugar,12\n":                  `p.csv:1: the heading is "ingredient,price"; it must hold ingredient and price_per_kg, or ingredient, price and pack_kg (say once what its words mean: bittersum words p.csv --as prices)`,
		"ingredient,price,pack_kg\nsugar,12,\n":         `p.csv:2: pack_kg: is missing: how many kg the price is for`,
		"ingredient,price_per_kg\n":                     `p.csv:1: has a heading and no row below it`,
		"ingredient,price_per_kg\nsugar,\"1,234,5\"\n":  `p.csv:2: price_per_kg: "1,234,5" is not a number`,
	} {
		_, err := ParsePrices("p.csv", text, Money{Currency: "EUR", Rates: map[string]float64{"USD": 0.9}})
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
