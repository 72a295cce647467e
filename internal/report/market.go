package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// Market shows one market's rules by class, with what holds of each and where it comes from, and the classes
// of which it holds none.
func Market(w io.Writer, lib *profile.Library, m *profile.Market, asJSON bool) error {
	if asJSON {
		return encode(w, jsonLibrary{librarySchema, marketJSON(m)})
	}
	fmt.Fprintf(w, "%s: %s\n", m.Name, m.Title)
	if m.Note != "" {
		fmt.Fprintln(w, wrap(m.Note, width, ""))
	}
	fmt.Fprintln(w, wrap("Maxima hold in the drink as served, from "+plain(m.AlcoholicFrom)+" % vol as an alcoholic one.", width, ""))
	classes(w, m)
	for _, c := range m.HeldClasses() {
		if c.Name == profile.LabelRules {
			continue
		}
		fmt.Fprintf(w, "\n%s:\n", upperFirst(c.Title))
		for _, x := range m.Caps {
			if x.Class == c.Name {
				ruleItem(w, maximum(lib, x)+conditions(x.Scope, x.Plants, x.Added, x.ExceptPlants), x.Law)
			}
		}
		for _, x := range m.Permissions {
			if x.Class == c.Name {
				ruleItem(w, strings.ReplaceAll(x.Rule, "-", " ")+": "+strings.Join(covered(x), ", ")+conditions(x.Scope, nil, nil, nil), x.Law)
			}
		}
	}
	if len(m.Declarations) > 0 {
		fmt.Fprintln(w, "\nWhat a label must bear:")
	}
	for _, d := range m.Declarations {
		ruleItem(w, d.Wording, d.Law)
	}
	if len(m.Duties) > 0 {
		fmt.Fprintln(w, "\nWhat a drink must be made under, said as a caution and not judged:")
	}
	for _, d := range m.Duties {
		ruleItem(w, d.Wording, d.Law)
	}
	return nil
}

// classes prints which classes of rules a market holds, with how many rules of each, and which it lacks.
func classes(w io.Writer, m *profile.Market) {
	count := m.CountRules()
	all := profile.RuleCount{}
	t := newTable("  ", "lrules held", "rseen", "rrecalled")
	for _, c := range m.HeldClasses() {
		n := count[c.Name]
		all.Seen, all.Recalled = all.Seen+n.Seen, all.Recalled+n.Recalled
		t.row(c.Title, fmt.Sprint(n.Seen), fmt.Sprint(n.Recalled))
	}
	t.row("in all", fmt.Sprint(all.Seen), fmt.Sprint(all.Recalled))
	fmt.Fprintln(w)
	t.write(w)
	held := func(c profile.Class) {
		if what := m.Holds[c.Name]; what != "" {
			fmt.Fprintf(w, "  - %s\n", wrap(c.Title+": "+what, width-4, "    "))
		}
	}
	if len(m.Holds) > 0 {
		fmt.Fprintln(w, "\nWhat of them is held:")
	}
	for _, c := range m.HeldClasses() {
		held(c)
	}
	fmt.Fprintln(w, "\nNo rules are held on; look them up (where they stand is recalled):")
	for _, c := range m.MissingClasses() {
		text := c.Title
		if what := m.Lacks[c.Name]; what != "" {
			text += ": " + what
		}
		fmt.Fprintf(w, "  - %s\n", wrap(text, width-4, "    "))
	}
}

func ruleItem(w io.Writer, text string, l profile.Law) {
	from := l.Citation
	if l.Edition != "" {
		from += ", " + l.Edition
	}
	text += " [" + from + ", " + l.Text + "]"
	if l.Note != "" {
		text += "; " + l.Note
	}
	fmt.Fprintf(w, "  - %s\n", wrap(text, width-4, "    "))
}

// maximum says what a cap allows.
func maximum(lib *profile.Library, c profile.Cap) string {
	per := "/kg"
	if c.Per == profile.PerLitre {
		per = "/L"
	}
	if len(c.Sum) > 0 {
		var parts []string
		for _, s := range c.Sum {
			parts = append(parts, fmt.Sprintf("%s over %s mg%s", s.Substance, plain(s.Max), per))
		}
		return c.Substance + ": " + strings.Join(parts, ", ") + ", added up, at most 1"
	}
	text := fmt.Sprintf("%s at most %s %s%s", c.Substance, plain(c.Max), lib.Attributes[c.Substance].Unit, per)
	if c.PerPercent {
		text += " for each % vol"
	}
	return text
}

