package intake

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/words"
)

// read reads a recipe from CSV text; names are the library's.
func read(t require.TestingT, csv string) (*Recipe, error) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	book, err := sheet.Read("r.csv", []byte(csv))
	if err != nil {
		return nil, err
	}
	table, err := Kind.Read(book, &words.Words{})
	if err != nil {
		return nil, err
	}
	return FromTable(table, lib.Called)
}

func makeOf(t require.TestingT, csv string, batchL float64) (*Made, error) {
	r, err := read(t, csv)
	if err != nil {
		return nil, err
	}
	lib, err := profile.Embedded()
	require.NoError(t, err)
	return Make(r, lib, Wishes{Dir: "nowhere", Markets: []string{"eu"}, Currency: "EUR", BatchL: batchL})
}

func amounts(m *Made) map[string]float64 {
	out := map[string]float64{}
	for _, p := range m.Assessment.Recipe.Parts {
		out[p.Source.Name] = p.Amount
	}
	return out
}

// Sugar solutions of 10 and 50 % by mass have 1.0381 and 1.2296 kg/L at 20 °C (NBS Circular 440, table 114), so 103.81
// and 614.8 g/L of sugar. The library's sugar holds 99.9 %.
func TestPercentagesByTheDensityOfSugar(t *testing.T) {
	for percent, want := range map[string]float64{"10": 103.81, "50": 614.8} {
		m, err := makeOf(t, "ingredient,percent\nsugar,"+percent+"\n", 0)
		require.NoError(t, err)
		assert.InEpsilon(t, want, amounts(m)["sugar"], 1e-3)
	}
}

func TestUnits(t *testing.T) {
	for csv, want := range map[string]float64{
		"ingredient;grams_per_litre\ncitric acid;3,5\n":            3.5,
		"ingredient;amount\ncitric-acid;3500 mg/L\n":               3.5,
		"ingredient;amount;unit\ncitric-acid;0,35;kg/hl\n":         3.5,
		"ingredient;amount\ncitric-acid;0,35 g/100 ml\n":           3.5,
		"ingredient;ml_per_litre;stock_g_per_l\ncitric-acid;7;500": 3.5,
		"ingredient;amount;stock_g_per_l\ncitric-acid;7 mL/L;500":  3.5,
		"ingredient;kg\ncitric-acid;0,175\n":                       3.5,
		"ingredient;amount\ncitric-acid;175 g\n":                   3.5,
		"ingredient;ml;stock_g_per_l\ncitric-acid;350;500":         3.5,
	} {
		m, err := makeOf(t, csv, 50)
		require.NoError(t, err, csv)
		assert.InDelta(t, want, amounts(m)["citric-acid"], 1e-9, csv)
	}
	lemon, err := makeOf(t, "ingredient;amount\nlemon-juice;30 mL/L\n", 0)
	require.NoError(t, err)
	// Lemon juice of 8 °Bx has 1.03 kg/L, as its profile derives.
	assert.InEpsilon(t, 30.9, amounts(lemon)["lemon-juice"], 5e-3)
}

// One recipe per litre, for a batch and in percent is one recipe.
func TestOneRecipeInThreeWays(t *testing.T) {
	first, err := makeOf(t, "ingredient,grams_per_litre\nsugar,84\ncitric-acid,4.6\nlemon-juice,30\ngentian-root,0.4\n", 0)
	require.NoError(t, err)
	want := amounts(first)
	var kg, percent strings.Builder
	whole := 0.0
	for _, x := range want {
		whole += x
	}
	kg.WriteString("ingredient,kg\n")
	percent.WriteString("ingredient,percent\n")
	for name, x := range want {
		fmt.Fprintf(&kg, "%s,%.9f\n", name, x*60/1000)
		fmt.Fprintf(&percent, "%s,%.9f\n", name, x*100/whole)
	}
	for name, csv := range map[string]string{"batch": kg.String(), "percent": percent.String()} {
		m, err := makeOf(t, csv, 0)
		require.NoError(t, err, name)
		for ingredient, x := range want {
			assert.InEpsilon(t, x, amounts(m)[ingredient], 1e-4, "%s of %s", ingredient, name)
		}
	}
}

