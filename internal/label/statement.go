package label

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/profile"
)

// part is one entry of an ingredient statement.
type part struct {
	*profile.Ingredient
	name  string
	grams float64
	water bool
	// allergens are those of the ingredient that must be declared in this drink.
	allergens []string
	// substances must be named behind the word flavouring, of an ingredient that is no additive.
	substances []string
}

// declared are the allergens of an ingredient that must be declared: sulphites from 10 mg in a litre on, in the
// European Union and the United Kingdom above it (Regulation (EU) 1169/2011 Annex II point 12).
func (d *draft) declared(g *profile.Ingredient) []string {
	return slices.DeleteFunc(slices.Clone(g.Allergens), func(name string) bool {
		if name != "sulphites" || len(unknown(d.Assessment, name)) > 0 {
			return false
		}
		amount := d.Value(name, profile.PerLitre)
		if market := d.label.Market.Name; market == "eu" || market == "uk" {
			return amount <= 10
		}
		return amount < 10
	})
}

// flavouringOf begins a wording that names a substance behind the word flavouring.
const flavouringOf = "flavouring ("

// flavours are the substances of an ingredient that the market wants named behind the word flavouring.
func (d *draft) flavours(p part) []string {
	var names []string
	for _, x := range d.Declarations(d.label.Market) {
		named := x.InList && strings.HasPrefix(x.Wording, flavouringOf)
		ofPlant := len(x.Plants) == 0 || slices.ContainsFunc(x.Plants, func(plant string) bool { return slices.Contains(p.Plants, plant) })
		if c, _ := p.Content(x.Attribute); named && ofPlant && c.PerGram > 0 {
			names = append(names, x.Attribute)
		}
	}
	return names
}

// style says how a market wants an entry written.
type style struct {
	// additive writes an additive of a category.
	additive func(p part) string
	// allergen marks what must stand out.
	allergen func(text string, p part) string
	// share writes the quantity of an ingredient that the name of the drink speaks of.
	share func(text string, percent float64) string
}

var plainStyle = style{
	additive: func(p part) string { return p.name },
	allergen: func(text string, _ part) string { return text },
	share:    func(text string, _ float64) string { return text },
}

// parts returns the ingredients by falling weight. What was weighed in counts, as it was recorded when it
// was used; added water is what the finished drink weighs less all other ingredients (Regulation (EU)
// 1169/2011 Annex VII Part A).
func (d *draft) parts() (list []part, finished float64) {
	finished = 1000 * d.MassKg * d.Recovered / d.Liquor
	at := map[string]int{}
	water, others := -1, 0.0
	for _, p := range d.Recipe.Unfolded() {
		if p.Amount <= 0 {
			continue
		}
		g := p.Source.Ingredient
		n, ok := at[g.LabelName]
		if !ok {
			n = len(list)
			at[g.LabelName] = n
			list = append(list, part{Ingredient: g, name: g.LabelName, water: p.Source.Water()})
		}
		list[n].grams += p.Amount
		if p.Source.Water() {
			water = n
		} else {
			others += p.Amount
		}
	}
	if water >= 0 {
		list[water].grams = math.Max(0, finished-others)
		if d.Job.Carbonated && d.Job.Throw == 0 {
			list[water].name = "carbonated water"
		}
	}
	slices.SortStableFunc(list, func(a, b part) int {
		switch {
		case a.grams > b.grams:
			return -1
		case a.grams < b.grams:
			return 1
		}
		return strings.Compare(a.name, b.name)
	})
	return list, finished
}

// list writes the ingredient statement.
func (d *draft) list(s style) string {
	parts, finished := d.parts()
	var texts []string
	for _, p := range parts {
		text := p.name
		if p.substances = d.flavours(p); p.Category != "" {
			text = s.additive(p)
		} else if len(p.substances) > 0 {
			text = "flavouring (" + strings.Join(p.substances, ", ") + "; " + text + ")"
		}
		if len(p.LabelParts) > 0 {
			text += " (" + strings.Join(p.LabelParts, ", ") + ")"
		}
		if p.allergens = d.declared(p.Ingredient); len(p.allergens) > 0 {
			text = s.allergen(text, p)
		}
		if d.named(p) {
			text = s.share(text, 100*p.grams/finished)
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ", ")
}

// named reports whether the drink's name speaks of the ingredient, by a word that both share.
func (d *draft) named(p part) bool {
	if p.water || p.Category != "" {
		return false
	}
	name := words(d.Job.Name)
	for word := range words(p.LabelName) {
		if name[word] && !common[word] {
			return true
		}
	}
	return false
}

// common are words that name no ingredient by themselves.
var common = map[string]bool{
	"bitter": true, "sweet": true, "juice": true, "peel": true, "root": true, "water": true, "syrup": true, "leaf": true, "herb": true,
	"bark": true, "wood": true, "seed": true, "extract": true, "flowers": true, "sugar": true, "soda": true, "black": true, "green": true,
	"concentrate": true, "from": true, "and": true, "of": true, "with": true, "drink": true, "without": true, "alcohol": true,
}

func words(text string) map[string]bool {
	set := map[string]bool{}
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return (r < 'a' || r > 'z') && r < 128 }) {
		if len(word) > 2 {
			set[word] = true
		}
	}
	return set
}

// flavouring returns the substance that has to be named behind the word flavouring: quinine or caffeine.
func flavouring(p part) string {
	for _, name := range []string{"quinine", "caffeine"} {
		if c, known := p.Content(name); known && c.PerGram > 0 {
			return name
		}
	}
	return p.name
}

// percentText writes a quantity as labels do: whole from ten on, with a decimal below, and never as nothing.
func percentText(x float64) string {
	switch {
	case x >= 10:
		return fmt.Sprintf("%.0f %%", x)
	case x < 0.1 && x > 0:
		return fmt.Sprintf("%.*f %%", int(math.Ceil(-math.Log10(x)-1e-9)), x)
	}
	return trim(fmt.Sprintf("%.1f", x)) + " %"
}

// allergens returns what the recipe brings of things that must be declared, each once.
func (d *draft) allergens() []string {
	var names []string
	for _, p := range d.Recipe.Unfolded() {
		for _, name := range d.declared(p.Source.Ingredient) {
			if p.Amount > 0 && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}
