package profile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/internal/tomlfile"
)

// folder writes files (name, text, name, text, ...) into a new folder and returns it.
func folder(t *testing.T, files ...string) string {
	t.Helper()
	dir := t.TempDir()
	for i := 0; i < len(files); i += 2 {
		name := filepath.Join(dir, filepath.FromSlash(files[i]))
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(t, os.WriteFile(name, []byte(files[i+1]), 0o644))
	}
	return dir
}

const ownSugar = `[[ingredient]]
name = "sugar"
title = "Beet sugar of the mill next door"
pure = true
basis = "measured"
soluble_share = 1
specific_volume_ml_per_g = 0.62
contents.sugars = 0.998
contents.soluble-solids = 0.999
`

func TestOverlayReplacesByNameAndAddsTheRest(t *testing.T) {
	l := embedded(t)
	before := len(l.Ingredients)
	dir := folder(t,
		"attributes.toml", "[attributes.aroma-mint]\nunit = \"points\"\nper = \"litre\"\nfamily = \"aroma\"\njnd = 2\nbasis = \"measured\"\n[attributes.bitterness]\nunit = \"mg\"\nper = \"litre\"\njnd = 4\nbasis = \"measured\"\n",
		"ingredients/sweet.toml", ownSugar+"contents.aroma-mint = 0\n",
		"ingredients/notes.txt", "no TOML",
		"ingredients/new.toml", "[[ingredient]]\nname = \"spring-water\"\nkind = \"water\"\npure = true\nsoluble_share = 1\nspecific_volume_ml_per_g = 1.0018\nphysical_basis = \"measured\"\n",
		"markets/uk.toml", "name = \"uk\"\nalcoholic_from_percent = 0.5\n",
	)
	own, err := l.Overlay(dir)
	require.NoError(t, err)
	assert.Equal(t, "Beet sugar of the mill next door", own.Ingredients["sugar"].Title)
	assert.Equal(t, 0.998, own.Ingredients["sugar"].Contents["sugars"].PerGram)
	assert.Equal(t, filepath.Join(dir, "ingredients", "sweet.toml"), own.Ingredients["sugar"].File)
	assert.Equal(t, 4.0, own.Attributes["bitterness"].JND)
	assert.Zero(t, own.Attributes["bitterness"].JNDShare, "what has the same name is replaced whole")
	assert.Equal(t, "aroma", own.Attributes["aroma-mint"].Family)
	assert.Empty(t, own.Markets["uk"].Caps)
	assert.NotEmpty(t, own.Markets["eu"].Caps, "what the folder does not name stays")
	assert.Len(t, own.Ingredients, before+1)

	assert.Equal(t, "Sugar", l.Ingredients["sugar"].Title, "the library itself is not changed")
	assert.Len(t, l.Ingredients, before)

	report := strings.Join(own.Check(), "\n")
	assert.Contains(t, report, "gentian-root: nothing is said of aroma-mint")
	assert.NotContains(t, report, "spring-water")
}

