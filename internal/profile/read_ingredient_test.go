package profile

import (
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/internal/tomlfile"
)

// attributesForTests are enough to meet every rule of the reader.
func attributesForTests() map[string]*Attribute {
	all := map[string]*Attribute{}
	for _, a := range []Attribute{
		{Name: "bitterness", Unit: "mg", Per: PerLitre, Family: "taste", Equivalent: true},
		{Name: "soluble-solids", Unit: "g", Per: Per100g, Family: "physical"},
		{Name: "sugars", Unit: "g", Per: PerLitre, Family: "taste", PartOf: "soluble-solids"},
		{Name: "tannin", Unit: "mg", Per: PerLitre, Family: "taste", PartOf: "soluble-solids"},
		{Name: "thujone", Unit: "mg", Per: PerKilogram, Family: "restricted"},
		{Name: "coumarin", Unit: "mg", Per: PerKilogram, Family: "restricted"},
		{Name: "energy", Unit: "kcal", Per: PerUnit, Family: "other"},
	} {
		all[a.Name] = &a
	}
	return all
}

func parse(t testing.TB, text string) (*Ingredient, tomlfile.Faults) {
	t.Helper()
	doc, err := tomlfile.Parse("own.toml", []byte(text))
	require.NoError(t, err)
	tables := doc.Root().Tables("ingredient")
	require.Len(t, tables, 1)
	return ReadIngredient(tables[0], attributesForTests()), doc.Faults()
}

const gentian = `[[ingredient]]
name = "gentian-root"
title = "Gentian root"
kind = "root"
plants = ["gentian"]
basis = "practice"
price_per_kg = 38.5
price_basis = "invented"
labour_per_kg = 2
soluble_share = 0.33
specific_volume_ml_per_g = 0.62
hold_up_l_per_g = 0.0022
trimming_loss = 0.02
physical_basis = "published"
physical_source = "British Pharmacopoeia"
label_name = "gentian"
category = "flavouring"
allergens = ["none that is known"]
cautions = ["bitter"]
unknown = ["coumarin"]

[ingredient.contents]
sugars = 0.12
tannin = { per_g = 3, recovery = 0.5 }

[ingredient.contents.bitterness]
per_g = 100
recovery = 0.85
sd = 25
cap_recovery = 0.9
basis = "published"
source = "Ph. Eur."

[ingredient.absent]
attributes = ["energy"]
families = ["restricted", "physical"]
basis = "memory"
source = "tested"

[ingredient.solutes]
potassium_mmol_per_g = 0.25
`

func TestIngredientIsReadInFull(t *testing.T) {
	g, faults := parse(t, gentian)
	require.Empty(t, faults)
	assert.Equal(t, &Ingredient{
		Name: "gentian-root", Title: "Gentian root", Kind: "root", Plants: []string{"gentian"},
		Contents: map[string]Content{
			"sugars":     {PerGram: 0.12, Recovery: 1, CapRecovery: 1, Provenance: Provenance{Practice, ""}},
			"tannin":     {PerGram: 3, Recovery: 0.5, CapRecovery: 1, Provenance: Provenance{Practice, ""}, RecoveryProvenance: Provenance{Practice, ""}},
			"bitterness": {PerGram: 100, Recovery: 0.85, SD: 25, CapRecovery: 0.9, Provenance: Provenance{Published, "Ph. Eur."}, RecoveryProvenance: Provenance{Basis: Memory}},
		},
		Absent:  map[string]Provenance{"energy": {Memory, "tested"}, "soluble-solids": {Memory, "tested"}, "thujone": {Memory, "tested"}},
		Unknown: []string{"coumarin"},
		Solutes: map[string]float64{"potassium": 0.25}, SolutesProvenance: Provenance{Practice, ""},
		SolubleShare: 0.33, SpecificVolume: 0.62, HoldUp: 0.0022, TrimmingLoss: 0.02,
		PhysicalProvenance: Provenance{Published, "British Pharmacopoeia"},
		LabourPerKg:        2, PricePerKg: 38.5, PriceProvenance: Provenance{Invented, ""},
		LabelName: "gentian", Category: "flavouring",
		Allergens: []string{"none that is known"}, Cautions: []string{"bitter"},
		File: "own.toml", Line: 1,
	}, g)
	assert.True(t, g.Physical())
}

func TestUnknownIsNeverZero(t *testing.T) {
	g, _ := parse(t, gentian)
	given, known := g.Content("sugars")
	assert.True(t, known)
	assert.Equal(t, 0.12, given.PerGram)
	absent, known := g.Content("thujone")
	assert.True(t, known)
	assert.Equal(t, Content{Recovery: 1, CapRecovery: 1, Provenance: Provenance{Memory, "tested"}}, absent)
	for _, name := range []string{"coumarin", "an-attribute-of-later"} {
		_, known = g.Content(name)
		assert.False(t, known, name)
	}
	pure := &Ingredient{Pure: true, Unknown: []string{"coumarin"}}
	_, known = pure.Content("thujone")
	assert.True(t, known, "a pure substance holds nothing else")
	_, known = pure.Content("coumarin")
	assert.False(t, known, "unless it says that it is not known")
}

