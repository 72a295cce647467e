package label_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Each row holds the words of one rule; the citation beside it is where they stand.
func TestWording(t *testing.T) {
	water := map[string]float64{"water": 900}
	with := func(amounts map[string]float64) map[string]float64 {
		for name, x := range water {
			amounts[name] = x
		}
		return amounts
	}
	for _, c := range []struct {
		name, market, head string
		amounts            map[string]float64
		part, says, not    string
		citation           string
	}{
		{"quinine in the list", "eu", "", with(map[string]float64{"sugar": 80, "quinine-hydrochloride": 0.04}),
			"ingredients", "flavouring (quinine)", "", "Regulation (EU) 1169/2011 Annex VII Part D point 3"},
		{"the rule of the list", "eu", "", with(map[string]float64{"sugar": 80, "quinine-hydrochloride": 0.04}),
			"ingredients", "named in the list: flavouring (quinine)\n", "", "Regulation (EU) 1169/2011 Annex VII Part D point 3"},
		{"quinine of a bark", "uk", "", with(map[string]float64{"sugar": 80, "cinchona-bark-red": 0.5}),
			"ingredients", "flavouring (quinine; cinchona bark)", "", "Regulation (EU) 1169/2011 Annex VII Part D point 3"},
		{"caffeine of kola", "eu", "", with(map[string]float64{"sugar": 80, "kola-nut": 1}),
			"ingredients", "flavouring (caffeine; kola nut)", "", "Regulation (EU) 1169/2011 Annex VII Part D point 3"},
		{"no line beside the list", "eu", "", with(map[string]float64{"sugar": 80, "kola-nut": 1}),
			"declaration", "", "caffeine", "Regulation (EU) 1169/2011 Annex VII Part D point 3"},
		{"sweetener and no sugar", "eu", "", with(map[string]float64{"sucralose": 0.1}),
			"declaration", "with sweetener(s)", "sugar(s)", "Regulation (EU) 1169/2011 Annex III point 2.1"},
		{"sweetener and sugar", "eu", "energy_reduced = true\n", with(map[string]float64{"sugar": 40, "sucralose": 0.1}),
			"declaration", "with sugar(s) and sweetener(s)", "", "Regulation (EU) 1169/2011 Annex III point 2.2"},
		{"sugar and no sweetener", "uk", "", with(map[string]float64{"sugar": 80}),
			"declaration", "", "sweetener", "Regulation (EU) 1169/2011 Annex III point 2.1"},
		{"phenylalanine", "eu", "", with(map[string]float64{"aspartame": 0.2}),
			"declaration", "contains a source of phenylalanine", "", "Regulation (EU) 1169/2011 Annex III point 2.3"},
		{"liquorice once", "eu", "", with(map[string]float64{"sugar": 80, "liquorice-root": 0.5}),
			"declaration", "", "contains liquorice\n", "Regulation (EU) 1169/2011 Annex III point 3.1"},
		{"sulphites over 10 mg/L", "eu", "", with(map[string]float64{"sugar": 80, "potassium-metabisulphite": 0.03}),
			"ingredients", "preservative (potassium metabisulphite) (SULPHITES)", "", "Regulation (EU) 1169/2011 Article 21(1)(b), Annex II point 12"},
		{"sulphites without a list", "eu", "alcohol_percent = 5\n", with(map[string]float64{"sugar": 80, "potassium-metabisulphite": 0.03}),
			"allergens", "contains sulphites", "", "Regulation (EU) 1169/2011 Article 21(1), second subparagraph"},
		{"no panel over 1.2 % vol", "eu", "alcohol_percent = 1.3\n", with(map[string]float64{"sugar": 80}),
			"nutrition", "no nutrition declaration is asked for over 1.2 % vol", "", "Regulation (EU) 1169/2011 Article 16(4)"},
		{"panel at 1.2 % vol", "eu", "alcohol_percent = 1.2\n", with(map[string]float64{"sugar": 80}),
			"nutrition", "Nutrition declaration, see below", "", "Regulation (EU) 1169/2011 Article 16(4)"},
		{"no date from 10 % vol", "eu", "alcohol_percent = 10\n", with(map[string]float64{"sugar": 80}),
			"best before", "no date is asked for from 10 % vol on", "", "Regulation (EU) 1169/2011 Annex X point 1(d)"},
		{"a date below 10 % vol", "uk", "alcohol_percent = 9.9\n", with(map[string]float64{"sugar": 80}),
			"to fill in", "Best before: __", "", "Regulation (EU) 1169/2011 Annex X point 1(d)"},
		{"lot", "eu", "", with(map[string]float64{"sugar": 80}), "to fill in", "Lot: __", "", "Directive 2011/91/EU Article 2"},
		{"sulfites from 10 ppm", "us", "", with(map[string]float64{"sugar": 80, "potassium-metabisulphite": 0.03}),
			"declaration", "contains sulfites", "", "21 CFR 101.100(a)(4)"},
		{"no sulfites below 10 ppm", "us", "", with(map[string]float64{"sugar": 80, "potassium-metabisulphite": 0.01}),
			"declaration", "", "sulfites", "21 CFR 101.100(a)(4)"},
		{"below 7 % vol", "us", "alcohol_percent = 6.9\n", with(map[string]float64{"sugar": 80}), "nutrition", "Nutrition Facts, see below", "", "27 CFR 4.10"},
		{"wine from 7 % vol", "us", "alcohol_percent = 7\n", with(map[string]float64{"sugar": 80}), "nutrition", "no Nutrition Facts", "", "27 CFR 4.10"},
		{"weak", "au-nz", "alcohol_percent = 1.15\n", with(map[string]float64{"sugar": 80}), "strength", "Contains not more than 1.15 % alcohol by volume", "", "Standard 2.7.1-3"},
		{"weak, said once", "au-nz", "alcohol_percent = 1.15\n", with(map[string]float64{"sugar": 80}), "declaration", "", "alcohol by volume", "Standard 2.7.1-3"},
		{"strong", "au-nz", "alcohol_percent = 1.2\n", with(map[string]float64{"sugar": 80}), "declaration", "1.2 % alcohol by volume", "", "Standard 2.7.1-3"},
		{"pregnancy warning", "au-nz", "alcohol_percent = 1.2\n", with(map[string]float64{"sugar": 80}), "pregnancy warning", "the pregnancy warning label", "", "Standard 2.7.1-8"},
		{"standard drinks", "au-nz", "alcohol_percent = 5\nbottle_ml = 330\n", with(map[string]float64{"sugar": 80}), "standard drinks", "Approx. 1.3 standard drinks", "", "Standard 2.7.1-4: 0.33 L x 5 x 0.789"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Contains(c.head, "alcohol_percent") {
				c.amounts["neutral-spirit"] = 80
			}
			l := draft(t, "name = \"Test\"\nmarkets = [\""+c.market+"\"]\n"+c.head, c.amounts, "")
			texts := strings.Join(line(l[c.market], c.part), "\n") + "\n"
			assert.Contains(t, texts, c.says, c.citation)
			if c.not != "" {
				assert.NotContains(t, texts, c.not, c.citation)
			}
		})
	}
}

