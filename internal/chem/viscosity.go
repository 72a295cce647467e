package chem

import (
	"fmt"
	"math"
)

const (
	// thickest and thinnest are the mass percent between which the formula of sugar solutions is good to about 3 % from
	// 15 to 60 °C; below the thinnest a straight line leads to the viscosity of water.
	thickest, thinnest = 65, 10
	// warmest is the highest temperature that viscosities are given for, °C.
	warmest = 60
	// gumThickens is what a gram of gum arabic in a litre adds to the viscosity as a share of it, beyond what a gram of
	// sugar adds: an intrinsic viscosity of 12 to 20 mL/g (recalled), against 2.6 of sugar.
	gumThickens = 0.0134
)

// waterViscosity returns mPa s at 0 to 60 °C (Kestin, Sokolov, Wakeham, J. Phys. Chem. Ref. Data 7 (1978) 941, as
// recalled; 1.002 at 20 °C).
func waterViscosity(celsius float64) float64 {
	d := 20 - celsius
	return 1.002 * math.Pow(10, d/(celsius+96)*polynomial(d, 1.2364, -1.37e-3, 5.7e-6))
}

// sugarViscosity is Genotelle's formula of sucrose solutions (1978; Mathlouthi, Reiser, Sucrose, Blackie 1995, eq. 6.29).
func sugarViscosity(brix, celsius float64) float64 {
	x := brix / (1900 - 18*brix)
	return math.Pow(10, 22.46*x-0.114+(30-celsius)/(91+celsius)*(1.1+43.1*math.Pow(x, 1.25)))
}

// Viscosity returns that of a drink without alcohol and gas in mPa s, at 0 to 60 °C: of a sugar solution of as many mass
// percent of dissolved solids, with what gum arabic (g/L) adds. It is good to some 5 % from 15 °C up, to 10 % in the
// cold. Glycerol counts as sugar, which is right to a fifth of what it adds.
func Viscosity(solidsPercent, gumGramsPerLitre, celsius float64) (float64, error) {
	if !(solidsPercent >= 0 && solidsPercent <= thickest && gumGramsPerLitre >= 0 && celsius >= 0 && celsius <= warmest) {
		return 0, fmt.Errorf("%w: viscosity of %g %% of solids at %g °C; 0 to %d %% at 0 to %d °C holds", ErrRange, solidsPercent, celsius, thickest, warmest)
	}
	plain := sugarViscosity(math.Max(solidsPercent, thinnest), celsius)
	if solidsPercent < thinnest {
		water := waterViscosity(celsius)
		plain = water + (plain-water)*solidsPercent/thinnest
	}
	return plain * (1 + gumThickens*gumGramsPerLitre), nil
}