func TestOverlayFaults(t *testing.T) {
	cases := []struct {
		name  string
		files []string
		want  []string // each line, with DIR for the folder
	}{
		{"an ingredient twice", []string{"ingredients/a.toml", ownSugar, "ingredients/b.toml", "\n" + ownSugar},
			[]string{`DIR/ingredients/b.toml:3: ingredient[1].name: ingredient "sugar" is defined twice, first at DIR/ingredients/a.toml:2`}},
		{"an ingredient twice in one file", []string{"ingredients/a.toml", ownSugar + ownSugar},
			[]string{`DIR/ingredients/a.toml:11: ingredient[2].name: ingredient "sugar" is defined twice, first at DIR/ingredients/a.toml:2`}},
		{"a market twice", []string{"markets/a.toml", "name = \"ch\"\nalcoholic_from_percent = 0.5", "markets/b.toml", "name = \"ch\"\nalcoholic_from_percent = 0.5"},
			[]string{`DIR/markets/b.toml:1: name: market "ch" is defined twice, first in DIR/markets/a.toml`}},
		{"no physical data", []string{"ingredients/a.toml", "[[ingredient]]\nname = \"moss\""},
			[]string{`DIR/ingredients/a.toml:1: ingredient[1].soluble_share: is missing`, `DIR/ingredients/a.toml:1: ingredient[1].specific_volume_ml_per_g: is missing`}},
		{"another unit for a known attribute", []string{"attributes.toml", "[attributes.bitterness]\nunit = \"g\"\nper = \"litre\""},
			[]string{`DIR/attributes.toml:2: attributes.bitterness.unit: is "g", but the library states contents of bitterness in "mg" (choose another name)`}},
		{"an attribute without unit", []string{"attributes.toml", "[attributes.fizz]\nper = \"liter\""},
			[]string{`DIR/attributes.toml:1: attributes.fizz.unit: is missing`, `DIR/attributes.toml:2: attributes.fizz.per: "liter" is not allowed; it must be one of litre, kilogram, 100g, batch, unit (did you mean "litre"?)`}},
		{"an attribute's name", []string{"attributes.toml", "[attributes.Fizz]\nunit = \"mg\"\nper = \"litre\""},
			[]string{`DIR/attributes.toml:1: attributes.Fizz: "Fizz" is no name: use small letters, digits and single hyphens`}},
		{"two just noticeable differences", []string{"attributes.toml", "[attributes.fizz]\nunit = \"mg\"\nper = \"litre\"\njnd = 2\njnd_share = 0.1\nbasis = \"memory\""},
			[]string{`DIR/attributes.toml:5: attributes.fizz.jnd_share: stands beside jnd; give one of the two`}},
		{"a just noticeable difference from nowhere", []string{"attributes.toml", "[attributes.fizz]\nunit = \"mg\"\nper = \"litre\"\njnd = 2"},
			[]string{`DIR/attributes.toml:1: attributes.fizz.basis: is missing: say where the figures come from (one of published, derived, practice, memory, invented, measured)`}},
		{"a part of nothing", []string{"attributes.toml", "[attributes.fizz]\nunit = \"mg\"\nper = \"litre\"\npart_of = \"soluble-solid\""},
			[]string{`DIR/attributes.toml:4: attributes.fizz.part_of: there is no attribute "soluble-solid" (did you mean "soluble-solids"?)`}},
		{"a part of itself", []string{"attributes.toml", "[attributes.fizz]\nunit = \"mg\"\nper = \"litre\"\npart_of = \"fizz\""},
			[]string{`DIR/attributes.toml:4: attributes.fizz.part_of: makes fizz a part of itself`}},
		{"a file that is no TOML", []string{"ingredients/a.toml", "[[ingredient]]\nname = moss"},
			[]string{`DIR/ingredients/a.toml:2: ingredient.name: expected value but found "moss" instead`}},
		{"a binary file", []string{"ingredients/a.toml", "\x00\x01"},
			[]string{`DIR/ingredients/a.toml: is not a text file`}},
		{"a file without ingredients", []string{"ingredients/a.toml", "ingredients = 3"},
			[]string{`DIR/ingredients/a.toml:1: ingredient: is missing`, `DIR/ingredients/a.toml:1: ingredients: is not a key that is known here (did you mean "ingredient"?)`}},
		{"faults of several files at once", []string{"attributes.toml", "atributes = 3", "ingredients/a.toml", "[[ingredient]]\nname = \"sugar\"\nsoluble_share = 1\nspecific_volume_ml_per_g = 0.62\nbasis = \"memory\"\ncontents.suggars = 1", "markets/a.toml", "name = \"ch\""},
			[]string{
				`DIR/attributes.toml:1: atributes: is not a key that is known here (did you mean "attributes"?)`,
				`DIR/attributes.toml:1: attributes: is missing`,
				`DIR/ingredients/a.toml:6: ingredient[1].contents.suggars: there is no attribute "suggars" (did you mean "sugars"?)`,
				`DIR/markets/a.toml:1: alcoholic_from_percent: is missing`,
			}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			dir := folder(t, c.files...)
			_, err := embedded(t).Overlay(dir)
			require.Error(t, err)
			assert.True(t, tomlfile.IsFault(err))
			got := strings.ReplaceAll(filepath.ToSlash(err.Error()), filepath.ToSlash(dir), "DIR")
			assert.ElementsMatch(t, c.want, strings.Split(got, "\n"))
		})
	}
}

