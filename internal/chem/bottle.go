package chem

import (
	"fmt"
	"math"
)

// gasConstant is in bar L/(mol K).
const gasConstant = 0.0831446

// Bottle is a closed bottle with a carbonated drink in it.
type Bottle struct {
	// GramsPerLitre is the carbon dioxide of the drink as it was filled, WaterPerLitre the kg of water in a
	// litre of it.
	GramsPerLitre, WaterPerLitre float64
	// Headspace is the share of the bottle that was left when it was closed, at FilledC, with air at one
	// atmosphere in it.
	Headspace, FilledC float64
}

// At returns the pressure in the bottle at a temperature, at equilibrium: carbon dioxide shared between
// drink and headspace by Henry's law, the air that was closed in, warmed and squeezed by the drink as it
// expands like water, and the vapour of water, all as ideal gases. Glass does not stretch, and no air
// dissolves: both err on the safe side. ErrRange says that a figure is out of range or that the warm drink
// would fill the whole bottle.
func (b Bottle) At(celsius float64) (Pressure, error) {
	open, err := BottlePressure(b.GramsPerLitre, b.WaterPerLitre, celsius)
	if err != nil {
		return Pressure{}, err
	}
	if !(b.Headspace > 0 && b.Headspace < 1) {
		return Pressure{}, fmt.Errorf("%w: a headspace of %g of the bottle", ErrRange, b.Headspace)
	}
	filled, err := WaterDensity(b.FilledC)
	if err != nil {
		return Pressure{}, err
	}
	// For each litre of drink as filled:
	closed := b.Headspace / (1 - b.Headspace)
	room := closed - (filled/waterDensity(celsius) - 1)
	if room <= 0 {
		return Pressure{}, fmt.Errorf("%w: at %g °C the drink fills a bottle with %g of headspace", ErrRange, celsius, b.Headspace)
	}
	kelvin := celsius + 273.15
	gas := b.GramsPerLitre / species[Carbonic].MolarMass
	p := open
	if gas > 0 {
		perBar := gas / open.CarbonDioxide // mol dissolved in the litre for each bar
		p.CarbonDioxide = gas / (perBar + room/(gasConstant*kelvin))
	}
	p.Air = barPerAtmosphere * closed / room * kelvin / (b.FilledC + 273.15)
	p.Gauge = p.CarbonDioxide + p.Air + p.Vapour - barPerAtmosphere
	return p, nil
}

// GramsFromSucrose is the carbon dioxide that a gram of sucrose gives when it ferments: four of 44.0095 from
// one of 342.297.
const GramsFromSucrose = 4 * 44.0095 / 342.297

// Heat is a step at which a drink is held hot.
type Heat struct{ Minutes, Celsius float64 }

// HeatUnits returns the minutes at a reference temperature that do as much as the temperatures of a log do,
// with z the degrees that make the same kill ten times as fast: exact between points that are joined by
// straight lines. Times ascend; ErrRange says that they do not. Del Vecchio et al. 1951 for 60 °C with z about
// 7 (beer and drinks); 80 °C with z 10 is the measure of juices.
func HeatUnits(log []Heat, reference, z float64) (float64, error) {
	sum := 0.0
	for n := 1; n < len(log); n++ {
		from, to := log[n-1], log[n]
		minutes := to.Minutes - from.Minutes
		if !(minutes >= 0) {
			return 0, fmt.Errorf("%w: the log runs backwards at minute %g", ErrRange, to.Minutes)
		}
		rate := func(celsius float64) float64 { return math.Pow(10, (celsius-reference)/z) }
		if rise := to.Celsius - from.Celsius; math.Abs(rise) > 1e-6 {
			sum += minutes * (rate(to.Celsius) - rate(from.Celsius)) * z / (math.Ln10 * rise)
		} else {
			sum += minutes * rate(to.Celsius)
		}
	}
	return sum, nil
}