func TestFaultsOfRecipes(t *testing.T) {
	for csv, want := range map[string]string{
		"ingredient,percent\nsugar,60\ncitric-acid,41\n":              "r.csv: the percentages sum to 101; they can sum to 100 at most",
		"ingredient,percent\nsugar,8\nwater,80\n":                     "r.csv: the percentages sum to 88 with the water, and what the rest is is not said",
		"ingredient,percent\nsugar,101\n":                             "r.csv:2: percent: 101 % is more than the whole",
		"ingredient,kg\nsugar,8\n":                                    "r.csv: how many litres the batch makes is not said: it names no water (name the water, or say it with --batch-l)",
		"ingredient,amount\nsugar,8 g/K\n":                            `r.csv:2: amount: there is no unit "g/K"; allowed are % vol, L/hL, g/100 mL, g/L, g/hL, kg/L, kg/hL, mL/L, mL/hL, mg/L, %, g/100 g, g/kg, L, cL, g, kg, mL, mg (did you mean "g/L"?)`,
		"ingredient,amount,unit\nsugar,8 kg,g\n":                      `r.csv:2: amount: says "kg", its unit "g"`,
		"ingredient,amount\nsugar,80 g/L\ncitric-acid,1 kg\n":         "r.csv:3: amount: is given for a batch, the lines above per litre of drink (give all amounts in one way)",
		"ingredient,grams_per_litre,stock_g_per_l\nsugar,8,500\n":     "r.csv:2: grams_per_litre: is in g/L, but stock_g_per_l says that a solution is measured out (give the volume of solution, as mL or mL/L)",
		"ingredient,ml_per_litre\ngentian-root,8\n":                   `r.csv:2: ml_per_litre: "gentian-root" is measured in millilitres, and gentian-root is no liquid (of a solution of it give stock_g_per_l, how many grams stand in a litre; else give what it weighs)`,
		"ingredient,grams_per_litre\nsugar,-1\n":                      "r.csv:2: grams_per_litre: -1 is out of range; it must be 0 or more",
		"ingredient,grams_per_litre\nsugar,8 %\n":                     `r.csv:2: grams_per_litre: says "%"; this column is in g/L`,
		"ingredient,grams_per_litre\nsugar,\n":                        "r.csv:2: grams_per_litre: is missing; a number is needed (0 if there is none of it)",
		"ingredient,grams_per_litre\nsugar,1\nsugar,2\n":              `r.csv:3: ingredient: "sugar" stands twice, first on line 2`,
		"ingredient,grams_per_litre\nsugar,1700\n":                    "r.csv: its parts without water make 1.0 L where they are to make one",
		"ingredient,amount\nsugar,100 g/L\nneutral-spirit,300 mL/L\n": "r.csv: spirit_drink: is missing: from 15 % the rules of market eu turn on it (true for what is distilled, or made of spirit with plants, flavourings or sugar; false for drinks based on wine, beer or cider; say it with --spirit-drink or --spirit-drink=false)",
		"thing,what\nsugar,1\n":                                       `r.csv:1: the heading is "thing,what"; it must hold ingredient and one of grams_per_litre, percent, kg, g, ml_per_litre, ml or amount (with unit) (say once what its words mean: bittersum words r.csv --as recipe)`,
	} {
		_, err := makeOf(t, csv, 0)
		if strings.Contains(want, "1.0 L") {
			assert.ErrorContains(t, err, "r.csv: its parts without water make ")
			continue
		}
		assert.EqualError(t, err, want, csv)
	}
}

