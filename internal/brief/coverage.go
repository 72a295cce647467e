package brief

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"bittersum/internal/profile"
)

// caps collects the maxima that hold for this drink. Where one market has several for a substance on
// one basis, the lowest holds and the others are left out.
func (r *resolver) caps() {
	if r.Kind != Drink {
		return
	}
	judged := map[string]bool{}
	for _, a := range r.Judged {
		judged[a.Name] = true
	}
	for _, m := range r.Job.Markets {
		lowest := map[string]int{}
		for _, c := range m.Caps {
			if !r.applies(c, m) {
				continue
			}
			if c.PerPercent {
				c.Max *= r.AlcoholPercent
			}
			a := r.Library.Attributes[c.Substance]
			if len(c.Sum) > 0 {
				a = &profile.Attribute{Name: c.Substance, Title: c.Substance, Unit: "of 1", Per: c.Per, Decimals: -1}
			}
			key := c.Substance + " per " + string(c.Per)
			if at, ok := lowest[key]; ok {
				if c.Max < r.Caps[at].Max {
					r.Caps[at].Cap = c
				}
				continue
			}
			lowest[key] = len(r.Caps)
			r.Caps = append(r.Caps, Cap{Cap: c, Market: m, Attribute: a})
			for _, s := range c.Counted() {
				if !judged[s.Substance] {
					judged[s.Substance] = true
					r.Judged = append(r.Judged, r.Library.Attributes[s.Substance])
				}
			}
		}
	}
}

// applies reports whether a cap may hold for the drink: one tied to plants does as soon as one of them
// may be used, and one that a plant lifts is lifted only where the brief makes sure of that plant.
func (r *resolver) applies(c profile.Cap, m *profile.Market) bool {
	certain := r.ingredients(func(s *Source) bool { return r.Limits[s.Ingredient.Name].Min > 0 })
	lifting := profile.Cap{Scope: c.Scope, ExceptPlants: c.ExceptPlants}
	c.ExceptPlants = nil
	return c.Applies(r.Drink(m), r.ingredients(nil)) && lifting.Applies(r.Drink(m), certain)
}

// coverage notes every content that a target, ratio or cap needs and no profile gives: unknown is
// never read as zero.
func (r *resolver) coverage() {
	accepted := map[[2]string]bool{}
	for _, a := range r.Accepts {
		accepted[[2]string{a.Ingredient, a.Substance}] = true
	}
	why := map[string]string{}
	line := map[string]int{}
	note := func(attribute, reason string, at int) {
		if _, ok := why[attribute]; !ok {
			why[attribute], line[attribute] = reason, at
		}
	}
	for _, t := range r.Targets {
		note(t.Attribute, "targets."+t.Attribute, t.Line)
	}
	for _, t := range r.Readings {
		if t.Reading == Brix {
			note(Solids, "targets.brix", t.Line)
		}
	}
	for _, q := range r.Ratios {
		for _, name := range []string{q.Of, q.Over} {
			if r.Kind == Drink && name == string(Brix) {
				name = Solids
			}
			note(name, "ratios."+q.Name, q.Line)
		}
	}
	capped := map[string]Cap{}
	for _, c := range r.Caps {
		for _, s := range c.Counted() {
			if _, ok := capped[s.Substance]; !ok {
				capped[s.Substance] = c
			}
		}
	}
	for n, ref := range r.Use {
		for _, a := range r.Judged {
			if !r.unknown(ref.Name, a.Name) {
				continue
			}
			if accepted[[2]string{ref.Name, a.Name}] {
				continue
			}
			if c, ok := capped[a.Name]; ok {
				r.lack(n, a.Name, "capped in "+c.Market.Name, ref.Line, fmt.Sprintf("use[%d]", n+1),
					fmt.Sprintf("%s has no figure for %s, which market %s caps (%s)", r.silent(ref.Name, a.Name), a.Name, c.Market.Name, c.Citation),
					"give it in a profile or lot, list it there under absent, or take it upon yourself with [[accept]]")
				continue
			}
			r.lack(n, a.Name, "asked for", line[a.Name], why[a.Name],
				fmt.Sprintf("%s has no figure for %s", r.silent(ref.Name, a.Name), a.Name), "give it in its profile or list it there under absent; unknown is never read as zero")
		}
	}
	for _, a := range r.Accepts {
		if !r.unknown(a.Ingredient, a.Substance) {
			r.fault(a.Line, "accept", fmt.Sprintf("%q has a figure for %s; there is nothing to accept", a.Ingredient, a.Substance), "")
			continue
		}
		r.Accepted = append(r.Accepted, a)
	}
}

