package formulate

import (
	"math"

	"bittersum/internal/brief"
)

// digits is how many significant digits an amount is printed with, and finest the coarsest last place
// it may have: 0.01 g of water in a litre moves nothing that can be measured.
const (
	digits      = 5
	blendDigits = 9
	finest      = 0.01
	// dust is what a program leaves of nothing; a microgram in a litre of drink is nothing to any scale
	// or tongue either.
	dust, drinkDust = 1e-9, 1e-6
)

// Recipe turns a solution into a recipe whose amounts are the decimals that will be printed.
// Ingredients that carry a capped substance are rounded down, the others to the nearest.
func (f *Formulation) Recipe(x []float64) *brief.Recipe {
	recipe := &brief.Recipe{Name: f.Job.Name}
	for n, s := range f.Job.Sources {
		if amount := f.round(s, x[n]); amount > 0 {
			recipe.Parts = append(recipe.Parts, brief.Part{Source: s, Amount: amount})
		}
	}
	return recipe
}

// round returns x at the last place it is printed with.
func (f *Formulation) round(s *brief.Source, x float64) float64 {
	if x < dust || f.Job.Kind == brief.Drink && x < drinkDust {
		return 0
	}
	place := f.place(x)
	steps := x / place
	if f.carriesCapped(s) {
		steps = math.Floor(steps + 1e-6)
	} else {
		steps = math.Round(steps)
	}
	return Decimal(steps, place)
}

// place returns the value of the last place that x is printed with.
func (f *Formulation) place(x float64) float64 {
	if f.Job.Kind == brief.Blend {
		return math.Pow(10, math.Floor(math.Log10(x))+1-blendDigits)
	}
	return math.Min(finest, math.Pow(10, math.Floor(math.Log10(x))+1-digits))
}

func (f *Formulation) carriesCapped(s *brief.Source) bool {
	for _, c := range f.Job.Caps {
		if f.Job.GuardedBy(s, c.Cap) > 0 {
			return true
		}
	}
	return false
}

// Lower takes one last place off the largest carrier in r of what a cap counts, for when the rounding of the
// other ingredients has left a cap broken. It reports whether there was anything to take.
func (f *Formulation) Lower(r *brief.Recipe, broken brief.Cap) bool {
	most, at := 0.0, -1
	for n, p := range r.Parts {
		if carried := f.Job.GuardedBy(p.Source, broken.Cap) * p.Amount; carried > most {
			most, at = carried, n
		}
	}
	if at < 0 {
		return false
	}
	place := f.place(r.Parts[at].Amount)
	r.Parts[at].Amount = Decimal(math.Round(r.Parts[at].Amount/place)-1, place)
	return r.Parts[at].Amount > 0
}
