package profile

import "slices"

// Market is a place of sale with its rules for drinks.
type Market struct {
	Name, Title  string
	Caps         []Cap
	Permissions  []Permission
	Declarations []Declaration
	// Duties are what a drink must be made under that fires them: said as cautions, judged by nothing here.
	Duties []Declaration
	// AlcoholicFrom is the strength in % vol from which a drink counts as alcoholic.
	AlcoholicFrom float64
	// Holds says of each class of rules that the market holds what it holds, and Lacks of each other class
	// what is left to the maker. A market of the maker's own may state neither.
	Holds, Lacks map[string]string
	// Closed are categories of additives of which only those may be used that a rule names; of one that a
	// drink takes by the gram (see Ingredient.Bulk) the want of a rule is said and does not refuse it.
	Closed []string
	// Editions are the editions or dates of the texts, by how their citations begin.
	Editions map[string]string
	// Note is to be said with all rules.
	Note string
	File string
	Line int
}

// Words for Text: whether the cited text was read, or is recalled and thus unconfirmed.
const (
	Seen     = "seen"
	Recalled = "recalled"
)

// Law says where a rule comes from.
type Law struct {
	Citation string
	// Class is one of Classes.
	Class string
	// Edition is the edition or date of the text, or empty where that is not known.
	Edition string
	// Text is Seen or Recalled.
	Text string
	Note string
	Line int
}

// Unconfirmed reports whether the rule is applied although its text was not read.
func (l Law) Unconfirmed() bool { return l.Text != Seen }

// Cap is the legal maximum of a restricted substance in the finished drink as served.
type Cap struct {
	// Substance is the attribute; its unit is mg. For a sum of proportions it is the sum's name.
	Substance string
	// Max is in mg per Per, and 1 for a sum of proportions.
	Max float64
	// Per is PerKilogram or PerLitre.
	Per Per
	// PerPercent says that Max holds for each % vol of the drink's strength.
	PerPercent bool
	// Sum are the substances whose amounts, each over its own maximum, may add up to Max; empty for a cap of
	// one substance.
	Sum []Share
	Scope
	// Plants and Added, if not empty, restrict the cap to drinks that use one of them. Added are substances
	// that an ingredient brings by itself, see bringsAdded, Additives those that no plant holds.
	Plants, Added, Additives []string
	// ExceptPlants lifts the cap from drinks that use one of them.
	ExceptPlants []string
	Law
}

// Share is a substance with the maximum that its amount is divided by.
type Share struct {
	Substance string
	Max       float64
}

// Counted returns the substances that the cap counts, each with what its amount is divided by.
func (c Cap) Counted() []Share {
	if len(c.Sum) > 0 {
		return c.Sum
	}
	return []Share{{c.Substance, 1}}
}

// Counts reports whether the cap counts the substance, alone or in a sum.
func (c Cap) Counts(substance string) bool {
	return slices.ContainsFunc(c.Counted(), func(s Share) bool { return s.Substance == substance })
}

// Applies reports whether the cap holds for a drink made of the given ingredients.
func (c Cap) Applies(d Drink, used []*Ingredient) bool {
	if !c.Scope.Holds(d) {
		return false
	}
	if len(c.Plants)+len(c.Added)+len(c.Additives) > 0 && !anyCovered(c.Plants, nil, used) && !slices.ContainsFunc(used, c.mayAdd) {
		return false
	}
	return !anyCovered(c.ExceptPlants, nil, used)
}

// mayAdd reports whether g brings one of the substances that the cap hangs on, or does not say.
func (c Cap) mayAdd(g *Ingredient) bool {
	may := func(s string) bool { return mayBring(s, g) }
	return slices.ContainsFunc(c.Additives, may) || !g.Botanical() && slices.ContainsFunc(c.Added, may)
}

