package profile

import (
	"fmt"
	"slices"

	"bittersum/internal/tomlfile"
)

// Attribute is anything that adds up over the ingredients and is judged in the finished drink.
type Attribute struct {
	Name, Title string
	// Unit is the unit of the amount, such as "mg", "g" or "points": a content is in Unit per gram of
	// ingredient, a value of the drink in Unit per Per.
	Unit string
	Per  Per
	// Family groups attributes: taste, aroma, colour, texture, physical, nutrition, preservative,
	// restricted, additive, or other.
	Family string
	// Equivalent marks a unit of mass that counts no mass of the substance itself, such as sucrose
	// equivalents.
	Equivalent bool
	// PartOf names the attribute whose mass includes this one's, or is empty.
	PartOf string
	// JND is the just noticeable difference in the drink's unit and JNDShare the same as a share of the
	// value (Weber fraction). At most one is given; both are zero when it is unknown.
	JND, JNDShare float64
	// SensibleMax is the most of it, in the drink's unit, that drinks are made with, 0 when nothing is known of that;
	// Sensible says where it is known from.
	SensibleMax float64
	Sensible    Provenance
	// Categories and Plants, if any is given, say that the substance is an additive: only ingredients of these
	// categories or from these plants can bring it, and others that say nothing of it bring none.
	Categories, Plants []string
	// Decimals is how many decimals suit the drink's value, or -1 when no hint is given.
	Decimals int
	// Note says how the attribute is defined and measured.
	Note string
	// Provenance is that of the just noticeable difference.
	Provenance
	File string
	Line int
}

var families = []string{"taste", "aroma", "colour", "texture", "physical", "nutrition", "composition", "preservative", "restricted", "additive", "other"}

// ReadAttribute reads one [attributes.NAME] table. Faults are noted in its document.
func ReadAttribute(t *tomlfile.Table) *Attribute {
	a := &Attribute{Name: t.Key(), File: t.File(), Line: t.Line("")}
	checkName(t, "", a.Name)
	t.Require("unit", "per")
	a.Title = t.String("title")
	if a.Title == "" {
		a.Title = a.Name
	}
	a.Unit = t.String("unit")
	a.Per = Per(t.OneOf("per", pers...))
	a.Family = t.OneOf("family", families...)
	if a.Family == "" {
		a.Family = "other"
	}
	a.Equivalent = t.Bool("equivalent")
	a.PartOf = t.String("part_of")
	a.JND, _ = t.Number("jnd", tomlfile.Positive)
	a.JNDShare, _ = t.Number("jnd_share", tomlfile.Range{Min: 0, Max: 1, Open: true})
	if t.Has("jnd") && t.Has("jnd_share") {
		t.Fault("jnd_share", "stands beside jnd; give one of the two", "")
	}
	a.Categories, a.Plants = t.Strings("categories"), t.Strings("plants")
	for n, category := range a.Categories {
		if !slices.Contains(Categories(), category) {
			t.ElementFault("categories", n, fmt.Sprintf("there is no category of additives %q", category), tomlfile.DidYouMean(category, Categories()))
		}
	}
	if most, ok := t.Number("sensible_max", tomlfile.Positive); ok {
		a.SensibleMax, a.Sensible = most, readProvenance(t, "sensible_", Provenance{})
	}
	a.Decimals = t.Whole("decimals", 0, 9, -1)
	a.Note = t.String("note")
	if t.Has("jnd") || t.Has("jnd_share") || t.Has("basis") || t.Has("source") {
		a.Provenance = readProvenance(t, "", Provenance{})
	}
	t.Done()
	return a
}

// Additive reports whether the attribute counts a substance that only additives bring.
func (a *Attribute) Additive() bool { return len(a.Categories)+len(a.Plants) > 0 }

// grams returns how many grams one unit of the attribute's content weighs, or 0 when it is no mass that
// could be added to others'.
func (a *Attribute) grams() float64 {
	if a.Equivalent || a.Per == PerBatch || a.Per == PerUnit {
		return 0
	}
	switch a.Unit {
	case "g":
		return 1
	case "mg":
		return 1e-3
	case "ug":
		return 1e-6
	}
	return 0
}

// readAttributes reads attributes.toml into the given map; an attribute that is there already may change
// all but its unit, in which the contents of known ingredients are stated.
func readAttributes(doc *tomlfile.Document, into map[string]*Attribute) {
	root := doc.Root()
	root.Require("attributes")
	if all := root.Table("attributes"); all != nil {
		for _, t := range all.Named() {
			a := ReadAttribute(t)
			if old := into[a.Name]; old != nil && a.Unit != old.Unit && a.Unit != "" {
				t.Fault("unit", fmt.Sprintf("is %q, but the library states contents of %s in %q", a.Unit, a.Name, old.Unit), "choose another name")
			}
			into[a.Name] = a
		}
		checkParts(all, into)
	}
	root.Done()
}

func checkParts(all *tomlfile.Table, attributes map[string]*Attribute) {
	for _, t := range all.Named() {
		a := attributes[t.Key()]
		if a.PartOf == "" {
			continue
		}
		if attributes[a.PartOf] == nil {
			t.Fault("part_of", noAttribute(a.PartOf), tomlfile.DidYouMean(a.PartOf, names(attributes)))
			continue
		}
		steps := 0
		for whole := a; whole != nil && whole.PartOf != ""; whole = attributes[whole.PartOf] {
			if steps++; steps > len(attributes) {
				t.Fault("part_of", fmt.Sprintf("makes %s a part of itself", a.Name), "")
				break
			}
		}
	}
}

func noAttribute(name string) string { return fmt.Sprintf("there is no attribute %q", name) }
