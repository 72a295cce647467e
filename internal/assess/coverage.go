package assess

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// unjudged cautions of what a market's rules pass over: additives that none of them names, and plants that
// nothing here knows.
func (a *Assessment) unjudged(add func(from, format string, args ...any)) {
	for _, m := range a.Job.Markets {
		held := m.CountRules()
		var silent, missing []string
		for _, g := range a.used() {
			class, additive := profile.ClassOf(g.AdditiveCategory())
			of := fmt.Sprintf("%s (%s)", g.Name, g.AdditiveCategory())
			switch {
			case !additive:
			case held[class.Name] == profile.RuleCount{}:
				missing = append(missing, of)
			case !m.Names(a.Job.Drink(m), g):
				silent = append(silent, of)
			}
		}
		if len(missing) > 0 {
			add("profiles", "Not judged in market %s, of whose rules on such additives none is held: %s. Look them up.", m.Name, names(missing))
		}
		if len(silent) > 0 {
			add("profiles", "Not judged in market %s, of whose rules none that is held names them: %s. Look them up.", m.Name, names(silent))
		}
	}
	a.stated(add)
	for _, g := range a.used() {
		var unknown []string
		for _, plant := range g.OtherPlants {
			if !slices.ContainsFunc(a.Job.Markets, func(m *profile.Market) bool { return m.Speaks(plant) }) {
				unknown = append(unknown, plant)
			}
		}
		if len(unknown) > 0 {
			add("profile of "+g.Name, "No rule of the drink's markets and no profile here knows %s, of which %s is made: whether it may be used, and what it holds, is not judged.", names(unknown), g.Name)
		}
	}
}

// stated cautions of what the brief says of the drink where rules turn on it.
func (a *Assessment) stated(add func(from, format string, args ...any)) {
	for _, m := range a.Job.Markets {
		if a.Job.SpiritDrink && m.AsksOfSpirits() {
			add("the brief", "Judged as a spirit drink, as the brief states: whether the law of its markets calls it one is not judged.")
		}
		for _, p := range m.Permissions {
			if a.Job.EnergyReduced && p.Rule == profile.EnergyReducedOnly && slices.ContainsFunc(a.used(), p.Covers) {
				add("the brief", "Judged as a drink of reduced energy, as the brief states: that it has at least 30 %% less than its like is not judged.")
			}
		}
	}
}

// used returns the ingredients of the recipe, each once; of a preparation what it was made of.
func (a *Assessment) used() []*profile.Ingredient {
	var out []*profile.Ingredient
	for _, p := range a.Recipe.Parts {
		for _, g := range p.Source.Unfolded() {
			if p.Amount > 0 && !slices.ContainsFunc(out, func(have *profile.Ingredient) bool { return have.Name == g.Name }) {
				out = append(out, g)
			}
		}
	}
	return out
}

// certified cautions of restricted substances on a lot's certificate that no market's rule speaks of.
func (a *Assessment) certified(add func(from, format string, args ...any)) {
	for _, p := range a.Recipe.Parts {
		if p.Source.Lot == nil || p.Amount == 0 {
			continue
		}
		var idle []string
		for name := range p.Source.Lot.Contents {
			attribute := a.Job.Library.Attributes[name]
			if attribute != nil && attribute.Family == "restricted" && !a.Job.Counted(name) {
				idle = append(idle, name)
			}
		}
		slices.Sort(idle)
		if len(idle) > 0 {
			add("lot "+p.Source.Lot.Number, "The certificate of %s states %s, which no rule of the drink's markets caps: it is not judged.", p.Source.Name, names(idle))
		}
	}
}

// Coverage says in one line which classes of rules the caps were judged by, and which are left to the maker:
// those that every market of the drink holds, and those that some market lacks.
func Coverage(j *brief.Job) (held, lacking []string) {
	for _, c := range profile.Classes {
		if c.Name == profile.LabelRules {
			continue
		}
		all := true
		for _, m := range j.Markets {
			all = all && m.CountRules()[c.Name] != profile.RuleCount{}
		}
		if all {
			held = append(held, strings.ReplaceAll(c.Name, "-", " "))
		} else {
			lacking = append(lacking, strings.ReplaceAll(c.Name, "-", " "))
		}
	}
	return held, lacking
}
