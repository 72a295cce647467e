package label_test

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/label"
	"bittersum/internal/profile"
	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// draft drafts the labels of amounts in grams per litre.
func draft(t *testing.T, head string, amounts map[string]float64, own string) map[string]label.Label {
	t.Helper()
	labels := map[string]label.Label{}
	for _, l := range label.New(assessed(t, head, amounts, own), label.Options{}) {
		labels[l.Market.Name] = l
	}
	return labels
}

// assessed assesses amounts in grams per litre against a brief of its own.
func assessed(t *testing.T, head string, amounts map[string]float64, own string) *assess.Assessment {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	var use []string
	for name := range amounts {
		use = append(use, `"`+name+`"`)
	}
	slices.Sort(use)
	text := head + "use = [" + strings.Join(use, ", ") + "]\n" + own
	job, err := brief.OpenFS(fstest.MapFS{"b.toml": {Data: []byte(text)}}, "b.toml", "", lib)
	require.NoError(t, err)
	recipe := &brief.Recipe{}
	for _, s := range job.Sources {
		recipe.Parts = append(recipe.Parts, brief.Part{Source: s, Amount: amounts[s.Name]})
	}
	a, err := assess.Assess(job, recipe)
	require.NoError(t, err)
	return a
}

func line(l label.Label, part string) []string {
	var texts []string
	for _, x := range l.Lines {
		if x.Part == part {
			texts = append(texts, x.Text)
		}
	}
	return texts
}

func row(t *testing.T, l label.Label, name string) label.Row {
	t.Helper()
	for _, r := range l.Panel.Rows {
		if r.Name == name {
			return r
		}
	}
	t.Fatalf("no row %q", name)
	return label.Row{}
}

// Water counts by what the finished drink weighs less all else (Annex VII Part A point 1), so an
// ingredient whose marc and held liquor take water away can stand before it.
func TestIngredientOrderWithAddedWater(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"eu\", \"us\"]\nbottle_ml = 250\n",
		map[string]float64{"sugar": 440, "water": 722, "citric-acid": 5, "lemon-juice": 30}, "")
	assert.Equal(t, []string{"Ingredients: water, sugar, lemon juice, acid (citric acid)", "additives by category and name or E number"}, line(l["eu"], "ingredients"))
	l = draft(t, "name = \"Test\"\nmarkets = [\"eu\", \"us\"]\nbottle_ml = 250\n",
		map[string]float64{"sugar": 700, "water": 560, "citric-acid": 5, "lemon-juice": 30}, "")
	assert.Equal(t, "Ingredients: sugar, water, lemon juice, acid (citric acid)", line(l["eu"], "ingredients")[0])
	assert.Equal(t, "INGREDIENTS: sugar, water, lemon juice, citric acid.", line(l["us"], "ingredients")[0])
	// 400 g of water and 380 g of sugar: the 60 g of peel, weighed in and strained out again, leave less
	// water in the finished drink than sugar.
	l = draft(t, "name = \"Test\"\nmarkets = [\"eu\"]\n", map[string]float64{"sugar": 380, "water": 400, "bitter-orange-peel": 60}, "")
	assert.Equal(t, "Ingredients: sugar, water, bitter orange peel", line(l["eu"], "ingredients")[0])
}