// Words for a permission's rule.
const (
	AlcoholicOnly  = "alcoholic-only"
	CarbonatedOnly = "carbonated-only"
	BeveragesOnly  = "beverages-only"
	Banned         = "banned"
	// EnergyReducedOnly asks for a drink of reduced energy or without added sugars.
	EnergyReducedOnly = "energy-reduced-only"
	// Permitted says that the text names it and sets no figure: as much as the purpose needs.
	Permitted = "permitted"
)

// Permission restricts in which drinks a plant or an added substance may be used at all.
type Permission struct {
	// Plants, Added and Additives are as in Cap.
	Plants, Added, Additives []string
	// ENumbers are additives by their number, such as "E 330".
	ENumbers []string
	// Rule is AlcoholicOnly, CarbonatedOnly, BeveragesOnly (which every drink keeps), EnergyReducedOnly,
	// Permitted or Banned.
	Rule string
	Scope
	Law
}

// Covers reports whether the permission is about the ingredient.
func (p Permission) Covers(g *Ingredient) bool {
	return covered(p.Plants, nil, g) || bringsAdded(p.Added, g) || brings(p.Additives, g) || slices.Contains(p.ENumbers, g.ENumber)
}

// Refuses says why the rule keeps a drink of the given ingredients from using what it covers, or is empty.
func (p Permission) Refuses(d Drink, used []*Ingredient) string {
	switch {
	case !p.Scope.Holds(d):
	case p.Rule == Banned && p.Drinks == Alcoholic:
		return "may not be used in alcoholic drinks"
	case p.Rule == Banned && p.Drinks == SpiritDrinks:
		return "may not be used in spirit drinks"
	case p.Rule == Banned && p.FromPercent > 0:
		return "may not be used in drinks of this strength"
	case p.Rule == Banned:
		return "may not be used in food or drink"
	case p.Rule == AlcoholicOnly && !d.Alcoholic:
		return "may be used in alcoholic drinks only"
	case p.Rule == CarbonatedOnly && !d.Carbonated:
		return "may be used in carbonated drinks only"
	case p.Rule == EnergyReducedOnly && !d.EnergyReduced && AddsSugar(used):
		return "may be used only in drinks of reduced energy or without added sugars"
	}
	return ""
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
	// Sum, if not empty, makes the rule fire when the amounts of its substances, each over its own limit, add
	// up to more than 1.
	Sum []Share
	// Categories make the rule fire when an additive of one of them is used; AddedSugar, if given, only beside
	// added sugar (WithSugar) or without it (WithoutSugar).
	Categories []string
	AddedSugar string
	// InList says that the list of ingredients bears the wording, so that no line of its own is asked for.
	InList bool
	// UnlessListed is a word that, in the list of ingredients or the drink's name, makes the wording needless.
	UnlessListed string
	// Drinks is AnyDrinks, NonAlcoholic or Alcoholic. A rule without ingredients, plants and attribute
	// fires for all of them.
	Drinks  string
	Wording string
	Law
}

// WithSugar and WithoutSugar are values of Declaration.AddedSugar.
const (
	WithSugar    = "with"
	WithoutSugar = "without"
)

// sweetens reports whether the rule's additives are in use, beside sugar or without it as it asks.
func (d Declaration) sweetens(used []*Ingredient) bool {
	found, sugar := false, false
	for _, g := range used {
		found = found || slices.Contains(d.Categories, g.Category)
		sugar = sugar || g.Kind == "sugar" && g.Category == "" || g.Kind == "syrup"
	}
	return found && (d.AddedSugar == "" || sugar == (d.AddedSugar == WithSugar))
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
	if len(d.Categories) > 0 && !d.sweetens(used) {
		return false
	}
	if len(d.Sum) > 0 {
		total := 0.0
		for _, s := range d.Sum {
			total += value(s.Substance, d.Per) / s.Max
		}
		return total > d.From
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
	of := func(plant string) bool { return slices.Contains(plants, plant) }
	return slices.ContainsFunc(g.Plants, of) || slices.ContainsFunc(g.OtherPlants, of)
}
