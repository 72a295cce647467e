package chem

import (
	"errors"
	"fmt"
	"math"
)

// Solution is a mixture of species in water.
type Solution struct {
	// Amounts holds the total of each species in mol/L of solution.
	Amounts [NumSpecies]float64
	// Water is the kg of water in a litre of the solution, LeastWater or more; 0 stands for 1. Where sugar takes
	// up room it is less, and acids and ions are the stronger for it.
	Water float64
}

// LeastWater is the kg of water in a litre below which nothing is a solution in water: honey has 0.24.
const LeastWater = 0.1

// water returns the kg of water in a litre.
func (s *Solution) water() float64 {
	if s.Water == 0 {
		return 1
	}
	return s.Water
}

// AddGrams adds so many grams of a compound per litre. The change is unchecked; PH checks.
func (s *Solution) AddGrams(c Compound, gramsPerLitre float64) {
	for _, p := range c.Brings {
		s.Amounts[p.Species] += gramsPerLitre / c.MolarMass * p.Moles
	}
}

// Scaled returns the solution with every amount multiplied: by 1/6 for one part in six. The rest of the litre is
// water, 1 kg/L.
func (s Solution) Scaled(factor float64) Solution {
	if s.Water != 0 {
		s.Water = 1 - factor*(1-s.Water)
	}
	for i := range s.Amounts {
		s.Amounts[i] *= factor
	}
	return s
}

// Degassed returns the solution without carbon dioxide, as a sample boiled or shaken before a
// titration; bicarbonate goes too, as it does in anything sour.
func (s Solution) Degassed() Solution {
	s.Amounts[Carbonic] = 0
	return s
}

// maxTotal is the number of moles of water in a litre. No solution holds more of anything.
const maxTotal = 55.5

// mostWater is the kg of water that a litre holds at most.
const mostWater = 1

var (
	// ErrAmount is wrapped by the errors about an amount that no solution can hold.
	ErrAmount = errors.New("chem: impossible amount")
	// ErrTarget is wrapped by the errors about a pH that no target may have.
	ErrTarget = errors.New("chem: pH target outside 1.5 to 8")
)

func (s *Solution) check() error {
	if s.Water != 0 && !(s.Water >= LeastWater && s.Water <= mostWater) {
		return fmt.Errorf("%w: %g kg of water in a litre", ErrAmount, s.Water)
	}
	var total float64
	for i, a := range s.Amounts {
		if !(a >= 0) || a > maxTotal {
			return fmt.Errorf("%w: %s %g mol/L", ErrAmount, Species(i), a)
		}
		total += a
	}
	if total > maxTotal {
		return fmt.Errorf("%w: %g mol/L in all, a litre holds at most %g", ErrAmount, total, maxTotal)
	}
	return nil
}

// CheckTargetPH returns an error that wraps ErrTarget unless the pH is one that a drink or syrup can
// be asked to have: 1.5 to 8, where the constants and the activity model are sound.
func CheckTargetPH(pH float64) error {
	if !(pH >= 1.5 && pH <= 8) {
		return fmt.Errorf("%w: %g", ErrTarget, pH)
	}
	return nil
}

// Result is the state of a solution at equilibrium.
type Result struct {
	// PH is -log10 of the activity of H+.
	PH float64
	// Medium has the ionic strength, H+ and OH- included, and the free metals.
	Medium
	// BufferCapacity is the strong base, mol/L, that raises the pH by one unit, as a slope at fixed
	// activity coefficients and free metals (Van Slyke, J. Biol. Chem. 52 (1922) 525).
	BufferCapacity float64
	// Iterations counts the evaluations of the charge balance.
	Iterations int
	// Rough says that the activity model is not good for the pH: above DaviesLimit, and from pH 5 on above an
	// ionic strength of 0.1 mol/kg, where Davies is off by 0.08 to 0.4 from ion interaction coefficients (citrate
	// binds sodium there).
	Rough bool
}

