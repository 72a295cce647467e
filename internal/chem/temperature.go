package chem

import (
	"fmt"
	"math"
)

// heat says how the constants of a species move with temperature: the enthalpy in kJ/mol and the change of heat
// capacity in J/(mol K) of each step of giving off a proton. Steps without a figure stay as they are at 25 °C.
type heat struct{ enthalpy, capacity [maxSteps]float64 }

// heats: citric acid by Bénézeth, Palmer, Wesolowski, J. Solution Chem. 26 (1997) 63; the second step of phosphoric acid
// by Goldberg, Kishore, Lennen, J. Phys. Chem. Ref. Data 31 (2002) 231, as quoted; phthalic acid and bisulfate by NIST
// SRD 46 as carried in MINTEQA2 v4, whose enthalpies of the other steps of phosphoric, carbonic, tartaric, acetic and
// benzoic acid agree with Goldberg's, here from memory, within 1 kJ/mol. Malic, lactic and sorbic acid are from memory.
// No figure was found for ascorbic and quinic acid and quinine.
var heats = map[Species]heat{
	Citric:     {[maxSteps]float64{4.1, 2.2, -3.6}, [maxSteps]float64{-162, -192, -231}},
	Malic:      {[maxSteps]float64{2.9, -1.4}, [maxSteps]float64{-165, -210}},
	Tartaric:   {[maxSteps]float64{3.19, 0.93}, [maxSteps]float64{-147, -218}},
	Phosphoric: {[maxSteps]float64{-8.0, 3.6, 16.0}, [maxSteps]float64{-141, -230, -242}},
	Lactic:     {[maxSteps]float64{-0.33}, [maxSteps]float64{-170}},
	Acetic:     {[maxSteps]float64{-0.41}, [maxSteps]float64{-142}},
	Benzoic:    {[maxSteps]float64{0.46}, [maxSteps]float64{-155}},
	Sorbic:     {[maxSteps]float64{1.3}, [maxSteps]float64{-140}},
	Carbonic:   {[maxSteps]float64{9.15, 14.7}, [maxSteps]float64{-371, -249}},
	Sulfate:    {[maxSteps]float64{-22}, [maxSteps]float64{}},
	Sulfurous:  {[maxSteps]float64{-17.8, -3.65}, [maxSteps]float64{-272, -262}},
	Phthalic:   {[maxSteps]float64{-2.68, -2.18}, [maxSteps]float64{}},
}

const (
	waterEnthalpy, waterCapacity = 55.81, -224 // ionisation of water, kJ/mol and J/(mol K), from memory
	zeroC                        = 273.15
	// mostConstants is the highest temperature, °C, for the constants.
	mostConstants = 90
)

// shifted returns the -log10 of a constant at a temperature from that at 25 °C, with an enthalpy in kJ/mol and a change
// of heat capacity in J/(mol K) that stays the same.
func shifted(pK, enthalpy, capacity, celsius float64) float64 {
	const gas, room = 8.314462618e-3, 298.15
	t, c := celsius+zeroC, capacity/1000
	return pK + ((enthalpy-c*room)/gas*(1/t-1/room)-c/gas*math.Log(t/room))/math.Ln10
}

// PKaAt returns the -log10 of the constant of step n (0 for the first) of a species at 0 to 90 °C and zero ionic
// strength.
func PKaAt(s Species, n int, celsius float64) float64 {
	k := s.Constants()
	if n < 0 || n >= k.Steps {
		return math.NaN()
	}
	h := heats[s]
	return shifted(k.PKa[n], h.enthalpy[n], h.capacity[n], celsius)
}

// constants are what a charge balance takes of a temperature.
type constants struct {
	acid       [NumSpecies][maxSteps]float64
	ionProduct float64
	davies     float64
}

var atRoom = constantsAt(25)

func constantsAt(celsius float64) *constants {
	c := &constants{ionProduct: math.Pow(10, -shifted(pKw, waterEnthalpy, waterCapacity, celsius))}
	for s := range Species(NumSpecies) {
		for n := range species[s].Steps {
			c.acid[s][n] = math.Pow(10, -PKaAt(s, n, celsius))
		}
	}
	// Within 0.002 of the textbooks' 0.491 at 0 °C, 0.5046 at 20 and 0.535 at 50 (memory).
	from := celsius - 25
	c.davies = daviesA + 8.8e-4*from + 4e-6*from*from
	return c
}

// PHAt is PH at a temperature of 0 to 90 °C: the pH that a meter shows in the drink at that temperature, set for it.
// ErrRange is wrapped outside.
func PHAt(s *Solution, celsius float64) (Result, error) {
	if !(celsius >= 0 && celsius <= mostConstants) {
		return Result{}, fmt.Errorf("%w: acid constants at %g °C; 0 to %d holds", ErrRange, celsius, mostConstants)
	}
	return equilibrium(s, constantsAt(celsius))
}
