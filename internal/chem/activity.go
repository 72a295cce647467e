package chem

import "math"

const (
	// daviesA is the Debye-Hückel slope of water at 25 °C, log10 units, (kg/mol)^0.5; from memory of
	// the usual textbooks.
	daviesA = 0.509
	// DaviesLimit is the ionic strength, mol per kg of water, up to which the Davies equation is trusted; from
	// memory of Davies, Ion Association, Butterworths 1962. Beyond it the coefficients are held, since
	// the equation's linear term would let them grow without bound.
	DaviesLimit = 0.5
	// pKw is -log10 of the ion product of water at 25 °C; from memory of IAPWS R11-07.
	pKw = 13.995
)

// ActivityCoefficient returns that of an ion of the given charge at an ionic strength in mol per kg of water, by
// Davies (1962): log10 γ = -A z² (√I/(1+√I) - 0.3 I), held beyond DaviesLimit.
func ActivityCoefficient(charge int, ionicStrength float64) float64 {
	z := float64(charge)
	return math.Pow(univalent(ionicStrength), z*z)
}

// univalent is the activity coefficient of an ion of charge 1 or -1. That of charge z is its z²-th
// power.
func univalent(ionicStrength float64) float64 {
	if !(ionicStrength > 0) {
		return 1
	}
	return math.Exp(-math.Ln10 * daviesA * davies(ionicStrength))
}

// davies is what the slope of Debye and Hückel is multiplied by.
func davies(ionicStrength float64) float64 {
	i := min(ionicStrength, DaviesLimit)
	root := math.Sqrt(i)
	return root/(1+root) - 0.3*i
}

// ladder is a species ready for evaluation: its amount and, at one ionic strength, the constants
// that turn the activity of H+ into ratios of concentrations of neighbouring forms.
type ladder struct {
	amount float64 // mol/kg
	top    float64 // charge of the form with all its protons
	steps  int
	acid   *[maxSteps]float64 // thermodynamic constants
	plain  [maxSteps]float64  // [form k+1] a(H+) / [form k]
	ratio  [maxSteps]float64  // the same with each form's pairs counted as the form

	species    Species
	pairs      *formConstants        // nil where it pairs with no metal that is there
	holds      formConstants         // the same at one ionic strength
	pairSquare [maxSteps + 1]float64 // what pairs, of two charges more, add to the squared charge of each form
}

// correct sets the ratios for univalent coefficient g, without pairs. From charge z to z-1 the ratio is
// K γ(z)/γ(z-1) = K g^(2z-1).
func (l *ladder) correct(g float64) {
	var power float64
	switch l.top {
	case 0:
		power = 1 / g
	case -1:
		power = 1 / (g * g * g)
	default:
		power = math.Pow(g, 2*l.top-1)
	}
	down := 1 / (g * g)
	for k := range l.steps {
		l.plain[k] = l.acid[k] * power
		power *= down
	}
	l.ratio = l.plain
	if l.pairs != nil {
		l.correctPairs(g)
	}
}

// correctIn sets the ratios for a medium.
func (l *ladder) correctIn(in Medium) {
	if in.free() != [metals]float64{} {
		l.pairs = pairing[l.species]
	}
	l.correct(univalent(in.IonicStrength))
	l.pairUp(in.free())
}

// moments returns the mean charge, the mean squared charge and the variance of the charge over the
// forms of one mole, at the inverse of the activity of H+.
func (l *ladder) moments(inverseH float64) (mean, square, variance float64) {
	r := l.ratio[0] * inverseH
	sum, first, second := 1+r, r, r
	if l.steps > 1 {
		r *= l.ratio[1] * inverseH
		sum, first, second = sum+r, first+2*r, second+4*r
		if l.steps > 2 {
			r *= l.ratio[2] * inverseH
			sum, first, second = sum+r, first+3*r, second+9*r
		}
	}
	scale := 1 / sum
	first *= scale
	second *= scale
	return l.top - first, l.top*(l.top-2*first) + second, second - first*first
}

func newLadder(s Species, amount float64, at *constants) ladder {
	return ladder{species: s, amount: amount, top: float64(species[s].Charge), steps: species[s].Steps, acid: &at.acid[s]}
}

// ChargePerMole returns the mean negative charge that a mole of the species carries at the given pH
// in a medium: 0 to 3 for the acids, negative for cations and for quinine. An acid's anions count with their own charge
// where they are paired with calcium or magnesium, and these with theirs. It is the
// coefficient of the species in the charge balance; see Proton for the right-hand side. The result
// is NaN for a species that is not valid.
func ChargePerMole(s Species, pH float64, in Medium) float64 {
	if !s.Valid() {
		return math.NaN()
	}
	l := newLadder(s, 1, atRoom)
	if l.steps == 0 {
		return -l.top
	}
	l.correctIn(in)
	mean, _, _ := l.moments(math.Exp(math.Ln10 * pH))
	return -mean
}

// Proton returns [H+] - [OH-] in mmol per kg of water, as molalities, at the given pH and ionic strength
// (mol/kg). A solution has that pH exactly when Σ amounts (mmol/L) × ChargePerMole equals Proton times the kg of
// water in a litre; the sum is larger when the solution is more acid.
func Proton(pH, ionicStrength float64) float64 {
	inverseH := math.Exp(math.Ln10 * pH)
	return 1000 * (1/inverseH - atRoom.ionProduct*inverseH) / univalent(ionicStrength)
}
