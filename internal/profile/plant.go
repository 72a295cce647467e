package profile

import (
	"fmt"
	"maps"
	"slices"

	"bittersum/internal/tomlfile"
)

// PlantNames returns the keys of all plants that a profile or a rule names, in order, without those that a
// profile calls unknown.
func (l *Library) PlantNames() []string {
	all := map[string]bool{}
	add := func(plants []string) {
		for _, plant := range plants {
			all[plant] = true
		}
	}
	if l.Botany != nil {
		add(names(l.Botany.Plants))
	}
	for _, g := range l.Ingredients {
		add(g.Plants)
	}
	for _, a := range l.Attributes {
		add(a.Plants)
	}
	for _, m := range l.Markets {
		for _, c := range m.Caps {
			add(c.Plants)
			add(c.ExceptPlants)
		}
		for _, p := range m.Permissions {
			add(p.Plants)
		}
		for _, d := range slices.Concat(m.Declarations, m.Duties) {
			add(d.Plants)
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// otherPlants is what a maker does with a plant that nothing here knows.
const otherPlants = "a plant that no profile and no rule knows goes under other_plants"

// CheckPlants notes each plant of an ingredient read from t that is none of known: a rule about the plant
// meant would pass it by.
func CheckPlants(t *tomlfile.Table, g *Ingredient, known []string) {
	for n, plant := range g.Plants {
		if kebab(plant) && !slices.Contains(known, plant) {
			hint := tomlfile.DidYouMean(plant, known)
			if hint == "" {
				hint = otherPlants
			}
			t.ElementFault("plants", n, fmt.Sprintf("there is no plant %q", plant), hint)
		}
	}
	for n, plant := range g.OtherPlants {
		switch {
		case !kebab(plant):
			t.ElementFault("other_plants", n, fmt.Sprintf("%q is no name: use small letters, digits and single hyphens", plant), "")
		case slices.Contains(known, plant):
			t.ElementFault("other_plants", n, fmt.Sprintf("%q is a plant that is known here", plant), "put it under plants")
		}
	}
}

// checkRulePlants notes each plant of a market's rules that is none of known.
func checkRulePlants(root *tomlfile.Table, m *Market, known []string) {
	check := func(plants []string, line int) {
		for _, plant := range plants {
			if !slices.Contains(known, plant) {
				root.FaultAt(line, "plants", fmt.Sprintf("no profile names the plant %q, so that the rule would never hold", plant), tomlfile.DidYouMean(plant, known))
			}
		}
	}
	for _, c := range m.Caps {
		check(slices.Concat(c.Plants, c.ExceptPlants), c.Line)
	}
	for _, p := range m.Permissions {
		check(p.Plants, p.Line)
	}
}

// Unidentified says why rules cannot find the ingredient by what it is, or is empty: of its kind, or of what
// it carries, a plant or a category of additives is to be named.
func (g *Ingredient) Unidentified(attributes map[string]*Attribute) string {
	if g.Botanical() || g.Category != "" || g.plain() {
		return ""
	}
	if g.Kind != "" {
		return "is of kind " + g.Kind
	}
	for _, name := range names(g.Contents) {
		a, c := attributes[name], g.Contents[name]
		if a == nil || c.PerGram == 0 || name == "sweetness" && g.Contents["sugars"].PerGram > 0 {
			continue
		}
		if slices.Contains([]string{"restricted", "preservative", "additive"}, a.Family) || name == "acidity" || name == "sweetness" {
			return "carries " + name
		}
	}
	if !g.Pure {
		return "does not say what kind of thing it is"
	}
	return ""
}

// Speaks reports whether a cap or permission of the market names the plant.
func (m *Market) Speaks(plant string) bool {
	names := func(plants []string) bool { return slices.Contains(plants, plant) }
	return slices.ContainsFunc(m.Caps, func(c Cap) bool { return names(c.Plants) || names(c.ExceptPlants) }) ||
		slices.ContainsFunc(m.Permissions, func(p Permission) bool { return names(p.Plants) })
}
