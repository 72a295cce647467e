package liquor

import (
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
)

// Mixture is the liquor that amounts of sources make.
type Mixture struct {
	job *brief.Job
	// Litres and Kilograms are its volume and mass; Solids and Refraction the grams of dissolved solids
	// as they are and as a refractometer counts them; Alcohol the grams of ethanol, Gum those of gum arabic.
	Litres, Kilograms, Solids, Refraction, Alcohol, Gum float64
	// Solution is its acids and ions, without the gas of a carbonated drink.
	Solution chem.Solution
	// Undeclared are sources that bring acid without saying which: there is no pH. Silent are natural
	// products that bring no acid and say nothing of ions: the charge balance leaves them out.
	Undeclared, Silent []string
	// Minerals is the mmol of alkali that the Silent sources may bring at most, and Unmeasured are those of
	// them whose minerals have no figure.
	Minerals   float64
	Unmeasured []string
	// stated is the grams of acidity, as citric acid, that the profiles of Undeclared sources state.
	stated float64
}

// Mix returns what so many grams of each source make.
func Mix(j *brief.Job, parts []brief.Part) Mixture {
	m := Mixture{job: j}
	var mmol brief.Solutes
	for _, p := range parts {
		if p.Amount == 0 {
			continue
		}
		m.Kilograms += p.Source.Ingredient.SolubleShare * p.Amount / 1000
		m.Solids += p.Source.Expected(brief.Solids) * p.Amount
		m.Refraction += refraction(p.Source) * p.Amount
		m.Alcohol += p.Source.Expected("alcohol") * p.Amount
		m.Gum += p.Source.Expected("gum-arabic") * p.Amount / 1000
		solutes, known := p.Source.Solutes()
		switch {
		case !known:
			m.Undeclared = append(m.Undeclared, p.Source.Name)
			m.stated += p.Source.Expected(brief.Acidity) * p.Amount
		case p.Source.Silent():
			m.Silent = append(m.Silent, p.Source.Name)
			alkali, measured := p.Source.Minerals()
			m.Minerals += alkali * p.Amount
			if !measured {
				m.Unmeasured = append(m.Unmeasured, p.Source.Name)
			}
		}
		for i, x := range solutes {
			mmol[i] += x * p.Amount
		}
	}
	percent := m.SolidsPercent()
	for _, p := range parts {
		m.Litres += Volume(p.Source, percent) * p.Amount / 1000
	}
	if m.Litres > 0 {
		for i, x := range mmol {
			m.Solution.Amounts[i] = x / 1000 / m.Litres
		}
		m.Solution.Water = m.solvent()
	}
	return m
}

// SolidsPercent returns the mass percent of dissolved solids.
func (m Mixture) SolidsPercent() float64 {
	if m.Kilograms <= 0 {
		return 0
	}
	return m.Solids / m.Kilograms / 10
}

// Served returns the mixture as it is drunk: thrown with soda, still without its gas.
func (m Mixture) Served() Mixture {
	served := m
	served.Kilograms += m.job.Throw * m.Litres * SodaDensity
	served.Litres *= m.job.Dilution()
	served.Solution = m.Solution.Scaled(1 / m.job.Dilution()) // the minerals stay as many in more litres
	served.Solution.Water = served.solvent()
	for i, mmol := range m.job.SodaSolutes() {
		served.Solution.Amounts[i] += mmol / 1000
	}
	return served
}

// Kept returns the share of the liquor that the process leaves.
func (m Mixture) Kept() float64 { return m.job.Kept() }

// Density returns kg/L at 20 °C.
func (m Mixture) Density() float64 { return m.Kilograms / m.Litres }

// Refractometer returns the °Bx that a refractometer shows; alcohol makes it meaningless.
func (m Mixture) Refractometer() float64 { return m.Refraction / m.Kilograms / 10 }

// Water returns the kg of water in a litre.
func (m Mixture) Water() float64 {
	return math.Max(0, (m.Kilograms-(m.Solids+m.Alcohol)/1000)/m.Litres)
}

// solvent returns the kg of water in a litre, alcohol counted as water, as chem takes it: what has hardly any water
// has no pH to speak of, and counts as having the least.
func (m Mixture) solvent() float64 {
	return math.Min(1, math.Max(chem.LeastWater, (m.Kilograms-m.Solids/1000)/m.Litres))
}

// Dry reports whether there is too little water for a pH to mean anything.
func (m Mixture) Dry() bool { return m.Solution.Water <= chem.LeastWater }

