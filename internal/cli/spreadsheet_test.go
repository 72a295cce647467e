package cli

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// book writes a workbook, a sheet of rows by name.
func book(t *testing.T, path string, sheets map[string][][]any, more func(*excelize.File)) {
	t.Helper()
	f := excelize.NewFile()
	for _, name := range slices.Sorted(maps.Keys(sheets)) {
		rows := sheets[name]
		_, err := f.NewSheet(name)
		require.NoError(t, err)
		for n, row := range rows {
			at, err := excelize.CoordinatesToCellName(1, n+1)
			require.NoError(t, err)
			require.NoError(t, f.SetSheetRow(name, at, &row))
		}
	}
	require.NoError(t, f.DeleteSheet("Sheet1"))
	if more != nil {
		more(f)
	}
	require.NoError(t, f.SaveAs(path))
}

// run runs a command and returns its exit code and all that it wrote.
func run(args ...string) (code int, written string) {
	var out, err bytes.Buffer
	code = Main(args, strings.NewReader(""), &out, &err)
	return code, out.String() + err.String()
}

const sheetBrief = `name = "Sweet and sour"
markets = ["eu"]
batch_l = 10
use = ["water", "sugar", "citric-acid"]
prices = "prices.xlsx"
lots = "lots.xlsx"
[targets.acidity]
min = 3
[targets.sugars]
min = 60
max = 90
`

