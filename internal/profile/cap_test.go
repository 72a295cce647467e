package profile

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPermissionsEqualTheLaw(t *testing.T) {
	cases := []struct{ market, ingredient, rule, citation, text string }{
		{"us", "artichoke-leaf", AlcoholicOnly, "21 CFR 172.510", Seen}, // "Artichoke leaves ... In alcoholic beverages only"
		{"us", "bogbean-leaf", AlcoholicOnly, "21 CFR 172.510", Seen},   // "Buckbean leaves"
		{"us", "calumba-root", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "centaury", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "blessed-thistle", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "hibiscus-flower", AlcoholicOnly, "21 CFR 172.510", Seen}, // "Roselle"
		{"us", "lemon-verbena", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "oak-wood", AlcoholicOnly, "21 CFR 172.510", Seen}, // "Oak, English, wood"
		{"us", "sweet-woodruff", AlcoholicOnly, "21 CFR 172.510", Seen},
		{"us", "quinine-hydrochloride", CarbonatedOnly, "21 CFR 172.575", Seen},
		{"us", "quinine-sulfate", CarbonatedOnly, "21 CFR 172.575", Seen},
		{"us", "cinchona-bark-red", BeveragesOnly, "21 CFR 172.510", Seen},
		{"us", "tonka-bean", Banned, "21 CFR 189.130", Seen},
		{"us", "calamus-root", Banned, "21 CFR 189.110", Seen},
		{"eu", "quassia-wood", BeveragesOnly, "Regulation (EC) 1334/2008 Annex IV Part B", Seen},
		{"uk", "quassia-wood", BeveragesOnly, "Regulation (EC) 1334/2008 Annex IV Part B", Recalled},
		{"au-nz", "calamus-root", Banned, "Food Standards Code, Schedule 23", Seen},
	}
	l := written(t)
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
			assert.False(t, p.Rule != Permitted && p.Covers(l.Ingredients[free]), "%s is under %s", free, p.Rule)
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
	// "Oak, English, wood ... In alcoholic beverages only"; "Oak, white, chips" has no limitation.
	assert.Equal(t, AlcoholicOnly, ruleOf(l.Markets["us"], "english-oak"))
	assert.Equal(t, AlcoholicOnly, ruleOf(l.Markets["us"], "oak-wood"), "of no stated species")
	assert.Equal(t, Permitted, ruleOf(l.Markets["us"], "white-oak"))
	assert.Equal(t, Banned, ruleOf(l.Markets["us"], "safflower"))
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

func TestCapApplies(t *testing.T) {
	wormwood := &Ingredient{Name: "wormwood", Plants: []string{"artemisia", "wormwood"}}
	sage := &Ingredient{Name: "sage-leaf", Plants: []string{"sage"}}
	benzoate := &Ingredient{Name: "own", Pure: true, Contents: map[string]Content{"benzoic-acid": {PerGram: 847}}}
	sugar := &Ingredient{Name: "sugar", Pure: true}
	silent := &Ingredient{Name: "own"}
	artemisia, benzoic := []string{"artemisia"}, []string{"benzoic-acid"}
	weak, strong := Drink{Alcoholic: true, Percent: 14.9}, Drink{Alcoholic: true, Percent: 15}
	spirit := Drink{Alcoholic: true, Percent: 40, SpiritDrink: true}
	cases := []struct {
		name string
		cap  Cap
		of   Drink
		used []*Ingredient
		want bool
	}{
		{"any drink", Cap{Scope: Scope{Drinks: AnyDrinks}}, weak, nil, true},
		{"alcoholic only", Cap{Scope: Scope{Drinks: Alcoholic}}, Drink{}, nil, false},
		{"non-alcoholic only", Cap{Scope: Scope{Drinks: NonAlcoholic}}, weak, nil, false},
		{"below 15 %", Cap{Scope: Scope{Drinks: Alcoholic, BelowPercent: 15}}, weak, nil, true},
		{"below 15 %, at it", Cap{Scope: Scope{Drinks: Alcoholic, BelowPercent: 15}}, strong, nil, false},
		{"from 15 %", Cap{Scope: Scope{FromPercent: 15}}, strong, nil, true},
		{"from 15 %, below it", Cap{Scope: Scope{FromPercent: 15}}, weak, nil, false},
		{"spirit drinks", Cap{Scope: Scope{Drinks: SpiritDrinks}}, spirit, nil, true},
		{"spirit drinks, another", Cap{Scope: Scope{Drinks: SpiritDrinks}}, strong, nil, false},
		{"no spirit drinks", Cap{Scope: Scope{Drinks: NoSpirits}}, Drink{}, nil, true},
		{"no spirit drinks, one", Cap{Scope: Scope{Drinks: NoSpirits}}, spirit, nil, false},
		{"other alcoholic", Cap{Scope: Scope{Drinks: OtherAlcoholic}}, strong, nil, true},
		{"other alcoholic, none", Cap{Scope: Scope{Drinks: OtherAlcoholic}}, Drink{}, nil, false},
		{"other alcoholic, a spirit drink", Cap{Scope: Scope{Drinks: OtherAlcoholic}}, spirit, nil, false},
		{"still", Cap{Scope: Scope{Gas: Still}}, Drink{Carbonated: true}, nil, false},
		{"carbonated", Cap{Scope: Scope{Gas: Carbonated}}, Drink{}, nil, false},
		{"plant used", Cap{Plants: artemisia}, weak, []*Ingredient{sage, wormwood}, true},
		{"plant not used", Cap{Plants: artemisia}, weak, []*Ingredient{sage}, false},
		{"added", Cap{Added: benzoic}, weak, []*Ingredient{sugar, benzoate}, true},
		{"not added", Cap{Added: benzoic}, weak, []*Ingredient{sugar, sage}, false},
		{"perhaps added", Cap{Added: benzoic}, weak, []*Ingredient{sugar, silent}, true},
		{"excepted plant used", Cap{ExceptPlants: artemisia}, weak, []*Ingredient{wormwood}, false},
		{"excepted plant not used", Cap{ExceptPlants: artemisia}, weak, []*Ingredient{sage}, true},
	}
	for _, c := range cases {
		assert.Equal(t, c.want, c.cap.Applies(c.of, c.used), c.name)
	}
}

// A rule about an added substance meets every ingredient that brings it, whatever its name; a plant's own
// content is no addition.
func TestAddedSubstancesAreMetByContent(t *testing.T) {
	brings := func(substance string, plants ...string) *Ingredient {
		return &Ingredient{Name: "own", Pure: true, Plants: plants, Contents: map[string]Content{substance: {PerGram: 860}}}
	}
	l := written(t)
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
			if cap.Substance == "sorbic-acid" && cap.Applies(Drink{}, []*Ingredient{used}) {
				lowest = min(lowest, cap.Max)
			}
		}
		return lowest
	}
	assert.Equal(t, 250.0, sorbic(brings("benzoic-acid")), "an own potassium benzoate")
	assert.Equal(t, 300.0, sorbic(brings("sugars")))
	assert.Equal(t, 300.0, sorbic(brings("benzoic-acid", "cranberry")), "a berry's own benzoic acid")
}
