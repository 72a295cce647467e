package assess

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// Caution is something the maker must know before a kettle is lit or a label printed.
type Caution struct {
	Text string
	// From says what asks for it: a rule with its citation, a profile, or practice.
	From string
	// Label says that it is what a label must bear, and no caution for the kettle.
	Label bool
	// Weight says what hangs on it.
	Weight Weight
}

// Weight orders cautions by what hangs on them. A short answer leaves out no grave one.
type Weight int

const (
	// Routine is what is said of every such drink, or stands on a label.
	Routine Weight = iota
	// Notable is what shifts a figure or spoils a drink.
	Notable
	// Grave is what may hurt someone, break the law or undo the answer when nobody heeds it.
	Grave
)

// LocalLaw ends the cautions of every drink.
var LocalLaw = Caution{Text: "Local law and licensed practice decide; this is a calculation, not a permission.", From: "practice"}

// cautions collects what the recipe's ingredients, markets and unknowns ask to be said.
func (a *Assessment) cautions() {
	if a.Job.Kind == brief.Blend {
		return
	}
	seen := map[string]bool{}
	weighing := func(weight Weight) func(from, format string, args ...any) {
		return func(from, format string, args ...any) {
			text := fmt.Sprintf(format, args...)
			if !seen[text] {
				seen[text] = true
				a.Cautions = append(a.Cautions, Caution{Text: text, From: from, Weight: weight})
			}
		}
	}
	routine, add, grave := weighing(Routine), weighing(Notable), weighing(Grave)
	for _, c := range a.Caps {
		if len(c.Accepted) > 0 {
			grave("accepted in the brief", "Unknown and accepted: %s in %s. The %s cap of market %s is not shown to hold.",
				c.Substance, strings.Join(c.Accepted, ", "), c.Substance, c.Market.Name)
		}
	}
	if strength := a.alcohol(); math.Abs(strength-a.Job.AlcoholPercent) > 0.25 {
		grave("calculated", "The recipe holds %.1f %% alcohol by volume, the brief says %v: caps and label rules here follow the brief's figure.",
			strength, a.Job.AlcoholPercent)
	}
	if a.carries("cinchona-alkaloids") {
		grave("practice", "Cinchona alkaloids act at milligrams: weigh on a fine scale, strain out all powder, and have the finished drink analysed before sale.")
	}
	for _, p := range a.Recipe.Parts {
		warn := add
		if a.bringsCapped(p.Source) {
			warn = grave
		}
		for _, text := range p.Source.Ingredient.Cautions {
			warn("profile of "+p.Source.Ingredient.Name, "%s", text)
		}
		for _, g := range p.Source.Unfolded() {
			for _, text := range g.Cautions {
				warn("profile of "+g.Name, "%s", text)
			}
		}
	}
	for _, m := range a.Job.Markets {
		for _, d := range a.Declarations(m) {
			before := len(a.Cautions)
			routine(fmt.Sprintf("%s, text %s", d.Citation, d.Text), "Label, market %s: %s", m.Name, d.Wording)
			for n := range a.Cautions[before:] {
				a.Cautions[before+n].Label = true
			}
		}
		for _, d := range a.fired(m, m.Duties, a.Value) {
			add(fmt.Sprintf("%s, text %s", d.Citation, d.Text), "Market %s: %s.", m.Name, d.Wording)
		}
	}
	if priced := a.pricedByProfile(); a.Job.Currency != profile.Currency && len(priced) > 0 {
		add("profiles", "Prices of profiles count as %s here, unconverted; the library's are in %s. The brief or a price list gives your own (%s).",
			a.Job.Currency, profile.Currency, names(priced))
	}
	a.beyondCustom(add)
	if a.Job.Carbonated {
		a.pressure(grave)
	}
	a.water(add)
	a.keeping(grave, routine)
	a.haze(grave)
	a.fermenting(grave)
	a.beyondTheModel(grave)
	a.unjudged(grave)
	a.certified(grave)
	if unconfirmed := a.unconfirmed(); unconfirmed != "" {
		grave("practice", "Caps marked * are applied as recalled; their text was not seen (%s). Check them before selling.", unconfirmed)
	}
	routine(LocalLaw.From, "%s", LocalLaw.Text)
}

// bringsCapped reports whether a source brings some of what a market of the drink caps.
func (a *Assessment) bringsCapped(s *brief.Source) bool {
	return slices.ContainsFunc(a.Caps, func(c Cap) bool {
		content, _ := s.Content(c.Substance)
		return content.PerGram > 0
	})
}

