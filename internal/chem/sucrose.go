package chem

import (
	"errors"
	"fmt"
)

// ErrRange is wrapped by the errors about a figure outside the range of its formula.
var ErrRange = errors.New("chem: out of range")

const (
	// maxBrix is the end of the density formula's range, mass %.
	maxBrix = 85
	// maxWater and maxSyrup are the highest temperatures of the two formulas, °C.
	maxWater = 100
	maxSyrup = 80
	// densityDigit, kg/m³, is how far a reading may lie outside the range by its own last digit.
	densityDigit = 0.05
)

// WaterDensity returns the density of pure water in kg/m³ at 0 to 100 °C (Bubník, Kadlec, Urban,
// Bruhns, Sugar Technologists Manual, Bartens 1995, p. 164; the equation is Kell's).
func WaterDensity(celsius float64) (float64, error) {
	if !(celsius >= 0 && celsius <= maxWater) {
		return 0, fmt.Errorf("%w: water at %g °C; 0 to %d holds", ErrRange, celsius, maxWater)
	}
	return waterDensity(celsius), nil
}

func waterDensity(t float64) float64 {
	return polynomial(t, 999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12) /
		(1 + 16.887236e-3*t)
}

// Coefficients of the ICUMSA (1990) density of sucrose solutions: rows for powers 0 to 4 of
// (t-20)/100, columns for powers 0 to 6 of the mass fraction (Bubník et al. 1995, p. 164).
var icumsa = [5][7]float64{
	{0, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890},
	{0, -46.2720, -7.1720, 1.1597, 5.1126, 17.5254},
	{0, 59.7712, 7.2491, 12.3630, -35.4791},
	{0, -47.2207, -21.6977, 27.6301},
	{0, 18.3184, 12.3081},
}

// SucroseDensity returns the density in kg/m³ of a solution with so many mass percent of sucrose
// (°Bx), 0 to 85, at 0 to 80 °C, by the ICUMSA (1990) polynomial.
func SucroseDensity(brix, celsius float64) (float64, error) {
	if err := checkSyrup(brix, celsius); err != nil {
		return 0, err
	}
	return sucroseDensity(brix, celsius), nil
}

func checkSyrup(brix, celsius float64) error {
	if !(brix >= 0 && brix <= maxBrix) {
		return fmt.Errorf("%w: %g °Bx; 0 to %d holds", ErrRange, brix, maxBrix)
	}
	return checkTemperature(celsius)
}

func checkTemperature(celsius float64) error {
	if !(celsius >= 0 && celsius <= maxSyrup) {
		return fmt.Errorf("%w: a solution at %g °C; 0 to %d holds", ErrRange, celsius, maxSyrup)
	}
	return nil
}

func sucroseDensity(brix, celsius float64) float64 {
	w, t := brix/100, (celsius-20)/100
	var sum float64
	for k := len(icumsa) - 1; k >= 0; k-- {
		sum = sum*t + polynomial(w, icumsa[k][:]...)
	}
	return waterDensity(celsius) + sum
}

