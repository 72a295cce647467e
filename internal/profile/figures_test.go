package profile

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/internal/chem"
)

// IUPAC standard atomic weights 2021, abridged.
const (
	hydrogen = 1.008
	carbon   = 12.011
	nitrogen = 14.007
	oxygen   = 15.999
	chlorine = 35.45
	sulfur   = 32.06
)

const molarWater = 2*hydrogen + oxygen

func content(t *testing.T, ingredient, attribute string) float64 {
	t.Helper()
	g := embedded(t).Ingredients[ingredient]
	require.NotNil(t, g, ingredient)
	c, known := g.Content(attribute)
	require.True(t, known, "%s of %s", attribute, ingredient)
	return c.PerGram
}

// 21 CFR 172.575 and Regulation (EU) 872/2012 count the salts as quinine base.
func TestQuinineSaltsByMolarMass(t *testing.T) {
	const (
		quinine       = 20*carbon + 24*hydrogen + 2*nitrogen + 2*oxygen
		hydrochloride = quinine + hydrogen + chlorine + 2*molarWater
		sulfate       = 2*quinine + 2*hydrogen + sulfur + 4*oxygen + 2*molarWater
	)
	assert.InDelta(t, 324.42, quinine, 0.01)
	assert.InDelta(t, 396.91, hydrochloride, 0.01)
	assert.InDelta(t, 782.95, sulfate, 0.01)
	for _, attribute := range []string{"quinine", "cinchona-alkaloids"} {
		assert.InEpsilon(t, 1000*quinine/hydrochloride, content(t, "quinine-hydrochloride", attribute), 1e-5)
		assert.InEpsilon(t, 2000*quinine/sulfate, content(t, "quinine-sulfate", attribute), 1e-5)
	}
	// British Pharmaceutical Codex 1911: the hydrochloride contains 81.73 per cent of quinine.
	assert.InDelta(t, 817.3, content(t, "quinine-hydrochloride", "quinine"), 0.2)
	// Equal quinine is equally bitter.
	assert.InEpsilon(t, content(t, "quinine-sulfate", "quinine")/content(t, "quinine-hydrochloride", "quinine"),
		content(t, "quinine-sulfate", "bitterness")/content(t, "quinine-hydrochloride", "bitterness"), 1e-4)
}

// Ph. Eur. 2.8.15 sets the bitterness value of quinine hydrochloride at 200 000: 1 g makes 200 000 mL
// just bitter, 5.0 mg/L. A drug of bitterness value v brings v/200 mg of it a gram.
func TestBitternessByThePharmacopoeia(t *testing.T) {
	assert.Equal(t, 1000.0, content(t, "quinine-hydrochloride", "bitterness"))
	assert.Equal(t, 5.0, chem.QuinineEquivalent(200000, 0.005))
	cases := []struct {
		ingredient string
		low, high  float64 // bitterness value, mL/g
		source     string
	}{
		{"gentian-root", 10000, 30000, "Ph. Eur. at least 10 000, Uppsala University about 20 000"},
		{"wormwood", 15000, 15000, "German Commission E 1984, Uppsala University"},
		{"centaury", 2000, 3500, "Ph. Eur. at least 2 000; lexicon 3 500"},
		{"bogbean-leaf", 1500, 9000, "Uppsala University"},
		{"bitter-orange-peel", 600, 1500, "Commission E at least 600"},
		{"blessed-thistle", 800, 1800, "recalled"},
		{"quassia-wood", 17000, 50000, "recalled 40 000 to 50 000; 17 000 to 36 000 from its quassins"},
	}
	for _, c := range cases {
		value := 200 * content(t, c.ingredient, "bitterness")
		assert.GreaterOrEqual(t, value, c.low, "%s: %s", c.ingredient, c.source)
		assert.LessOrEqual(t, value, c.high, "%s: %s", c.ingredient, c.source)
	}
}

