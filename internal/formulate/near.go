package formulate

import (
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
	"bittersum/solver"
)

// Content returns the linear forms whose quotient is the value of an attribute in the drink; a nil basis
// stands for 1.
func (f *Formulation) Content(a *profile.Attribute) (content, basis []solver.Term) {
	return f.terms(liquor.FormOf(f.Job, a.Name, f.State)), f.basis(a.Per)
}

// near adds the rows that keep the recipe close to another. For each attribute the columns more and less
// split the difference from its mark, content - mark·basis = more - less, and
//
//	Σ (more + less) / (JND·ρ) <= Within · litres
//
// counts them. ρ is 1 for an attribute per litre: both sides then stand for the same litres and the count
// is exact. One per kilogram or per 100 g is counted as if a litre weighed 1 kg.
func (f *Formulation) near() {
	near := f.Job.Near
	if near == nil || math.IsInf(near.Within, 1) {
		return
	}
	var count []solver.Term
	for _, mark := range near.Marks {
		a := f.Job.Library.Attributes[mark.Attribute]
		content, basis := f.Content(a)
		terms := f.less(content, mark.Value, basis)
		right := 0.0
		if basis == nil {
			right = mark.Value
			terms = content
		}
		weight := 1 / mark.JND
		if a.Per == profile.Per100g {
			weight /= 10
		}
		for _, split := range []struct {
			name string
			sign float64
		}{{"more ", -1}, {"less ", 1}} {
			column := f.Problem.AddColumn(solver.Column{Name: split.name + a.Name, Upper: solver.Inf})
			terms = append(terms, solver.Term{Column: column, Value: split.sign})
			count = append(count, solver.Term{Column: column, Value: weight})
		}
		f.Problem.AddRow(solver.Row{Name: "mark " + a.Name, Lower: right, Upper: right, Terms: terms})
	}
	var litres []solver.Term
	if f.Job.Kind == brief.Drink {
		litres = f.basis(profile.PerLitre)
	}
	f.addRange(Limit{Kind: Drift, Name: "drift", Line: brief.Asked}, brief.Range{Min: math.Inf(-1), Max: near.Within}, count, litres)
}
