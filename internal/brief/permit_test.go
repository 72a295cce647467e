package brief_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What keeps rules from finding an ingredient is refused with one line.
func TestFaultsOfWhatRulesLookFor(t *testing.T) {
	own := func(keys string) string {
		return "[[ingredient]]\nname = \"house\"\n" + keys + "\nbasis = \"invented\"\nsoluble_share = 1\nspecific_volume_ml_per_g = 0.6\n"
	}
	const ask = `, but names neither a plant nor a class, by which the law's rules find it (give plants = [...], as "bittersum profiles list plants" has them, or a category such as "acid", "sweetener" or "flavouring")`
	for _, c := range []struct{ name, own, want string }{
		{"an acid of no class", own("kind = \"acid\"\npure = true\ncontents = { acidity = 1 }"), `brief.toml:8: ingredient: "house" is of kind acid` + ask},
		{"an extract of no plant", own("kind = \"extract\"\npure = true"), `brief.toml:8: ingredient: "house" is of kind extract` + ask},
		{"a sweetener of no class", own("kind = \"sweetener\"\npure = true\ncontents = { sweetness = 200 }"), `brief.toml:8: ingredient: "house" is of kind sweetener` + ask},
		{"sour, of no kind", own("pure = true\ncontents = { acidity = 0.5 }"), `brief.toml:8: ingredient: "house" carries acidity` + ask},
		{"sweet without sugars, of no kind", own("pure = true\ncontents = { sweetness = 200 }"), `brief.toml:8: ingredient: "house" carries sweetness` + ask},
		{"of no kind at all", own(`absent = { families = ["taste"] }`), `brief.toml:8: ingredient: "house" does not say what kind of thing it is` + ask},
		{"a class misspelt", own("category = \"sweetner\"\npure = true"), `brief.toml:10: ingredient[1].category: "sweetner" is not allowed; it must be one of flavouring, flavour enhancer, preservative, sweetener, acid, acidity regulator, sequestrant, antioxidant, colour, stabiliser, thickener, gelling agent, emulsifier, foaming agent, antifoaming agent, humectant, bulking agent, modified starch, firming agent, glazing agent, anti-caking agent, carrier, mineral salt, vitamin, propellent gas, packaging gas (did you mean "sweetener"?)`},
		{"a plant misspelt", own("plants = [\"artemesia\"]\npure = true"), `brief.toml:10: ingredient[1].plants[1]: there is no plant "artemesia" (did you mean "artemisia"?)`},
		{"a plant unknown", own("plants = [\"guayusa-holly-of-the-north\"]\npure = true"), `brief.toml:10: ingredient[1].plants[1]: there is no plant "guayusa-holly-of-the-north" (a plant that no profile and no rule knows goes under other_plants)`},
		{"a plant known after all", own("other_plants = [\"artemisia\"]\npure = true"), `brief.toml:10: ingredient[1].other_plants[1]: "artemisia" is a plant that is known here (put it under plants)`},
		{"a plant in capitals", own("other_plants = [\"Ilex guayusa\"]\npure = true"), `brief.toml:10: ingredient[1].other_plants[1]: "Ilex guayusa" is no name: use small letters, digits and single hyphens`},
		{"solutes that no content shows", own("kind = \"salt\"\ncategory = \"acidity regulator\"\npure = true\nsolutes = { phosphoric_mmol_per_g = 7, sodium_mmol_per_g = 14 }"),
			`brief.toml:8: ingredient: "house" states phosphoric under its solutes, but no content of phosphates, which the law's rules count (give contents.phosphates)`},
		{"an acid that may be phosphoric", own("kind = \"acid\"\ncategory = \"acid\"\nabsent = { families = [\"taste\", \"restricted\", \"preservative\", \"texture\"], source = \"tested\" }"),
			`brief.toml:4: use[3]: "house" has no figure for phosphates, which market eu caps (Regulation (EC) 1333/2008 Annex II Part E, category 14.1.4, E 338 to 452) (give it in a profile or lot, list it there under absent, or take it upon yourself with [[accept]])`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := "name = \"t\"\nmarkets = [\"eu\"]\ncarbonated = true\nuse = [\"water\", \"sugar\", \"house\"]\n[targets.sugars]\nmin = 5\n\n" + c.own
			err := open(t, text, nil)
			require.Error(t, err)
			assert.Equal(t, c.want, err.Error())
		})
	}
}