// Liquorice from 50 mg/L of glycyrrhizin on is said once, in the longer words of Annex III point 3.3; 3.1 asks for
// nothing where the list says liquorice.
func TestLiquoriceOnce(t *testing.T) {
	extract := `
[[ingredient]]
name = "root-extract"
pure = true
label_name = "root extract"
plants = ["liquorice"]
soluble_share = 1
specific_volume_ml_per_g = 0.7
basis = "invented"
[ingredient.contents]
glycyrrhizin = 100
`
	said := func(name string, grams float64) string {
		l := draft(t, "name = \""+name+"\"\nmarkets = [\"eu\"]\n", map[string]float64{"water": 950, "root-extract": grams}, extract)
		return strings.Join(line(l["eu"], "declaration"), "\n")
	}
	assert.Equal(t, "contains liquorice", said("Test", 0.2), "20 mg/L")
	assert.Empty(t, said("Liquorice soda", 0.2), "the name says it")
	assert.Equal(t, "contains liquorice - people suffering from hypertension should avoid excessive consumption", said("Test", 0.6), "60 mg/L")
	assert.Empty(t, said("Test", 0.05), "5 mg/L")
}

// Energy of polyols by Schedule 11, section S11-2: 50 g of erythritol in a litre give 5 kJ in 100 mL at 1 kJ/g, where
// Annex XIV of Regulation (EU) 1169/2011 has 0.
func TestPolyolFactors(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"eu\", \"au-nz\"]\nbottle_ml = 250\n", map[string]float64{"water": 950, "erythritol": 50}, "")
	assert.Equal(t, "0 kJ / 0 kcal", row(t, l["eu"], "Energy").Amounts[0])
	energy := row(t, l["au-nz"], "Energy").Amounts[1]
	assert.Regexp(t, `^(4\.9|5)[0-9.]* kJ$`, energy)
}
