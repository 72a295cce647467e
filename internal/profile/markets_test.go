package profile

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// law is one cap as the law has it, typed by hand from the texts cited.
type law struct {
	citation string // what the library's citation begins with
	rule     string // substance, figure with unit, drinks, condition
	text     string
}

const (
	annexIII = "Regulation (EC) 1334/2008 Annex III Part B"
	flavours = "Regulation (EC) 1334/2008 Annex I"
	additive = "Regulation (EC) 1333/2008 Annex II Part E, categor"
	sched19  = "Food Standards Code, Schedule 19"
	sched15  = "Food Standards Code, Schedule 15"
)

// european are the caps of the European Union, which the United Kingdom has kept; of the texts, only
// the rows marked seen were read.
var european = []law{
	{annexIII, "beta-asarone 1 mg/kg alcoholic", Seen},
	{annexIII, "estragole 10 mg/kg non-alcoholic", Recalled},
	{annexIII, "methyleugenol 1 mg/kg non-alcoholic", Recalled},
	{annexIII, "safrole 1 mg/kg non-alcoholic", Recalled},
	{annexIII, "hydrocyanic-acid 35 mg/kg alcoholic", Recalled},
	{annexIII, "quassin 0.5 mg/kg non-alcoholic", Recalled},
	{annexIII, "quassin 1.5 mg/kg alcoholic", Recalled},
	{annexIII, "teucrin-a 2 mg/kg alcoholic", Recalled},
	{annexIII, "thujone 10 mg/kg alcoholic except artemisia", Seen},
	{annexIII, "thujone 35 mg/kg alcoholic with artemisia", Seen},
	{annexIII, "thujone 0.5 mg/kg non-alcoholic with artemisia", Recalled},
	{annexIII, "menthofuran 200 mg/kg alcoholic with mint", Recalled},
	{annexIII, "pulegone 20 mg/kg non-alcoholic with mint", Recalled},
	{annexIII, "pulegone 100 mg/kg alcoholic with mint", Recalled},
	// "In categories 14.1 and 14.2 - not more than 100 mg/kg; In spirit drinks ... not more than 250 mg/kg"
	{flavours, "quinine 100 mg/kg any", Seen},
	{additive, "benzoic-acid 150 mg/l non-alcoholic", Recalled},
	{additive, "sorbic-acid 300 mg/l non-alcoholic", Recalled},
	{additive, "sorbic-acid 250 mg/l non-alcoholic adding benzoic-acid", Recalled},
	{additive, "benzoic-acid 200 mg/l alcoholic", Seen}, // "14.2.8,E 210-213 ... 200"
	{additive, "sorbic-acid 200 mg/l alcoholic", Seen},  // "14.2.8,E 200-202 ... 200"
	{additive, "quillaia-extract 200 mg/l non-alcoholic", Recalled},
	{additive, "sulphites 20 mg/l non-alcoholic", Seen},                  // "only carry over from concentrates"
	{flavours, "caffeine 150 mg/kg non-alcoholic adding caffeine", Seen}, // "16.016 Caffeine: In category 14.1 - not more than 150 mg/kg"
	// "16.012 Glycyrrhizic acid: In category 14.1 - not more than 50 mg/kg; In category 14.2 - not more than 550 mg/kg"
	{flavours, "glycyrrhizin 50 mg/kg non-alcoholic adding glycyrrhizin", Seen},
	{flavours, "glycyrrhizin 550 mg/kg alcoholic adding glycyrrhizin", Seen},
	{additive, "quillaia-extract 0 mg/l alcoholic", Seen}, // E 999 in no row of 14.2.6, 14.2.8
}

