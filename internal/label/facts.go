package label

import (
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
	// rest is what is left of the soluble solids: tannins, gums, proteins and whatever else.
	rest float64
	// given are the maker's own figures per litre; NaN where there is none.
	protein, fat, saturates, fibre float64
	// notes say what is missing or was taken for granted.
	notes []string
}

// nutrition works the facts out from the recipe's contents.
func nutrition(a *assess.Assessment, o Options) facts {
	litre := func(name string) float64 { return a.Value(name, profile.PerLitre) }
	f := facts{
		sugars: litre("sugars"), polyols: litre("polyols"), alcohol: litre("alcohol"), sodiumMg: litre("sodium"), potassiumMg: litre("potassium"),
		protein: math.NaN(), fat: math.NaN(), saturates: math.NaN(), fibre: math.NaN(),
	}
	f.acids = litre(brief.Acidity)
	if as, err := chem.EquivalentMass(a.Job.Titration.As); err == nil {
		citric, _ := chem.EquivalentMass(chem.Citric)
		f.acids *= citric / as
	}
	served := a.Liquor * a.Job.Dilution()
	for _, p := range a.Recipe.Unfolded() {
		g := p.Source.Ingredient
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
		} else if a.Job.Library.Attributes[name] != nil && len(unknown(a, name)) == 0 {
			*into = litre(name)
		}
	}
	for _, name := range []string{"sugars", "polyols", "sodium", "potassium", brief.Solids} {
		if silent := unknown(a, name); len(silent) > 0 {
			f.notes = append(f.notes, fmt.Sprintf("%s: no figure for %s; it may be more", name, strings.Join(silent, ", ")))
		}
	}
	if math.IsNaN(f.fat) {
		f.notes = append(f.notes, "fat: no figure in the profiles; a strained water infusion carries none to speak of [practice]; --nutrient fat=G says otherwise")
	}
	if math.IsNaN(f.protein) {
		most := short(f.rest/10) + " g in 100 mL"
		if a.Job.Throw > 0 {
			most = fmt.Sprintf("%s as served, %s g in 100 mL of the syrup", most, short(f.rest/10*a.Job.Dilution()))
		}
		f.notes = append(f.notes, fmt.Sprintf("protein and fibre: no figure in the profiles; together at most %s, which is what soluble solids leave beside sugars, acids and salts; --nutrient protein=G gives a figure", most))
	}
	return f
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
