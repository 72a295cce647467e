package profile

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/tomlfile"
)

// Classes of rules.
const (
	// ActivePrinciples are substances that plants hold: thujone, quassin, quinine and their like.
	ActivePrinciples = "active-principles"
	// PlantUse is which plants may be used, and in which drinks.
	PlantUse = "plants"
	// Flavourings are substances that are added for their taste.
	Flavourings   = "flavourings"
	Preservatives = "preservatives"
	Sweeteners    = "sweeteners"
	Acids         = "acids"
	Antioxidants  = "antioxidants"
	Colours       = "colours"
	Texturants    = "texturants"
	Minerals      = "minerals"
	// LabelRules are what a label must bear.
	LabelRules = "label"
)

// Class is a class of rules that a market may hold.
type Class struct {
	Name, Title string
	// Categories are the classes of additives whose use its rules are about.
	Categories []string
}

// Classes are all classes of rules: first those that a file of this program can hold, then those that none
// holds yet, so that a market says what is left to the maker.
var Classes = []Class{
	{ActivePrinciples, "restricted substances of plants", nil},
	{PlantUse, "plants", nil},
	{Flavourings, "added flavouring substances", []string{"flavouring", "flavour enhancer"}},
	{Preservatives, "preservatives", []string{"preservative"}},
	{Sweeteners, "sweeteners", []string{"sweetener"}},
	{Acids, "acids and acidity regulators", []string{"acid", "acidity regulator", "sequestrant"}},
	{Antioxidants, "antioxidants", []string{"antioxidant"}},
	{Colours, "colours", []string{"colour"}},
	{Texturants, "stabilisers, foaming agents and humectants", []string{
		"stabiliser", "thickener", "gelling agent", "emulsifier", "foaming agent", "antifoaming agent", "humectant",
		"bulking agent", "modified starch", "firming agent", "glazing agent", "anti-caking agent", "carrier",
	}},
	{Minerals, "added vitamins and minerals", []string{"mineral salt", "vitamin"}},
	{LabelRules, "what a label must bear", nil},
	{"contaminants", "contaminants: metals, mould toxins, solvents", nil},
	{"residues", "residues of pesticides", nil},
	{"novel-foods", "novel foods", nil},
	{"excise", "excise on alcohol", nil},
	{"levies", "levies on sugar or drinks", nil},
	{"deposit", "deposits on containers", nil},
	{"gases", "gases", []string{"propellent gas", "packaging gas"}},
	{"processing", "hygiene, heat treatment and processing aids", nil},
	{"packaging", "packaging and what passes from it", nil},
	{"names", "reserved names and standards of identity", nil},
	{"claims", "claims on health and nutrition", nil},
	{"licences", "licences, registration and filing", nil},
}

// ClassOf returns the class of rules that an additive of the given category falls into; false when none.
func ClassOf(category string) (Class, bool) {
	for _, c := range Classes {
		if slices.Contains(c.Categories, category) {
			return c, true
		}
	}
	return Class{}, false
}

// ClassTitle returns the title of the class of that name.
func ClassTitle(name string) string {
	for _, c := range Classes {
		if c.Name == name {
			return c.Title
		}
	}
	return name
}

func classNames() []string {
	var all []string
	for _, c := range Classes {
		all = append(all, c.Name)
	}
	return all
}

// Categories are the classes of additives that an ingredient may state as its category: those of Regulation
// (EU) 1169/2011 Annex VII Part C as far as drinks have them, and flavourings, vitamins and mineral salts.
func Categories() []string {
	var all []string
	for _, c := range Classes {
		all = append(all, c.Categories...)
	}
	return all
}

// readClasses reads [holds] or [lacks]: what is held or not, by class.
func readClasses(root *tomlfile.Table, key string) map[string]string {
	t := root.Table(key)
	if t == nil {
		return nil
	}
	out := map[string]string{}
	for _, name := range t.Keys() {
		if !slices.Contains(classNames(), name) {
			t.Fault(name, fmt.Sprintf("there is no class of rules %q", name), tomlfile.DidYouMean(name, classNames()))
		}
		out[name] = t.String(name)
	}
	t.Done()
	return out
}

// checkClasses notes where a market that states its classes leaves one out, states one twice, or states
// something else than its rules show.
func checkClasses(root *tomlfile.Table, m *Market) {
	if m.Holds == nil && m.Lacks == nil {
		return
	}
	count := m.CountRules()
	var silent []string
	for _, name := range classNames() {
		_, held := m.Holds[name]
		_, lacked := m.Lacks[name]
		switch {
		case held && lacked:
			root.Fault("lacks", fmt.Sprintf("names %s, which stands under holds too", name), "")
		case held && count[name] == RuleCount{}:
			root.Fault("holds", fmt.Sprintf("names %s, but no rule of this market is of that class", name), "put it under lacks")
		case !held && count[name] != RuleCount{}:
			root.Fault("holds", fmt.Sprintf("leaves out %s, of which this market has rules", name), "")
		case !held && !lacked:
			silent = append(silent, name)
		}
	}
	if len(silent) > 0 {
		root.Fault("lacks", "leaves out "+strings.Join(silent, ", "), "say of each class what is left to the maker")
	}
}

// RuleCount is a number of rules by how their texts are known.
type RuleCount struct{ Seen, Recalled int }

func (t *RuleCount) add(l Law) {
	if l.Unconfirmed() {
		t.Recalled++
	} else {
		t.Seen++
	}
}

// CountRules counts the market's rules by class.
func (m *Market) CountRules() map[string]RuleCount {
	out := map[string]RuleCount{}
	count := func(class string, l Law) {
		t := out[class]
		t.add(l)
		out[class] = t
	}
	for _, c := range m.Caps {
		count(c.Class, c.Law)
	}
	for _, p := range m.Permissions {
		count(p.Class, p.Law)
	}
	for _, d := range m.Declarations {
		count(LabelRules, d.Law)
	}
	return out
}

// HeldClasses returns the classes of which the market has rules, and MissingClasses those of which it has
// none, in the order of Classes.
func (m *Market) HeldClasses() []Class { return m.classes(true) }

// MissingClasses returns the classes of which the market has no rule.
func (m *Market) MissingClasses() []Class { return m.classes(false) }

func (m *Market) classes(held bool) []Class {
	count := m.CountRules()
	var out []Class
	for _, c := range Classes {
		if (count[c.Name] != RuleCount{}) == held {
			out = append(out, c)
		}
	}
	return out
}

// Read returns the added substances that rules of the market let such a drink hold, of the class that the
// category of additives falls into.
func (m *Market) Read(d Drink, category string) []string {
	class, _ := ClassOf(category)
	var out []string
	add := func(l Law, s Scope, names ...string) {
		for _, name := range names {
			if l.Class == class.Name && s.Holds(d) && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	for _, c := range m.Caps {
		add(c.Law, c.Scope, c.Additives...)
	}
	for _, p := range m.Permissions {
		if p.Rule == Permitted {
			add(p.Law, p.Scope, p.Additives...)
		}
	}
	slices.Sort(out)
	return out
}

// Names reports whether a rule of the market that is about the drink speaks of the additive g by what it
// brings, what it comes from, or its number.
func (m *Market) Names(d Drink, g *Ingredient) bool {
	for _, p := range m.Permissions {
		if p.Covers(g) && p.Scope.Holds(d) {
			return true
		}
	}
	return slices.ContainsFunc(m.Caps, func(c Cap) bool {
		of := func(s Share) bool { return brings([]string{s.Substance}, g) }
		return c.Scope.Holds(d) && slices.ContainsFunc(c.Counted(), of)
	})
}