// laws are all caps by market. ppm and mg/kg are the same; 0.1 percent is 1000 mg/kg.
var laws = map[string][]law{
	"us": {
		{"21 CFR 172.510", "cinchona-alkaloids 83 mg/kg any with cinchona", Seen},
		{"21 CFR 172.575", "quinine 83 mg/kg any", Seen},
		{"21 CFR 172.510", "thujone 10 mg/kg alcoholic with artemisia white-cedar oak-moss tansy yarrow", Seen},
		{"21 CFR 172.510", "thujone 0 mg/kg non-alcoholic with artemisia white-cedar oak-moss tansy yarrow", Seen},
		{"21 CFR 172.510", "safrole 0 mg/kg any with camphor-tree sassafras", Seen},
		{"21 CFR 172.510", "hydrocyanic-acid 25 mg/kg any with cherry-pit cherry-laurel elder-leaf peach-leaf", Seen},
		{"21 CFR 182.1180", "caffeine 200 mg/kg any with kola", Seen},
		{"21 CFR 184.1408(c)", "glycyrrhizin 1500 mg/kg non-alcoholic", Seen},
		{"21 CFR 184.1408(c)", "glycyrrhizin 1000 mg/kg alcoholic", Seen},
		{"21 CFR 184.1021(d)", "benzoic-acid 1000 mg/kg any", Seen},
		{"21 CFR 184.1733(d)", "benzoic-acid 847 mg/kg any adding benzoic-acid", Seen},
		{"21 CFR 172.145", "heptylparaben 20 mg/kg non-alcoholic", Seen},
		{"21 CFR 172.145", "heptylparaben 12 mg/kg alcoholic", Seen},
		{"21 CFR 184.1069", "added-malic-acid 34000 mg/kg non-alcoholic", Recalled},
		{"21 CFR 184.1069", "added-malic-acid 7000 mg/kg alcoholic", Seen},
		{"21 CFR 184.1005", "added-acetic-acid 1500 mg/kg any", Seen},
		{"21 CFR 172.780", "gum-arabic 200000 mg/kg alcoholic", Seen},
		{"21 CFR 184.1330", "gum-arabic 20000 mg/kg non-alcoholic with acacia adding gum-arabic", Seen}, // "Beverages and beverage bases ... 2.0"
	},
	"eu": european,
	"uk": recalled(european),
	"au-nz": {
		{sched19, "quinine 100 mg/kg non-alcoholic", Seen}, // "Tonic drinks, bitter drinks and quinine drinks 100"
		{sched19, "quinine 300 mg/kg alcoholic", Seen},     // "Mixed alcoholic drinks ... 300; Wine based drinks 300"
		{sched19, "agaric-acid 100 mg/kg alcoholic", Recalled},
		{sched19, "aloin 50 mg/kg alcoholic", Recalled},
		{sched19, "berberine 10 mg/kg alcoholic", Recalled},
		{sched19, "coumarin 10 mg/kg alcoholic", Recalled},
		{sched19, "hypericin 2 mg/kg alcoholic", Recalled},
		{sched19, "quassin 50 mg/kg alcoholic", Recalled},
		{sched19, "safrole 5 mg/kg alcoholic", Recalled},
		{sched19, "santonin 1 mg/kg alcoholic", Recalled},
		{sched19, "sparteine 5 mg/kg alcoholic", Recalled},
		{sched19, "thujone 10 mg/kg alcoholic", Recalled},
		{sched19, "hydrocyanic-acid 0.5 mg/kg alcoholic", Recalled}, // 1 mg/kg for each % vol, of which 0.5 at least
		{sched19, "pulegone 250 mg/kg any", Recalled},
		{sched15, "caffeine 145 mg/kg any", Seen},     // "Cola type drinks Caffeine 145"
		{sched15, "benzoic-acid 400 mg/kg any", Seen}, // "Benzoic acid and sodium, potassium and calcium benzoates 400"
		{sched15, "sorbic-acid 400 mg/kg any", Seen},
		{sched15, "sulphites 115 mg/kg non-alcoholic", Seen}, // "Sulphur dioxide and sodium and potassium sulphites 115"
		{sched15, "sulphites 250 mg/kg alcoholic", Seen},
	},
}

func recalled(all []law) []law {
	out := append([]law(nil), all...)
	for i := range out {
		out[i].text = Recalled
	}
	return out
}

func describe(c Cap) string {
	per := map[Per]string{PerKilogram: "mg/kg", PerLitre: "mg/l"}[c.Per]
	words := []string{c.Substance, fmt.Sprint(c.Max), per, c.Drinks}
	if with := append(append([]string(nil), c.Plants...), c.Ingredients...); len(with) > 0 {
		words = append(append(words, "with"), with...)
	}
	if len(c.Added) > 0 {
		words = append(append(words, "adding"), c.Added...)
	}
	if len(c.ExceptPlants) > 0 {
		words = append(append(words, "except"), c.ExceptPlants...)
	}
	return strings.Join(words, " ")
}

func TestCapsEqualTheLaw(t *testing.T) {
	l := embedded(t)
	require.Len(t, laws, len(l.Markets))
	for name, m := range l.Markets {
		var got []string
		for _, c := range m.Caps {
			got = append(got, describe(c)+" "+c.Text)
		}
		var want []string
		for i, w := range laws[name] {
			want = append(want, w.rule+" "+w.text)
			if i < len(m.Caps) {
				assert.True(t, strings.HasPrefix(m.Caps[i].Citation, w.citation), "%s: %s cites %s", name, w.rule, m.Caps[i].Citation)
				assert.Equal(t, w.text == Recalled, m.Caps[i].Unconfirmed())
			}
		}
		assert.Equal(t, want, got, name)
	}
}

