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

// A price list in the words of its maker: titles, words kept beside it, rows of no use, other currencies.
func TestPriceListsInOtherWords(t *testing.T) {
	library, err := profile.Embedded()
	require.NoError(t, err)
	dir := t.TempDir()
	list := filepath.Join(dir, "p.csv")
	write := func(path, text string) { require.NoError(t, os.WriteFile(path, []byte(text), 0o600)) }
	open := func() (map[string]Price, error) { return OpenPrices(list, Money{Currency: "EUR"}, library) }

	write(list, "ingredient,price_per_kg\nCitric acid, anhydrous,2\n")
	_, err = open()
	assert.ErrorContains(t, err, "p.csv:2: has 3 columns, the heading 2")
	write(list, "ingredient;price_per_kg\nCitric Acid, anhydrous;2\nbag;3\nlemon_juice;4\n")
	_, err = open()
	assert.EqualError(t, err, list+`:3: there is no ingredient "bag" (say once what its words mean: bittersum words `+list+` --as prices)`)
	write(list+".words.toml", "leave_unknown = true\n")
	prices, err := open()
	require.NoError(t, err)
	assert.Len(t, prices, 2)
	assert.Equal(t, 2.0, prices["citric-acid"].PerKg)
	assert.Equal(t, 4.0, prices["lemon-juice"].PerKg)
	write(list+".words.toml", "currency = \"USD\"\n[names]\nbag = \"-\"\n")
	_, err = open()
	assert.ErrorContains(t, err, "p.csv:2: price_per_kg: is in USD, and the brief reckons in EUR")
	write(list+".words.toml", "[names]\nbag = \"citric-acid\"\n")
	_, err = open()
	assert.EqualError(t, err, list+`:3: "citric-acid" stands twice, first on line 2`)
	write(list, "ingredient;price_per_kg\nsugar;2 kr\n")
	_, err = open()
	assert.ErrorContains(t, err, "kr may be SEK, NOK, DKK, ISK")
	write(list+".words.toml", "currency = \"SEK\"\n")
	_, err = open()
	assert.ErrorContains(t, err, "is in SEK, and the brief reckons in EUR")
	write(list, "ingredient;price_per_kg;price;pack_kg\nsugar;;50;25\nwater;3;50;25\n")
	write(list+".words.toml", "")
	prices, err = open()
	require.NoError(t, err)
	assert.Equal(t, 2.0, prices["sugar"].PerKg)
	assert.Equal(t, 3.0, prices["water"].PerKg)
	write(list, "ingredient;price;pack_kg\nsugar;50;0\n")
	_, err = open()
	assert.EqualError(t, err, list+":2: pack_kg: 0 is out of range; it must be above 0")
	_, err = OpenPrices(filepath.Join(dir, "none.csv"), Money{}, library)
	assert.ErrorContains(t, err, "there is no such file")
}

// What one of another currency costs: money of lists and lots is turned into the brief's.
func TestExchange(t *testing.T) {
	library, err := profile.Embedded()
	require.NoError(t, err)
	dir := t.TempDir()
	path := filepath.Join(dir, "brief.toml")
	open := func(exchange string) (*Job, error) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "l.csv"), []byte("number,ingredient,quantity_kg,price_per_kg,currency\nS-1,sugar,25,2,USD\nS-2,sugar,25,3,\n"), 0o600))
		require.NoError(t, os.WriteFile(path, []byte("name = \"x\"\nmarkets = [\"eu\"]\nbatch_l = 10\nlots = \"l.csv\"\nuse = [\"water\", \"sugar\"]\n"+exchange), 0o600))
		return Open(path, library)
	}
	job, err := open("[exchange]\nUSD = 0.5\n")
	require.NoError(t, err)
	assert.Equal(t, 1.0, job.Source("sugar/S-1").PricePerKg)
	assert.Equal(t, 3.0, job.Source("sugar/S-2").PricePerKg)
	for exchange, want := range map[string]string{
		"":                           filepath.Join(dir, "l.csv") + ":2: price_per_kg: is in USD, and the brief reckons in EUR (what one USD costs may stand in the brief: [exchange] USD = 0.00)",
		"[exchange]\nUSD = 0\n":      path + ":7: exchange.USD: 0 is out of range; it must be above 0",
		"[exchange]\nUSD = 1\nEUR=2": path + ":8: exchange.EUR: is the brief's own currency",
		"[exchange]\nusd = 1\n":      path + ":7: exchange.usd: is no code of a currency such as USD",
	} {
		_, err := open(exchange)
		assert.ErrorContains(t, err, want)
	}
	lots, err := OpenLots(filepath.Join(dir, "l.csv")) // on its own it is in no brief's money
	require.NoError(t, err)
	assert.Equal(t, 2.0, lots.Find("S-1").PricePerKg)
}
