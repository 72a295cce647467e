package profile

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// Every composition figure that is called published, or derived from a published one, is the one of the table
// that its source names: read from the folder that BITTERSUM_REFERENCE names.
func TestPublishedCompositionEqualsItsTable(t *testing.T) {
	table := reference.Open(t, "figures.csv")
	at := table.Columns()
	type key struct{ ingredient, attribute string }
	type figure struct{ value, sd float64 }
	values, direct := map[key][]figure{}, map[key][]figure{}
	minerals := map[string]struct {
		name  string
		molar float64
	}{"solute:calcium_mmol_per_g": {"calcium", 40.078}, "solute:magnesium_mmol_per_g": {"magnesium", 24.305}, "solute:phosphoric_mmol_per_g": {"phosphorus", 30.974}}
	for _, row := range table.Rows {
		value, err := strconv.ParseFloat(row[at["value"]], 64)
		if err != nil {
			continue
		}
		attribute := row[at["attribute"]]
		sd, _ := strconv.ParseFloat(row[at["sd"]], 64) // most have none
		if m, ok := minerals[attribute]; ok {
			attribute, value, sd = m.name, value*m.molar, sd*m.molar
		}
		if attribute == "energy" {
			value *= 4.184 // kcal to kJ
		}
		k := key{row[at["ingredient"]], attribute}
		values[k] = append(values[k], figure{value, sd})
		if row[at["kind"]] == "direct" {
			direct[k] = append(direct[k], figure{value, sd})
		}
	}
	checked := 0
	for name, g := range embedded(t).Ingredients {
		for attribute, c := range g.Contents {
			table := strings.Contains(c.Source, "USDA National") || strings.Contains(c.Source, "ANSES-CIQUAL") || strings.Contains(c.Source, "Indian Food Composition")
			if !table || c.Basis != Published && c.Basis != Derived {
				continue
			}
			nearest, rows := math.Inf(1), values
			if c.Basis == Published {
				rows = direct
			}
			for _, v := range rows[key{name, attribute}] {
				nearest = math.Min(nearest, math.Abs(v.value-c.PerGram))
			}
			agree := func(v figure) bool { return c.SD == 0 || math.Abs(v.sd-c.SD) <= 1e-3*c.SD }
			assert.True(t, slices.ContainsFunc(rows[key{name, attribute}], agree), "%s in %s: a deviation of %g is in no table", attribute, name, c.SD)
			assert.LessOrEqual(t, nearest, 1e-6+1e-3*c.PerGram, "%s in %s: %g is in no table", attribute, name, c.PerGram)
			checked++
		}
	}
	assert.Greater(t, checked, 260)

	recalled := map[string]bool{}
	for k := range direct {
		g := embedded(t).Ingredients[k.ingredient]
		if g == nil {
			continue
		}
		if c, given := g.Contents[k.attribute]; given && slices.Contains([]Basis{Memory, Practice, Invented}, c.Basis) {
			recalled[k.attribute+" of "+k.ingredient] = true
		}
	}
	assert.ElementsMatch(t, slices.Collect(maps.Keys(leftRecalled)), slices.Collect(maps.Keys(recalled)),
		"a figure that a table holds is taken from there, or is listed with the reason why not")
}

// leftRecalled are the figures that stay recalled though a table holds one, and why.
var leftRecalled = map[string]string{
	"sugars of grapefruit-juice":     "8.89 % beside 1.3 % acids is of another juice than white grapefruit with its 10.0 % total solids; USDA's own figure is imputed",
	"sugars of tangerine-juice":      "10.0 % beside 1.45 % acids is more than the 11.1 % total solids of the juice its minerals are of; USDA's own figure is imputed",
	"sugars of fennel-seed":          "12.5 % is carbohydrate less fibre (52.29 - 39.8), not sugars that were measured",
	"estragole of fennel-seed":       "0.15 to 13.3 mg/g is a range without a mean; 4 is chosen within it",
	"glycyrrhizin of liquorice-root": "27 mg/g is the middle of six samples, below the pharmacopoeia's least 4 %; the higher figure guards the limits of the label",
}

