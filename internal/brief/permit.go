package brief

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// identified notes an ingredient that rules cannot find by what it is, and one whose solutes and contents
// tell two stories of a substance that rules are about.
func (r *resolver) identified(g *profile.Ingredient) {
	if r.Kind != Drink {
		return
	}
	if made := r.made[g.Name]; made != nil {
		for _, part := range made.Unfolded() {
			r.identified(part)
		}
		return
	}
	at := tomlfile.Fault{File: g.File, Line: g.Line, Key: "ingredient"}
	if why := g.Unidentified(r.Library.Attributes); why != "" {
		at.What = fmt.Sprintf("%q %s, but names neither a plant nor a class, by which the law's rules find it", g.Name, why)
		at.Hint = `give plants = [...], as "bittersum profiles list plants" has them, or a category such as "acid", "sweetener" or "flavouring"`
		r.faults = append(r.faults, at)
	}
	for _, s := range dissolved {
		if !g.Botanical() && g.Solutes[s.species] > 0 && g.Contents[s.attribute].PerGram == 0 && r.Library.Attributes[s.attribute] != nil {
			at.What = fmt.Sprintf("%q states %s under its solutes, but no content of %s, which the law's rules count", g.Name, s.species, s.attribute)
			at.Hint = "give contents." + s.attribute
			r.faults = append(r.faults, at)
		}
	}
}

// dissolved are the solutes of substances that rules count as contents.
var dissolved = []struct{ species, attribute string }{
	{"benzoic", "benzoic-acid"}, {"sorbic", "sorbic-acid"}, {"sulfurous", "sulphites"},
	{"phosphoric", "phosphates"}, {"quinine", "quinine"},
}

// permissions notes where a market's rules keep an ingredient out of this drink altogether.
func (r *resolver) permissions() {
	used := r.ingredients(nil)
	for n, ref := range r.Use {
		g := r.Library.Ingredients[ref.Name]
		if g == nil {
			continue
		}
		key := fmt.Sprintf("use[%d]", n+1)
		for _, m := range r.Job.Markets {
			made := r.made[g.Name]
			if made == nil {
				r.permitted(fmt.Sprintf("%q", g.Name), key, ref.Line, g, used, m)
				continue
			}
			for _, part := range made.Unfolded() {
				r.permitted(fmt.Sprintf("%q in %q", part.Name, g.Name), key, ref.Line, part, used, m)
			}
		}
	}
}

// permitted notes where a rule of market m keeps g, to be called name, out of this drink.
func (r *resolver) permitted(name, key string, line int, g *profile.Ingredient, used []*profile.Ingredient, m *profile.Market) {
	drink := r.Drink(m)
	for _, p := range m.Permissions {
		if !p.Covers(g) {
			continue
		}
		if why := p.Refuses(drink, used); why != "" {
			hint := "leave it out, or leave the market out"
			if p.Rule == profile.EnergyReducedOnly {
				hint = "leave what adds sugar out of use, or state energy_reduced = true where the drink has at least 30 % less energy than its like"
			}
			r.fault(line, key, fmt.Sprintf("%s %s in market %s: %s, text %s", name, why, m.Name, p.Citation, p.Text), hint)
		}
	}
	category := g.AdditiveCategory()
	if slices.Contains(m.Closed, category) && !g.Bulk() && !m.Names(drink, g) && g.Unidentified(r.Library.Attributes) == "" {
		r.fault(line, key, fmt.Sprintf("%s is a %s, and no text that was read lets such a drink hold it in market %s", name, category, m.Name),
			"state by its contents what it is, or leave it out: "+strings.Join(m.Read(drink, category), ", ")+" were read")
	}
}

// ingredients returns what the sources that are in bring, each once for each source; nil lets all in.
func (r *resolver) ingredients(in func(*Source) bool) []*profile.Ingredient {
	var out []*profile.Ingredient
	for _, s := range r.Sources {
		if in == nil || in(s) {
			out = append(out, s.Unfolded()...)
		}
	}
	return out
}