// What rules can find is not asked about: water, sugars, salt, and what names its plant or class.
func TestWhatRulesFindIsNotAsked(t *testing.T) {
	for _, keys := range []string{
		"kind = \"water\"\npure = true", "kind = \"syrup\"\npure = true\ncontents = { sweetness = 0.7, sugars = 0.7 }", "pure = true",
		"kind = \"salt\"\npure = true\nsolutes = { sodium_mmol_per_g = 17.1, chloride_mmol_per_g = 17.1 }",
		"kind = \"root\"\nplants = [\"gentian\"]\nabsent = { families = [\"taste\", \"restricted\", \"preservative\", \"texture\"], source = \"tested\" }",
		"kind = \"root\"\nother_plants = [\"yellow-dock\"]\nabsent = { families = [\"taste\", \"restricted\", \"preservative\", \"texture\"], source = \"tested\" }",
		"kind = \"acid\"\ncategory = \"acid\"\npure = true\ncontents = { acidity = 1 }",
	} {
		text := "name = \"t\"\nmarkets = [\"eu\", \"uk\", \"us\", \"au-nz\"]\nuse = [\"water\", \"sugar\", \"house\"]\n[targets.sugars]\nmin = 5\n" +
			"[[ingredient]]\nname = \"house\"\n" + keys + "\nbasis = \"invented\"\nsoluble_share = 1\nspecific_volume_ml_per_g = 0.6\n"
		assert.NoError(t, open(t, text, nil), keys)
	}
}

// A part of a preparation is looked for like an ingredient in use.
func TestPartsOfAPreparationAreIdentified(t *testing.T) {
	text := "name = \"t\"\nmarkets = [\"eu\"]\nuse = [\"water\", \"brew\"]\n[targets.soluble-solids]\nmax = 5\n" +
		"[[ingredient]]\nname = \"house\"\nkind = \"acid\"\npure = true\nbasis = \"invented\"\nsoluble_share = 1\nspecific_volume_ml_per_g = 0.6\ncontents = { acidity = 0.5 }\n" +
		"[[preparation]]\nname = \"brew\"\nkind = \"extract\"\nbasis = \"invented\"\n[preparation.grams]\nwater = 900\nhouse = 100\n"
	err := open(t, text, nil)
	require.Error(t, err)
	assert.Contains(t, err.Error(), `"house" is of kind acid, but names neither a plant nor a class`)
	assert.NoError(t, open(t, strings.Replace(text, "kind = \"acid\"", "kind = \"acid\"\ncategory = \"acid\"", 1), nil))
}

// A market of the maker's own may have rules on a plant that only his profiles know; a misspelt one would
// never hold.
func TestRulesOnOwnPlants(t *testing.T) {
	dir := t.TempDir()
	for _, sub := range []string{"ingredients", "markets"} {
		require.NoError(t, os.Mkdir(filepath.Join(dir, sub), 0o700))
	}
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o600))
	}
	write("ingredients/a.toml", "[[ingredient]]\nname = \"dock\"\nkind = \"root\"\nother_plants = [\"yellow-dock\"]\npure = true\nbasis = \"invented\"\nsoluble_share = 1\nspecific_volume_ml_per_g = 0.6\n")
	rule := "name = \"canal\"\nalcoholic_from_percent = 1\n[[permission]]\nplants = [\"yellow-dock\"]\nrule = \"banned\"\ncitation = \"harbour by-law 3\"\ntext = \"seen\"\n"
	write("markets/canal.toml", rule)
	lib, err := profile.Embedded()
	require.NoError(t, err)
	own, err := lib.Overlay(dir)
	require.NoError(t, err)
	_, err = brief.OpenFS(fstest.MapFS{"b.toml": {Data: []byte("name = \"t\"\nmarkets = [\"canal\"]\nuse = [\"water\", \"dock\"]\n")}}, "b.toml", "", own)
	assert.EqualError(t, err, `b.toml:3: use[2]: "dock" may not be used in food or drink in market canal: harbour by-law 3, text seen (leave it out, or leave the market out)`)
	write("markets/canal.toml", strings.Replace(rule, "yellow-dock", "yelow-dock", 1))
	_, err = lib.Overlay(dir)
	assert.EqualError(t, err, filepath.Join(dir, "markets", "canal.toml")+`:3: plants: no profile names the plant "yelow-dock", so that the rule would never hold (did you mean "yellow-dock"?)`)
}

func TestFaultsOfACertificate(t *testing.T) {
	text := strings.Replace(drink, "carbonated = true", "lots = \"l.toml\"\nbatch_l = 10", 1)
	err := open(t, text, map[string]string{"l.toml": "[[lot]]\nnumber = \"A\"\ningredient = \"sugar\"\nquantity_kg = 3\n[lot.contents.quinidine]\nper_g = 3\n"})
	require.Error(t, err)
	assert.Contains(t, err.Error(), `l.toml:5`)
	assert.Contains(t, err.Error(), `there is no attribute "quinidine"`)
}