// The thresholds are those of 27 CFR 16.10, Regulation (EU) 1169/2011 Article 9(1)(k), and the stricter
// reading for Australia and New Zealand.
func TestAlcoholicFrom(t *testing.T) {
	for name, want := range map[string]float64{"us": 0.5, "eu": 1.2, "uk": 1.2, "au-nz": 0.5} {
		assert.Equal(t, want, embedded(t).Markets[name].AlcoholicFrom, name)
	}
}

func TestPermissionsEqualTheLaw(t *testing.T) {
	cases := []struct{ market, ingredient, rule, citation, text string }{
		{"us", "artichoke-leaf", AlcoholicOnly, "21 CFR 172.510", Seen}, // "Artichoke leaves ... In alcoholic beverages only"
		{"us", "bogbean-leaf", AlcoholicOnly, "21 CFR 172.510", Seen},   // "Buckbean leaves"
		{"us", "calumba-root", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "centaury", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "blessed-thistle", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "hibiscus-flower", AlcoholicOnly, "21 CFR 172.510", Recalled}, // "Roselle"
		{"us", "lemon-verbena", AlcoholicOnly, "21 CFR 172.510", Recalled},
		{"us", "oak-wood", AlcoholicOnly, "21 CFR 172.510", Recalled}, // "Oak, English, wood"
		{"us", "sweet-woodruff", AlcoholicOnly, "21 CFR 172.510", Recalled},
		{"us", "quinine-hydrochloride", CarbonatedOnly, "21 CFR 172.575", Seen},
		{"us", "quinine-sulfate", CarbonatedOnly, "21 CFR 172.575", Seen},
		{"us", "cinchona-bark-red", BeveragesOnly, "21 CFR 172.510", Seen},
		{"us", "tonka-bean", Banned, "21 CFR 189.130", Seen},
		{"us", "calamus-root", Banned, "21 CFR 189.110", Seen},
		{"eu", "quassia-wood", BeveragesOnly, "Regulation (EC) 1334/2008 Annex IV Part B", Seen},
		{"uk", "quassia-wood", BeveragesOnly, "Regulation (EC) 1334/2008 Annex IV Part B", Recalled},
		{"au-nz", "calamus-root", Banned, "Food Standards Code, Schedule 23", Seen},
	}
	l := embedded(t)
	found := map[string]string{}
	for _, c := range cases {
		require.Contains(t, l.Ingredients, c.ingredient)
		for _, p := range l.Markets[c.market].Permissions {
			if p.Covers(l.Ingredients[c.ingredient]) {
				assert.Equal(t, c.rule+" "+c.text, p.Rule+" "+p.Text, "%s in %s", c.ingredient, c.market)
				assert.True(t, strings.HasPrefix(p.Citation, c.citation), "%s cites %s", c.ingredient, p.Citation)
				found[c.market+" "+c.ingredient] = p.Rule
			}
		}
		assert.Contains(t, found, c.market+" "+c.ingredient)
	}
	// The law lists or leaves these without limitation: gentian, quassia, wormwood, valerian and the
	// GRAS seasonings of 21 CFR 182.10 among them.
	for _, free := range []string{"gentian-root", "quassia-wood", "wormwood", "angelica-root", "coriander-seed", "elderflower", "ginger-root", "star-anise", "chamomile-flower", "lavender-flower"} {
		for _, p := range l.Markets["us"].Permissions {
			assert.False(t, p.Covers(l.Ingredients[free]), "%s is under %s", free, p.Rule)
		}
	}
	// Pure substances that may not be added as such, and plants without a profile.
	substances := l.Markets["eu"].Permissions[0]
	assert.Equal(t, Banned, substances.Rule)
	assert.ElementsMatch(t, []string{"agaric-acid", "aloin", "capsaicin", "coumarin", "hypericin", "beta-asarone", "estragole", "hydrocyanic-acid", "menthofuran", "methyleugenol", "pulegone", "quassin", "safrole", "teucrin-a", "thujone"}, substances.Added)
	assert.Equal(t, Banned, ruleOf(l.Markets["us"], "sassafras"))
	assert.Equal(t, Banned, ruleOf(l.Markets["eu"], "yucca"))
	assert.Equal(t, AlcoholicOnly, ruleOf(l.Markets["us"], "tansy"))
	assert.Equal(t, AlcoholicOnly, ruleOf(l.Markets["eu"], "hypericum"))
	assert.Equal(t, AlcoholicOnly, ruleOf(l.Markets["eu"], "germander"))
	assert.Equal(t, Banned, ruleOf(l.Markets["eu"], "calamus-tetraploid"))
	for _, plant := range []string{"borage", "boldo", "bryony", "cherry-laurel"} {
		assert.Equal(t, Banned, ruleOf(l.Markets["au-nz"], plant), plant)
	}
}

