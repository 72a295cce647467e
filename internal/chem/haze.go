package chem

import "math"

// Salt is a salt that can fall out of a drink.
type Salt struct {
	Name string
	// needs is what one formula of it is made of: the species, the number of protons that the form which it takes up
	// has lost, and how many of them.
	needs [2]ion
	// logKs is log10 of the product of its ions in a saturated solution at a temperature in °C and an ionic strength,
	// mol/kg: of activities, or of molalities where stoichiometric.
	logKs          func(celsius, ionicStrength float64) float64
	stoichiometric bool
	// Basis is Published or Recalled; Source names where the figures come from.
	Basis, Source string
}

type ion struct {
	species Species
	lost    int
	count   float64
}

// quinineSulfate20 is the quinine sulfate dihydrate that water holds at 20 °C, g/L: 1 in 810, and quinineSulfateBoils
// that near 100 °C, 1 in 30.
const quinineSulfate20, quinineSulfateBoils = 1000.0 / 810, 1000.0 / 30

// vantHoff returns how log10 of a product moves from one temperature to another, °C, for a slope in K: that of ln over
// 1/T, turned round.
func vantHoff(slope, from, to float64) float64 {
	return -slope / math.Ln10 * (1/(to+zeroC) - 1/(from+zeroC))
}

var salts = []Salt{
	{
		Name:  "quinine sulfate",
		needs: [2]ion{{Quinine, 1, 2}, {Sulfate, 1, 1}},
		logKs: func(celsius, _ float64) float64 {
			// Two molecules of base to one of sulfate, in the solubility of water at 20 °C and boiling.
			c := quinineSulfate20 / 782.95
			g := math.Log10(ActivityCoefficient(1, 3*c))
			at20 := 2*(math.Log10(2*c)+g) + math.Log10(c) + 4*g
			slope := 3 * math.Log(quinineSulfateBoils/quinineSulfate20) / (1/(20+zeroC) - 1/(100+zeroC))
			return at20 + vantHoff(slope, 20, celsius)
		},
		Basis: Recalled, Source: "1 in 810 of water at 20 °C and 1 in 30 boiling, pharmacopoeias (memory)",
	},
	{
		Name:  "calcium citrate",
		needs: [2]ion{{Calcium, 0, 3}, {Citric, 3, 2}},
		logKs: func(_, strength float64) float64 {
			// Measured between pH 4.4 and 8.2; the formula is held where salt makes it turn.
			return -17.63 + 10.84*math.Sqrt(min(strength, DaviesLimit))
		},
		stoichiometric: true,
		Basis:          Published, Source: "tricalcium citrate tetrahydrate, pKs = 17.63 - 10.84 √I, the same from 21 to 95 °C (Boulet, Marier 1960)",
	},
	{
		Name:  "calcium tartrate",
		needs: [2]ion{{Calcium, 0, 1}, {Tartaric, 2, 1}},
		logKs: func(float64, float64) float64 { return -6.1 },
		Basis: Recalled, Source: "pKs 6.1, the lower of 5.8 to 6.1 at 20 °C (memory); no figure for the cold, where less dissolves",
	},
	{
		Name:  "potassium hydrogen tartrate",
		needs: [2]ion{{Potassium, 0, 1}, {Tartaric, 1, 1}},
		logKs: func(celsius, _ float64) float64 {
			slope := 2 * math.Log(6.9/2.3) / (1/zeroC - 1/(30+zeroC))
			return -3.263 + vantHoff(slope, 25, celsius)
		},
		Basis: Recalled, Source: "pKs 3.263 from the saturated solution of 0.0341 mol/kg at pH 3.557 and 25 °C (NIST standard); 2.3 g/L at 0 and 6.9 at 30 °C (memory)",
	},
}

// Saturation is how a solution stands to the solubility of a salt.
type Saturation struct {
	Salt
	// Times is how many times what dissolves the drink holds, as the product of its ions, taken to the power of one
	// over the number of ions of a formula: 1 is a saturated solution, and above it salt falls out in time.
	Times float64
}

// Saturations returns the salts whose ions a solution holds, at a temperature of 0 to 90 °C. Metals that acids bind are
// counted as free, so that it errs towards falling out. The errors are those of PHAt.
func Saturations(s *Solution, celsius float64) ([]Saturation, error) {
	state, err := PHAt(s, celsius)
	if err != nil {
		return nil, err
	}
	at := constantsAt(celsius)
	g := math.Exp(-math.Ln10 * at.davies * davies(state.IonicStrength))
	var found []Saturation
	for _, salt := range salts {
		product, ions := 0.0, 0.0
		for _, ion := range salt.needs {
			l := newLadder(ion.species, s.Amounts[ion.species]/s.water(), at)
			l.correct(g)
			activity := math.Log10(l.amount * l.share(ion.lost, math.Exp(math.Ln10*state.PH)))
			if !salt.stoichiometric {
				z := l.top - float64(ion.lost)
				activity += z * z * math.Log10(g)
			}
			product += ion.count * activity
			ions += ion.count
		}
		if !math.IsInf(product, -1) && !math.IsNaN(product) {
			found = append(found, Saturation{salt, math.Pow(10, (product-salt.logKs(celsius, state.IonicStrength))/ions)})
		}
	}
	return found, nil
}

// share returns the share of the form that has lost so many protons.
func (l *ladder) share(lost int, inverseH float64) float64 {
	sum, r, form := 1.0, 1.0, 1.0
	for k := range l.steps {
		r *= l.ratio[k] * inverseH
		sum += r
		if k+1 == lost {
			form = r
		}
	}
	return form / sum
}