// Ph. Eur., Cinchonae cortex: at least 6.5 % total alkaloids. Worked example of 25 g/L of bark with 5 %
// quinine, fully extracted: 1251 mg/L, 15 times the limit of the United States.
func TestCinchonaBarkIsBoundByItsCap(t *testing.T) {
	for _, bark := range []string{"cinchona-bark-red", "cinchona-bark-yellow"} {
		c := embedded(t).Ingredients[bark].Contents["cinchona-alkaloids"]
		assert.GreaterOrEqual(t, c.PerGram, 65.0)
		assert.Equal(t, 1.0, c.CapRecovery, "caps are judged with all of the alkaloids")
		assert.Positive(t, c.SD)
	}
	assert.InEpsilon(t, 1251.0, 25*content(t, "cinchona-bark-yellow", "quinine"), 0.01)
}

// AOAC 942.15: grams of acid that a millilitre of 1 M alkali takes, whose inverse ratio to that of citric
// acid, 0.064, is what a gram counts for.
func TestAcidityByTitrationFactors(t *testing.T) {
	for _, c := range []struct {
		ingredient    string
		share, factor float64
	}{
		{"citric-acid", 1, 0.064}, {"citric-acid-monohydrate", 1, 0.070}, {"malic-acid", 1, 0.067},
		{"tartaric-acid", 1, 0.075}, {"lactic-acid", 0.8, 0.090}, {"acetic-acid", 0.8, 0.060},
	} {
		assert.InEpsilon(t, c.share*0.064/c.factor, content(t, c.ingredient, "acidity"), 0.001, c.ingredient)
	}
}

// solution is what grams per litre of an ingredient make in water.
func solution(t *testing.T, g *Ingredient, grams float64) *chem.Solution {
	t.Helper()
	var s chem.Solution
	for name, mmol := range g.Solutes {
		species, err := chem.ParseSpecies(name)
		require.NoError(t, err)
		s.Amounts[species] += mmol * grams / 1000
	}
	return &s
}

func TestSolutesHaveConstants(t *testing.T) {
	assert.ElementsMatch(t, chem.SpeciesNames(), Species)
}

// What a profile says of its acidity must be what its solutes titrate to at pH 8.2.
func TestAcidityAgreesWithSolutes(t *testing.T) {
	l := embedded(t)
	for _, name := range l.IngredientNames() {
		g := l.Ingredients[name]
		if len(g.Solutes) == 0 || g.Kind == "alkaloid" { // quinine gives off a proton near pH 8.2, of no weight in a drink
			continue
		}
		if g.Solutes["carbonic"] > 0 { // its gas is gone before a drink is titrated
			continue
		}
		titrated, err := chem.TitratableAcidity(solution(t, g, 10), chem.EndPoint82, chem.Citric)
		require.NoError(t, err)
		c, known := g.Content("acidity")
		require.True(t, known, name)
		assert.InDelta(t, c.PerGram, titrated/10, 0.0009+0.01*c.PerGram, name)
	}
	for name, g := range l.Ingredients {
		if c, _ := g.Content("acidity"); c.PerGram > 0 {
			assert.NotEmpty(t, g.Solutes, "%s is sour, so its solutes are needed for the pH", name)
		}
	}
}

func TestMineralsAgreeWithSolutes(t *testing.T) {
	for name, g := range embedded(t).Ingredients {
		// A label's minerals of what is pure are those of its ions, to the rounding of the molar masses.
		for element, of := range map[string]struct {
			solute string
			molar  float64
		}{"calcium": {"calcium", 40.078}, "magnesium": {"magnesium", 24.305}, "phosphorus": {"phosphoric", 30.974}} {
			if c, known := g.Content(element); g.Pure {
				require.True(t, known, "%s in %s", element, name)
				assert.InDelta(t, g.Solutes[of.solute]*of.molar, c.PerGram, 1e-9+5e-4*c.PerGram, "%s in %s", element, name)
			}
		}
		for element, molar := range map[string]float64{"sodium": 22.990, "potassium": 39.098} {
			if mmol, ok := g.Solutes[element]; ok {
				c, known := g.Content(element)
				require.True(t, known)
				assert.InDelta(t, mmol*molar, c.PerGram, 0.05+0.03*c.PerGram, "%s in %s", element, name)
			}
		}
	}
}