func ruleOf(m *Market, plant string) string {
	for _, p := range m.Permissions {
		if p.Covers(&Ingredient{Plants: []string{plant}}) {
			return p.Rule
		}
	}
	return ""
}

// Each case holds a drink just at, or just over, the figure of the cited text.
func TestDeclarationsEqualTheLaw(t *testing.T) {
	const (
		hypertension = "contains liquorice - people suffering from hypertension should avoid excessive consumption"
		caffeine     = "High caffeine content. Not recommended for children or pregnant or breast-feeding women (__ mg/100 ml)"
	)
	cases := []struct {
		market, attribute string
		value             float64
		alcoholic         bool
		wording, citation string
		fires             bool
	}{
		{"us", "quinine", 0, false, "contains quinine", "21 CFR 172.575", false},
		{"us", "quinine", 0.1, false, "contains quinine", "21 CFR 172.575", true},
		{"us", "sulphites", 10, false, "contains sulfites", "21 CFR 101.100(a)(4)", true},
		{"us", "vanillin", 40, true, "imitation", "TTB", false},
		{"us", "vanillin", 40.1, true, "imitation", "TTB", true},
		{"us", "ethyl-vanillin", 16.1, true, "imitation", "TTB", true},
		{"us", "maltol", 250.1, true, "imitation", "TTB", true},
		{"us", "ethyl-maltol", 100.1, true, "imitation", "TTB", true},
		{"us", "vanillin", 40.1, false, "imitation", "TTB", false},
		{"us", "juice", 5, false, "contains __ percent juice", "21 CFR 101.30(a)", true},
		{"eu", "quinine", 0.1, false, "flavouring (quinine)", "Regulation (EU) 1169/2011 Annex VII", true},
		{"eu", "caffeine", 150, false, caffeine, "Regulation (EU) 1169/2011 Annex III point 4.1", false},
		{"eu", "caffeine", 150.1, false, caffeine, "Regulation (EU) 1169/2011 Annex III point 4.1", true},
		{"eu", "glycyrrhizin", 9.9, false, "contains liquorice", "Regulation (EU) 1169/2011 Annex III point 3.1", false},
		{"eu", "glycyrrhizin", 10, false, "contains liquorice", "Regulation (EU) 1169/2011 Annex III point 3.1", true},
		{"eu", "glycyrrhizin", 50, false, hypertension, "Regulation (EU) 1169/2011 Annex III point 3.3", true},
		{"eu", "glycyrrhizin", 299, true, hypertension, "Regulation (EU) 1169/2011 Annex III point 3.3", false},
		{"eu", "glycyrrhizin", 300, true, hypertension, "Regulation (EU) 1169/2011 Annex III point 3.3", true},
		{"eu", "polyols", 0.1, false, "with sweetener(s)", "Regulation (EU) 1169/2011 Annex III point 2", true},
		{"eu", "polyols", 10, false, "excessive consumption may produce laxative effects", "Regulation (EU) 1169/2011 Annex III point 2", false},
		{"eu", "polyols", 10.1, false, "excessive consumption may produce laxative effects", "Regulation (EU) 1169/2011 Annex III point 2", true},
		{"eu", "sulphites", 10, false, "contains sulphites", "Regulation (EU) 1169/2011 Annex II", false},
		{"uk", "sulphites", 10.1, false, "contains sulphites", "Regulation (EU) 1169/2011 Annex II", true},
		{"uk", "quinine", 0.1, true, "flavouring (quinine)", "Regulation (EU) 1169/2011 Annex VII", true},
		{"au-nz", "quinine", 0.1, false, "contains quinine", "Food Standards Code, Standard 1.2.3", true},
		{"au-nz", "sulphites", 10, false, "contains sulphites", "Food Standards Code, Standard 1.2.3", true},
	}
	l := embedded(t)
	for _, c := range cases {
		t.Run(fmt.Sprint(c.market, " ", c.attribute, " ", c.value), func(t *testing.T) {
			value := func(attribute string, per Per) float64 {
				if attribute == c.attribute {
					return c.value
				}
				return 0
			}
			found, fires := false, false
			for _, d := range l.Markets[c.market].Declarations {
				if d.Wording != c.wording || d.Attribute != c.attribute {
					continue
				}
				found = true
				assert.True(t, strings.HasPrefix(d.Citation, c.citation), d.Citation)
				fires = fires || d.Fires(c.alcoholic, nil, value)
			}
			assert.True(t, found)
			assert.Equal(t, c.fires, fires)
		})
	}
}

