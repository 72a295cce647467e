package profile

import (
	"fmt"
	"slices"
	"strings"

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
// others are the markets read before it.
func readMarket(doc *tomlfile.Document, attributes map[string]*Attribute, others map[string]*Market) *Market {
	root := doc.Root()
	m := &Market{Name: readName(root, "name"), Title: root.String("title"), File: root.File(), Line: root.Line("name")}
	if m.Title == "" {
		m.Title = m.Name
	}
	root.Require("alcoholic_from_percent")
	m.AlcoholicFrom = root.NumberOr("alcoholic_from_percent", tomlfile.Range{Min: 0, Max: 100}, 0)
	m.Note = root.String("note")
	m.Editions = readEditions(root)
	m.Closed = root.Strings("closed")
	for n, category := range m.Closed {
		if !slices.Contains(Categories(), category) {
			root.ElementFault("closed", n, fmt.Sprintf("there is no category of additives %q", category), tomlfile.DidYouMean(category, Categories()))
		}
	}
	m.Holds, m.Lacks = readClasses(root, "holds"), readClasses(root, "lacks")
	m.takeOver(root, others)
	for _, t := range root.Tables("cap") {
		m.Caps = append(m.Caps, readCap(t, attributes))
	}
	for _, t := range root.Tables("permission") {
		m.Permissions = append(m.Permissions, readPermission(t, attributes))
	}
	for _, t := range root.Tables("declaration") {
		m.Declarations = append(m.Declarations, readDeclaration(t, attributes))
	}
	for _, t := range root.Tables("duty") {
		m.Duties = append(m.Duties, readDeclaration(t, attributes))
	}
	m.date()
	checkClasses(root, m)
	root.Done()
	return m
}

// readEditions reads [editions]: the edition or date of a text, by how its citations begin.
func readEditions(root *tomlfile.Table) map[string]string {
	t := root.Table("editions")
	if t == nil {
		return nil
	}
	out := map[string]string{}
	for _, work := range t.Keys() {
		out[work] = t.String(work)
	}
	t.Done()
	return out
}

// date gives each rule whose text was read, and that states none, the edition of the longest citation that
// its own begins with.
func (m *Market) date() {
	of := func(l *Law) {
		if l.Edition != "" || l.Unconfirmed() {
			return
		}
		longest := ""
		for work := range m.Editions {
			if len(work) > len(longest) && strings.HasPrefix(l.Citation, work) {
				longest = work
			}
		}
		l.Edition = m.Editions[longest]
	}
	for n := range m.Caps {
		of(&m.Caps[n].Law)
	}
	for n := range m.Permissions {
		of(&m.Permissions[n].Law)
	}
	for n := range m.Declarations {
		of(&m.Declarations[n].Law)
	}
	for n := range m.Duties {
		of(&m.Duties[n].Law)
	}
}

// takeOver copies the caps and permissions of the market that keeps_rules_of names, as recalled: the texts
// of this market were not read for it.
func (m *Market) takeOver(root *tomlfile.Table, others map[string]*Market) {
	name := root.String("keeps_rules_of")
	suffix := root.String("keeps_as")
	if name == "" {
		return
	}
	other := others[name]
	if other == nil {
		root.Fault("keeps_rules_of", fmt.Sprintf("there is no market %q", name), tomlfile.DidYouMean(name, names(others)))
		return
	}
	kept := func(l Law) Law {
		if suffix != "" {
			l.Citation += ", " + suffix
		}
		l.Text = Recalled
		if l.Edition != "" {
			l.Edition += ", read for market " + other.Name
		}
		return l
	}
	for _, c := range other.Caps {
		c.Law = kept(c.Law)
		m.Caps = append(m.Caps, c)
	}
	for _, p := range other.Permissions {
		p.Law = kept(p.Law)
		m.Permissions = append(m.Permissions, p)
	}
	m.Closed = append(m.Closed, other.Closed...)
}

func readLaw(t *tomlfile.Table) Law {
	t.Require("citation", "text")
	return Law{
		Citation: t.String("citation"),
		Edition:  t.String("edition"),
		Text:     t.OneOf("text", Seen, Recalled),
		Note:     t.String("note"),
		Line:     t.Line(""),
	}
}

// readClass reads the class of a rule; usual holds where none is given.
func readClass(t *tomlfile.Table, usual string) string {
	if class := t.OneOf("class", classNames()...); class != "" {
		return class
	}
	return usual
}

// readDrinks reads which drinks a rule is about, one of words or any.
func readDrinks(t *tomlfile.Table, words ...string) string {
	if d := t.OneOf("drinks", append([]string{AnyDrinks}, words...)...); d != "" {
		return d
	}
	return AnyDrinks
}

func readScope(t *tomlfile.Table) Scope {
	percent := tomlfile.Range{Min: 0, Max: 100, Open: true}
	return Scope{
		Drinks:       readDrinks(t, NonAlcoholic, Alcoholic, SpiritDrinks, OtherAlcoholic, NoSpirits),
		FromPercent:  t.NumberOr("from_percent", percent, 0),
		BelowPercent: t.NumberOr("below_percent", percent, 0),
		Gas:          t.OneOf("gas", Still, Carbonated),
	}
}

func readCap(t *tomlfile.Table, attributes map[string]*Attribute) Cap {
	c := Cap{Scope: readScope(t), Plants: t.Strings("plants"), ExceptPlants: t.Strings("except_plants"), Law: readLaw(t)}
	c.Added, c.Additives = readAdded(t, attributes)
	if c.Sum, c.Per = readSum(t, attributes); len(c.Sum) > 0 {
		c.Substance, c.Max = readName(t, "name"), 1
	} else {
		readMaximum(t, &c, attributes)
	}
	usual := ActivePrinciples
	if a := attributes[c.Counted()[0].Substance]; a != nil && a.Family == "preservative" {
		usual = Preservatives
	}
	c.Class = readClass(t, usual)
	t.Done()
	return c
}

// readMaximum reads the maximum of one substance.
func readMaximum(t *tomlfile.Table, c *Cap, attributes map[string]*Attribute) {
	const each = "max_mg_per_kg_per_percent"
	t.Require("substance")
	c.Substance = t.String("substance")
	var given []string
	for _, key := range []string{"max_mg_per_kg", "max_mg_per_l", each} {
		if t.Has(key) {
			given = append(given, key)
			c.Max = t.NumberOr(key, tomlfile.NonNegative, 0)
		}
	}
	if len(given) != 1 {
		t.Fault("", "needs either max_mg_per_kg or max_mg_per_l", "")
		t.Suggest("max_mg_per_kg", "max_mg_per_l")
		return
	}
	c.Per, c.PerPercent = PerKilogram, given[0] == each
	if given[0] == "max_mg_per_l" {
		c.Per = PerLitre
	}
	checkUnit(t, "substance", c.Substance, "mg", attributes)
	if a := attributes[c.Substance]; a != nil && a.Additive() && len(c.Plants)+len(c.Added)+len(c.Additives) == 0 {
		c.Additives = []string{c.Substance} // it holds only where something brings it, or may
	}
}

// readSum reads a sum of proportions, if there is one: for each substance the maximum its amount is taken over.
func readSum(t *tomlfile.Table, attributes map[string]*Attribute) ([]Share, Per) {
	key, per := "sum_of_mg_per_kg", PerKilogram
	if !t.Has(key) {
		key, per = "sum_of_mg_per_l", PerLitre
	}
	sum := t.Table(key)
	if sum == nil {
		return nil, ""
	}
	var out []Share
	for _, name := range sum.Keys() {
		checkUnit(sum, name, name, "mg", attributes)
		out = append(out, Share{name, sum.NumberOr(name, tomlfile.Positive, 1)})
	}
	sum.Done()
	slices.SortFunc(out, func(a, b Share) int { return strings.Compare(a.Substance, b.Substance) })
	if len(out) == 0 {
		t.Fault(key, "names no substance", "")
	}
	return out, per
}

// readAdded reads the substances by which a rule covers what brings them: those that a plant may hold, too,
// and those that are additives alone.
func readAdded(t *tomlfile.Table, attributes map[string]*Attribute) (added, additives []string) {
	for _, name := range t.Strings("added") {
		checkUnit(t, "added", name, "mg", attributes)
		if a := attributes[name]; a != nil && a.Additive() {
			additives = append(additives, name)
		} else {
			added = append(added, name)
		}
	}
	return added, additives
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
		Plants:   t.Strings("plants"),
		ENumbers: t.Strings("e_numbers"),
		Rule:     t.OneOf("rule", AlcoholicOnly, CarbonatedOnly, BeveragesOnly, EnergyReducedOnly, Permitted, Banned),
		Scope:    readScope(t),
		Law:      readLaw(t),
	}
	p.Added, p.Additives = readAdded(t, attributes)
	usual := PlantUse
	if len(p.Plants) == 0 {
		usual = Flavourings
	}
	p.Class = readClass(t, usual)
	if len(p.Plants)+len(p.Added)+len(p.Additives)+len(p.ENumbers) == 0 {
		t.Fault("", "names neither plants nor added substances nor E numbers", "")
	}
	t.Done()
	return p
}

func readDeclaration(t *tomlfile.Table, attributes map[string]*Attribute) Declaration {
	t.Require("wording")
	d := Declaration{
		Ingredients:  t.Strings("ingredients"),
		Plants:       t.Strings("plants"),
		Attribute:    t.String("attribute"),
		Categories:   t.Strings("categories"),
		AddedSugar:   t.OneOf("added_sugar", WithSugar, WithoutSugar),
		InList:       t.Bool("in_list"),
		UnlessListed: t.String("unless_listed"),
		Drinks:       readDrinks(t, NonAlcoholic, Alcoholic),
		Wording:      t.String("wording"),
		Law:          readLaw(t),
	}
	if d.AddedSugar != "" && len(d.Categories) == 0 {
		t.Fault("added_sugar", "stands without categories, of which it says beside what they are used", "")
	}
	if d.Sum, d.Per = readSum(t, attributes); len(d.Sum) > 0 {
		d.From = 1
		t.Done()
		return d
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
