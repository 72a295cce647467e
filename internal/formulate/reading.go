package formulate

import (
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
	"bittersum/solver"
)

// readings adds the rows of what instruments are to show.
func (f *Formulation) readings() {
	for _, t := range f.Job.Readings {
		l := Limit{Kind: Reading, Name: string(t.Reading), Line: t.Line}
		switch t.Reading {
		case brief.PH:
			f.addPH(l, t.Range)
		case brief.Brix:
			f.addRange(l, t.Range, f.terms(liquor.FormOf(f.Job, l.Name, f.State)), f.mass(100))
		case brief.Density:
			f.addRange(l, t.Range, f.mass(1), f.litres(1000))
		}
	}
}

// addPH adds the rows of a pH from r.Min to r.Max: the acid that would bring the drink to the pH is at most
// zero at the highest, with the minerals of plants as free alkali, and at least zero at the lowest, without
// them: the drink keeps to the range whatever acids the plants bring along. A pH that is asked for exactly is
// that without them.
func (f *Formulation) addPH(l Limit, r brief.Range) {
	side := func(s Side, value float64, in chem.Medium, lower, upper float64) {
		l.Side, l.Value, l.medium = s, value, in
		l.Slope = f.bend(value, in)
		f.add(l, f.acid(l, value), lower, upper)
	}
	switch {
	case r.Min == r.Max:
		side(Exact, r.Max, f.State.Highest, 0, 0)
	default:
		if !math.IsInf(r.Min, -1) {
			side(Min, r.Min, f.State.Lowest, 0, solver.Inf)
		}
		if !math.IsInf(r.Max, 1) {
			side(Max, r.Max, f.State.Highest, -solver.Inf, 0)
		}
	}
}

// acid returns the terms of the mmol of strong acid that bring the drink to a pH, for the side of limit l:
// above zero where the drink's own pH lies above.
func (f *Formulation) acid(l Limit, pH float64) []solver.Term {
	terms := f.terms(liquor.Alkali(f.Job, pH, l.medium, l.Side == Max))
	for n := range terms {
		terms[n].Value = -terms[n].Value
	}
	return terms
}

// bend returns what one more unit of pH takes away from the terms of acid, as a slope: by central
// differences, whose error of the order of step² is far below what costs are printed to.
func (f *Formulation) bend(pH float64, in chem.Medium) []solver.Term {
	const step = 1e-4
	low, high := liquor.Alkali(f.Job, pH-step, in, false), liquor.Alkali(f.Job, pH+step, in, false)
	return f.terms(liquor.Form{
		PerGram:  func(s *brief.Source) float64 { return (high.PerGram(s) - low.PerGram(s)) / (2 * step) },
		PerLitre: (high.PerLitre - low.PerLitre) / (2 * step),
	})
}