func TestOverlayOfNoFolder(t *testing.T) {
	missing := filepath.Join(t.TempDir(), "profiles")
	_, err := embedded(t).Overlay(missing)
	assert.EqualError(t, err, missing+": there is no such folder")
	require.NoError(t, os.WriteFile(missing, nil, 0o644))
	_, err = embedded(t).Overlay(missing)
	assert.EqualError(t, err, missing+": is no folder; a folder of profiles is needed")
}

// allLacking states every class of rules as lacking.
var allLacking = strings.Join(classNames(), " = \"x\"\n") + " = \"x\"\n"

func TestMarketFaults(t *testing.T) {
	head := "name = \"ch\"\nalcoholic_from_percent = 0.5\n"
	law := "citation = \"Ordinance 1\"\ntext = \"seen\"\n"
	cases := []struct{ name, text, want string }{
		{"unknown substance", head + "[[cap]]\nsubstance = \"quinin\"\nmax_mg_per_kg = 80\n" + law,
			`m.toml:4: cap[1].substance: there is no attribute "quinin" (did you mean "quinine"?)`},
		{"substance in other units", head + "[[cap]]\nsubstance = \"sugars\"\nmax_mg_per_kg = 80\n" + law,
			`m.toml:4: cap[1].substance: sugars is counted in g, but the limit in mg`},
		{"no maximum", head + "[[cap]]\nsubstance = \"quinine\"\n" + law, `m.toml:3: cap[1]: needs either max_mg_per_kg or max_mg_per_l`},
		{"two maxima", head + "[[cap]]\nsubstance = \"quinine\"\nmax_mg_per_kg = 80\nmax_mg_per_l = 80\n" + law, `m.toml:3: cap[1]: needs either max_mg_per_kg or max_mg_per_l`},
		{"negative maximum", head + "[[cap]]\nsubstance = \"quinine\"\nmax_mg_per_kg = -80\n" + law, `m.toml:5: cap[1].max_mg_per_kg: -80 is out of range; it must be 0 or more`},
		{"no citation", head + "[[cap]]\nsubstance = \"quinine\"\nmax_mg_per_kg = 80\ntext = \"seen\"", `m.toml:3: cap[1].citation: is missing`},
		{"text neither seen nor recalled", head + "[[cap]]\nsubstance = \"quinine\"\nmax_mg_per_kg = 80\ncitation = \"x\"\ntext = \"sen\"", `m.toml:7: cap[1].text: "sen" is not allowed; it must be one of seen, recalled (did you mean "seen"?)`},
		{"drinks of another kind", head + "[[cap]]\nsubstance = \"quinine\"\nmax_mg_per_kg = 80\ndrinks = \"soft\"\n" + law, `m.toml:6: cap[1].drinks: "soft" is not allowed; it must be one of any, non-alcoholic, alcoholic, spirit-drinks, other-alcoholic, no-spirit-drinks`},
		{"permission of nothing", head + "[[permission]]\nrule = \"banned\"\n" + law, `m.toml:3: permission[1]: names neither plants nor added substances nor E numbers`},
		{"rule that is none", head + "[[permission]]\nplants = [\"tansy\"]\nrule = \"bannd\"\n" + law, `m.toml:5: permission[1].rule: "bannd" is not allowed; it must be one of alcoholic-only, carbonated-only, beverages-only, energy-reduced-only, permitted, banned (did you mean "banned"?)`},
		{"declaration without threshold", head + "[[declaration]]\nattribute = \"caffeine\"\nwording = \"w\"\n" + law, `m.toml:3: declaration[1]: needs an attribute and a threshold such as above_mg_per_l together, or neither`},
		{"sugar beside no category", head + "[[declaration]]\nadded_sugar = \"with\"\nwording = \"w\"\n" + law, `m.toml:4: declaration[1].added_sugar: stands without categories, of which it says beside what they are used`},
		{"no such sugar", head + "[[declaration]]\ncategories = [\"sweetener\"]\nadded_sugar = \"wit\"\nwording = \"w\"\n" + law, `m.toml:5: declaration[1].added_sugar: "wit" is not allowed; it must be one of with, without (did you mean "with"?)`},
		{"two thresholds", head + "[[declaration]]\nattribute = \"caffeine\"\nabove_mg_per_l = 1\nfrom_mg_per_kg = 2\nwording = \"w\"\n" + law, `m.toml:5: declaration[1].above_mg_per_l: stands beside another threshold; give one`},
		{"threshold in other units", head + "[[declaration]]\nattribute = \"caffeine\"\nabove_g_per_l = 1\nwording = \"w\"\n" + law, `m.toml:4: declaration[1].attribute: caffeine is counted in mg, but the limit in g`},
		{"declaration of an unknown attribute", head + "[[declaration]]\nattribute = \"cafeine\"\nabove_mg_per_l = 1\nwording = \"w\"\n" + law, `m.toml:4: declaration[1].attribute: there is no attribute "cafeine" (did you mean "caffeine"?)`},
		{"class that is none", head + "[[permission]]\nplants = [\"tansy\"]\nrule = \"banned\"\nclass = \"plant\"\n" + law, `m.toml:6: permission[1].class: "plant" is not allowed; it must be one of active-principles, plants, flavourings, preservatives, sweeteners, acids, antioxidants, colours, texturants, minerals, label, contaminants, residues, novel-foods, excise, levies, deposit, gases, processing, packaging, names, claims, licences (did you mean "plants"?)`},
		{"class without rules", head + "[holds]\nplants = \"some\"\n[lacks]\n" + strings.Replace(allLacking, "plants = \"x\"\n", "", 1), `m.toml:3: holds: names plants, but no rule of this market is of that class (put it under lacks)`},
		{"class with rules left out", head + "[lacks]\n" + allLacking + "[[permission]]\nplants = [\"tansy\"]\nrule = \"banned\"\n" + law, `m.toml:1: holds: leaves out plants, of which this market has rules`},
		{"classes left out", head + "[lacks]\nplants = \"x\"\n", `m.toml:3: lacks: leaves out active-principles, flavourings, preservatives, sweeteners, acids, antioxidants, colours, texturants, minerals, label, contaminants, residues, novel-foods, excise, levies, deposit, gases, processing, packaging, names, claims, licences (say of each class what is left to the maker)`},
		{"class lacked that is none", head + "[lacks]\nsweetners = \"some\"\n" + allLacking, `m.toml:4: lacks.sweetners: there is no class of rules "sweetners" (did you mean "sweeteners"?)`},
		{"closed category that is none", head + "closed = [\"sweetner\"]\n", `m.toml:3: closed[1]: there is no category of additives "sweetner" (did you mean "sweetener"?)`},
		{"rules of an unknown market", head + "keeps_rules_of = \"ue\"\n", `m.toml:3: keeps_rules_of: there is no market "ue" (did you mean "eu"?)`},
		{"sum of an unknown substance", head + "[[cap]]\nname = \"sum\"\nsum_of_mg_per_kg = { benzoic-acd = 400 }\n" + law, `m.toml:5: cap[1].sum_of_mg_per_kg.benzoic-acd: there is no attribute "benzoic-acd" (did you mean "benzoic-acid"?)`},
		{"a rule on an ingredient's name", head + "[[permission]]\nplants = [\"tansy\"]\ningredients = [\"tansy-leaf\"]\nrule = \"banned\"\n" + law, `m.toml:5: permission[1].ingredients: is not a key that is known here; allowed are added, below_percent, citation, class, drinks, e_numbers, edition, from_percent, gas, note, plants, rule, text`},
		{"unknown table", head + "[[caps]]\nsubstance = \"quinine\"\n", `m.toml:3: caps: is not a key that is known here (did you mean "cap"?)`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			doc, err := tomlfile.Parse("m.toml", []byte(c.text))
			require.NoError(t, err)
			readMarket(doc, embedded(t).Attributes, embedded(t).Markets)
			require.Error(t, doc.Err())
			assert.Equal(t, c.want, doc.Err().Error())
		})
	}
}
