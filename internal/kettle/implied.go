package kettle

import (
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"
)

// Implied is what a measurement should show by what was weighed, and how far that may be off: contents vary,
// spent plants hold back more or less, and what is worked out is no truth. It is NaN where nothing follows.
type Implied struct {
	Value, Error float64
	// Least says that something brings an amount that nobody knows, so that the value is at least so much.
	Least bool
}

// How far what is worked out may be off by itself, beside the variation of contents; practice. The pH model's
// own error is larger for drinks rich in plants.
const (
	brixOff, brixOffShare = 0.15, 0.02
	densityOff            = 0.0015
	pHOff                 = 0.2
	alcoholOff            = 0.2
	worthOff              = 0.03 // of an attribute's value
	litresOffShare        = 0.01
	heldOffShare          = 0.25 // of what spent plants hold back
	marcOffShare          = 0.30
	twoDeviations         = 2
	bottlesShort          = 0.03 // of the litres that filling loses
)

// implies works out what each measurement should show of amounts that were put in.
func implies(a *assess.Assessment, name string) Implied {
	j := a.Job
	in := after(j, a.Recipe)
	held, dry := 0.0, 0.0
	for _, p := range a.Recipe.Parts {
		held += p.Source.Ingredient.HoldUp * p.Amount
		dry += (1 - p.Source.Ingredient.SolubleShare) * p.Amount / 1000
	}
	switch name {
	case MeasureLitres:
		return Implied{Value: a.Recovered, Error: litresOffShare*a.Recovered + heldOffShare*held}
	case MeasureMarc:
		marc := dry + held*in.Density
		return Implied{Value: marc, Error: marcOffShare * marc}
	case MeasureBrix:
		return Implied{Value: in.Brix, Error: brixOff + brixOffShare*in.Brix}
	case MeasureDensity:
		return Implied{Value: in.Density, Error: densityOff}
	case MeasurePH:
		return Implied{Value: in.PH, Error: pHOff}
	case MeasureAcidity:
		return Implied{Value: in.Acidity, Error: worthOff*in.Acidity + twoDeviations*spread(a, brief.Acidity)/a.Liquor}
	case MeasureAlcohol:
		return Implied{Value: in.Alcohol, Error: alcoholOff}
	case MeasureBottles:
		if j.BottleML > 0 {
			bottles := math.Floor(a.Recovered*1000/j.BottleML + 1e-9)
			return Implied{Value: bottles, Error: math.Ceil(bottlesShort*bottles) + 1}
		}
		return Implied{Value: math.NaN()}
	}
	for _, v := range a.Attributes {
		if v.Name == name {
			basis := content(a, name) / v.Value // what the assessment divides by
			e := worthOff * v.Value
			if v.Value > 0 {
				e += twoDeviations * spread(a, name) / basis
			}
			return Implied{Value: v.Value, Error: e, Least: len(v.Unknown) > 0}
		}
	}
	return Implied{Value: math.NaN()}
}

// content is how much of an attribute is in all that was put in.
func content(a *assess.Assessment, attribute string) float64 {
	sum := 0.0
	for _, p := range a.Recipe.Parts {
		sum += p.Source.Expected(attribute) * p.Amount
	}
	return sum
}

// spread is the standard deviation of that.
func spread(a *assess.Assessment, attribute string) float64 {
	square := 0.0
	for _, p := range a.Recipe.Parts {
		c, _ := p.Source.Content(attribute)
		sd := c.SD
		if sd == 0 && !p.Source.Ingredient.Pure && !p.Source.Water() {
			sd = study.UsualVariation * c.PerGram
		}
		square += math.Pow(sd*c.Recovery*p.Amount, 2)
	}
	return math.Sqrt(square)
}

// Foretell works out what a measurement should show of amounts that were put in, as a record is judged by.
func Foretell(a *assess.Assessment, name string) Implied { return implies(a, name) }
