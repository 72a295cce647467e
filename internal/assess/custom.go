package assess

import "bittersum/internal/liquor"

// beyondCustom returns the cautions about amounts that drinks are not customarily made with.
func (a *Assessment) beyondCustom(add func(from, format string, args ...any)) {
	served := liquor.Mix(a.Job, a.Recipe.Parts).Served().Litres
	if served <= 0 {
		return
	}
	amounts := map[string]float64{}
	for _, p := range a.Recipe.Parts {
		amounts[p.Source.Ingredient.Name] += p.Amount / served
	}
	for _, p := range a.Recipe.Parts {
		g := p.Source.Ingredient
		amount := amounts[g.Name]
		delete(amounts, g.Name) // once for all its lots
		if g.Customary > 0 && amount > g.Customary*(1+Tolerance)*1.02 {
			add(string(g.CustomaryProvenance.Basis)+", profile of "+g.Name, "%.3g g/L of %s is more than the %.3g g/L at most that drinks are customarily made with.", amount, g.Name, g.Customary)
		}
	}
}
