package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"sort"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// librarySchema names what the JSON of profiles list and show holds.
const librarySchema = "bittersum/profiles/1"

type jsonLibrary struct {
	Schema string `json:"schema"`
	Items  any    `json:"items"`
}

// Ingredients lists the library's ingredients: all of them by kind, or those that carry an attribute,
// richest first.
func Ingredients(w io.Writer, lib *profile.Library, carries string, asJSON bool) error {
	var list []*profile.Ingredient
	for _, name := range lib.IngredientNames() {
		g := lib.Ingredients[name]
		if c, known := g.Content(carries); carries == "" || known && c.PerGram > 0 {
			list = append(list, g)
		}
	}
	content := func(g *profile.Ingredient) float64 {
		c, _ := g.Content(carries)
		return c.PerGram * c.Recovery
	}
	sort.SliceStable(list, func(i, j int) bool {
		if carries != "" {
			return content(list[i]) > content(list[j])
		}
		return list[i].Kind < list[j].Kind
	})
	if asJSON {
		items := make([]jsonIngredient, len(list))
		for n, g := range list {
			items[n] = ingredientJSON(g)
		}
		return encode(w, jsonLibrary{librarySchema, items})
	}
	if carries == "" {
		t := newTable("", "lkind", "lingredient", "l")
		last := ""
		for _, g := range list {
			kind := g.Kind
			if kind == last {
				kind = ""
			}
			last = g.Kind
			t.row(kind, g.Name, g.Title)
		}
		t.write(w)
		return nil
	}
	a := lib.Attributes[carries]
	t := newTable("", "lingredient", "."+a.Unit+" per g", ".reaches the drink", "lfrom")
	for _, g := range list {
		c, _ := g.Content(carries)
		t.row(g.Name, figures(c.PerGram, 3), figures(content(g), 3), string(c.Basis))
	}
	t.write(w)
	return nil
}

// Attributes lists the library's attributes by family.
func Attributes(w io.Writer, lib *profile.Library, asJSON bool) error {
	var list []*profile.Attribute
	for _, name := range lib.AttributeNames() {
		list = append(list, lib.Attributes[name])
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Family < list[j].Family })
	if asJSON {
		items := make([]jsonAttributeProfile, len(list))
		for n, a := range list {
			items[n] = attributeJSON(a)
		}
		return encode(w, jsonLibrary{librarySchema, items})
	}
	t := newTable("", "lfamily", "lattribute", "lunit", "l")
	last := ""
	for _, a := range list {
		family := a.Family
		if family == last {
			family = ""
		}
		last = a.Family
		t.row(family, a.Name, perUnit(a), a.Title)
	}
	t.write(w)
	return nil
}

// Markets lists the markets with the number of caps each has.
func Markets(w io.Writer, lib *profile.Library, asJSON bool) error {
	if asJSON {
		var items []jsonMarket
		for _, name := range lib.MarketNames() {
			items = append(items, marketJSON(lib.Markets[name]))
		}
		return encode(w, jsonLibrary{librarySchema, items})
	}
	t := newTable("", "lmarket", "l", "rcaps", "rpermissions", "rlabel rules")
	for _, name := range lib.MarketNames() {
		m := lib.Markets[name]
		t.row(m.Name, m.Title, fmt.Sprint(len(m.Caps)), fmt.Sprint(len(m.Permissions)), fmt.Sprint(len(m.Declarations)))
	}
	t.write(w)
	return nil
}

// Demos lists the embedded briefs.
func Demos(w io.Writer, names []string, asJSON bool) error {
	if asJSON {
		return encode(w, jsonLibrary{librarySchema, names})
	}
	for _, name := range names {
		fmt.Fprintf(w, "demo:%s\n", name)
	}
	return nil
}

// Known shows the ingredient, attribute or market of a name; found is false where there is none. made are the
// preparations worked out.
func Known(w io.Writer, lib *profile.Library, made map[string]*brief.Source, name string, asJSON bool) (found bool, err error) {
	switch {
	case lib.Ingredients[name] != nil:
		return true, Ingredient(w, lib, lib.Ingredients[name], made[name], asJSON)
	case lib.Attributes[name] != nil:
		return true, Attribute(w, lib, lib.Attributes[name], asJSON)
	case lib.Markets[name] != nil:
		return true, Market(w, lib, lib.Markets[name], asJSON)
	}
	return false, nil
}