func TestRecipesInTOML(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.toml")
	write := func(text string) { require.NoError(t, os.WriteFile(path, []byte(text), 0o600)) }
	lib, err := profile.Embedded()
	require.NoError(t, err)
	write("name = \"Lemonade\"\n[grams_per_litre]\nsugar = 80\n[ml_per_litre]\ncitric-acid = 7\nlemon-juice = 10\n[stock_g_per_l]\ncitric-acid = 500\n")
	r, err := FromTOML(path, &words.Words{}, lib.Called)
	require.NoError(t, err)
	m, err := Make(r, lib, Wishes{Dir: "nowhere", Markets: []string{"eu"}, Currency: "EUR"})
	require.NoError(t, err)
	assert.InDelta(t, 3.5, amounts(m)["citric-acid"], 1e-9)
	assert.Contains(t, m.Brief, `name = "Lemonade"`)
	for text, want := range map[string]string{
		"[percent]\nsugar = 8,5\n":                                  `:2: percent: "8,5" has a decimal comma (numbers in this file have a decimal point)`,
		"[percent]\nsugar = 8\n[kg]\nwater = 3\n":                   ":3: kg: is given for a batch, the lines above in percent of the mass (give all amounts in one way)",
		"name = \"x\"\n":                                            ":1: grams_per_litre: is missing: a recipe needs amounts by name (allowed are [grams_per_litre], [percent], [kg], [g], [ml_per_litre])",
		"[kg]\nsugar = 8\n[stock_g_per_l]\nsugar = 500\n":           ":2: kg.sugar: is in kg, but stock_g_per_l says that a solution is measured out (give the volume of solution under [ml_per_litre])",
		"[kg]\nsugar = 8\n[stock_g_per_l]\nsuger = 500\n":           `:3: stock_g_per_l: "suger" is not in the recipe`,
		"[kg]\nsugar = \"much\"\n":                                  ":2: kg.sugar: is a text; it must be a number",
		"[gramms_per_litre]\nsugar = 8\n[grams_per_litre]\nsugar=1": `:1: gramms_per_litre: is not a key that is known here (did you mean "grams_per_litre"?)`,
	} {
		write(text)
		_, err := FromTOML(path, &words.Words{}, lib.Called)
		assert.EqualError(t, err, path+want)
	}
}

// Targets lie one just noticeable difference (Weber fractions of attributes.toml) either way, never farther; what a cap
// has no figure for is left to the maker, and an over-strong recipe is told as one.
func TestTargetsAndCaps(t *testing.T) {
	m, err := makeOf(t, "ingredient,grams_per_litre\nsugar,80\ncitric-acid,4\nquinine-hydrochloride,0.04\nascorbic-acid,0.1\nblack-carrot-concentrate,0.3\nlemon-juice,20\n", 0)
	require.NoError(t, err)
	byName := map[string]Target{}
	for _, target := range m.Targets {
		byName[target.Name] = target
	}
	for name, share := range map[string]float64{"bitterness": 0.30, "acidity": 0.22, "sweetness": 0.17} {
		target := byName[name]
		assert.GreaterOrEqual(t, target.Min, target.Value*(1-share)-1e-12)
		assert.LessOrEqual(t, target.Max, target.Value*(1+share)+1e-12)
		assert.InEpsilon(t, target.Value*(1-share), target.Min, 0.01, name)
		assert.InEpsilon(t, target.Value*(1+share), target.Max, 0.01, name)
	}
	assert.Equal(t, []brief.Accept{{Ingredient: "black-carrot-concentrate", Substance: "methyleugenol"}}, m.Accepts)
	assert.Contains(t, m.Brief, "# substance = \"methyleugenol\"")
	assert.NotContains(t, m.Brief, "\n[[accept]]")
	held := map[string]Held{}
	for _, h := range m.Held {
		held[h.Ingredient] = h
	}
	assert.Equal(t, 0.1, held["ascorbic-acid"].Grams)
	assert.True(t, held["lemon-juice"].AtLeast)
	assert.True(t, m.Assessment.KeepsCaps())
	rooty, err := makeOf(t, "ingredient,grams_per_litre\nsugar,80\ngentian-root,4\n", 0) // customary is less
	require.NoError(t, err)
	require.NotEmpty(t, rooty.Held)
	assert.True(t, rooty.Held[0].AtMost)
	strong, err := makeOf(t, "ingredient,grams_per_litre\nsugar,80\nquinine-hydrochloride,0.4\n", 0) // EU: 100 mg/kg
	require.NoError(t, err)
	assert.False(t, strong.Assessment.KeepsCaps())
}

// Whatever the recipe, it meets the brief that is made of it.
func TestARecipeMeetsItsBrief(t *testing.T) {
	names := []string{"sugar", "citric-acid", "lemon-juice", "gentian-root", "quinine-hydrochloride", "orange-peel", "coriander-seed", "caramel-colour", "gum-arabic", "potassium-sorbate"}
	most := map[string]float64{"sugar": 100, "citric-acid": 8, "lemon-juice": 60, "gentian-root": 1, "quinine-hydrochloride": 0.07, "orange-peel": 2, "coriander-seed": 1, "caramel-colour": 1, "gum-arabic": 0.5, "potassium-sorbate": 0.2}
	rapid.Check(t, func(t *rapid.T) {
		csv := "ingredient,grams_per_litre\n"
		for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(names), 1, 6, rapid.ID).Draw(t, "names") {
			csv += fmt.Sprintf("%s,%.4f\n", name, most[name]*rapid.Float64Range(0.02, 1).Draw(t, name))
		}
		m, err := makeOf(t, csv, 0)
		if err != nil {
			t.Fatalf("%s: %v", csv, err)
		}
		if misses := m.Assessment.Misses(); len(misses) > 0 {
			t.Fatalf("%s misses %v", csv, misses)
		}
		if math.Abs(m.Assessment.Recovered-1) > 1e-4 {
			t.Fatalf("%s makes %v L", csv, m.Assessment.Recovered)
		}
	})
}