// Measured pH and acidity of juices as bought, and of hibiscus infusions.
func TestJuicesAgreeWithMeasurements(t *testing.T) {
	cases := []struct {
		ingredient       string
		gramsPerLitre    float64
		low, high        float64 // pH
		acidLow, acidHad float64 // g/L as citric acid
		source           string
	}{
		{"lemon-juice", 1030, 2.0, 2.6, 44, 60, "pH by science pages; citric acid 44 to 60 g/L by Penniston 2008 and Karadeniz 2004"},
		{"cranberry-juice", 1030, 2.4, 2.7, 17, 18.4, "BMC Oral Health 21:660 (2021): pH 2.5, acidity 17.68 g/L"},
		{"sea-buckthorn-juice", 1040, 2.65, 2.95, 20, 37, "Tiitinen et al. 2005: pH 2.7 to 2.9, titratable acidity 2.0 to 3.7 %"},
		{"verjuice", 1020, 2.45, 2.6, 33, 45, "Int. J. Food Sci. 2020, 6457982: pH 2.52 to 2.55, 3.95 to 4.51 % as tartaric acid"},
		{"seville-orange-juice", 1042, 2.2, 3.0, 30, 50, "titratable acidity 3 to 5 %, recalled"},
		{"hibiscus-flower", 20, 2.7, 3.5, 2.7, 6, "Ajayi, Oyerinde 2020: infusions pH 2.7 to 3.5; Ph. Eur. at least 13.5 % acids"},
	}
	for _, c := range cases {
		s := solution(t, embedded(t).Ingredients[c.ingredient], c.gramsPerLitre)
		result, err := chem.PH(s)
		require.NoError(t, err)
		assert.True(t, c.low <= result.PH && result.PH <= c.high, "%s has pH %.2f: %s", c.ingredient, result.PH, c.source)
		acid := c.gramsPerLitre * content(t, c.ingredient, "acidity")
		assert.True(t, c.acidLow <= acid && acid <= c.acidHad, "%s has %.1f g/L: %s", c.ingredient, acid, c.source)
	}
}

// Densities of solutions that the additive volumes must come back to, within 0.9 g/L: CRC-type table at
// 20 °C for the acids, ICUMSA 1990 for sucrose, physics tables of Cracow University of Technology for
// ethanol at 18 °C, where water has 0.998595 g/mL.
func TestSpecificVolumesReproduceDensities(t *testing.T) {
	const at20, at18 = 0.998203, 0.998595
	cases := []struct {
		ingredient       string
		strength         float64 // g of the dissolved substance per g of ingredient
		percent, density float64
		water            float64
	}{
		{"citric-acid", 1, 1, 1.0022, at20}, {"citric-acid", 1, 5, 1.0189, at20}, {"citric-acid", 1, 10, 1.0402, at20},
		{"citric-acid-monohydrate", 192.12 / 210.14, 5, 1.0189, at20},
		{"lactic-acid", 0.8, 5, 1.0086, at20}, {"lactic-acid", 0.8, 10, 1.0199, at20},
		{"acetic-acid", 0.8, 5, 1.0052, at20}, {"acetic-acid", 0.8, 10, 1.0121, at20},
		{"sugar", 1, 5, 1.01780, at20}, {"sugar", 1, 10, 1.03811, at20}, {"sugar", 1, 20, 1.08098, at20},
		{"neutral-spirit", 0.9385, 10, 0.9824, at18}, {"neutral-spirit", 0.9385, 15, 0.9760, at18},
	}
	for _, c := range cases {
		g := embedded(t).Ingredients[c.ingredient]
		require.NotNil(t, g)
		grams := c.percent / c.strength
		volume := grams*g.SpecificVolume + (100-grams)/c.water
		assert.InDelta(t, c.density, 100/volume, 0.0009, "%s at %v %%", c.ingredient, c.percent)
	}
	assert.InDelta(t, 1/at20, embedded(t).Ingredients["water"].SpecificVolume, 1e-4)
}

// Juices and syrups are as dense as sucrose solutions of their solids, within 1.2 %.
func TestDensitiesFollowTheSolids(t *testing.T) {
	for name, g := range embedded(t).Ingredients {
		if g.Kind != "juice" && g.Kind != "syrup" {
			continue
		}
		density, err := chem.SucroseDensity(100*g.Contents["soluble-solids"].PerGram, 20)
		require.NoError(t, err)
		assert.InEpsilon(t, density, 1000/g.SpecificVolume, 0.012, name)
	}
}

