package words

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bittersum/internal/sheet"
)

func kept(t require.TestingT, dir, text string) (*Words, error) {
	path := filepath.Join(dir, "list.csv")
	require.NoError(t, os.WriteFile(Beside(path), []byte(text), 0o600))
	return Open(path)
}

func TestFaultsOfWords(t *testing.T) {
	dir := t.TempDir()
	for text, want := range map[string]string{
		"currency = \"dollars\"\n":       `:1: currency: "dollars" is no code of a currency such as EUR`,
		"decimal = \"dot\"\n":            `:1: decimal: "dot" is not allowed; it must be one of point, comma`,
		"[column]\nArtikel = \"name\"\n": `:1: column: is not a key that is known here (did you mean "columns"?)`,
		"[names]\nZucker = 3\n":          `:2: names.Zucker: is a number; it must be a text in quotes`,
	} {
		_, err := kept(t, dir, text)
		assert.EqualError(t, err, filepath.Join(dir, "list.csv.words.toml")+want)
	}
	w, err := Open(filepath.Join(dir, "none.csv"))
	require.NoError(t, err)
	assert.Empty(t, w.File)
	assert.Equal(t, "sugar", w.Ingredient("sugar"))
}

// What is kept is read back as it was, whatever the words.
func TestWordsAreReadBack(t *testing.T) {
	dir := t.TempDir()
	word := rapid.StringMatching(`[A-Za-zäöüß€$%"\\ .=#\[\]/']{1,12}`).Filter(func(s string) bool { return s != "" })
	rapid.Check(t, func(t *rapid.T) {
		some := rapid.MapOfN(word, rapid.SampledFrom([]string{"sugar", "citric-acid", LeftOut}), 0, 4)
		w := &Words{Sheet: rapid.SampledFrom([]string{"", "Prices 2026"}).Draw(t, "sheet"), Decimal: rapid.SampledFrom([]rune{0, '.', ','}).Draw(t, "decimal"),
			Columns: some.Draw(t, "columns"), Names: some.Draw(t, "names"), Own: map[string]string{}, LeaveUnknown: rapid.Bool().Draw(t, "leave")}
		back, err := kept(t, dir, w.Text("list.csv"))
		require.NoError(t, err, w.Text("list.csv"))
		back.File, back.lines = "", nil
		assert.Equal(t, w, back)
	})
}

func TestLikely(t *testing.T) {
	candidates := []Candidate{
		{"citric-acid", append(InTongues("citric-acid"), "Citric acid, anhydrous")}, {"lemon-juice", append(InTongues("lemon-juice"), "Lemon juice")},
		{"quinine-hydrochloride", InTongues("quinine-hydrochloride")}, {"quinine-sulfate", InTongues("quinine-sulfate")}, {"sugar", InTongues("sugar")},
	}
	for text, want := range map[string]string{
		"Citric Acid": "citric-acid", "Zitronensäure E330 25 kg": "citric-acid", "acide citrique": "citric-acid", "Zitronensaft": "lemon-juice", "lemon juce": "lemon-juice",
		"Chinin HCl": "quinine-hydrochloride", "Kristallzucker": "sugar",
	} {
		names := Likely(text, candidates, 3)
		require.NotEmpty(t, names, text)
		assert.Equal(t, want, names[0], text)
	}
	assert.Empty(t, Likely("Kartonage", candidates, 3))
}

// Codes are those of ISO 4217.
func TestCurrencies(t *testing.T) {
	for text, want := range map[string][]string{
		"Preis €/kg": {"EUR"}, "price (USD)": {"USD"}, "12 £": {"GBP"}, "A$": {"AUD"}, "kr": {"SEK", "NOK", "DKK", "ISK"}, "Price per kg": nil, "kritisch": nil, "EURO": nil,
	} {
		of, _ := Currencies(text)
		assert.Equal(t, want, of, text)
	}
}

func TestHeadings(t *testing.T) {
	k := Kind{Name: "prices", Columns: []Column{{Name: "ingredient"}, {Name: "price_per_kg"}}, Needed: [][]string{{"ingredient", "price_per_kg"}}}
	for heading, want := range map[string]string{
		"Price/kg": "price_per_kg", "PRICE per KG (EUR)": "price_per_kg", "price_per_kg": "price_per_kg", " Ingredient ": "ingredient", "Price": "", "€/kg": "",
	} {
		assert.Equal(t, want, k.Means(heading, &Words{}), heading)
	}
	book, err := sheet.Read("p.csv", []byte("Autumn;list\n\nIngredient;Price/kg\nsugar;1\n"))
	require.NoError(t, err)
	table, err := k.Read(book, &Words{})
	require.NoError(t, err)
	assert.Equal(t, 3, table.Heading.Line)
	book, err = sheet.Read("p.csv", []byte("Artikel;Preis\nZucker;1\n"))
	require.NoError(t, err)
	_, err = k.Read(book, &Words{File: "p.csv.words.toml", Columns: map[string]string{"Artikel": "ingredeint", "Preis": "price_per_kg"}, lines: map[string]int{"Artikel": 4}})
	assert.EqualError(t, err, `p.csv.words.toml:4: columns: there is no column "ingredeint"; allowed are ingredient, price_per_kg (did you mean "ingredient"?)`)
	_, err = k.Read(book, &Words{Sheet: "Prices"})
	assert.ErrorContains(t, err, `has no sheet "Prices" that holds anything`)
}