func TestBlendIngredientCountsInUnits(t *testing.T) {
	g, faults := parse(t, `[[ingredient]]
name = "wheat-flour"
basis = "published"
source = "a textbook"
price_per_unit = 0.36
[ingredient.contents]
energy = { per_unit = 44.7 }
`)
	require.Empty(t, faults)
	assert.Equal(t, 44.7, g.Contents["energy"].PerGram)
	assert.Equal(t, 0.36, g.PricePerKg)
	assert.Equal(t, "wheat-flour", g.Title)
	assert.False(t, g.Physical())
}

func TestIngredientFaults(t *testing.T) {
	head := "[[ingredient]]\nname = \"root\"\nbasis = \"memory\"\n"
	cases := []struct{ name, text, want string }{
		{"no name", "[[ingredient]]\nbasis = \"memory\"", `own.toml:1: ingredient[1].name: is missing`},
		{"a name with spaces", "[[ingredient]]\nname = \"Gentian root\"", `own.toml:2: ingredient[1].name: "Gentian root" is no name: use small letters, digits and single hyphens`},
		{"a plant with capitals", head + "plants = [\"Gentiana lutea\"]", `own.toml:4: ingredient[1].plants[1]: "Gentiana lutea" is no name: use small letters, digits and single hyphens`},
		{"unknown key", head + "price_per_kilo = 3", `own.toml:4: ingredient[1].price_per_kilo: is not a key that is known here (did you mean "price_per_kg"?)`},
		{"unknown key of a content", head + "contents.tannin = { per_gr = 3 }",
			"own.toml:4: ingredient[1].contents.tannin.per_g: is missing\n" + `own.toml:4: ingredient[1].contents.tannin.per_gr: is not a key that is known here (did you mean "per_g"?)`},
		{"unknown kind", head + "kind = \"roots\"", `own.toml:4: ingredient[1].kind: "roots" is not allowed; it must be one of bark, root, peel, herb, flower, leaf, wood, seed, fruit, juice, acid, salt, sugar, syrup, sweetener, alkaloid, extract, tannin, colouring, texture, preservative, gas, water, spirit (did you mean "root"?)`},
		{"wrong type of price", head + "price_per_kg = \"3\"", `own.toml:4: ingredient[1].price_per_kg: is a text; it must be a number`},
		{"wrong type of contents", head + "contents = 3", `own.toml:4: ingredient[1].contents: is a number; it must be a table such as [ingredient[1].contents]`},
		{"wrong type of a content", head + "contents.tannin = true", `own.toml:4: ingredient[1].contents.tannin: is true or false; it must be a number`},
		{"wrong type of pure", head + "pure = \"yes\"", `own.toml:4: ingredient[1].pure: is a text; it must be true or false`},
		{"not finite", head + "price_per_kg = inf", `own.toml:4: ingredient[1].price_per_kg: +Inf is not a finite number`},
		{"not a number", head + "contents.tannin = nan", `own.toml:4: ingredient[1].contents.tannin: NaN is not a finite number`},
		{"negative price", head + "price_per_kg = -1", `own.toml:4: ingredient[1].price_per_kg: -1 is out of range; it must be 0 or more`},
		{"negative content", head + "contents.tannin = -0.5", `own.toml:4: ingredient[1].contents.tannin: -0.5 is out of range; it must be 0 or more`},
		{"negative deviation", head + "contents.tannin = { per_g = 3, sd = -1 }", `own.toml:4: ingredient[1].contents.tannin.sd: -1 is out of range; it must be 0 or more`},
		{"recovery over one", head + "contents.tannin = { per_g = 3, recovery = 1.2 }", `own.toml:4: ingredient[1].contents.tannin.recovery: 1.2 is out of range; it must be from 0 to 1`},
		{"soluble share over one", head + "soluble_share = 1.5\nspecific_volume_ml_per_g = 0.62", `own.toml:4: ingredient[1].soluble_share: 1.5 is out of range; it must be from 0 to 1`},
		{"no volume beside the share", head + "soluble_share = 0.5", `own.toml:4: ingredient[1].soluble_share: needs specific_volume_ml_per_g beside it`},
		{"no share beside the volume", head + "specific_volume_ml_per_g = 0.5", `own.toml:4: ingredient[1].specific_volume_ml_per_g: needs soluble_share beside it`},
		{"trimming loses all", head + "trimming_loss = 1", `own.toml:4: ingredient[1].trimming_loss: is 1: nothing of the ingredient would be left to weigh in`},
		{"two prices", head + "price_per_kg = 1\nprice_per_unit = 2", `own.toml:5: ingredient[1].price_per_unit: stands beside price_per_kg; give one of the two`},
		{"published without source", head + "contents.tannin = { per_g = 3, basis = \"published\" }", `own.toml:4: ingredient[1].contents.tannin.basis: is "published", but no source is named (give source)`},
		{"published price without source", head + "price_per_kg = 3\nprice_basis = \"published\"", `own.toml:5: ingredient[1].price_basis: is "published", but no source is named (give price_source)`},
		{"unknown basis", head + "contents.tannin = { per_g = 3, basis = \"guessed\" }", `own.toml:4: ingredient[1].contents.tannin.basis: "guessed" is not allowed; it must be one of published, derived, practice, memory, invented, measured`},
		{"no basis of a price", "[[ingredient]]\nname = \"root\"\nprice_per_kg = 3", `own.toml:1: ingredient[1].price_basis: is missing: say where the figures come from (one of published, derived, practice, memory, invented, measured)`},
		{"no basis of a bare content", "[[ingredient]]\nname = \"root\"\ncontents.tannin = 3", `own.toml:3: ingredient[1].contents.tannin: has no basis: give one to the ingredient, or write a table with per_g and basis`},
		{"unknown attribute", head + "contents.tanin = 3", `own.toml:4: ingredient[1].contents.tanin: there is no attribute "tanin" (did you mean "tannin"?)`},
		{"unknown attribute absent", head + "absent.attributes = [\"thujon\"]", `own.toml:4: ingredient[1].absent.attributes[1]: there is no attribute "thujon" (did you mean "thujone"?)`},
		{"unknown attribute unknown", head + "unknown = [\"thujon\"]", `own.toml:4: ingredient[1].unknown[1]: there is no attribute "thujon" (did you mean "thujone"?)`},
		{"unknown family", head + "absent.families = [\"tastes\"]", `own.toml:4: ingredient[1].absent.families[1]: there is no family "tastes" (did you mean "taste"?)`},
		{"given and absent", head + "contents.tannin = 3\nabsent.attributes = [\"tannin\"]", `own.toml:5: ingredient[1].absent.attributes[1]: "tannin" is said to be absent, but its content is given`},
		{"given and unknown", head + "unknown = [\"tannin\"]\ncontents.tannin = 3", `own.toml:4: ingredient[1].unknown[1]: "tannin" is said to be unknown, but its content is given`},
		{"absent and unknown", head + "unknown = [\"tannin\"]\nabsent.attributes = [\"tannin\"]", `own.toml:5: ingredient[1].absent.attributes[1]: "tannin" is said to be both absent and unknown`},
		{"more than all of its mass", head + "[ingredient.contents]\nsoluble-solids = 0.8\nthujone = 150\ncoumarin = 100", `own.toml:4: ingredient[1].contents: hold 1.05 g per gram of ingredient; at most 1 g is possible`},
		{"parts over their whole", head + "[ingredient.contents]\nsoluble-solids = 0.4\nsugars = 0.3\ntannin = 150", `own.toml:5: ingredient[1].contents.soluble-solids: is 0.4 g per gram, but the contents that are part of it sum to 0.45 g`},
		{"unknown solute", head + "solutes.citrc_mmol_per_g = 5", `own.toml:4: ingredient[1].solutes.citrc_mmol_per_g: there are no constants for "citrc"; known are citric, malic, tartaric, ascorbic, phosphoric, lactic, acetic, benzoic, sorbic, quinic, carbonic, quinine, sodium, potassium, calcium, magnesium, chloride, sulfate, sulfurous (did you mean "citric"?)`},
		{"an acid without constants", head + "solutes.oxalic_mmol_per_g = 5", `own.toml:4: ingredient[1].solutes.oxalic_mmol_per_g: there are no constants for "oxalic"; known are citric, malic, tartaric, ascorbic, phosphoric, lactic, acetic, benzoic, sorbic, quinic, carbonic, quinine, sodium, potassium, calcium, magnesium, chloride, sulfate, sulfurous (did you mean "malic"?)`},
		{"an acid without acidity", head + "kind = \"acid\"\npure = true", `own.toml:5: ingredient[1].pure: would say that this acid brings no acidity (give acidity under contents, or list it under absent or unknown)`},
		{"no solutes", head + "solutes = {}", `own.toml:4: ingredient[1].solutes: is empty: give the acids and ions it brings, or leave the table out`},
		{"a recalled solute that is not given", head + "solutes = { citric_mmol_per_g = 1, recalled = [\"citrc\"] }", `own.toml:4: ingredient[1].solutes.recalled[1]: "citrc" is not among the acids and ions given (did you mean "citric"?)`},
		{"negative solute", head + "solutes.citric_mmol_per_g = -1", `own.toml:4: ingredient[1].solutes.citric_mmol_per_g: -1 is out of range; it must be from 0 to 100`},
		{"solutes over all of its mass", head + "solutes = { citric_mmol_per_g = 5, potassium_mmol_per_g = 4 }", `own.toml:4: ingredient[1].solutes: hold 1.113 g per gram of ingredient; at most 1 g is possible`},
		{"moisture over one", head + "moisture_share = 1.1", `own.toml:4: ingredient[1].moisture_share: 1.1 is out of range; it must be from 0 to 0.99`},
		{"dry without moisture", head + "contents_on = \"dry\"", `own.toml:4: ingredient[1].contents_on: is "dry"; it needs moisture_share beside it`},
		{"an extract nobody knows", head + "contents.tannin = { per_g = 3, measured_on = \"decocton\" }", `own.toml:4: ingredient[1].contents.tannin.measured_on: "decocton" is not allowed; it must be one of whole, hot-infusion, decoction, cold-maceration, with-alcohol (did you mean "decoction"?)`},
		{"discounted twice", head + "contents.bitterness = { per_g = 3, measured_on = \"decoction\", recovery = 0.85 }", `own.toml:4: ingredient[1].contents.bitterness.recovery: discounts it twice: what a decoction draws was measured, and that is how it is extracted (leave it out, or give the usual_method that it belongs to)`},
		{"capped, and measured on an extract", head + "contents.thujone = { per_g = 3, measured_on = \"hot-infusion\" }", `own.toml:4: ingredient[1].contents.thujone.measured_on: is "hot-infusion", but caps are judged with all that is in the plant (give the whole content of what is capped)`},
		{"a method that discounts twice", head + "contents.bitterness = { per_g = 3, measured_on = \"decoction\" }\n[ingredient.methods.decoction]\nrecovery = { bitterness = 0.5 }", `own.toml:6: ingredient[1].methods.decoction.recovery: gives a share of bitterness, which was measured on what this method draws (leave it out)`},
		{"a method of nothing", head + "contents.tannin = 3\n[ingredient.methods.cold]\nrecovery = { tanin = 0.5 }", `own.toml:6: ingredient[1].methods.cold.recovery.tanin: the ingredient has no content of tanin to recover (did you mean "tannin"?)`},
		{"a method that recovers more than all", head + "contents.tannin = 3\n[ingredient.methods.cold]\nrecovery = { tannin = 1.5 }", `own.toml:6: ingredient[1].methods.cold.recovery.tannin: 1.5 is out of range; it must be from 0 to 1`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, faults := parse(t, c.text)
			require.Error(t, faults.Err())
			assert.Equal(t, c.want, faults.Err().Error())
		})
	}
}