func TestWorkbooksOfAMaker(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.WriteFile(in("brief.toml"), []byte(sheetBrief), 0o600))
	heading := []any{"Ingredient", "Price per kg"}
	prices := func(rows ...[]any) map[string][][]any {
		return map[string][][]any{"Notes": {{"call the mill"}}, "Prices": append([][]any{{"Autumn"}, heading}, rows...)}
	}
	lots := map[string][][]any{"Shelf": {
		{"number", "ingredient", "quantity_kg", "price_per_kg", "received"},
		{4711, "Sugar", 25, "0,90", time.Date(2026, 3, 31, 0, 0, 0, 0, time.UTC)},
	}}
	book(t, in("lots.xlsx"), map[string][][]any{"Shelf": {{"number", "ingredient", "quantity_kg", "price_per_kg"}, {4711, "sugar", 25, "0,90"}}}, nil)
	book(t, in("prices.xlsx"), prices([]any{"Sugar", 1.25}, []any{"Citric acid, anhydrous", "2,90 €"}), nil)
	code, written := run("blend", in("brief.toml"))
	require.Zero(t, code, written)
	assert.Contains(t, written, "sugar/4711")
	assert.Regexp(t, `citric-acid +3\.0\d+ +0\.00871`, written)

	book(t, in("lots.xlsx"), lots, nil)
	code, written = run("lots", "list", in("lots.xlsx"))
	require.Zero(t, code, written)
	assert.Regexp(t, `4711 +sugar .*25`, written)
	code, written = run("lots", "add", in("lots.xlsx"), "--number", "2", "--ingredient", "sugar", "--kg", "1")
	require.Equal(t, 3, code)
	assert.Contains(t, written, "a lots file ends in .toml or .csv (a workbook is read and never written")
	before, err := os.ReadFile(in("lots.xlsx"))
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(before, []byte("PK")))

	book(t, in("lots.xlsx"), map[string][][]any{"Shelf": {{"number", "ingredient", "quantity_kg", "best_before"}, {time.Date(2026, 12, 4, 0, 0, 0, 0, time.UTC), "sugar", 25, 46112}}}, nil)
	code, written = run("lots", "list", in("lots.xlsx"))
	require.Equal(t, 3, code)
	assert.Contains(t, written, `lots.xlsx:2: sheet "Shelf", cell A2, number: is the date 2026-12-04; a text is needed (spreadsheets turn 4/12 into a day`)
	book(t, in("lots.xlsx"), map[string][][]any{"Shelf": {{"number", "ingredient", "quantity_kg", "best_before"}, {1, "sugar", 25, 46112}}}, nil)
	code, written = run("lots", "list", in("lots.xlsx"))
	require.Equal(t, 3, code)
	assert.Contains(t, written, `cell D2, best_before: "46112" is a number, not a date such as 2026-03-31; as a spreadsheet counts days it would be 2026-03-31: format the cell as a date`)
	book(t, in("lots.xlsx"), map[string][][]any{"Shelf": {{"number", "ingredient", "quantity_kg"}, {1, "sugar", 25}}}, nil)
	for name, c := range map[string]struct {
		rows map[string][][]any
		more func(*excelize.File)
		want string
	}{
		"text":      {prices([]any{"Sugar", "dear"}), nil, `prices.xlsx:3: sheet "Prices", cell B3, Price per kg: "dear" is not a number`},
		"negative":  {prices([]any{"Sugar", -1}), nil, `prices.xlsx:3: sheet "Prices", cell B3, Price per kg: -1 is out of range; it must be 0 or more`},
		"a day":     {prices([]any{"Sugar", time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)}), nil, `cell B3, Price per kg: is the date 2026-05-01; a number is needed (spreadsheets turn 1.5 and 3/4 into days`},
		"nobody":    {prices([]any{"Suger", 1}), nil, `prices.xlsx:3: sheet "Prices", cell A3: there is no ingredient "Suger" (did you mean "sugar"?)`},
		"francs":    {prices([]any{"Sugar", "1,20 CHF"}), nil, `cell B3, Price per kg: is in CHF, and the brief reckons in EUR`},
		"two lists": {map[string][][]any{"A": {heading, {"sugar", 1}}, "B": {heading, {"sugar", 2}}}, nil, `prices.xlsx: which sheet holds the prices is not clear; there are "A", "B" (say once what its words mean: bittersum words `},
		"merged": {prices([]any{"Sugar", 1}, []any{"Water", 1}), func(f *excelize.File) { _ = f.MergeCell("Prices", "B3", "B4") },
			`prices.xlsx:3: sheet "Prices", cell B3: the cells B3:B4 are merged, and which row and column holds their value is not said; take them apart`},
		"a formula": {prices([]any{"Sugar", nil}), func(f *excelize.File) { _ = f.SetCellFormula("Prices", "B3", "1+1") },
			`cell B3, Price per kg: the result of the formula =1+1 was not saved`},
	} {
		book(t, in("prices.xlsx"), c.rows, c.more)
		code, written := run("blend", in("brief.toml"))
		assert.Equal(t, 3, code, name)
		assert.Contains(t, written, c.want, name)
		assert.Equal(t, 1, strings.Count(written, "\n"), "%s: %s", name, written)
	}
	book(t, in("prices.xlsx"), map[string][][]any{"A": {heading, {"sugar", 1}}, "B": {heading, {"sugar", 2}}}, nil)
	code, written = run("words", in("prices.xlsx"), "--as", "prices", "--sheet", "B")
	require.Zero(t, code, written)
	code, written = run("blend", in("brief.toml"))
	require.Zero(t, code, written)
	assert.Regexp(t, `sugar/1 +60 +0\.120 `, written)
}

// A recipe in a workbook with percentages as such, beside one of notes.
func TestRecipeOfAWorkbook(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "recipe.xlsx")
	book(t, path, map[string][][]any{"Notes": {{"made since May"}}, "Recipe": {{"Ingredient", "Percent"}, {"Sugar", 0.08}, {"Citric acid, anhydrous", 0.004}}}, func(f *excelize.File) {
		percent, err := f.NewStyle(&excelize.Style{NumFmt: 10})
		require.NoError(t, err)
		require.NoError(t, f.SetCellStyle("Recipe", "B2", "B3", percent))
	})
	code, written := run("init", filepath.Join(dir, "drink"), "--recipe", path, "--markets", "eu")
	require.Zero(t, code, written)
	assert.Regexp(t, `sugar +82\.\d+`, written) // 8 % by mass at 1.032 kg/L
	assert.Regexp(t, `citric-acid +4\.1\d+`, written)
	code, written = run("blend", filepath.Join(dir, "drink", "brief.toml"))
	require.Zero(t, code, written)
	assert.Contains(t, written, "Beside today's recipe (recipe.toml) this one costs")
}
