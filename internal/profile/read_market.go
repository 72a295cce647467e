package profile

import (
	"fmt"

	"bittersum/internal/tomlfile"
)

// perKeys are the endings of keys that carry a basis, with the attribute's unit they are right for.
var perKeys = []struct {
	suffix, unit string
	per          Per
}{
	{"_mg_per_kg", "mg", PerKilogram},
	{"_mg_per_l", "mg", PerLitre},
	{"_g_per_l", "g", PerLitre},
	{"_g_per_100g", "g", Per100g},
}

// readMarket reads a file that describes one market.
func readMarket(doc *tomlfile.Document, attributes map[string]*Attribute) *Market {
	root := doc.Root()
	m := &Market{Name: readName(root, "name"), Title: root.String("title"), File: root.File(), Line: root.Line("name")}
	if m.Title == "" {
		m.Title = m.Name
	}
	root.Require("alcoholic_from_percent")
	m.AlcoholicFrom = root.NumberOr("alcoholic_from_percent", tomlfile.Range{Min: 0, Max: 100}, 0)
	for _, t := range root.Tables("cap") {
		m.Caps = append(m.Caps, readCap(t, attributes))
	}
	for _, t := range root.Tables("permission") {
		m.Permissions = append(m.Permissions, readPermission(t, attributes))
	}
	for _, t := range root.Tables("declaration") {
		m.Declarations = append(m.Declarations, readDeclaration(t, attributes))
	}
	root.Done()
	return m
}

func readLaw(t *tomlfile.Table) Law {
	t.Require("citation", "text")
	return Law{
		Citation: t.String("citation"),
		Text:     t.OneOf("text", Seen, Recalled),
		Note:     t.String("note"),
		Line:     t.Line(""),
	}
}

func readDrinks(t *tomlfile.Table) string {
	if d := t.OneOf("drinks", AnyDrinks, NonAlcoholic, Alcoholic); d != "" {
		return d
	}
	return AnyDrinks
}

func readCap(t *tomlfile.Table, attributes map[string]*Attribute) Cap {
	t.Require("substance")
	c := Cap{
		Substance:    t.String("substance"),
		Drinks:       readDrinks(t),
		Plants:       t.Strings("plants"),
		Ingredients:  t.Strings("ingredients"),
		Added:        readAdded(t, attributes),
		ExceptPlants: t.Strings("except_plants"),
		Law:          readLaw(t),
	}
	perKg, perL := t.Has("max_mg_per_kg"), t.Has("max_mg_per_l")
	switch {
	case perKg == perL:
		t.Fault("", "needs either max_mg_per_kg or max_mg_per_l", "")
		t.Suggest("max_mg_per_kg", "max_mg_per_l")
	case perKg:
		c.Per = PerKilogram
	default:
		c.Per = PerLitre
	}
	c.Max = t.NumberOr("max_mg_per_kg", tomlfile.NonNegative, 0)
	if perL {
		c.Max = t.NumberOr("max_mg_per_l", tomlfile.NonNegative, 0)
	}
	checkUnit(t, "substance", c.Substance, "mg", attributes)
	t.Done()
	return c
}

// readAdded reads the substances by which a rule covers what brings them.
func readAdded(t *tomlfile.Table, attributes map[string]*Attribute) []string {
	added := t.Strings("added")
	for _, name := range added {
		checkUnit(t, "added", name, "mg", attributes)
	}
	return added
}

// checkUnit notes a fault when the attribute that key names is unknown or not counted in unit.
func checkUnit(t *tomlfile.Table, key, name, unit string, attributes map[string]*Attribute) {
	if name == "" {
		return
	}
	a := attributes[name]
	if a == nil {
		t.Fault(key, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
	} else if a.Unit != unit {
		t.Fault(key, fmt.Sprintf("%s is counted in %s, but the limit in %s", name, a.Unit, unit), "")
	}
}

func readPermission(t *tomlfile.Table, attributes map[string]*Attribute) Permission {
	t.Require("rule")
	p := Permission{
		Plants:      t.Strings("plants"),
		Ingredients: t.Strings("ingredients"),
		Added:       readAdded(t, attributes),
		Rule:        t.OneOf("rule", AlcoholicOnly, CarbonatedOnly, BeveragesOnly, Banned),
		Law:         readLaw(t),
	}
	if len(p.Plants)+len(p.Ingredients)+len(p.Added) == 0 {
		t.Fault("", "names neither plants nor ingredients nor added substances", "")
	}
	t.Done()
	return p
}

func readDeclaration(t *tomlfile.Table, attributes map[string]*Attribute) Declaration {
	t.Require("wording")
	d := Declaration{
		Ingredients: t.Strings("ingredients"),
		Plants:      t.Strings("plants"),
		Attribute:   t.String("attribute"),
		Drinks:      readDrinks(t),
		Wording:     t.String("wording"),
		Law:         readLaw(t),
	}
	for _, k := range perKeys {
		for _, key := range []string{"above" + k.suffix, "from" + k.suffix} {
			if !t.Has(key) {
				continue
			}
			x, _ := t.Number(key, tomlfile.NonNegative)
			if d.Per != "" {
				t.Fault(key, "stands beside another threshold; give one", "")
				continue
			}
			d.From, d.Per, d.Inclusive = x, k.per, key[0] == 'f'
			checkUnit(t, "attribute", d.Attribute, k.unit, attributes)
		}
	}
	if (d.Attribute == "") != (d.Per == "") {
		t.Fault("", "needs an attribute and a threshold such as above_mg_per_l together, or neither", "")
	}
	t.Done()
	return d
}
