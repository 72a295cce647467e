package profile

import "slices"

// Market is a place of sale with its rules for drinks.
type Market struct {
	Name, Title  string
	Caps         []Cap
	Permissions  []Permission
	Declarations []Declaration
	// AlcoholicFrom is the strength in % vol from which a drink counts as alcoholic.
	AlcoholicFrom float64
	File          string
	Line          int
}

// Words for Drinks: which drinks a rule is about.
const (
	AnyDrinks    = "any"
	NonAlcoholic = "non-alcoholic"
	Alcoholic    = "alcoholic"
)

// Words for Text: whether the cited text was read, or is recalled and thus unconfirmed.
const (
	Seen     = "seen"
	Recalled = "recalled"
)

// Law says where a rule comes from.
type Law struct {
	Citation string
	// Text is Seen or Recalled.
	Text string
	Note string
	Line int
}

// Unconfirmed reports whether the rule is applied although its text was not read.
func (l Law) Unconfirmed() bool { return l.Text != Seen }

// Cap is the legal maximum of a restricted substance in the finished drink as served.
type Cap struct {
	// Substance is the attribute; its unit is mg.
	Substance string
	// Max is in mg per Per.
	Max float64
	// Per is PerKilogram or PerLitre.
	Per Per
	// Drinks is AnyDrinks, NonAlcoholic or Alcoholic.
	Drinks string
	// Plants, Ingredients and Added, if not empty, restrict the cap to drinks that use one of them.
	// Added are substances that an ingredient brings by itself; see bringsAdded.
	Plants, Ingredients, Added []string
	// ExceptPlants lifts the cap from drinks that use one of them.
	ExceptPlants []string
	Law
}

// Applies reports whether the cap holds for a drink made of the given ingredients.
func (c Cap) Applies(alcoholic bool, used []*Ingredient) bool {
	if !drinksMatch(c.Drinks, alcoholic) {
		return false
	}
	if len(c.Plants)+len(c.Ingredients)+len(c.Added) > 0 &&
		!anyCovered(c.Plants, c.Ingredients, used) && !slices.ContainsFunc(used, c.bringsAdded) {
		return false
	}
	return !anyCovered(c.ExceptPlants, nil, used)
}

func (c Cap) bringsAdded(g *Ingredient) bool { return bringsAdded(c.Added, g) }

// Words for a permission's rule.
const (
	AlcoholicOnly  = "alcoholic-only"
	CarbonatedOnly = "carbonated-only"
	BeveragesOnly  = "beverages-only"
	Banned         = "banned"
)

// Permission restricts in which drinks a plant or ingredient may be used at all.
type Permission struct {
	// Added are substances that an ingredient brings by itself; see bringsAdded.
	Plants, Ingredients, Added []string
	// Rule is AlcoholicOnly, CarbonatedOnly, BeveragesOnly (which every drink keeps) or Banned.
	Rule string
	Law
}

// Covers reports whether the permission is about the ingredient.
func (p Permission) Covers(g *Ingredient) bool {
	return covered(p.Plants, p.Ingredients, g) || bringsAdded(p.Added, g)
}

// bringsAdded reports whether g carries one of the substances and is no plant whose own content it is: a
// salt, a solution or a preparation of it, by whatever name. An ingredient whose profile names no plant
// counts as one, so that a rule is not escaped by leaving the plant out.
func bringsAdded(substances []string, g *Ingredient) bool {
	if len(g.Plants) > 0 {
		return false
	}
	return slices.ContainsFunc(substances, func(s string) bool { return g.Contents[s].PerGram > 0 })
}

// Declaration is a text that the label must bear.
type Declaration struct {
	// Ingredients and Plants make the rule fire when one of them is used.
	Ingredients, Plants []string
	// Attribute makes the rule fire when its value per Per lies above From, or at it if Inclusive.
	Attribute string
	From      float64
	Inclusive bool
	Per       Per
	// Drinks is AnyDrinks, NonAlcoholic or Alcoholic. A rule without ingredients, plants and attribute
	// fires for all of them.
	Drinks  string
	Wording string
	Law
}

// Fires reports whether the rule holds for a drink made of the given ingredients; value returns the
// drink's amount of an attribute in its unit per the given basis.
func (d Declaration) Fires(alcoholic bool, used []*Ingredient, value func(attribute string, per Per) float64) bool {
	if !drinksMatch(d.Drinks, alcoholic) {
		return false
	}
	if len(d.Plants)+len(d.Ingredients) > 0 && !anyCovered(d.Plants, d.Ingredients, used) {
		return false
	}
	if d.Attribute == "" {
		return true
	}
	v := value(d.Attribute, d.Per)
	return v > d.From || d.Inclusive && v == d.From
}

func drinksMatch(drinks string, alcoholic bool) bool {
	switch drinks {
	case Alcoholic:
		return alcoholic
	case NonAlcoholic:
		return !alcoholic
	}
	return true
}

func anyCovered(plants, ingredients []string, used []*Ingredient) bool {
	for _, g := range used {
		if covered(plants, ingredients, g) {
			return true
		}
	}
	return false
}

func covered(plants, ingredients []string, g *Ingredient) bool {
	if slices.Contains(ingredients, g.Name) {
		return true
	}
	for _, plant := range g.Plants {
		if slices.Contains(plants, plant) {
			return true
		}
	}
	return false
}