// alcohol returns the strength in % by volume.
func (a *Assessment) alcohol() float64 {
	attribute := a.Job.Library.Attributes[brief.Alcohol]
	if attribute == nil || attribute.Per != profile.PerLitre {
		return a.Job.AlcoholPercent
	}
	return a.served.Strength()
}

// saturated is the share in % of sucrose in its saturated solution at 20 °C (from memory; tables of sugar
// give 66 to 67).
const saturated = 67

// beyondTheModel warns where the calculation goes on although a kettle would not: it knows neither what
// dissolves nor how thick a mash can be.
func (a *Assessment) beyondTheModel(add func(from, format string, args ...any)) {
	made := a.Served
	if a.Syrup != nil {
		made = a.Syrup
	}
	if made != nil && made.Solids > saturated {
		add("memory", "The liquor would hold %.0f %% of dissolved solids; a saturated sugar solution holds about %d %% at 20 °C, and solubility is not part of this calculation: it may not all dissolve.", made.Solids, saturated)
	}
	if held := 1 - a.Recovered/a.Liquor; a.Job.Kind == brief.Drink && held > 1.0/3 {
		add("practice", "%.0f %% of the liquor stays in the spent plants and the process: hardly to be strained, and what holds for small amounts of plants may not hold here.", 100*held)
	}
}

// Declarations returns the market's label rules that this recipe calls for.
func (a *Assessment) Declarations(m *profile.Market) []profile.Declaration {
	return a.fired(m, m.Declarations, a.Value)
}

// fired returns those of a market's rules that the recipe calls for, with the amounts that value gives.
func (a *Assessment) fired(m *profile.Market, rules []profile.Declaration, value func(string, profile.Per) float64) []profile.Declaration {
	used := a.used()
	var fired []profile.Declaration
	for _, d := range rules {
		if d.Fires(a.Job.Alcoholic(m), used, value) {
			fired = append(fired, d)
		}
	}
	return fired
}

// Undecided is a label rule of which nobody can say whether it holds: Silent has no figure of Substance.
type Undecided struct {
	profile.Declaration
	Substance string
	Silent    []string
}

// Undecided returns the label rules that do not hold by what is known of the recipe, but would if its ingredients
// without a figure brought enough.
func (a *Assessment) Undecided(m *profile.Market) []Undecided {
	held := map[string]bool{}
	for _, d := range a.Declarations(m) {
		held[d.Wording] = true
	}
	var list []Undecided
	for _, d := range a.fired(m, m.Declarations, func(string, profile.Per) float64 { return math.Inf(1) }) {
		substances := []string{d.Attribute}
		for _, s := range d.Sum {
			substances = append(substances, s.Substance)
		}
		for _, name := range substances {
			if silent := a.silentOn(name); name != "" && !held[d.Wording] && len(silent) > 0 {
				list = append(list, Undecided{d, name, silent})
			}
		}
	}
	return list
}

// silentOn names the ingredients of the recipe that have no figure for an attribute.
func (a *Assessment) silentOn(attribute string) []string {
	var silent []string
	for _, p := range a.Recipe.Unfolded() {
		if _, known := p.Source.Content(attribute); !known && p.Amount > 0 && !slices.Contains(silent, p.Source.Ingredient.Name) {
			silent = append(silent, p.Source.Ingredient.Name)
		}
	}
	return silent
}

// Value returns the amount of an attribute in the drink as served, in its unit on the given basis; zero
// for one that the library does not know.
func (a *Assessment) Value(name string, per profile.Per) float64 {
	known := a.Job.Library.Attributes[name]
	if known == nil {
		return 0
	}
	attribute := *known
	attribute.Per = per
	return a.value(&attribute)
}

// carries reports whether the recipe brings any of an attribute.
func (a *Assessment) carries(attribute string) bool {
	for _, p := range a.Recipe.Parts {
		if c, _ := p.Source.Content(attribute); c.PerGram > 0 && p.Amount > 0 {
			return true
		}
	}
	return false
}

// pricedByProfile lists the ingredients of the recipe that have a price, from their profile.
func (a *Assessment) pricedByProfile() []string {
	var list []string
	for _, p := range a.Recipe.Parts {
		s := p.Source
		if p.Amount > 0 && s.PricePerKg > 0 && s.PriceFrom == string(s.Ingredient.PriceProvenance.Basis) {
			list = append(list, s.Name)
		}
	}
	return list
}

// unconfirmed names the markets and substances of caps whose text was not seen.
func (a *Assessment) unconfirmed() string {
	var names []string
	for _, c := range a.Caps {
		if c.Unconfirmed() {
			names = append(names, c.Market.Name+" "+c.Substance)
		}
	}
	return strings.Join(names, ", ")
}