func TestPhysicalDataHoldTogether(t *testing.T) {
	for name, g := range embedded(t).Ingredients {
		assert.True(t, g.Physical(), name)
		if solids, given := g.Contents["soluble-solids"]; given {
			assert.LessOrEqual(t, solids.PerGram*solids.Recovery, g.SolubleShare+1e-9, "%s: more dissolves than ends in the liquor", name)
		}
		if g.SolubleShare < 1 {
			assert.Positive(t, g.HoldUp, "%s: spent matter holds liquor back", name)
		} else {
			assert.Zero(t, g.HoldUp, name)
		}
	}
}

// What flavours, sours, sweetens a thousandfold, colours or preserves says how much of it drinks customarily hold;
// what a drink may be made of by the half litre need not.
func TestWhatIsStrongHasACustomaryMost(t *testing.T) {
	for name, g := range embedded(t).Ingredients {
		if slices.Contains([]string{"water", "juice", "syrup", "sugar", "spirit"}, g.Kind) || g.Bulk() {
			continue
		}
		assert.Positive(t, g.Customary, name)
		assert.NotEmpty(t, g.CustomaryProvenance.Basis, name)
	}
	for _, c := range []struct {
		ingredient string
		most       float64 // g/kg of a drink
		source     string
	}{
		{"gum-arabic", 20, "21 CFR 184.1330(c)"}, {"malic-acid", 34, "21 CFR 184.1069(d)"}, {"calcium-chloride", 2.2, "21 CFR 184.1193(d)"},
	} {
		assert.LessOrEqual(t, embedded(t).Ingredients[c.ingredient].Customary, c.most, "%s: %s", c.ingredient, c.source)
	}
}

// Nothing of this is known, and each entry keeps an ingredient out of a drink whose law caps it until
// the maker accepts it by name: the list may shrink, and is not to grow unnoticed.
func TestUnknowns(t *testing.T) {
	got := map[string]string{}
	for name, g := range embedded(t).Ingredients {
		unknown := slices.DeleteFunc(slices.Clone(g.Unknown), func(attribute string) bool { return embedded(t).Attributes[attribute].Family == composition })
		if len(unknown) > 0 {
			got[name] = strings.Join(unknown, " ")
		}
	}
	assert.Equal(t, map[string]string{
		"allspice":                 "estragole",
		"calcium-chloride":         "saltiness bitterness",
		"calcium-lactate":          "saltiness",
		"magnesium-chloride":       "saltiness bitterness",
		"magnesium-sulfate":        "saltiness",
		"potassium-bicarbonate":    "saltiness",
		"potassium-chloride":       "saltiness bitterness",
		"potassium-citrate":        "saltiness",
		"sodium-bicarbonate":       "saltiness",
		"trisodium-citrate":        "saltiness",
		"bergamot-oil":             "furanocoumarins",
		"bitter-orange-oil":        "bitterness furanocoumarins",
		"lemon-oil":                "furanocoumarins",
		"naringin":                 "furanocoumarins",
		"sweet-orange-oil":         "furanocoumarins",
		"vermouth-base":            "bitterness sulphites polyols added-acetic-acid added-malic-acid agaric-acid aloin berberine beta-asarone caffeine capsaicin cinchona-alkaloids coumarin estragole ethyl-maltol ethyl-vanillin furanocoumarins glycyrrhizin hydrocyanic-acid hypericin maltol menthofuran methyleugenol pulegone quassin quillaia-extract quinine safrole santonin sparteine teucrin-a thujone vanillin",
		"white-wine-base":          "sulphites polyols",
		"aniseed":                  "estragole furanocoumarins methyleugenol",
		"bergamot-peel":            "furanocoumarins",
		"cascarilla-bark":          "bitterness methyleugenol",
		"dill-seed":                "estragole furanocoumarins methyleugenol",
		"elecampane-root":          "bitterness",
		"gentian-extract":          "tannin",
		"hyssop":                   "bitterness methyleugenol thujone",
		"lemon-balm":               "estragole methyleugenol",
		"mugwort":                  "bitterness estragole methyleugenol santonin thujone",
		"rhubarb-root":             "bitterness",
		"rose-petals":              "methyleugenol",
		"saffron":                  "bitterness",
		"spearmint-leaf":           "menthofuran pulegone",
		"tangerine-peel":           "furanocoumarins",
		"tarragon":                 "bitterness estragole methyleugenol santonin thujone",
		"yarrow":                   "thujone",
		"angelica-root":            "furanocoumarins",
		"bitter-orange-peel":       "furanocoumarins",
		"black-carrot-concentrate": "methyleugenol",
		"black-tea":                "coumarin",
		"blackcurrant-juice":       "coumarin",
		"calamus-root":             "methyleugenol beta-asarone",
		"calumba-root":             "berberine",
		"caramel-colour":           "maltol",
		"cardamom":                 "methyleugenol",
		"cassia":                   "methyleugenol",
		"chamomile-flower":         "coumarin",
		"chicory-root":             "maltol coumarin",
		"cinnamon-ceylon":          "methyleugenol",
		"coriander-seed":           "furanocoumarins",
		"dried-lime":               "furanocoumarins bitterness",
		"elderberry-juice":         "hydrocyanic-acid",
		"elderflower":              "hydrocyanic-acid",
		"fennel-seed":              "furanocoumarins methyleugenol",
		"grape-juice-concentrate":  "sulphites",
		"grape-tannin":             "sulphites",
		"grapefruit-peel":          "furanocoumarins",
		"green-tea":                "coumarin",
		"honey":                    "caffeine",
		"juniper-berry":            "thujone",
		"lavender-flower":          "coumarin",
		"lemon-juice":              "furanocoumarins",
		"lemon-peel":               "furanocoumarins",
		"lemongrass":               "methyleugenol",
		"lime-juice":               "furanocoumarins",
		"lime-peel":                "furanocoumarins",
		"liquorice-root":           "coumarin",
		"malt-extract":             "maltol",
		"oak-wood":                 "maltol",
		"orange-blossom-water":     "caffeine furanocoumarins",
		"orange-juice":             "furanocoumarins",
		"orange-peel":              "furanocoumarins",
		"seville-orange-juice":     "furanocoumarins",
		"smoked-tea":               "coumarin",
		"sour-cherry-juice":        "coumarin",
		"tangerine-juice":          "furanocoumarins",
		"tonka-bean":               "methyleugenol vanillin",
		"wormwood":                 "santonin estragole methyleugenol",
	}, got)
}

