package assess

import (
	"math"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
)

// ReadingTolerance is how far a reading may miss its target and still count as meeting it: less than any
// instrument shows, and more than amounts printed to five digits leave open.
var ReadingTolerance = map[brief.Reading]float64{brief.PH: 0.002, brief.Brix: 0.005, brief.Density: 1e-4}

// Reading is what an instrument shows of the drink as served.
type Reading struct {
	brief.ReadingTarget
	// Value is NaN when it cannot be predicted.
	Value float64
	Verdict
}

// Prediction is what instruments will show of a liquid without its gas (the pH: with it) and how its
// acids stand. A value that cannot be predicted is NaN.
type Prediction struct {
	// PH is at 25 °C, Buffer the mmol/L of alkali that raise it by one, IonicStrength in mol/L.
	PH, Buffer, IonicStrength float64
	// HighestPH is the pH if the minerals of the Silent plants came without acids of their own, as free
	// alkali, but at most that of an infusion of herbs; it is PH when there are none, and NaN when a plant's minerals have no figure (Unmeasured).
	HighestPH  float64
	Unmeasured []string
	// At is the pH and the highest pH at the temperature that the brief serves at; NaN without one.
	At PHAt
	// Estimate says that the liquid is beyond what the activity model is good for.
	Estimate bool
	// Acidity is the titratable acidity in g/L as the brief expresses it.
	Acidity float64
	// Brix is what a refractometer shows, Solids the mass percent of dissolved solids.
	Brix, Solids float64
	// Density is kg/L at 20 °C, Gravity that over the density of water at 20 °C.
	Density, Gravity float64
	// Viscosity is mPa s at 20 °C and ServedViscosity at the temperature that the drink is served at.
	Viscosity, ServedViscosity float64
	// Undeclared are the ingredients without whose acids there is no pH; Silent the plants whose ions are
	// left out of it.
	Undeclared, Silent []string

	solution chem.Solution
	state    chem.Result
}

// PHAt is a pH as a meter set for the temperature shows it, with the highest that it may be as in Prediction.
type PHAt struct{ Celsius, PH, HighestPH float64 }

// at works out the pH at a temperature; NaN outside the range of the constants.
func (p *Prediction) at(celsius float64, mineral *chem.Solution) {
	p.At = PHAt{celsius, math.NaN(), math.NaN()}
	if state, err := chem.PHAt(&p.solution, celsius); err == nil && len(p.Undeclared) == 0 {
		p.At.PH = state.PH
	}
	if state, err := chem.PHAt(mineral, celsius); err == nil && len(p.Unmeasured) == 0 {
		p.At.HighestPH = math.Max(math.Min(state.PH, mostInfusion), p.At.PH)
	}
}

// mostInfusion is the highest pH that infusions of herbs were found to have, 6.47 to 7.24 (Akyuz and Yarat,
// herbal teas of the Turkish market): whatever their minerals are, plants alone bring a drink no higher.
const mostInfusion = 7.24

// predict works out what instruments show of a mixture, with its gas if it is gassed.
func predict(m liquor.Mixture, gassed bool, celsius float64) *Prediction {
	dissolved := func(m liquor.Mixture) chem.Solution {
		if gassed {
			return m.Gassed()
		}
		return m.Solution
	}
	solution, mineral := dissolved(m), dissolved(m.Mineral())
	p := &Prediction{
		PH: math.NaN(), HighestPH: math.NaN(), Unmeasured: m.Unmeasured, Buffer: math.NaN(), IonicStrength: math.NaN(), Acidity: math.NaN(), Brix: math.NaN(),
		Solids: m.SolidsPercent(), Density: m.Density(), Viscosity: m.Viscosity(20), ServedViscosity: m.Viscosity(celsius), Undeclared: m.Undeclared, Silent: m.Silent, solution: solution,
	}
	p.at(celsius, &mineral)
	p.Gravity = chem.SpecificGravity(1000 * p.Density)
	if m.Alcohol == 0 {
		p.Brix = m.Refractometer()
	}
	if acidity, err := m.Acidity(); err == nil {
		p.Acidity = acidity
	}
	if len(m.Undeclared) > 0 {
		return p
	}
	if state, err := chem.PH(&solution); err == nil {
		p.state = state
		p.PH, p.Buffer, p.IonicStrength, p.Estimate = state.PH, 1000*state.BufferCapacity, state.IonicStrength, state.Rough || m.Dry()
	}
	if state, err := chem.PH(&mineral); err == nil && len(m.Unmeasured) == 0 {
		p.HighestPH = math.Max(math.Min(state.PH, mostInfusion), p.PH)
	}
	return p
}