func TestDeclarations(t *testing.T) {
	head := "name = \"Bitter lemon\"\nmarkets = [\"us\", \"eu\", \"uk\", \"au-nz\"]\ncarbonated = true\nbottle_ml = 200\n"
	l := draft(t, head, map[string]float64{"water": 920, "sugar": 80, "citric-acid": 4, "lemon-juice": 40, "quinine-hydrochloride": 0.04, "potassium-sorbate": 0.2}, "")
	assert.Contains(t, line(l["us"], "declaration"), "contains quinine", "21 CFR 172.575")
	assert.Contains(t, line(l["us"], "declaration"), "contains 3 percent juice", "rounded down")
	assert.Contains(t, line(l["us"], "ingredients")[0], "potassium sorbate (preservative)")
	assert.NotContains(t, strings.Join(line(l["eu"], "declaration"), "\n"), "quinine", "the list bears it, Annex VII Part D point 3")
	assert.Contains(t, line(l["eu"], "ingredients")[0], "carbonated water, sugar, lemon juice (3.8 %), acid (citric acid), preservative (potassium sorbate), flavouring (quinine)")
	assert.Contains(t, line(l["au-nz"], "declaration"), "contains quinine")
	assert.Equal(t, []string{"6.7 FL OZ (200 mL)"}, line(l["us"], "net quantity"))
	assert.Equal(t, []string{"200 ml"}, line(l["eu"], "net quantity"))
	for market, x := range l {
		last := x.Lines[len(x.Lines)-1]
		assert.Equal(t, "Local law and licensed practice decide; this is a draft, not a permission.", last.Text, market)
		for _, li := range x.Lines {
			assert.NotEmpty(t, li.Citation, "%s: %s", market, li.Text)
			assert.Contains(t, []string{profile.Seen, profile.Recalled}, li.Rule.Text)
		}
	}
	assert.Contains(t, l["uk"].Lines[1].Citation, "as assimilated in the United Kingdom")
}

func TestAllergensAndCompounds(t *testing.T) {
	l := draft(t, "name = \"Malt\"\nmarkets = [\"us\", \"eu\"]\n", map[string]float64{"water": 900, "malt-extract": 100, "potassium-metabisulphite": 0.1, "house-bitters": 5}, `
[[ingredient]]
name = "house-bitters"
pure = true
label_name = "bitters"
label_parts = ["water", "gentian root", "orange peel"]
soluble_share = 1
specific_volume_ml_per_g = 1
basis = "invented"
`)
	statement := line(l["eu"], "ingredients")[0]
	assert.Contains(t, statement, "BARLEY malt extract", "an allergen stands out")
	assert.Contains(t, statement, "bitters (water, gentian root, orange peel)", "a compound ingredient is followed by what it is made of")
	assert.Contains(t, line(l["eu"], "allergens")[0], "barley (gluten)")
	assert.Equal(t, []string{`no "Contains" statement`}, line(l["us"], "allergens"), "barley is no major allergen in the United States")
	assert.NotContains(t, strings.Join(line(l["eu"], "declaration"), "\n"), "contains sulphites", "the list bears it, Article 21(1)")
	assert.Contains(t, statement, "SULPHITE")
	assert.Contains(t, strings.Join(line(l["us"], "declaration"), "\n"), "contains sulfites")
}