// A solution measured out into a batch brings its water; one recipe is one recipe, whether the acid was dissolved before.
func TestStockSolutionsBringTheirWater(t *testing.T) {
	dry, err := makeOf(t, "ingredient;amount\nsugar;5 kg\ncitric-acid;250 g\nwater;47,3494 kg\n", 0)
	require.NoError(t, err)
	// 500 mL of a solution of 500 g/L hold 250 g of citric acid, which take up 0.6 mL each, and 350 mL of water.
	stock, err := makeOf(t, "ingredient;amount;stock_g_per_l\nsugar;5 kg;\ncitric-acid;500 mL;500\nwater;47 kg;\n", 0)
	require.NoError(t, err)
	for name, x := range amounts(dry) {
		assert.InEpsilon(t, x, amounts(stock)[name], 2e-4, name)
	}
	require.Len(t, stock.Notes, 1)
	assert.Contains(t, stock.Notes[0], "The stock solutions bring 350 mL of water")
}

// A preparation whose parts leave a capped content open is left to the maker as an ingredient is.
func TestPreparationsWithUnknownContents(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	own := *lib
	own.Preparations = map[string]*profile.Preparation{"carrot-water": {Name: "carrot-water", Title: "Carrot water", Kind: "extract",
		Parts:      []profile.PreparationPart{{Name: "black-carrot-concentrate", Grams: 100}, {Name: "water", Grams: 900}},
		Provenance: profile.Provenance{Basis: profile.Invented}}}
	r := &Recipe{File: "r.csv", Name: "x", Basis: PerLitre, Lines: []Line{{Word: "carrot-water", Ingredient: "carrot-water", Amount: 10}, {Word: "sugar", Ingredient: "sugar", Amount: 80}}}
	m, err := Make(r, &own, Wishes{Dir: "nowhere", Markets: []string{"eu"}, Currency: "EUR"})
	require.NoError(t, err)
	assert.Equal(t, []brief.Accept{{Ingredient: "carrot-water", Substance: "methyleugenol"}}, m.Accepts)
}

// What a preparation is measured in, what litres count, and notes about a recipe that does not add up.
func TestLitresOfABatch(t *testing.T) {
	_, err := makeOf(t, "ingredient,ml_per_litre\nhouse-tincture,8\n", 0)
	assert.EqualError(t, err, `r.csv:2: ml_per_litre: "house-tincture" is a preparation; give what it weighs (as g/L, kg or percent)`)
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, c := range []struct{ file, flag, want float64 }{{50, 0, 8}, {0, 50, 8}, {50, 100, 8}} {
		r, err := read(t, "ingredient;amount\nsugar;400 g\n")
		require.NoError(t, err)
		r.BatchL = c.file
		m, err := Make(r, lib, Wishes{Dir: "nowhere", Markets: []string{"eu"}, Currency: "EUR", BatchL: c.flag})
		require.NoError(t, err)
		assert.InDelta(t, c.want, amounts(m)["sugar"], 1e-9)
	}
	m, err := makeOf(t, "ingredient;amount\nsugar;5 kg\nwater;47 kg\n", 60)
	require.NoError(t, err)
	require.Len(t, m.Notes, 1)
	assert.Contains(t, m.Notes[0], " L, not 60: amounts per litre are of what they make.")
	m, err = makeOf(t, "ingredient;amount\nsugar;100 g/L\nwater;850 g/L\n", 0)
	require.NoError(t, err)
	require.Len(t, m.Notes, 1)
	assert.Contains(t, m.Notes[0], "With 850 g/L of water the parts do not make a litre")
	m, err = makeOf(t, "ingredient;amount\nsugar;100 g/L\nwater;936 g/L\n", 0) // 1.0381 kg/L less the sugar
	require.NoError(t, err)
	assert.Empty(t, m.Notes)
}