// PH finds the pH at which the solution's charges balance. The only error is ErrAmount, wrapped.
//
// At fixed activity coefficients positive charge falls and negative charge rises with pH, so the
// logarithm of their ratio has one root; Newton's method finds it inside a bracket that shrinks at
// every step. The ionic strength is the fixed point of a continuous function that starts above the
// diagonal and ends below it, and is bracketed as well.
func PH(s *Solution) (Result, error) { return equilibrium(s, atRoom) }

func equilibrium(s *Solution, constants *constants) (Result, error) {
	if err := s.check(); err != nil {
		return Result{}, err
	}
	b := balance{constants: constants}
	b.load(s)
	pH, evaluations := 4.0, 0
	var at charges
	strength := selfConsistent(b.strongStrength+2*(b.metal[calcium]+b.metal[magnesium]), func(i, tolerance float64) float64 {
		b.correct(i)
		for range pairingRounds {
			var n int
			pH, at, n = b.root(pH, tolerance)
			evaluations += n
			if !b.pairing() {
				break
			}
			if b.setFree(pH) < tolerance {
				pH, at, n = b.root(pH, tolerance)
				evaluations += n
				break
			}
		}
		return at.strength
	})
	return Result{
		PH:             pH,
		Medium:         b.medium(strength),
		BufferCapacity: s.water() * (at.negativeSlope - at.positiveSlope),
		Iterations:     evaluations,
		Rough:          strength > DaviesLimit || pH > 5 && strength > 0.1,
	}, nil
}

// pairingRounds bounds how often pH and free metals are found in turn. Each settles the other by a share of its own move,
// so that a few rounds are usual.
const pairingRounds = 200

// balance is a kilogram of water with what is dissolved in it, laid out for evaluation: strong ions summed, the
// others in a row.
type balance struct {
	constants                      *constants
	coefficient                    float64 // of a univalent ion
	strongPositive, strongNegative float64 // mol/kg of charge
	strongStrength                 float64 // mol/kg, without the metals that pair
	metal, free                    [metals]float64
	count                          int
	ladders                        [NumSpecies]ladder
}

func (b *balance) load(s *Solution) {
	water := s.water()
	for i, a := range s.Amounts {
		if a == 0 {
			continue
		}
		a /= water
		k := &species[i]
		if k.Steps > 0 {
			b.ladders[b.count] = newLadder(Species(i), a, b.constants)
			b.count++
			continue
		}
		z := float64(k.Charge)
		switch Species(i) {
		case Calcium:
			b.metal[calcium], b.free[calcium] = a, a
		case Magnesium:
			b.metal[magnesium], b.free[magnesium] = a, a
		default:
			b.strongStrength += z * z * a / 2
		}
		if z > 0 {
			b.strongPositive += z * a
		} else {
			b.strongNegative -= z * a
		}
	}
	if b.pairing() {
		for n := range b.count {
			b.ladders[n].pairs = pairing[b.ladders[n].species]
		}
	}
}

// correct sets the activity coefficients for an ionic strength.
func (b *balance) correct(ionicStrength float64) {
	b.coefficient = math.Exp(-math.Ln10 * b.constants.davies * davies(ionicStrength))
	for i := range b.count {
		b.ladders[i].correct(b.coefficient)
		b.ladders[i].pairUp(b.free)
	}
}

// pairing reports whether there is a metal that pairs.
func (b *balance) pairing() bool { return b.metal != [metals]float64{} }

func (b *balance) medium(ionicStrength float64) Medium {
	return Medium{ionicStrength, b.free[calcium], b.free[magnesium]}
}

// charges are sums over a solution at one pH: charge in mol/kg, its slopes per unit of pH, and the
// ionic strength.
type charges struct {
	positive, negative, positiveSlope, negativeSlope, strength float64
}

