package label

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/profile"
)

// facts are what a litre of the drink as served holds, in grams unless the name says otherwise.
type facts struct {
	sugars, added, polyols, erythritol, acids, alcohol float64
	sodiumMg, potassiumMg                              float64
	// polyolKJ is the energy of the polyols by the factors of Australia and New Zealand.
	polyolKJ float64
	// rest is what is left of the soluble solids: tannins, gums, proteins and whatever else.
	rest float64
	// given are the maker's own figures per litre; NaN where there is none.
	protein, fat, saturates, fibre float64
	// silent names, by what a label asks for, the ingredients that no figure is known of.
	silent map[string][]string
	// notes say what is missing or was taken for granted.
	notes []string
}

// nutrition works the facts out from the recipe's contents.
func nutrition(a *assess.Assessment, o Options) facts {
	litre := func(name string) float64 { return a.Value(name, profile.PerLitre) }
	f := facts{
		sugars: litre("sugars"), polyols: litre("polyols"), alcohol: litre("alcohol"), sodiumMg: litre("sodium"), potassiumMg: litre("potassium"),
		protein: math.NaN(), fat: math.NaN(), saturates: math.NaN(), fibre: math.NaN(),
		silent: map[string][]string{},
	}
	f.acids = litre(brief.Acidity)
	if as, err := chem.EquivalentMass(a.Job.Titration.As); err == nil {
		citric, _ := chem.EquivalentMass(chem.Citric)
		f.acids *= citric / as
	}
	served := a.Liquor * a.Job.Dilution()
	for _, p := range a.Recipe.Unfolded() {
		g := p.Source.Ingredient
		factor, ok := auNZPolyols[g.ENumber]
		if !ok {
			factor = auNZPolyolMost
		}
		f.polyolKJ += factor * p.Source.Expected("polyols") * p.Amount / served
		if g.ENumber == "E 968" {
			f.erythritol += p.Source.Expected("polyols") * p.Amount / served
		}
		if slices.Contains([]string{"sugar", "syrup"}, g.Kind) || strings.Contains(g.LabelName, "from concentrate") {
			f.added += p.Source.Expected("sugars") * p.Amount / served
		}
	}
	f.rest = math.Max(0, litre(brief.Solids)-f.sugars-f.polyols-f.acids-(f.sodiumMg+f.potassiumMg)/1000)
	for name, into := range map[string]*float64{"protein": &f.protein, "fat": &f.fat, "saturates": &f.saturates, "fibre": &f.fibre} {
		if x, ok := o.Nutrients[name]; ok {
			*into = 10 * x
		} else if silent := unknown(a, name); a.Job.Library.Attributes[name] != nil && len(silent) == 0 {
			*into = litre(name)
		} else {
			f.silent[name] = silent
		}
	}
	for _, name := range []string{"sugars", "polyols", "sodium", "potassium", brief.Solids} {
		if silent := unknown(a, name); len(silent) > 0 {
			f.silent[name] = silent
		}
	}
	if x, ok := o.Nutrients["salt"]; ok {
		f.sodiumMg = 10 * x / saltPerSodium * 1000
		delete(f.silent, "sodium")
	}
	f.explain(a)
	return f
}

// saltPerSodium is what Regulation (EU) 1169/2011 Annex I point 11 reckons salt by.
const saltPerSodium = 2.5

// explain notes what is not known and of which ingredients.
func (f *facts) explain(a *assess.Assessment) {
	for _, name := range []string{"fat", "saturates", "sugars", "polyols", "fibre", "protein", "sodium", "potassium", brief.Solids} {
		silent, missing := f.silent[name]
		if !missing {
			continue
		}
		note := fmt.Sprintf("%s: not known of %s, so nothing is printed for it", name, strings.Join(silent, ", "))
		switch name {
		case "fat":
			note += "; energy counts none"
		case "protein", "fibre":
			if most := f.rest / 10; f.unsure(brief.Solids) == "" {
				note += fmt.Sprintf("; at most %s g in 100 mL as served, which is what soluble solids leave beside sugars, acids and salts", short(most))
				if a.Job.Throw > 0 {
					note += fmt.Sprintf(" (%s g in 100 mL of the syrup)", short(most*a.Job.Dilution()))
				}
			}
		}
		switch {
		case slices.Contains(Nutrients, name):
			note += fmt.Sprintf("; --nutrient %s=G gives a figure", name)
		case name == "sodium":
			note += "; --nutrient salt=G gives a figure"
		}
		f.notes = append(f.notes, note)
	}
	for _, p := range a.Recipe.Unfolded() {
		if c, _ := p.Source.Content("sodium"); p.Source.Water() && p.Amount > 0 && c.PerGram == 0 && len(f.silent["sodium"]) == 0 {
			f.notes = append(f.notes, "sodium of the water is counted as none: the waterworks' analysis says how much there is; --nutrient salt=G gives the drink's whole salt")
			break
		}
	}
}

// notKnown stands in a panel for an amount that not every ingredient has a figure of.
const notKnown = "—"

// unsure returns notKnown when an ingredient has no figure for one of the names, else nothing.
func (f *facts) unsure(names ...string) string {
	for _, name := range names {
		if _, missing := f.silent[name]; missing {
			return notKnown
		}
	}
	return ""
}

// or returns text, or notKnown when an ingredient has no figure for one of the names.
func (f *facts) or(text string, names ...string) string {
	return cmp.Or(f.unsure(names...), text)
}

// energy returns text, or notKnown where solids are not known or an energy of nothing leaves out what is not known.
func (f *facts) energy(text string, amount float64) string {
	if amount < 0.5 && f.unsure("fat", "protein", "fibre", "sugars", "polyols") != "" {
		return notKnown
	}
	return f.or(text, brief.Solids)
}

// unknown names the ingredients of a recipe that have no figure for an attribute.
func unknown(a *assess.Assessment, attribute string) []string {
	var silent []string
	for _, p := range a.Recipe.Unfolded() {
		if _, known := p.Source.Content(attribute); !known && p.Amount > 0 && !slices.Contains(silent, p.Source.Ingredient.Name) {
			silent = append(silent, p.Source.Ingredient.Name)
		}
	}
	return silent
}

// or returns x, or fallback when it is not known.
func or(x, fallback float64) float64 {
	if math.IsNaN(x) {
		return fallback
	}
	return x
}
