package profile

import "slices"

// Words for Drinks: which drinks a rule is about.
const (
	AnyDrinks    = "any"
	NonAlcoholic = "non-alcoholic"
	Alcoholic    = "alcoholic"
	// SpiritDrinks are those that the brief says are such; OtherAlcoholic all others with alcohol; NoSpirits
	// all drinks but them.
	SpiritDrinks   = "spirit-drinks"
	OtherAlcoholic = "other-alcoholic"
	NoSpirits      = "no-spirit-drinks"
)

// SpiritFrom is the strength in % vol that a spirit drink has at least: Regulation (EU) 2019/787 Article 2,
// recalled; liqueurs in Australia and New Zealand likewise.
const SpiritFrom = 15

// Words for Gas: whether a rule is about drinks with or without dissolved carbon dioxide.
const (
	Still      = "still"
	Carbonated = "carbonated"
)

// Drink is what rules ask of a drink, for one market.
type Drink struct {
	// Alcoholic says that it counts as alcoholic there, Percent is its strength in % vol.
	Alcoholic bool
	Percent   float64
	// SpiritDrink, Carbonated and EnergyReduced are what the brief says of it.
	SpiritDrink, Carbonated, EnergyReduced bool
}

// Scope is which drinks a rule is about.
type Scope struct {
	// Drinks is AnyDrinks, NonAlcoholic or another of its words; empty counts as AnyDrinks.
	Drinks string
	// FromPercent and BelowPercent bound the strength in % vol; zero bounds nothing.
	FromPercent, BelowPercent float64
	// Gas is Still, Carbonated or empty.
	Gas string
}

// Holds reports whether the rule is about the drink.
func (s Scope) Holds(d Drink) bool {
	if s.FromPercent > 0 && d.Percent < s.FromPercent || s.BelowPercent > 0 && d.Percent >= s.BelowPercent {
		return false
	}
	if s.Gas == Still && d.Carbonated || s.Gas == Carbonated && !d.Carbonated {
		return false
	}
	switch s.Drinks {
	case SpiritDrinks:
		return d.SpiritDrink
	case OtherAlcoholic:
		return d.Alcoholic && !d.SpiritDrink
	case NoSpirits:
		return !d.SpiritDrink
	}
	return drinksMatch(s.Drinks, d.Alcoholic)
}

// AsksOfSpirits reports whether the rule needs to know if the drink is a spirit drink.
func (s Scope) AsksOfSpirits() bool {
	return slices.Contains([]string{SpiritDrinks, OtherAlcoholic, NoSpirits}, s.Drinks)
}

// AsksOfSpirits reports whether a rule of the market needs to know if a drink is a spirit drink.
func (m *Market) AsksOfSpirits() bool {
	return slices.ContainsFunc(m.Caps, func(c Cap) bool { return c.AsksOfSpirits() }) ||
		slices.ContainsFunc(m.Permissions, func(p Permission) bool { return p.AsksOfSpirits() })
}

// bringsAdded reports whether g carries one of the substances and is no plant whose own content it is: a
// salt, a solution or a preparation of it, by whatever name. An ingredient whose profile names no plant
// counts as one, so that a rule is not escaped by leaving the plant out.
func bringsAdded(substances []string, g *Ingredient) bool {
	return !g.Botanical() && brings(substances, g)
}

// brings reports whether g carries one of the substances, a plant or not.
func brings(substances []string, g *Ingredient) bool {
	return slices.ContainsFunc(substances, func(s string) bool { return g.Contents[s].PerGram > 0 })
}

// mayBring reports whether g carries some of the substance or does not say that it carries none.
func mayBring(substance string, g *Ingredient) bool {
	c, known := g.Content(substance)
	return !known || c.PerGram > 0
}

// addsSugar reports whether g is used for the sweetness of its sugars: sugar, a syrup, or what names no
// other kind. The sugars of juices and plants are none that are added.
func addsSugar(g *Ingredient) bool {
	return slices.Contains([]string{"sugar", "syrup", "sweetener", "spirit", ""}, g.Kind) && g.Contents["sugars"].PerGram > 0
}

// AddsSugar reports whether one of the ingredients adds sugars.
func AddsSugar(used []*Ingredient) bool { return slices.ContainsFunc(used, addsSugar) }