// measure predicts the readings of the drink as served and of its syrup, and judges them.
func (a *Assessment) measure() {
	a.Served = predict(a.served, true, a.Job.ServingC)
	if a.Job.Throw > 0 {
		a.Syrup = predict(a.made, false, a.Job.ServingC)
	}
	for _, r := range brief.Readings {
		reading := Reading{ReadingTarget: a.Job.ReadingTarget(r), Value: a.Served.reading(r)}
		within, slack := reading.Range, ReadingTolerance[r]
		highest := reading.Value
		if r == brief.PH && within.Min != within.Max {
			highest = a.Served.HighestPH
		}
		switch {
		case math.IsInf(within.Min, -1) && math.IsInf(within.Max, 1):
		case math.IsNaN(reading.Value), math.IsNaN(highest) && !math.IsInf(within.Max, 1): // what cannot be shown to hold does not hold
			reading.Verdict = Unpredicted
		case reading.Value < within.Min-slack:
			reading.Verdict = Below
		case highest > within.Max+slack:
			reading.Verdict = Above
		default:
			reading.Verdict = Met
		}
		a.Readings = append(a.Readings, reading)
	}
}

func (p *Prediction) reading(r brief.Reading) float64 {
	switch r {
	case brief.PH:
		return p.PH
	case brief.Brix:
		return p.Brix
	}
	return p.Density
}

// Carbonation is the gas of the drink as served and the pressure it makes in a closed bottle.
type Carbonation struct {
	// Grams is g/L, Volumes the same as volumes of gas; NaN when the brief gives no level.
	Grams, Volumes float64
	// SodaGrams is the g/L that the soda of a throw must bring; zero without a throw.
	SodaGrams float64
	// Headspace is the share of the bottle left empty, closed with air at FilledC.
	Headspace, FilledC float64
	Pressures          []PressureAt
	// Full says that the drink fills the bottle before it is as warm as WarmC: it would burst.
	Full  bool
	WarmC float64
}

// PressureAt is the pressure in a closed bottle at equilibrium.
type PressureAt struct {
	When    string
	Celsius float64
	// Gauge is in bar over the atmosphere.
	Gauge float64
}

// warmC is how warm a van or a shelf in the sun is taken to get; practice.
const warmC = 40

// carbonation works out the pressures at the temperatures of the brief, in a room and in the sun.
func (a *Assessment) carbonation() {
	if !a.Job.Carbonated {
		return
	}
	a.Carbonation = &Carbonation{Grams: a.Job.CarbonDioxide, Volumes: chem.VolumesFromGrams(a.Job.CarbonDioxide)}
	if math.IsNaN(a.Job.CarbonDioxide) {
		return
	}
	c := a.Carbonation
	c.Headspace, c.FilledC = a.Job.Headspace, a.Job.Filled()
	if a.Job.Throw > 0 {
		c.SodaGrams = c.Grams * a.Job.Dilution() / a.Job.Throw
	}
	bottle := chem.Bottle{GramsPerLitre: c.Grams, WaterPerLitre: math.Min(1, a.served.Water()), Headspace: c.Headspace, FilledC: c.FilledC}
	for _, at := range []PressureAt{{"served", a.Job.ServingC, 0}, {"filled", c.FilledC, 0}, {"in a room", 20, 0}, {"left in the sun", warmC, 0}, {"while heated", a.hottest(), 0}} {
		if math.IsNaN(at.Celsius) {
			continue
		}
		p, err := bottle.At(at.Celsius)
		if err != nil { // too hot for any figure, no water to dissolve gas in, or full
			if _, open := chem.BottlePressure(c.Grams, bottle.WaterPerLitre, at.Celsius); open == nil {
				c.Full, c.WarmC = true, at.Celsius
			}
			continue
		}
		at.Gauge = p.Gauge
		c.Pressures = append(c.Pressures, at)
	}
}