// Ingredient shows one ingredient with the source of each figure; made is how a preparation was worked out,
// nil for anything else.
func Ingredient(w io.Writer, lib *profile.Library, g *profile.Ingredient, made *brief.Source, asJSON bool) error {
	if asJSON {
		out := ingredientJSON(g)
		out.MadeOf = preparationJSON(made)
		return encode(w, jsonLibrary{librarySchema, out})
	}
	fmt.Fprintf(w, "%s: %s (%s)\n\n", g.Name, g.Title, g.Kind)
	if made != nil {
		preparation(w, made.Made)
	}
	number := plain
	if made != nil {
		number = func(x float64) string { return trimmed(x, 4) }
	}
	t := newTable("  ", "lattribute", ".per g", ".± sd", ".reaches", "lfrom")
	names := make([]string, 0, len(g.Contents))
	for name := range g.Contents {
		names = append(names, name)
	}
	sort.Strings(names)
	var sources []string
	for _, name := range names {
		c := g.Contents[name]
		from := string(c.Basis)
		if c.Source != "" {
			at := indexOf(&sources, c.Source)
			from += fmt.Sprintf(" [%d]", at+1)
		}
		unit := ""
		if a := lib.Attributes[name]; a != nil {
			unit = a.Unit
		}
		reaches := percent(c.Recovery)
		if c.MeasuredOn != "" {
			reaches += " of a " + c.MeasuredOn
		}
		if drawn := c.RecoveryProvenance; drawn.Basis != "" && (drawn.Basis != c.Basis || drawn.Source != "") {
			reaches += " " + string(drawn.Basis)
			if drawn.Source != "" {
				reaches += fmt.Sprintf(" [%d]", indexOf(&sources, drawn.Source)+1)
			}
		}
		t.row(name+", "+unit, number(c.PerGram), number(c.SD), reaches, from)
	}
	t.write(w)
	if c := g.Correlations; c != nil {
		fmt.Fprintf(w, "  %s\n", wrap("From lot to lot these go together: "+correlations(c), width-2, "  "))
	}
	if len(names) > 0 {
		fmt.Fprintln(w)
	}
	physical(w, g, number)
	process(w, g)
	unsaid(w, lib, g)
	for _, c := range g.Cautions {
		fmt.Fprintf(w, "\n  %s\n", wrap("Caution: "+c, width-2, "  "))
	}
	if len(sources) > 0 {
		fmt.Fprintln(w)
	}
	for n, s := range sources {
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("[%d] %s", n+1, s), width-8, "      "))
	}
	return nil
}

// physical prints an ingredient's mass, volume and price.
func physical(w io.Writer, g *profile.Ingredient, number func(float64) string) {
	t := newTable("  ", "l", ".", "l")
	t.row("share that dissolves", percent(g.SolubleShare), "")
	t.row("its specific volume", number(g.SpecificVolume), "mL/g")
	t.row("liquor held back", plain(g.HoldUp*1000), "mL/g")
	t.row("lost in trimming", percent(g.TrimmingLoss), "")
	t.row("price", number(g.PricePerKg), profile.Currency+"/kg ("+string(g.PriceProvenance.Basis)+")")
	t.write(w)
}

// unsaid prints what an ingredient carries none of, and what is not known of it.
func unsaid(w io.Writer, lib *profile.Library, g *profile.Ingredient) {
	if g.Pure && len(g.Unknown) == 0 {
		fmt.Fprintf(w, "\n  A purified substance: it carries nothing else.\n")
		return
	}
	if g.Pure {
		fmt.Fprintf(w, "\n  A purified substance: it carries nothing else but for what is unknown.\n")
	}
	var absent, botany []string
	for _, name := range slices.Sorted(maps.Keys(g.Absent)) {
		if g.Absent[name].ByBotany() {
			botany = append(botany, name)
		} else {
			absent = append(absent, name)
		}
	}
	if len(absent) > 0 {
		fmt.Fprintf(w, "\n  %s\n", wrap("Absent: "+strings.Join(absent, ", "), width-2, "  "))
	}
	if len(botany) > 0 {
		fmt.Fprintf(w, "\n  %s\n", wrap("Absent by botany, since the plant is none that they are reported from: "+strings.Join(botany, ", "), width-2, "  "))
	}
	var unknown []string
	for _, name := range lib.AttributeNames() {
		c, known := g.Content(name)
		switch {
		case known:
		case c.PerGram > 0:
			unknown = append(unknown, fmt.Sprintf("%s (at least %s %s per g)", name, trimmed(c.PerGram, 3), lib.Attributes[name].Unit))
		default:
			unknown = append(unknown, name)
		}
	}
	if len(unknown) > 0 {
		fmt.Fprintf(w, "\n  %s\n", wrap("Unknown: "+strings.Join(unknown, ", "), width-2, "  "))
	}
}

// indexOf returns the place of s in list, adding it if it is new.
func indexOf(list *[]string, s string) int {
	for n, have := range *list {
		if have == s {
			return n
		}
	}
	*list = append(*list, s)
	return len(*list) - 1
}

// Attribute shows one attribute and what carries it.
func Attribute(w io.Writer, lib *profile.Library, a *profile.Attribute, asJSON bool) error {
	if asJSON {
		return encode(w, jsonLibrary{librarySchema, attributeJSON(a)})
	}
	fmt.Fprintf(w, "%s: %s, %s (%s)\n", a.Name, a.Title, perUnit(a), a.Family)
	if a.Note != "" {
		fmt.Fprintln(w, wrap("Meaning: "+a.Note, width, "  "))
	}
	switch {
	case a.JND > 0:
		fmt.Fprintf(w, "Just noticeable difference: %s %s\n", plain(a.JND), perUnit(a))
	case a.JNDShare > 0:
		fmt.Fprintf(w, "Just noticeable difference: %s of the value\n", percent(a.JNDShare))
	}
	from := string(a.Basis)
	if a.Source != "" {
		from += ": " + a.Source
	}
	if from != "" {
		fmt.Fprintln(w, wrap("From: "+from, width, "  "))
	}
	fmt.Fprintln(w)
	return Ingredients(w, lib, a.Name, false)
}

// Coverage says what the library does not know.
func Coverage(w io.Writer, lib *profile.Library) {
	fmt.Fprintf(w, "%d ingredients, %d attributes, %d markets: no fault found.\n", len(lib.Ingredients), len(lib.Attributes), len(lib.Markets))
	unknown := lib.Check()
	if len(unknown) == 0 {
		return
	}
	fmt.Fprintln(w, "Not known (neither given nor absent):")
	for _, line := range unknown {
		fmt.Fprintf(w, "  %s\n", wrap(line, width-2, "    "))
	}
}