// drinksText says which drinks a rule is about.
var drinksText = map[string]string{
	profile.NonAlcoholic: "without alcohol", profile.Alcoholic: "with alcohol", profile.SpiritDrinks: "spirit drinks",
	profile.OtherAlcoholic: "with alcohol, but no spirit drinks", profile.NoSpirits: "all but spirit drinks",
}

// conditions says which drinks a rule is about.
func conditions(s profile.Scope, plants, added, except []string) string {
	var out []string
	if text := drinksText[s.Drinks]; text != "" {
		out = append(out, text)
	}
	if s.FromPercent > 0 {
		out = append(out, "from "+plain(s.FromPercent)+" % vol")
	}
	if s.BelowPercent > 0 {
		out = append(out, "below "+plain(s.BelowPercent)+" % vol")
	}
	if s.Gas != "" {
		out = append(out, s.Gas)
	}
	if len(plants) > 0 {
		out = append(out, "with "+strings.Join(plants, ", "))
	}
	if len(added) > 0 {
		out = append(out, "where added: "+strings.Join(added, ", "))
	}
	if len(except) > 0 {
		out = append(out, "without "+strings.Join(except, ", "))
	}
	if len(out) == 0 {
		return ""
	}
	return " (" + strings.Join(out, "; ") + ")"
}

// covered lists what a permission is about.
func covered(p profile.Permission) []string {
	about := slices.Concat(p.Plants, p.ENumbers)
	for _, substance := range slices.Concat(p.Added, p.Additives) {
		about = append(about, "added "+substance)
	}
	return about
}

// mostClasses is how many classes without rules a line about a drink names.
const mostClasses = 6

// judgedText says by which classes of rules a drink was judged, and which are left to the maker.
func judgedText(j *brief.Job) string {
	held, lacking := assess.Coverage(j)
	var markets []string
	for _, m := range j.Markets {
		markets = append(markets, m.Name)
	}
	more := ""
	if len(lacking) > mostClasses {
		lacking, more = lacking[:mostClasses], fmt.Sprintf(" and %d more", len(lacking)-mostClasses)
	}
	return fmt.Sprintf("Judged by what is held of rules on %s; not at all on %s%s (profiles show %s).",
		strings.Join(held, ", "), strings.Join(lacking, ", "), more, strings.Join(markets, ", "))
}

// judgedClasses are the classes of rules that a drink was judged by, and those that it was not; none of a blend.
func judgedClasses(j *brief.Job) (held, lacking []string) {
	if j.Kind != brief.Drink {
		return nil, nil
	}
	return assess.Coverage(j)
}

// jsonJudged is judgedText in full, class by class.
type jsonJudged struct {
	JudgedBy    []string `json:"judged_by_rules_on,omitempty"`
	NotJudgedBy []string `json:"no_rules_held_on,omitempty"`
}

func judgedJSON(j *brief.Job) jsonJudged {
	held, lacking := judgedClasses(j)
	return jsonJudged{held, lacking}
}

func judgedBy(w io.Writer, j *brief.Job) {
	if j.Kind == brief.Drink {
		fmt.Fprintf(w, "  %s\n\n", wrap(judgedText(j), width-2, "  "))
	}
}

type jsonPlant struct {
	Plant       string   `json:"plant"`
	Ingredients []string `json:"ingredients,omitempty"`
	Markets     []string `json:"rules_in,omitempty"`
}

// Plants lists the plants that profiles and rules name, with the ingredients made of them and the markets that
// have a rule about them.
func Plants(w io.Writer, lib *profile.Library, asJSON bool) error {
	var items []jsonPlant
	for _, plant := range lib.PlantNames() {
		item := jsonPlant{Plant: plant}
		for _, name := range lib.IngredientNames() {
			if slices.Contains(lib.Ingredients[name].Plants, plant) {
				item.Ingredients = append(item.Ingredients, name)
			}
		}
		for _, name := range lib.MarketNames() {
			if lib.Markets[name].Speaks(plant) {
				item.Markets = append(item.Markets, name)
			}
		}
		items = append(items, item)
	}
	if asJSON {
		return encode(w, jsonLibrary{librarySchema, items})
	}
	t := newTable("", "lplant", "lrules in", "lingredients")
	for _, item := range items {
		t.row(item.Plant, strings.Join(item.Markets, ", "), strings.Join(item.Ingredients, ", "))
	}
	t.write(w)
	return nil
}