// polynomial evaluates c0 + c1 x + c2 x² + ...
func polynomial(x float64, c ...float64) float64 {
	var sum float64
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// BrixFromDensity returns the mass percent of sucrose of a solution with the given density in kg/m³,
// the inverse of SucroseDensity.
// A reading up to 0.05 kg/m³ below water is 0 °Bx.
func BrixFromDensity(density, celsius float64) (float64, error) {
	if err := checkTemperature(celsius); err != nil {
		return 0, err
	}
	lowest, highest := waterDensity(celsius), sucroseDensity(maxBrix, celsius)
	if !(density >= lowest-densityDigit && density <= highest+densityDigit) {
		return 0, fmt.Errorf("%w: %g kg/m³ at %g °C; sucrose solutions have %.2f to %.2f", ErrRange, density, celsius, lowest, highest)
	}
	return findRoot(func(b float64) float64 { return sucroseDensity(b, celsius) - density }, 0, maxBrix), nil
}

// SpecificGravity returns that of a density in kg/m³, both at 20 °C and in vacuum.
func SpecificGravity(density float64) float64 { return density / waterDensity(20) }

// BrixFromSpecificGravity returns the mass percent of sucrose (°Bx, and °Plato, which is the same
// quantity) from the specific gravity 20/20 in vacuum.
func BrixFromSpecificGravity(gravity float64) (float64, error) {
	return BrixFromDensity(gravity*waterDensity(20), 20)
}

const (
	// airDensity and brassDensity, kg/m³, are the conventional ones of weighing tables; NBS Circular
	// C440 is reproduced with them.
	airDensity   = 1.2046
	brassDensity = 8000
)

// WeightInAir returns what a balance adjusted with brass weights shows, in kg, for a cubic metre of a
// liquid of the given density in kg/m³.
func WeightInAir(density float64) float64 {
	return (density - airDensity) / (1 - airDensity/brassDensity)
}

// ApparentSpecificGravity returns the specific gravity 20/20 from weights in air, as a pycnometer
// gives it, of a density in kg/m³ at 20 °C.
func ApparentSpecificGravity(density float64) float64 {
	return WeightInAir(density) / WeightInAir(waterDensity(20))
}

// GramsPerLitre returns the concentration in g/L of something that is so many mass percent of a
// liquid of the given density in kg/m³.
func GramsPerLitre(massPercent, density float64) float64 { return massPercent / 100 * density }

// MassPercent returns the mass percent of something present at so many g/L in a liquid of the given
// density in kg/m³.
func MassPercent(gramsPerLitre, density float64) float64 { return 100 * gramsPerLitre / density }

// MilligramsPerKilogram returns the mg/kg of something present at so many mg/L in a liquid of the
// given density in kg/m³. Caps written per kilogram are judged so.
func MilligramsPerKilogram(milligramsPerLitre, density float64) float64 {
	return 1000 * milligramsPerLitre / density
}

// BrixFromGramsPerLitre returns the mass percent of a sucrose solution with so many grams of sucrose
// per litre.
func BrixFromGramsPerLitre(gramsPerLitre, celsius float64) (float64, error) {
	if err := checkTemperature(celsius); err != nil {
		return 0, err
	}
	highest := GramsPerLitre(maxBrix, sucroseDensity(maxBrix, celsius))
	if !(gramsPerLitre >= 0 && gramsPerLitre <= highest) {
		return 0, fmt.Errorf("%w: %g g/L sucrose; 0 to %.0f holds", ErrRange, gramsPerLitre, highest)
	}
	return findRoot(func(b float64) float64 {
		return GramsPerLitre(b, sucroseDensity(b, celsius)) - gramsPerLitre
	}, 0, maxBrix), nil
}

// SpecificVolume returns the apparent specific volume of sucrose in mL/g at so many mass percent:
// what a gram adds to a solution if its water keeps the volume of pure water. At 0 °Bx it is the
// limit of infinite dilution.
func SpecificVolume(brix, celsius float64) (float64, error) {
	if err := checkSyrup(brix, celsius); err != nil {
		return 0, err
	}
	w, water := brix/100, waterDensity(celsius)
	// With ρ = ρw + w·s the volume of the solute is (1 - s(1-w)/ρw)/ρ, free of cancellation.
	t := (celsius - 20) / 100
	var slope float64
	for k := len(icumsa) - 1; k >= 0; k-- {
		slope = slope*t + polynomial(w, icumsa[k][1:]...)
	}
	return 1000 * (1 - slope*(1-w)/water) / (water + w*slope), nil
}

// SucroseSolubility returns the mass percent of sucrose in a saturated solution at 0 to 80 °C
// (Bubník, Kadlec in Mathlouthi, Reiser, eds, Sucrose, Blackie 1995, pp. 101-125).
func SucroseSolubility(celsius float64) (float64, error) {
	if err := checkTemperature(celsius); err != nil {
		return 0, err
	}
	return polynomial(celsius, 64.447, 0.08222, 1.6169e-3, -1.558e-6, -4.63e-8), nil
}