// within is a range in the words of a source.
var within = regexp.MustCompile(`\d (?:mg/g |% )?to \d`)

func TestEveryFigureSaysWhereItComesFrom(t *testing.T) {
	known := map[Basis]bool{Published: true, Derived: true, Practice: true, Memory: true, Invented: true}
	check := func(p Provenance, what string) {
		assert.True(t, known[p.Basis], "%s has basis %q", what, p.Basis)
		assert.False(t, (p.Basis == Published || p.Basis == Derived) && p.Source == "", "%s is %s without a source", what, p.Basis)
		assert.NotContains(t, p.Source, "http", "%s: name the work, not an address", what)
	}
	l := embedded(t)
	for name, g := range l.Ingredients {
		for attribute, c := range g.Contents {
			check(c.Provenance, attribute+" of "+name)
			if c.Recovery != 1 {
				check(c.RecoveryProvenance, "recovery of "+attribute+" of "+name)
			}
			// A figure chosen within a range that was read, or reckoned from others, is not the one published.
			chosen := within.MatchString(c.Source) && !strings.Contains(c.Source, "mean")
			assert.False(t, c.Basis == Published && (chosen || strings.Contains(c.Source, "charge balance")), "%s of %s: %s", attribute, name, c.Source)
		}
		for attribute, p := range g.Absent {
			check(p, attribute+" of "+name)
		}
		for method, m := range g.Methods {
			check(m.Provenance, "method "+method+" of "+name)
		}
		if g.Customary > 0 {
			check(g.CustomaryProvenance, "customary most of "+name)
		}
		check(g.PhysicalProvenance, "physical data of "+name)
		if len(g.Solutes) > 0 {
			check(g.SolutesProvenance, "solutes of "+name)
		}
		assert.Equal(t, Invented, g.PriceProvenance.Basis, "price of %s", name)
		assert.NotEmpty(t, g.Kind, name)
		assert.NotEmpty(t, g.LabelName, name)
	}
	for name, a := range l.Attributes {
		if a.JND > 0 || a.JNDShare > 0 {
			check(a.Provenance, "just noticeable difference of "+name)
		}
	}
}