func (b *balance) at(pH float64) charges {
	inverseH := math.Exp(math.Ln10 * pH)
	h := 1 / (inverseH * b.coefficient)
	oh := b.constants.ionProduct * inverseH / b.coefficient
	c := charges{
		positive: b.strongPositive + h, positiveSlope: h,
		negative: b.strongNegative + oh, negativeSlope: oh,
		strength: (h + oh) / 2,
	}
	for i := range b.count {
		l := &b.ladders[i]
		mean, square, variance := l.moments(inverseH)
		if l.pairs != nil {
			square += l.mean(&l.ratio, inverseH, &l.pairSquare)
		}
		c.strength += l.amount * square / 2
		if l.top > 0 {
			c.positive += l.amount * mean
			c.positiveSlope += l.amount * variance
		} else {
			c.negative -= l.amount * mean
			c.negativeSlope += l.amount * variance
		}
	}
	c.strength += b.strongStrength + 2*(b.free[calcium]+b.free[magnesium])
	c.positiveSlope *= -math.Ln10
	c.negativeSlope *= math.Ln10
	return c
}

// root finds the pH of balanced charge at the present coefficients, from a first guess, until a step
// is below the tolerance. A Newton step leaves an error of its square, so finest reaches rounding.
// It returns the charges at the last point evaluated, one step before the root, and the number of
// evaluations.
func (b *balance) root(pH, tolerance float64) (float64, charges, int) {
	const (
		// These ends lie beyond anything that maxTotal moles of any species in LeastWater can reach.
		lowest, highest = -3, 17
		// After so many steps bisection alone goes on; fifty halvings of the bracket reach 2e-14.
		newtonSteps = 50
		allSteps    = 100
	)
	lo, hi := float64(lowest), float64(highest)
	for n := 1; ; n++ {
		c := b.at(pH)
		gap := logarithm(c.positive, c.negative)
		if gap > 0 {
			lo = pH
		} else {
			hi = pH
		}
		next := pH - gap/(c.positiveSlope/c.positive-c.negativeSlope/c.negative)
		if n > newtonSteps || !(next >= lo && next <= hi) {
			next = lo + (hi-lo)/2
		}
		step := math.Abs(next - pH)
		pH = next
		if step < tolerance || n == allSteps {
			return pH, c, n
		}
	}
}

// logarithm returns ln(a/b). Near a = b it is the first Padé term, good to 1e-5 of itself: Newton's
// method needs no more, and an exact zero stays one.
func logarithm(a, b float64) float64 {
	if d, sum := a-b, a+b; math.Abs(d) < 0.005*sum {
		return 2 * d / sum
	}
	return math.Log(a / b)
}

// finest is the tolerance in pH, and the relative one in ionic strength, that ends the search.
const finest = 1e-9

// selfConsistent finds the ionic strength that a solution produces when its activity coefficients
// are those of that same strength, by the secant rule inside a bracket. It asks for strength no finer
// than the present gap deserves, and last of all, at the finest tolerance, at the value that it
// returns or at one with the same coefficients.
func selfConsistent(guess float64, strength func(ionicStrength, tolerance float64) float64) float64 {
	const (
		coarsest = 0.03
		share    = 1e-3
		limit    = 100
		// No ionic strength is as high, since maxTotal and LeastWater bound the amounts.
		highest = 1e4
	)
	lo, hi := 0.0, float64(highest)
	var before, gapBefore float64
	i, tolerance := guess, coarsest
	for n := 0; ; n++ {
		made := strength(i, tolerance)
		gap := made - i
		if tolerance == finest {
			switch {
			case math.Abs(gap) <= finest*made || n >= limit:
				return i
			case gap > 0 && i >= DaviesLimit:
				return made
			}
			// Only exact values may narrow the bracket.
			if gap > 0 {
				lo = i
			} else {
				hi = i
			}
		}
		next := made
		if n > 0 && gap != gapBefore {
			next = i - gap*(i-before)/(gap-gapBefore)
		}
		tolerance = min(max(share*math.Abs(gap)/made, finest), coarsest)
		if n >= limit/2 {
			tolerance = finest
			next = lo + (hi-lo)/2
		}
		switch {
		case next > lo && next < hi:
		case made > lo && made < hi:
			next = made
		default:
			next = lo + (hi-lo)/2
		}
		before, gapBefore = i, gap
		i = next
	}
}