// Strength returns the strength in % by volume at 20 °C, with the contraction of ethanol and water (see
// chem.Strength). The litres of the mixture reckon without: they are 0.2 % off at most up to 40 % by volume.
func (m Mixture) Strength() float64 {
	if m.Alcohol == 0 {
		return 0
	}
	water := math.Max(0, 1000*m.Kilograms-m.Solids-m.Alcohol)
	volume, _ := chem.SpecificVolume(math.Min(m.SolidsPercent(), 85), 20) // in range by the clamp
	strength, err := chem.Strength(m.Alcohol, water, math.Max(0, m.Solids)*volume)
	if err != nil {
		return math.NaN()
	}
	return strength
}

// Viscosity returns mPa s without gas, NaN with alcohol and beyond what is known of sugar solutions.
func (m Mixture) Viscosity(celsius float64) float64 {
	if m.Alcohol > 0 {
		return math.NaN()
	}
	viscosity, err := chem.Viscosity(m.SolidsPercent(), m.Gum/m.Litres, celsius)
	if err != nil {
		return math.NaN()
	}
	return viscosity
}

// Mineral returns the mixture with the minerals of its silent sources as free alkali: the other end of what
// its pH may be.
func (m Mixture) Mineral() Mixture {
	if m.Litres > 0 {
		m.Solution.Amounts[chem.Potassium] += m.Minerals / 1000 / m.Litres
	}
	return m
}

// Gassed returns the solution with the drink's carbon dioxide.
func (m Mixture) Gassed() chem.Solution {
	s := m.Solution
	if m.job.CarbonDioxide > 0 {
		s.AddCarbonDioxide(m.job.CarbonDioxide)
	}
	return s
}

// Acidity returns the titratable acidity, g/L as the brief expresses it: by charge balance, with the
// profile's figure for sources that do not say which acids they bring.
func (m Mixture) Acidity() (float64, error) {
	equivalent, err := chem.EquivalentMass(m.job.Titration.As)
	if err != nil {
		return 0, err
	}
	citric, _ := chem.EquivalentMass(chem.Citric)
	degassed := m.Solution.Degassed()
	p, err := chem.BaseToReach(&degassed, m.job.Titration.EndPoint)
	return p.Base*equivalent + m.stated/m.Litres*equivalent/citric, err
}

// State returns what the linear forms are to be taken at for this mixture.
func (m Mixture) State() (State, error) {
	served := m.Served()
	degassed, gassed, mineral := served.Solution.Degassed(), served.Gassed(), served.Mineral().Gassed()
	end, err := chem.BaseToReach(&degassed, m.job.Titration.EndPoint)
	if err != nil {
		return State{}, err
	}
	state := State{Solids: m.SolidsPercent(), Titrated: end.Medium, Water: served.Solution.Water}
	target := m.job.ReadingTarget(brief.PH)
	if target.Min == target.Max { // one row for both, of what the profiles say
		mineral = gassed
	}
	for _, at := range []struct {
		pH       float64
		solution *chem.Solution
		into     *chem.Medium
	}{{target.Min, &gassed, &state.Lowest}, {target.Max, &mineral, &state.Highest}} {
		if math.IsInf(at.pH, 0) {
			continue
		}
		p, err := chem.BaseToReach(at.solution, at.pH)
		if err != nil {
			return State{}, err
		}
		*at.into = p.Medium
	}
	return state, nil
}

// Scaling returns the mixture of parts as a function of factors that the acids and ions of some of them, by their
// places, are multiplied by: as Mix of sources that were Scaled, at the cost of a sum.
func Scaling(j *brief.Job, parts []brief.Part, places []int) func(factors []float64) Mixture {
	all := Mix(j, parts)
	type bring struct {
		molar  brief.Solutes // mol in a litre
		stated float64
	}
	var each []bring
	for _, n := range places {
		p := parts[n]
		var b bring
		solutes, known := p.Source.Solutes()
		for i, x := range solutes {
			if all.Litres > 0 {
				b.molar[i] = x * p.Amount / 1000 / all.Litres
			}
		}
		if !known {
			b.stated = p.Source.Expected(brief.Acidity) * p.Amount
		}
		each = append(each, b)
	}
	return func(factors []float64) Mixture {
		m := all
		for k, b := range each {
			for i, x := range b.molar {
				if x != 0 {
					m.Solution.Amounts[i] += (factors[k] - 1) * x
				}
			}
			m.stated += (factors[k] - 1) * b.stated
		}
		return m
	}
}
