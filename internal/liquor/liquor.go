// Package liquor says what a mixture of sources is as a liquid: how much of it there is, what is
// dissolved in it, and what instruments show of it.
//
// The liquor is what is made: the drink itself, or the syrup of a drink with a throw. Everything that the
// linear program needs is linear in the amounts once a State is given: the concentration that volumes
// depend on and the media that the charges of acids depend on: ionic strength, and free calcium and magnesium.
package liquor

import (
	"math"
	"strconv"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
)

// SodaDensity is that of the soda a syrup is thrown with, kg/L: water at 20 °C. Its gas would make it
// heavier by a thousandth or two, so a cap per kilogram is judged on the safe side.
const SodaDensity = 0.9982

// State is what the linear forms of a mixture are taken at. A solution and its state are found together:
// solve, update, repeat.
type State struct {
	// Solids is the mass percent of dissolved solids in the liquor.
	Solids float64
	// Titrated is the medium of the degassed drink at the end point of its titration.
	Titrated chem.Medium
	// Lowest and Highest are those of the drink brought to the lowest and the highest pH that the brief
	// allows.
	Lowest, Highest chem.Medium
	// Water is the kg of water in a litre of the drink as served, alcohol counted as water.
	Water float64
}

// Guess is a state to start from: a sour soft drink.
func Guess() State {
	return State{Solids: 10, Titrated: chem.Medium{IonicStrength: 0.08}, Lowest: chem.Medium{IonicStrength: 0.02}, Highest: chem.Medium{IonicStrength: 0.02}, Water: 0.94}
}

// Near reports whether two states are the same to what any instrument shows.
func (s State) Near(t State) bool {
	const relative, absolute = 1e-8, 1e-10
	near := func(a, b float64) bool { return math.Abs(a-b) <= absolute+relative*math.Abs(b) }
	same := func(a, b chem.Medium) bool {
		return near(a.IonicStrength, b.IonicStrength) && near(a.Calcium, b.Calcium) && near(a.Magnesium, b.Magnesium)
	}
	return near(s.Solids, t.Solids) && same(s.Titrated, t.Titrated) && same(s.Lowest, t.Lowest) && same(s.Highest, t.Highest) && near(s.Water, t.Water)
}

// Between returns the state halfway between two.
func (s State) Between(t State) State {
	half := func(a, b chem.Medium) chem.Medium {
		return chem.Medium{IonicStrength: (a.IonicStrength + b.IonicStrength) / 2, Calcium: (a.Calcium + b.Calcium) / 2, Magnesium: (a.Magnesium + b.Magnesium) / 2}
	}
	return State{(s.Solids + t.Solids) / 2, half(s.Titrated, t.Titrated), half(s.Lowest, t.Lowest), half(s.Highest, t.Highest), (s.Water + t.Water) / 2}
}

// Volume returns the mL that a gram of a source adds to a liquor with so many mass percent of dissolved
// solids (see brief.Source.Volume), to nine decimals, so that sums of it can be compared exactly.
func Volume(s *brief.Source, solids float64) float64 { return rounded(s.Volume(solids), 9) }

// rounded returns x as the decimal with so many places.
func rounded(x float64, places int) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', places, 64), 64)
	return r
}

// refraction returns what a gram of a source adds to a refractometer's °Bx times grams over 100: its
// solids, citric acid among them at the share that it shows.
func refraction(s *brief.Source) float64 {
	solutes, _ := s.Solutes()
	citric := solutes[chem.Citric] * chem.Citric.Constants().MolarMass / 1000
	solids := s.Expected(brief.Solids)
	return solids - (1-chem.CitricRefractometerShare)*math.Min(citric, solids)
}

// Form is an amount as a linear form: Σ PerGram(source)·grams + PerLitre·litres of the drink as served.
type Form struct {
	PerGram  func(*brief.Source) float64
	PerLitre float64
}

// FormOf returns the form of an attribute, or of the solids that a refractometer shows (brief.Brix).
// Acidity of a drink is the charge that alkali has to supply to reach the end point, by charge balance;
// a source that says nothing of its acids adds the acidity of its profile, which is measured that way.
func FormOf(j *brief.Job, name string, at State) Form {
	switch {
	case j.Kind == brief.Drink && name == string(brief.Brix):
		return Form{PerGram: refraction}
	case j.Kind == brief.Drink && name == brief.Acidity:
		return acidity(j, at)
	}
	return Form{PerGram: func(s *brief.Source) float64 { return s.Expected(name) }}
}

// What H+ and OH- carry at the end point is some hundred thousandths of the acidity: it is taken at the water of the state, so
// that the row keeps to coefficients that every solver reads.
func acidity(j *brief.Job, at State) Form {
	equivalent, _ := chem.EquivalentMass(j.Titration.As) // the brief admits acids with equivalents only
	citric, _ := chem.EquivalentMass(chem.Citric)
	end, in := j.Titration.EndPoint, at.Titrated
	return Form{
		PerGram: func(s *brief.Source) float64 {
			if s.Sour() {
				return s.Expected(brief.Acidity) * equivalent / citric
			}
			return significant(s.Charge(end, in, true) * equivalent / 1000)
		},
		PerLitre: significant((j.SodaCharge(end, in, true) - at.Water*chem.Proton(end, in.IonicStrength)) * equivalent / 1000),
	}
}

// Alkali returns the form of the mmol of strong alkali that bring the drink as served to a pH; it is
// below zero where acid would be needed. A drink's pH is at most p when the form at p is at least zero.
//
// The charge of acids is held against what H+ carries in each kg of water, and the water of a drink is a sum over
// its sources: so the form is linear in the amounts, exactly, in syrups too.
//
// Mineral counts the minerals of plants whose acids are unknown as free alkali, which makes it the least
// that may be needed, as the highest pH wants it.
func Alkali(j *brief.Job, pH float64, in chem.Medium, mineral bool) Form {
	proton := chem.Proton(pH, in.IonicStrength)
	return Form{
		PerGram: func(s *brief.Source) float64 {
			charge := s.Charge(pH, in, false) - proton*Solvent(s)
			if mineral {
				alkali, _ := s.Minerals()
				charge -= alkali
			}
			return significant(charge)
		},
		PerLitre: significant(j.GasCharge(pH, in) + j.SodaCharge(pH, in, false) - proton*sodaWater(j)),
	}
}

// Solvent returns the kg of water that a gram of a source brings into the liquor, alcohol counted as water: all that
// is no dissolved solids. Of a salt or acid it is what the profile says of its water.
func Solvent(s *brief.Source) float64 {
	return (s.Ingredient.SolubleShare - s.Expected(brief.Solids)) / 1000
}

// sodaWater returns the kg of water that soda brings to a litre as served.
func sodaWater(j *brief.Job) float64 { return SodaDensity * j.Throw / j.Dilution() }

// significant returns x to ten significant digits, so that exact arithmetic meets short decimals.
func significant(x float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 10, 64), 64)
	return r
}