// silent names an ingredient that has no figure for an attribute, with the parts of it that have none.
func (r *resolver) silent(ingredient, attribute string) string {
	return r.silentIn(ingredient, []lack{{what: attribute}})
}

// unknown reports whether some source of the ingredient has no figure for the attribute.
func (r *resolver) unknown(ingredient, attribute string) bool {
	for _, s := range r.Sources {
		if s.Ingredient.Name == ingredient {
			if _, known := s.Content(attribute); !known && !(attribute == Acidity && s.stated) {
				return true
			}
		}
	}
	return false
}

// reachable notes a target that no mix of the sources can come near, whatever the rest of the brief.
func (r *resolver) reachable() {
	for _, t := range r.Targets {
		if t.Min <= 0 {
			continue
		}
		a := r.Library.Attributes[t.Attribute]
		most := 0.0
		for _, s := range r.Sources {
			if content := s.Expected(a.Name); content > 0 {
				most += content * r.most(s)
			}
		}
		if math.IsInf(most, 1) || a.Per != profile.PerLitre && a.Per != profile.PerBatch && most > 0 {
			continue
		}
		key := "targets." + t.Attribute + ".min"
		if a.Per == profile.PerLitre {
			most /= r.Dilution()
		}
		if a.Name == Acidity {
			most *= r.Titration.perCitric()
		}
		switch {
		case most <= 0:
			r.fault(t.Line, key, fmt.Sprintf("cannot be reached: no ingredient in use carries %s", t.Attribute), carriers(r.Library, t.Attribute))
		case most < t.Min:
			r.fault(t.Line, key, fmt.Sprintf("%v cannot be reached: all ingredients in use at their limits give at most %.4g", t.Min, most), carriers(r.Library, t.Attribute))
		}
	}
}

// most returns an upper bound on the amount of s: its limit, or the amount that fills the litre alone.
func (r *resolver) most(s *Source) float64 {
	most := s.Max
	if limit, ok := r.Limits[s.Ingredient.Name]; ok {
		most = math.Min(most, limit.Max)
	}
	g := s.Ingredient
	if filled := g.SolubleShare*g.SpecificVolume/1000 - g.HoldUp; r.Kind == Drink && filled > 0 {
		most = math.Min(most, 1/filled)
	}
	return most
}

// carriers names a few ingredients of the library that carry an attribute, richest first; what is made of
// them is left out.
func carriers(lib *profile.Library, attribute string) string {
	type carrier struct {
		name    string
		content float64
	}
	var list []carrier
	for name, g := range lib.Ingredients {
		if lib.Preparations[name] != nil {
			continue
		}
		if c, known := g.Content(attribute); known && c.PerGram*c.Recovery > 0 {
			list = append(list, carrier{name, c.PerGram * c.Recovery})
		}
	}
	sort.Slice(list, func(i, j int) bool {
		if list[i].content != list[j].content {
			return list[i].content > list[j].content
		}
		return list[i].name < list[j].name
	})
	if len(list) == 0 {
		return ""
	}
	names := make([]string, 0, 3)
	for _, c := range list[:min(3, len(list))] {
		names = append(names, c.name)
	}
	return "carried by " + strings.Join(names, ", ")
}