// 100 g of sugar in a litre: 10 g in 100 mL are 170 kJ and 40 kcal by Annex XIV; with 4 g of citric acid
// per litre 5.2 kJ and 1.2 kcal more. A 250 mL bottle holds 25 g of sugar, which with 1 g of acid are 26 g
// of carbohydrate and 104 kcal, printed as 100.
func TestPanels(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\", \"au-nz\"]\nbottle_ml = 250\n", map[string]float64{"water": 935.3, "sugar": 100, "citric-acid": 4}, "")
	eu, us, anz := l["eu"], l["us"], l["au-nz"]
	assert.Equal(t, "175 kJ / 41 kcal", row(t, eu, "Energy").Amounts[0])
	assert.Equal(t, "10 g", row(t, eu, "Carbohydrate").Amounts[0])
	assert.Equal(t, "10 g", row(t, eu, "of which sugars").Amounts[0])
	assert.Equal(t, "0 g", row(t, eu, "Salt").Amounts[0])
	var order []string
	for _, r := range eu.Panel.Rows {
		order = append(order, r.Name)
	}
	assert.Equal(t, []string{"Energy", "Fat", "of which saturates", "Carbohydrate", "of which sugars", "Protein", "Salt"}, order, "Annex XV")
	assert.Equal(t, []string{"Serving size 1 bottle (250 mL)"}, us.Panel.Columns)
	assert.Equal(t, "100", row(t, us, "Calories").Amounts[0])
	assert.Equal(t, "26 g", row(t, us, "Total Carbohydrate").Amounts[0])
	assert.Equal(t, "9 %", row(t, us, "Total Carbohydrate").Daily)
	assert.Equal(t, "50 %", row(t, us, "Includes 25g Added Sugars").Daily, "101.9(c)(6)(iii)")
	assert.Equal(t, []string{""}, row(t, us, "1 serving per container").Amounts)
	assert.Equal(t, []string{"438 kJ", "175 kJ"}, row(t, anz, "Energy").Amounts)
	// A bottle of 720 mL and more is no single serving (101.9(b)(6)); a syrup is served as made up.
	l = draft(t, "name = \"Test\"\nmarkets = [\"us\"]\nbottle_ml = 720\n", map[string]float64{"water": 935.3, "sugar": 100}, "")
	assert.Equal(t, []string{"Serving size 12 fl oz (360 mL)", "Per container"}, l["us"].Panel.Columns, "a second column at 200 to 300 % of the reference amount, 101.9(b)(12)(i)")
	assert.Equal(t, []string{"36 g", "72 g"}, row(t, l["us"], "Total Sugars").Amounts)
	assert.Equal(t, []string{"36 g, 13 %", "72 g, 26 %"}, row(t, l["us"], "Total Carbohydrate").Amounts)
	row(t, l["us"], "2 servings per container")
	l = draft(t, "name = \"Test\"\nmarkets = [\"us\"]\nbottle_ml = 1100\n", map[string]float64{"water": 935.3, "sugar": 100}, "")
	assert.Equal(t, []string{"Serving size 12 fl oz (360 mL)"}, l["us"].Panel.Columns)
	row(t, l["us"], "about 3 servings per container")
	l = draft(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\"]\nthrow = \"1+5\"\n", map[string]float64{"water": 632, "sugar": 600}, "")
	assert.Equal(t, []string{"Serving size 60 mL syrup (makes 360 mL)"}, l["us"].Panel.Columns)
	assert.Equal(t, "36 g", row(t, l["us"], "Total Sugars").Amounts[0], "60 mL of 600 g/L")
	assert.Equal(t, "60 g", row(t, l["eu"], "of which sugars").Amounts[0], "as sold")
}

// Standard drinks are litres times % vol times 0.789 (Standard 2.7.1-4; 10 g of ethanol each); from 1.15 % on the
// pregnancy warning is asked for (2.7.1-8). Of 7 % and more, and of spirits, no Nutrition Facts.
func TestStrongDrinks(t *testing.T) {
	strong := func(percent, spirit string) map[string]label.Label {
		return draft(t, "name = \"Strong\"\nmarkets = [\"us\", \"eu\", \"uk\", \"au-nz\"]\nbottle_ml = 500\nalcohol_percent = "+percent+"\n"+spirit, map[string]float64{"water": 900, "sugar": 50, "neutral-spirit": 80}, "")
	}
	l := strong("5", "")
	assert.Equal(t, []string{"Approx. 2.0 standard drinks"}, line(l["au-nz"], "standard drinks"))
	assert.Len(t, line(l["au-nz"], "pregnancy warning"), 1)
	assert.NotNil(t, l["us"].Panel)
	assert.Nil(t, l["eu"].Panel)
	l = strong("1", "")
	assert.Equal(t, []string{"Contains not more than 1 % alcohol by volume"}, line(l["au-nz"], "strength"))
	assert.Empty(t, line(l["au-nz"], "pregnancy warning"))
	l = strong("12", "")
	assert.Nil(t, l["us"].Panel)
	assert.Contains(t, line(l["us"], "nutrition")[0], "another agency's")
	assert.Contains(t, strings.Join(line(l["us"], "declaration"), "\n"), "GOVERNMENT WARNING: (1)", "27 CFR 16.21")
	assert.Equal(t, []string{"no date is asked for from 10 % vol on"}, line(l["eu"], "best before"))
	l = strong("20", "spirit_drink = true\n")
	assert.Nil(t, l["us"].Panel)
}