// Equivalents are no mass: quassin is 65 times as bitter as the quinine salt that bitterness counts in.
func TestEquivalentsDoNotCountAsMass(t *testing.T) {
	_, faults := parse(t, "[[ingredient]]\nname = \"quassin\"\nbasis = \"memory\"\n[ingredient.contents]\nsoluble-solids = 1\nbitterness = 65000")
	assert.Empty(t, faults)
}

func FuzzReadIngredient(f *testing.F) {
	f.Add(gentian)
	for _, name := range []string{"bittering", "acids", "sugars"} {
		data, err := os.ReadFile("../../profiles/ingredients/" + name + ".toml")
		require.NoError(f, err)
		for n, block := range strings.Split(string(data), "[[ingredient]]\n") {
			if n > 0 && n < 4 {
				f.Add("[[ingredient]]\n" + block)
			}
		}
	}
	f.Add("[[ingredient]]\ncontents = {tannin = {per_g = 1e999}}\nabsent = 3\n")
	f.Add("[[ingredient]]\nunknown = [[], 3, \"\"]\nsolutes.citric_mmol_per_g = -1\n")
	attributes := attributesForTests()
	f.Fuzz(func(t *testing.T, text string) {
		doc, err := tomlfile.Parse("fuzz.toml", []byte(text))
		if err != nil {
			return
		}
		for _, table := range doc.Root().Tables("ingredient") {
			g := ReadIngredient(table, attributes)
			if len(doc.Faults()) > 0 {
				continue
			}
			if !kebab(g.Name) {
				t.Fatalf("name %q passed", g.Name)
			}
			for name, c := range g.Contents {
				for _, x := range []float64{c.PerGram, c.Recovery, c.SD, c.CapRecovery} {
					if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
						t.Fatalf("content of %s is %v", name, c)
					}
				}
				if c.Recovery > 1 || c.CapRecovery > 1 || c.Basis == "" || c.Basis == Published && c.Source == "" {
					t.Fatalf("content of %s is %+v", name, c)
				}
			}
		}
	})
}
