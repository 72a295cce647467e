package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"bittersum/internal/chem"
	"bittersum/internal/profile"
)

// templateKind is a sort of ingredient that a template is written for: what it usually brings, and which keys it needs.
type templateKind struct {
	kinds []string
	// usual are the attributes to give or to call absent first.
	usual []string
	// pure says that it is mostly a purified substance, solutes that its acids or ions are to be given.
	pure, solutes, plant, additive bool
}

var templateKinds = []templateKind{
	{kinds: []string{"acid", "salt", "preservative"}, usual: []string{"acidity", "soluble-solids", "sodium", "potassium"}, pure: true, solutes: true, additive: true},
	{kinds: []string{"sweetener", "sugar"}, usual: []string{"sweetness", "sugars", "polyols", "soluble-solids"}, pure: true, additive: true},
	{kinds: []string{"alkaloid", "colouring", "texture", "gas"}, usual: []string{"bitterness", "colour-amber", "colour-red", "soluble-solids"}, pure: true, additive: true},
	{kinds: []string{"syrup"}, usual: []string{"sweetness", "sugars", "acidity", "soluble-solids", "colour-amber"}, solutes: true},
	{kinds: []string{"juice", "fruit"}, usual: []string{"acidity", "sugars", "sweetness", "soluble-solids", "juice", "ascorbic-acid", "potassium", "bitterness"}, solutes: true, plant: true},
	{kinds: []string{"spirit", "water"}, usual: []string{"alcohol", "sugars", "sweetness", "acidity", "soluble-solids"}},
	{kinds: []string{"extract", "tannin"}, usual: []string{"bitterness", "tannin", "alcohol", "sugars", "sweetness", "acidity", "soluble-solids", "colour-amber"}, plant: true},
	{kinds: []string{"bark", "root", "peel", "herb", "flower", "leaf", "wood", "seed"},
		usual: []string{"bitterness", "tannin", "sugars", "sweetness", "acidity", "soluble-solids", "colour-amber", "sodium", "potassium"}, plant: true},
}

// Template writes the table of a new ingredient to fill in. Everything that is a figure stands behind a #:
// left there it is unknown, and nothing is taken for zero.
func Template(w io.Writer, lib *profile.Library, name, kind string) {
	var k templateKind
	for _, one := range templateKinds {
		if slices.Contains(one.kinds, kind) {
			k = one
		}
	}
	line := func(key, value, about string) {
		fmt.Fprintf(w, "# %-38s # %s\n", key+" = "+value, about)
	}
	section := func(header, about string) {
		fmt.Fprintf(w, "\n%s\n", about)
		fmt.Fprintln(w, header)
	}
	fmt.Fprintf(w, "# A new ingredient. Take the # away before a key, before the [header] over it too, and fill in its\n# ____. What stays behind a # is unknown, and unknown is never read as zero.\n# bittersum help profile-file explains each key.\n")
	fmt.Fprintf(w, "[[ingredient]]\nname = %q\nkind = %q\n", name, kind)
	line("title", `"____"`, "what people call it")
	line("basis", `"____"`, "where its figures come from: "+basisList())
	line("source", `"____"`, "the work and the place in it, when published")
	line("price_per_kg", "____", "as bought, "+profile.Currency)
	line("price_basis", `"____"`, "measured when it is what you pay")
	line("soluble_share", "____", "share of its mass that ends in the liquor, 0 to 1")
	line("specific_volume_ml_per_g", "____", "volume of that share: dry solids 0.62, water 1.0018")
	if k.plant {
		line("plants", `["____"]`, "the plant it comes from, as profiles list plants has it: rules of markets go by it")
		line("other_plants", `["____"]`, "a plant that no profile and no rule knows")
		line("hold_up_l_per_g", "____", "liquor that a gram keeps once spent, L")
		line("trimming_loss", "____", "share lost before weighing in, 0 to 1")
	}
	if k.pure {
		line("pure", "true", "a purified substance: it carries nothing but what is listed below")
	}
	line("label_name", `"____"`, "its name in the list of ingredients")
	if k.additive {
		line("category", `"____"`, "class of an additive: "+"one of "+strings.Join(profile.Categories(), ", "))
		line("e_number", `"E ____"`, "its number, if it has one")
	}
	line("allergens", `["____"]`, "what must be declared, such as sulphites")
	line("cautions", `["____"]`, "what whoever weighs it must know")
	section("[ingredient.contents]", "# What a gram holds. sd is the deviation between lots, recovery the share that reaches the drink.")
	for _, name := range k.usual {
		contentLine(line, lib, name)
	}
	if k.plant {
		for _, name := range lib.AttributeNames() {
			if lib.Attributes[name].Family == "aroma" {
				contentLine(line, lib, name)
			}
		}
	}
	if !k.pure {
		section("# [ingredient.absent]", "# What it carries none of, or too little to show: by name, or by family of attributes.")
		line("attributes", `["____"]`, "bittersum profiles list attributes shows them")
		line("families", `["____"]`, "such as aroma, texture, preservative; restricted needs a source")
		line("basis", `"____"`, "how you know it: "+basisList())
		line("source", `"____"`, "and where from")
		fmt.Fprintf(w, "# %s\n", wrap("Caps ask of restricted substances: "+strings.Join(restricted(lib), ", ")+".", 96, "# "))
	}
	if k.solutes {
		section("# [ingredient.solutes]", "# Acids and ions in mmol per gram, as far as they reach the liquor: a pH needs them of all that is sour.")
		for _, species := range profile.Species {
			s, err := chem.ParseSpecies(species)
			if err != nil {
				continue // Species are all known to chem
			}
			line(species+"_mmol_per_g", "____", fmt.Sprintf("1000 x its share of the mass / %.5g g/mol", s.Constants().MolarMass))
		}
		line("basis", `"____"`, basisList())
	}
}

func contentLine(line func(key, value, about string), lib *profile.Library, name string) {
	a := lib.Attributes[name]
	if a == nil {
		return
	}
	line(name, "{ per_g = ____ }", a.Unit+" per g: "+a.Title)
}

func basisList() string { return strings.Join(profile.Bases(), ", ") }

func restricted(lib *profile.Library) []string {
	var all []string
	for _, name := range lib.AttributeNames() {
		if lib.Attributes[name].Family == "restricted" {
			all = append(all, name)
		}
	}
	return all
}