// Each row of law.csv about drinks with alcohol in Australia and New Zealand holds above its strength, and not at it.
func TestStrongDrinksFollowTheTableOfTexts(t *testing.T) {
	table := reference.Open(t, "law.csv")
	column := table.Columns()
	lines := map[string]string{"standard drinks": "standard drinks", "pregnancy warning label": "pregnancy warning"}
	judged := 0
	for _, row := range table.Rows {
		part, ok := lines[row[column["substance"]]]
		if !ok {
			continue
		}
		judged++
		strength, ok := strings.CutSuffix(strings.TrimPrefix(row[column["value in text"]], "> "), " % vol")
		require.True(t, ok, row)
		for percent, want := range map[string]int{strength: 0, strength + "1": 1} {
			l := draft(t, "name = \"Strong\"\nmarkets = [\"au-nz\"]\nalcohol_percent = "+percent+"\n", map[string]float64{"water": 900, "sugar": 50, "neutral-spirit": 8}, "")
			assert.Len(t, line(l["au-nz"], part), want, "%s at %s %%", part, percent)
			for _, x := range l["au-nz"].Lines {
				if x.Part == part {
					assert.Contains(t, x.Citation, strings.TrimPrefix(row[column["citation"]], "Std "))
				}
			}
		}
	}
	assert.Equal(t, 2, judged)
}

// Juice of less than a percent is said so, and not as nothing (21 CFR 101.30).
func TestALittleJuice(t *testing.T) {
	l := draft(t, "name = \"Lemon soda\"\nmarkets = [\"us\"]\n", map[string]float64{"water": 920, "sugar": 80, "citric-acid": 4, "lemon-juice": 5}, "")
	assert.Contains(t, line(l["us"], "declaration"), "contains less than 1 percent juice")
}

// Sulphites are declared from 10 mg in a litre on, and not below.
func TestSulphitesAreDeclaredFromTenMilligrams(t *testing.T) {
	with := func(grams float64) map[string]label.Label {
		return draft(t, "name = \"Test\"\nmarkets = [\"eu\"]\n", map[string]float64{"water": 950, "sugar": 50, "potassium-metabisulphite": grams}, "")
	}
	assert.Contains(t, line(with(0.03)["eu"], "ingredients")[0], "SULPHITE", "17 mg/L of sulphur dioxide")
	assert.NotContains(t, line(with(0.01)["eu"], "ingredients")[0], "SULPHITE", "6 mg/L")
	assert.Empty(t, line(with(0.01)["eu"], "allergens"))
}

// A batch's own lot and date stand in the place of blanks.
func TestLotAndDateOfABatch(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenFS(fstest.MapFS{"b.toml": {Data: []byte("name = \"Test\"\nmarkets = [\"eu\", \"au-nz\"]\nuse = [\"water\", \"sugar\"]\n")}}, "b.toml", "", lib)
	require.NoError(t, err)
	a, err := assess.Assess(job, &brief.Recipe{Parts: []brief.Part{{Source: job.Source("sugar"), Amount: 50}}})
	require.NoError(t, err)
	for _, l := range label.New(a, label.Options{Lot: "BO-261127", BestBefore: time.Date(2027, 5, 27, 0, 0, 0, 0, time.UTC)}) {
		assert.Equal(t, []string{"Lot: BO-261127"}, line(l, "lot"))
		assert.Equal(t, []string{"Best before: 27 05 2027"}, line(l, "best before"))
		assert.NotContains(t, strings.Join(line(l, "to fill in"), "\n"), "Lot")
	}
}
