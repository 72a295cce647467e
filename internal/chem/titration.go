package chem

import (
	"errors"
	"fmt"
	"math"
)

// Usual end points of an acidity titration.
const (
	// EndPoint82 is the pH to which drinks are usually titrated.
	EndPoint82 = 8.2
	// EndPointAOAC is that of AOAC 942.15 B, and of IFU 3 for acidity as citric acid.
	EndPointAOAC = 8.1
	// EndPointIFU7 is that of IFU 3 (2017) for acidity as malic or tartaric acid.
	EndPointIFU7 = 7.0
)

// ErrTitration is wrapped by the errors about a titration that cannot be carried out.
var ErrTitration = errors.New("chem: no such titration")

// TitrationPoint is the state of a sample to which strong base was added.
type TitrationPoint struct {
	// Base is the base added, mol per litre of the sample as it was.
	Base float64
	PH   float64
	// Medium is what ChargePerMole and Proton at this point take.
	Medium
	// BufferCapacity is as in Result.
	BufferCapacity float64
}

// BaseToReach returns the strong base that brings the solution to a pH, without dilution. The base
// is negative when the solution is more alkaline than that, and acid would be needed. It equals
// Σ amounts × ChargePerMole - Water × Proton/1000 at the point's pH and medium: linear in the
// amounts.
func BaseToReach(s *Solution, pH float64) (TitrationPoint, error) {
	if err := s.check(); err != nil {
		return TitrationPoint{}, err
	}
	if !(pH >= 0 && pH <= 14) {
		return TitrationPoint{}, fmt.Errorf("%w: end point pH %g is outside 0 to 14", ErrTitration, pH)
	}
	b := balance{constants: atRoom}
	b.load(s)
	var at charges
	strength := selfConsistent(b.strongStrength+2*(b.metal[calcium]+b.metal[magnesium]), func(i, _ float64) float64 {
		b.correct(i)
		if b.pairing() {
			b.setFree(pH)
		}
		at = b.at(pH)
		return at.strength + math.Abs(at.negative-at.positive)/2
	})
	return TitrationPoint{
		Base:           s.water() * (at.negative - at.positive),
		PH:             pH,
		Medium:         b.medium(strength),
		BufferCapacity: s.water() * (at.negativeSlope - at.positiveSlope),
	}, nil
}

// TitratableAcidity returns the acidity that a titration to the end point finds, in g/L of the acid
// that it is expressed as: Citric, Tartaric, Malic, Lactic or Acetic, each with its customary number
// of equivalents. Laboratories drive off carbon dioxide first; see Solution.Degassed. It is negative
// for a solution already more alkaline than the end point.
func TitratableAcidity(s *Solution, endPoint float64, as Species) (float64, error) {
	mass, err := EquivalentMass(as)
	if err != nil {
		return 0, err
	}
	p, err := BaseToReach(s, endPoint)
	if err != nil {
		return 0, err
	}
	return p.Base * mass, nil
}

// EquivalentMass returns the grams of an acid that one mole of base neutralises: 64.04 for citric
// acid, anhydrous.
func EquivalentMass(as Species) (float64, error) {
	k := as.Constants()
	if k.Equivalents == 0 {
		return 0, fmt.Errorf("%w: acidity is not expressed as %s; use citric, tartaric, malic, lactic or acetic", ErrTitration, as)
	}
	return k.MolarMass / float64(k.Equivalents), nil
}

// TitrationCurve follows a titration with strong base of the given concentration (mol/L) in equal
// additions from the solution as it is to the end point, so many points in all, both ends included.
// The titrant dilutes the sample; concentration +Inf leaves dilution out.
func TitrationCurve(s *Solution, titrant, endPoint float64, points int) ([]TitrationPoint, error) {
	switch {
	case !(titrant > 0):
		return nil, fmt.Errorf("%w: a titrant of %g mol/L", ErrTitration, titrant)
	case points < 2 || points > 100000:
		return nil, fmt.Errorf("%w: %d points; from 2 to 100000 make a curve", ErrTitration, points)
	}
	start, err := titrated(s, 0, titrant)
	if err != nil {
		return nil, err
	}
	rough, err := BaseToReach(s, endPoint)
	if err != nil {
		return nil, err
	}
	if start.PH >= endPoint {
		return nil, fmt.Errorf("%w: the sample is at pH %.2f, not below the end point %g", ErrTitration, start.PH, endPoint)
	}
	// Dilution moves the end point by little, unless the titrant is hardly stronger than its own end
	// point; the bracket grows until it holds it.
	high := rough.Base
	for {
		var p TitrationPoint
		if p, err = titrated(s, high, titrant); err != nil {
			return nil, err
		}
		if p.PH >= endPoint {
			break
		}
		if high *= 1.25; high > 2*maxTotal {
			return nil, fmt.Errorf("%w: %g mol/L base is too weak to reach pH %g", ErrTitration, titrant, endPoint)
		}
	}
	// The bracket's ends are possible solutions, and so is all between them.
	end := findRoot(func(base float64) float64 {
		p, _ := titrated(s, base, titrant)
		return p.PH - endPoint
	}, 0, high)
	curve := make([]TitrationPoint, points)
	for i := range curve {
		if curve[i], err = titrated(s, end*float64(i)/float64(points-1), titrant); err != nil {
			return nil, err
		}
	}
	return curve, nil
}

// titrated returns the state after adding base, mol per litre of sample, from a titrant of the given
// concentration.
func titrated(s *Solution, base, titrant float64) (TitrationPoint, error) {
	mix := *s
	mix.Amounts[Sodium] += base
	mix = mix.Scaled(1 / (1 + base/titrant))
	r, err := PH(&mix)
	return TitrationPoint{Base: base, PH: r.PH, Medium: r.Medium, BufferCapacity: r.BufferCapacity}, err
}