// Masses balance: sugars are no more than the soluble solids, and where water, protein, fat, fibre, sugars and
// minerals are known they leave room for each other.
func TestMassesBalance(t *testing.T) {
	for name, g := range embedded(t).Ingredients {
		grams := func(attribute string) float64 {
			c, _ := g.Content(attribute)
			return c.PerGram
		}
		solids, known := g.Content("soluble-solids")
		if known && !g.Pure {
			assert.LessOrEqual(t, grams("sugars"), solids.PerGram+0.005, name)
		}
		milligrams := grams("potassium") + grams("sodium") + grams("calcium") + grams("magnesium") + grams("phosphorus")
		parts := grams("protein") + grams("fat") + grams("fibre") + grams("sugars") + milligrams/1000
		assert.LessOrEqual(t, parts, 1.01, name)
		assert.LessOrEqual(t, grams("saturates"), grams("fat")+0.001, name)
		assert.LessOrEqual(t, grams("quinine"), grams("cinchona-alkaloids")+1e-9, "%s: quinine is one of the alkaloids", name)
		// What is dissolved is not more than dissolves: sugars with acids and salts in the soluble solids, and
		// what of a plant reaches the liquor in its soluble share.
		dissolved := grams("sugars")
		for species, mmol := range g.Solutes {
			dissolved += mmol * gramsPerMillimole[species]
			assert.Positive(t, gramsPerMillimole[species], species)
		}
		if known && !g.Pure {
			assert.LessOrEqual(t, dissolved, solids.PerGram+0.0005, "%s: sugars, acids and salts beside the soluble solids", name)
		}
		if g.SolubleShare < 1 {
			reached := grams("sugars")*recovery(g, "sugars") + grams("tannin")*recovery(g, "tannin")/1000 + grams("caffeine")*recovery(g, "caffeine")/1000
			for _, mineral := range []string{"potassium", "sodium", "calcium", "magnesium", "phosphorus"} {
				reached += grams(mineral) * recovery(g, mineral) / 1000
			}
			for species, mmol := range g.Solutes {
				if !slices.Contains([]string{"potassium", "sodium", "calcium", "magnesium", "phosphoric"}, species) {
					reached += mmol * gramsPerMillimole[species]
				}
			}
			assert.LessOrEqual(t, reached, g.SolubleShare+1e-9, "%s: more reaches the liquor than its soluble share", name)
		}
		// Energy at 17 kJ a gram of sugars and protein, 37 of fat, 29 of alcohol (Regulation (EU) 1169/2011 Annex XIV):
		// what is stated holds at least that, to a tenth, since tables differ in their factors.
		if stated, given := g.Contents["energy"]; given {
			assert.LessOrEqual(t, 17*(grams("sugars")+grams("protein"))+37*grams("fat")+29*grams("alcohol"), 1.12*stated.PerGram+0.3, "%s: more energy in its parts than in all", name)
		}
	}
}

// gramsPerMillimole are molar masses by the IUPAC standard atomic weights 2021.
var gramsPerMillimole = map[string]float64{
	"citric": 0.19212, "malic": 0.13409, "tartaric": 0.15009, "ascorbic": 0.17612, "phosphoric": 0.09799, "lactic": 0.09008,
	"acetic": 0.06005, "benzoic": 0.12212, "sorbic": 0.11213, "quinic": 0.19217, "carbonic": 0.06202, "quinine": 0.32442, "sulfurous": 0.06406,
	"sodium": 0.02299, "potassium": 0.039098, "calcium": 0.040078, "magnesium": 0.024305, "chloride": 0.03545, "sulfate": 0.09606,
}

func recovery(g *Ingredient, attribute string) float64 { return g.Contents[attribute].Recovery }

