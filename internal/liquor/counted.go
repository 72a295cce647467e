package liquor

import (
	"slices"

	"bittersum/internal/brief"
)

// Caps are judged against a plausible drink and not against whatever was weighed in, so that neither dead weight nor
// spent plants are a way round them: a kilogram of drink counts only what drinks are made of, and all that goes
// into the liquor counts as delivered with what is recovered of it, as though spent plants kept liquor without
// any of it back.

// makesWeight are the kinds of ingredients whose mass counts in a kilogram of drink. Salts, gums, humectants,
// colours and what plants give off do not.
var makesWeight = []string{"water", "juice", "syrup", "sugar", "acid", "spirit"}

// HeldDensity is the density, in kg/L, that liquor held back by spent plants counts with where a cap is per
// kilogram: that of a syrup of 70 °Bx (ICUMSA SPS-4, 1.347 at 20 °C, rounded up), so that no less is taken off than
// is held back.
const HeldDensity = 1.35

// CountedKilograms returns the kilograms of the drink as served that caps count for a gram of a source: its own, less
// that of the liquor it holds back when spent, with the soda that goes with it. It may be below zero. A preparation
// counts as its parts.
func CountedKilograms(j *brief.Job, s *brief.Source) float64 {
	return rounded(counted(s, func(s *brief.Source) float64 {
		kilograms := -s.Ingredient.HoldUp * (HeldDensity + SodaDensity*j.Throw)
		if slices.Contains(makesWeight, s.Ingredient.Kind) {
			kilograms += s.Ingredient.SolubleShare / 1000
		}
		return kilograms
	}), 12)
}

// CountedLitres returns the litres of the drink as served that caps take off for a gram of a source: the liquor that it
// holds back when spent, with its soda.
func CountedLitres(j *brief.Job, s *brief.Source) float64 {
	return rounded(counted(s, func(s *brief.Source) float64 { return -s.Ingredient.HoldUp * j.Dilution() }), 12)
}

// counted adds up over the parts of a preparation.
func counted(s *brief.Source, each func(*brief.Source) float64) float64 {
	if s.Made == nil {
		return each(s)
	}
	sum := 0.0
	for _, leaf := range s.Made.Leaves {
		sum += leaf.Amount * each(leaf.Source)
	}
	return sum
}
