package chem

import (
	"fmt"
	"math"
)

const (
	// GramsPerVolume is the carbon dioxide, g/L, of one volume: as much gas as the liquid's own volume
	// holds at 0 °C and 1 atm, as a real gas of 22.263 L/mol (molar volume from memory).
	GramsPerVolume = 44.009 / 22.263
	// GramsPerIdealVolume is the same with the ideal gas's 22.414 L/mol.
	GramsPerIdealVolume = 44.009 / 22.414

	barPerAtmosphere = 1.01325
	// maxCarbonation is the highest temperature, °C, for the carbon dioxide functions.
	maxCarbonation = 75
)

// CarbonDioxideSolubility returns the Henry constant of carbon dioxide in water, mol per kg of water
// and atm of its partial pressure, at 0 to 75 °C (log K of CO2(g), PHREEQC database phreeqc.dat; above 60 °C
// no measurement was found to check it against).
func CarbonDioxideSolubility(celsius float64) (float64, error) {
	if !(celsius >= 0 && celsius <= maxCarbonation) {
		return 0, fmt.Errorf("%w: carbon dioxide at %g °C; 0 to %d holds", ErrRange, celsius, maxCarbonation)
	}
	t := celsius + 273.15
	return math.Pow(10, 10.5624-2.3547e-2*t-3972.8/t+5.8746e5/(t*t)+1.9194e-5*t*t), nil
}

// VolumesFromGrams returns volumes of carbon dioxide from g/L; GramsPerVolume says which volumes.
func VolumesFromGrams(gramsPerLitre float64) float64 { return gramsPerLitre / GramsPerVolume }

// GramsFromVolumes returns g/L of carbon dioxide from volumes.
func GramsFromVolumes(volumes float64) float64 { return volumes * GramsPerVolume }

// SaturatedCarbonDioxide returns the g/L that pure water holds at a temperature and a partial
// pressure in bar, absolute.
func SaturatedCarbonDioxide(celsius, bar float64) (float64, error) {
	k, err := CarbonDioxideSolubility(celsius)
	if err != nil {
		return 0, err
	}
	if !(bar >= 0) {
		return 0, fmt.Errorf("%w: %g bar of carbon dioxide", ErrRange, bar)
	}
	return k * bar / barPerAtmosphere * species[Carbonic].MolarMass * waterDensity(celsius) / 1000, nil
}

// Pressure is the state of a closed bottle at equilibrium, in bar.
type Pressure struct {
	// CarbonDioxide, Air and Vapour are partial pressures, absolute; BottlePressure counts no air.
	CarbonDioxide, Air, Vapour float64
	// Gauge is the excess over a standard atmosphere; it is negative when the bottle would suck.
	Gauge float64
}

// BottlePressure returns the pressure, without any air, over a drink with so many g/L of carbon dioxide and kg of
// water per litre, by Henry's law as an ideal gas. The gas is taken to dissolve in the water alone,
// so sugar raises the pressure as it takes up room: 7 % at 10 °Bx, inside the 5 to 10 % remembered
// for soft drinks. For plain water pass 0.998.
func BottlePressure(gramsPerLitre, waterPerLitre, celsius float64) (Pressure, error) {
	k, err := CarbonDioxideSolubility(celsius)
	if err != nil {
		return Pressure{}, err
	}
	if !(gramsPerLitre >= 0) || math.IsInf(gramsPerLitre, 1) {
		return Pressure{}, fmt.Errorf("%w: %g g/L of carbon dioxide", ErrRange, gramsPerLitre)
	}
	if !(waterPerLitre > 0 && waterPerLitre <= 1) {
		return Pressure{}, fmt.Errorf("%w: %g kg of water in a litre", ErrRange, waterPerLitre)
	}
	p := Pressure{
		CarbonDioxide: gramsPerLitre / species[Carbonic].MolarMass / waterPerLitre / k * barPerAtmosphere,
		Vapour:        vapourPressure(celsius),
	}
	p.Gauge = p.CarbonDioxide + p.Vapour - barPerAtmosphere
	return p, nil
}

// vapourPressure is that of water in bar (Magnus form of Alduchov, Eskridge, J. Appl. Meteorol. 35
// (1996) 601, eq. 21; from memory).
func vapourPressure(celsius float64) float64 {
	return 6.1094e-3 * math.Exp(17.625*celsius/(243.04+celsius))
}

// PackageStrength is what a source says of a package's strength.
type PackageStrength struct {
	Package string
	// Burst is the lowest pressure in bar, gauge, at which such packages are said to burst.
	Burst         float64
	Basis, Source string
}

// PackageStrengths lists what is published of burst pressures. They are facts for a caution, and no
// replacement for the figure of the package's maker.
func PackageStrengths() []PackageStrength {
	const campden = "Campden BRI, packaging pressure"
	return []PackageStrength{
		{"glass bottle for sparkling drinks", 16, Published, campden},
		{"plastic bottle", 12, Published, campden},
		{"glass bottle, by design of one supplier", 12, Published, "glass supplier's rating guide, 12 to 17 bar"},
	}
}

// AddCarbonDioxide adds so many g/L of carbon dioxide.
func (s *Solution) AddCarbonDioxide(gramsPerLitre float64) {
	s.Amounts[Carbonic] += gramsPerLitre / species[Carbonic].MolarMass
}