// Figures that once stood wrong, against what was read or measured of each.
func TestFiguresLieWhereTheyWereMeasured(t *testing.T) {
	for _, c := range []struct {
		ingredient, attribute string
		low, high             float64
		source                string
	}{
		{"clove", "methyleugenol", 0.195, 0.26, "EFSA FEEDAP, EFSA J. 2023 (PMC10375362): up to 0.13 % of the oil, of which a clove holds 15 to 20 %"},
		{"cinnamon-ceylon", "coumarin", 0.005, 0.09, "Wang et al., J. Agric. Food Chem. 61 (2013) 4470"},
		{"cassia", "coumarin", 3, 9.3, "3 by BfR, Cinnamomum burmannii up to 9.30: Wang et al. 2013"},
		{"kola-nut", "bitterness", 0.37, 0.55, "15 mg/g of caffeine, just bitter at 150 to 200 mg/L where quinine hydrochloride is at 5"},
		{"magnesium-sulfate", "bitterness", 1, 5, "grams a litre are about as bitter as milligrams of quinine"},
		{"cinchona-bark-red", "cinchona-alkaloids", 65, 140, "Ph. Eur.: at least 6.5 %, the least and not the mean"},
		{"cinchona-bark-red", "quinine", 19.5, 54, "Ph. Eur.: 30 to 60 % of the alkaloids"},
		{"tamarind-pulp", "potassium", 6.28, 8.36, "USDA NDB 09322, Indian Food Composition Tables 2017 E064"},
		{"apple-juice-concentrate", "potassium", 6.4, 8.2, "USDA, 448 mg/100 g scaled to 70 % solids, one deviation about it"},
		{"grape-juice-concentrate", "potassium", 3.6, 5.3, "USDA, 104 mg/100 g scaled to 68 % solids"},
		{"beetroot-concentrate", "potassium", 14, 20, "USDA NDB 11080, scaled to 65 % solids"},
		{"seville-orange-juice", "acidity", 0.04, 0.048, "46 g/L measured"},
		{"grapefruit-juice", "acidity", 0.011, 0.02, "12 g/L measured, 1.3 % acids (ANSES-CIQUAL 2020, food 2027)"},
		{"lemon-juice", "soluble-solids", 0.0769, 0.089, "7.69 % total solids (USDA NDB 09152), 8.9 Brix measured"},
		{"honey", "sweetness", 0.68, 0.76, "its fructose, glucose, sucrose and maltose (White et al. 1962)"},
	} {
		v := content(t, c.ingredient, c.attribute)
		assert.True(t, c.low <= v && v <= c.high, "%s of %s is %g: %s", c.attribute, c.ingredient, v, c.source)
	}
	// A bark is at least as bitter as the quinine in it, of which 0.8174 is a gram of the hydrochloride's.
	for _, bark := range []string{"cinchona-bark-red", "cinchona-bark-yellow"} {
		assert.GreaterOrEqual(t, content(t, bark, "bitterness"), content(t, bark, "quinine")/0.8174, bark)
	}
	// Nothing is known of the oil of a calamus without a certificate, nor of methyleugenol in fennel and lemongrass.
	for ingredient, attribute := range map[string]string{"calamus-root": "beta-asarone", "fennel-seed": "methyleugenol", "lemongrass": "methyleugenol", "green-tea": "coumarin", "chicory-root": "coumarin"} {
		assert.Contains(t, embedded(t).Ingredients[ingredient].Unknown, attribute, ingredient)
	}
}

// Villalobos et al. (Acta Hort. 502 (1999) 369-375): "levels of quassins and neoquassins ... 0.28%, 0.20%,
// 0.16%, and 0.14%" by thickness of branch. Both count toward the cap; a cap at 95 % must foresee the thickest.
func TestQuassinCountsNeoquassin(t *testing.T) {
	c, known := embedded(t).Ingredients["quassia-wood"].Content("quassin")
	require.True(t, known)
	measured := []float64{2.8, 2.0, 1.6, 1.4}
	mean, sd := stat.MeanStdDev(measured, nil)
	assert.InDelta(t, mean, c.PerGram, 0.005)
	assert.InDelta(t, sd, c.SD, 0.005)
	assert.GreaterOrEqual(t, c.PerGram+1.645*c.SD, measured[0])
	assert.Equal(t, 1.0, c.CapRecovery)
}