// 27 CFR 16.21, letter by letter.
func TestGovernmentWarning(t *testing.T) {
	const warning = "GOVERNMENT WARNING: (1) According to the Surgeon General, women should not drink alcoholic beverages during pregnancy because of the risk of birth defects. (2) Consumption of alcoholic beverages impairs your ability to drive a car or operate machinery, and may cause health problems."
	none := func(string, Per) float64 { return 0 }
	var fired []string
	for _, d := range embedded(t).Markets["us"].Declarations {
		if d.Fires(true, nil, none) {
			fired = append(fired, d.Wording)
		}
		assert.False(t, d.Fires(false, nil, none))
	}
	assert.Equal(t, []string{warning}, fired)
}

func TestCapApplies(t *testing.T) {
	wormwood := &Ingredient{Name: "wormwood", Plants: []string{"artemisia", "wormwood"}}
	sage := &Ingredient{Name: "sage-leaf", Plants: []string{"sage"}}
	benzoate := &Ingredient{Name: "sodium-benzoate"}
	cases := []struct {
		name      string
		cap       Cap
		alcoholic bool
		used      []*Ingredient
		want      bool
	}{
		{"any drink", Cap{Drinks: AnyDrinks}, true, nil, true},
		{"alcoholic only", Cap{Drinks: Alcoholic}, false, nil, false},
		{"non-alcoholic only", Cap{Drinks: NonAlcoholic}, true, nil, false},
		{"plant used", Cap{Drinks: AnyDrinks, Plants: []string{"artemisia"}}, true, []*Ingredient{sage, wormwood}, true},
		{"plant not used", Cap{Drinks: AnyDrinks, Plants: []string{"artemisia"}}, true, []*Ingredient{sage}, false},
		{"ingredient used", Cap{Drinks: AnyDrinks, Ingredients: []string{"sodium-benzoate"}}, false, []*Ingredient{benzoate}, true},
		{"excepted plant used", Cap{Drinks: AnyDrinks, ExceptPlants: []string{"artemisia"}}, true, []*Ingredient{wormwood}, false},
		{"excepted plant not used", Cap{Drinks: AnyDrinks, ExceptPlants: []string{"artemisia"}}, true, []*Ingredient{sage}, true},
	}
	for _, c := range cases {
		assert.Equal(t, c.want, c.cap.Applies(c.alcoholic, c.used), c.name)
	}
}

// A rule about an added substance meets every ingredient that brings it, whatever its name; a plant's own
// content is no addition.
func TestAddedSubstancesAreMetByContent(t *testing.T) {
	brings := func(substance string, plants ...string) *Ingredient {
		return &Ingredient{Name: "own", Plants: plants, Contents: map[string]Content{substance: {PerGram: 860}}}
	}
	l := embedded(t)
	for _, c := range []struct {
		market string
		uses   *Ingredient
		want   string
	}{
		{"us", brings("quinine"), CarbonatedOnly},
		{"us", brings("quinine", "cinchona"), BeveragesOnly},
		{"us", brings("coumarin"), Banned},
		{"us", brings("safrole"), Banned},
		{"eu", brings("thujone"), Banned},
		{"eu", brings("thujone", "artemisia"), ""},
		{"eu", brings("sugars"), ""},
	} {
		got := ""
		for _, p := range l.Markets[c.market].Permissions {
			if p.Covers(c.uses) {
				got = p.Rule
			}
		}
		assert.Equal(t, c.want, got, "%s: %v", c.market, c.uses)
	}
	// Category 14.1.4: sorbates may reach 300 mg/L, and 250 together with benzoates.
	sorbic := func(used *Ingredient) float64 {
		lowest := 1000.0
		for _, cap := range l.Markets["eu"].Caps {
			if cap.Substance == "sorbic-acid" && cap.Applies(false, []*Ingredient{used}) {
				lowest = min(lowest, cap.Max)
			}
		}
		return lowest
	}
	assert.Equal(t, 250.0, sorbic(brings("benzoic-acid")), "an own potassium benzoate")
	assert.Equal(t, 300.0, sorbic(brings("sugars")))
	assert.Equal(t, 300.0, sorbic(brings("benzoic-acid", "cranberry")), "a berry's own benzoic acid")
}