// hottest returns the highest temperature of the heat step, or NaN.
func (a *Assessment) hottest() float64 {
	most := math.NaN()
	for _, h := range a.Job.Heat {
		if !(most >= h.Celsius) {
			most = h.Celsius
		}
	}
	return most
}

// pressure returns the caution about bottles, with the highest pressure predicted.
func (a *Assessment) pressure(add func(from, format string, args ...any)) {
	const advice = "use bottles and closures rated for the pressure, and fill cold"
	if c := a.Carbonation; c != nil && c.Full {
		add("calculated", "A bottle with %.3g %% of headspace at %g °C is full at %g °C: it would burst. Leave more room.", 100*c.Headspace, c.FilledC, c.WarmC)
	}
	if a.Carbonation == nil || len(a.Carbonation.Pressures) == 0 {
		add("practice", "Carbonated: %s. The brief gives no carbon dioxide, so that no pressure can be predicted.", advice)
		return
	}
	most := a.Carbonation.Pressures[0]
	for _, p := range a.Carbonation.Pressures {
		if p.Gauge > most.Gauge {
			most = p
		}
	}
	if a.Job.Throw > 0 {
		add("practice", "Carbonated once thrown: the syrup holds no gas, so the soda must bring %.2g g/L (%.2g volumes); the drink, bottled with its gas, stands at %.1f bar over the air at %g °C; %s. Ask the bottle's maker what it may hold.", a.Carbonation.SodaGrams, chem.VolumesFromGrams(a.Carbonation.SodaGrams), most.Gauge, most.Celsius, advice)
		return
	}
	add("practice", "Carbonated: at %g °C the bottle stands at %.1f bar over the air; %s. Ask the bottle's maker what it may hold.", most.Celsius, most.Gauge, advice)
}

// Taste is how strong a taste seems, reported and never asked for: it grows as a power of the amount.
type Taste struct {
	chem.TasteExponent
	// Amount is what the drink holds, in Unit, and Reference what it is held against.
	Attribute         string
	Amount, Reference float64
	Unit              string
	chem.Intensity
}

// tastes compares the drink with a solution everyone knows, taste by taste.
func (a *Assessment) tastes() {
	for _, t := range []struct {
		attribute, tastant string
		reference          float64
	}{
		{"bitterness", "quinine", chem.QuinineThreshold}, // just bitter
		{"sweetness", "sucrose", 100},                    // a tenth of sugar
		{brief.Acidity, "citric", 5},                     // half a percent of citric acid
	} {
		attribute := a.Job.Library.Attributes[t.attribute]
		exponent, err := chem.FindTasteExponent(t.tastant)
		if attribute == nil || err != nil {
			continue
		}
		amount := a.value(attribute)
		if t.attribute == brief.Acidity && a.Served != nil {
			amount = a.citricAcidity()
		}
		if !(amount > 0) {
			continue
		}
		intensity, err := exponent.Relative(amount, t.reference)
		if err != nil {
			continue
		}
		a.Tastes = append(a.Tastes, Taste{exponent, t.attribute, amount, t.reference, attribute.Unit + "/L", intensity})
	}
}

// citricAcidity returns the titratable acidity as citric acid, whatever the brief expresses it as.
func (a *Assessment) citricAcidity() float64 {
	as, err := chem.EquivalentMass(a.Job.Titration.As)
	citric, _ := chem.EquivalentMass(chem.Citric)
	if err != nil {
		return math.NaN()
	}
	return a.Served.Acidity * citric / as
}

// names joins names for a sentence.
func names(list []string) string { return strings.Join(list, ", ") }
