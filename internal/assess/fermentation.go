package assess

import (
	"fmt"
	"math"
	"strings"

	"bittersum/internal/chem"
)

// Fermentation says what yeast could make of the drink in a closed bottle, and what stands in its way.
type Fermentation struct {
	// Sugars is the g/L of sugars that yeast can ferment, and Fermented what of it the pressure is told for.
	Sugars, Fermented float64
	// Gauge is the bar over the air at 25 °C once Fermented g/L have fermented; NaN when no bottle holds so much.
	Gauge float64
	// Between is what stands between the drink and yeast; empty when nothing does.
	Between []string
	// Units60 and Units80 are what the heat step does, in minutes at 60 °C (z 7 °C) and at 80 °C (z 10 °C).
	Units60, Units80 float64
}

const (
	// leastFermented is the g/L of sugars below which what yeast makes of them is no hazard: about a bar.
	leastFermented = 4
	// toldFermented is the g/L of sugars that the pressure is told for, where there is as much: a quarter of a
	// usual soft drink's.
	toldFermented = 20
	fermentedC    = 25
	// leastUnits are the units of heat (60 °C, z 7 °C) that makers of sour drinks usually give; practice.
	leastUnits = 15
	// strongAlcohol is the strength in % by volume above which yeasts of drinks do not grow; practice.
	strongAlcohol = 18
	// strongSolids is the mass percent of solids above which most yeasts are slowed; practice.
	strongSolids = weakSyrup
)

// ferments works out what yeast could make of what is bottled: the syrup of a throw, or the drink.
func (a *Assessment) ferments() {
	bottled, liquid := a.served, a.Served
	if a.Job.Throw > 0 {
		bottled, liquid = a.made, a.Syrup
	}
	if a.Job.Library.Attributes["sugars"] == nil || bottled.Litres <= 0 {
		return
	}
	f := &Fermentation{Sugars: a.total("sugars") / bottled.Litres, Gauge: math.NaN()}
	if !(f.Sugars >= leastFermented) {
		return
	}
	a.Fermentation = f
	f.Fermented = math.Min(f.Sugars, toldFermented)
	gas := f.Fermented * chem.GramsFromSucrose
	if a.Job.Throw == 0 && a.Job.CarbonDioxide > 0 {
		gas += a.Job.CarbonDioxide
	}
	bottle := chem.Bottle{GramsPerLitre: gas, WaterPerLitre: math.Min(1, bottled.Water()), Headspace: a.Job.Headspace, FilledC: a.Job.Filled()}
	if p, err := bottle.At(fermentedC); err == nil {
		f.Gauge = p.Gauge
	}
	if units, err := chem.HeatUnits(a.Job.Heat, 60, 7); err == nil && units > 0 {
		f.Units60 = units
		f.Units80, _ = chem.HeatUnits(a.Job.Heat, 80, 10)
		f.Between = append(f.Between, fmt.Sprintf("heat of %.3g units (minutes at 60 °C, z 7 °C)", units))
	}
	for _, k := range a.Preservation.Preservatives {
		f.Between = append(f.Between, k.Name)
	}
	if a.carries("sulphites") {
		f.Between = append(f.Between, "sulphites")
	}
	if a.Job.AlcoholPercent >= strongAlcohol {
		f.Between = append(f.Between, "alcohol")
	}
	if liquid != nil && liquid.Solids >= strongSolids {
		f.Between = append(f.Between, "its sugar, which slows most yeasts")
	}
}

// fermenting returns the cautions about yeast.
func (a *Assessment) fermenting(add func(from, format string, args ...any)) {
	f := a.Fermentation
	if f == nil {
		return
	}
	hazard := fmt.Sprintf("%.2g of its %.0f g/L of sugar, fermented in a closed bottle, make", f.Fermented, f.Sugars)
	if math.IsNaN(f.Gauge) {
		hazard += " more pressure than can be told"
	} else {
		hazard += fmt.Sprintf(" %.0f bar at %d °C", f.Gauge, fermentedC)
	}
	const (
		sour  = "yeasts and moulds grow at any pH of a drink, and no gas or acid stops them"
		means = "Makers pasteurise, filter sterile, preserve or keep it cold and sell it within days"
	)
	switch {
	case len(f.Between) == 0:
		add("calculated", "Yeast: nothing here stands between it and the sugar: %s. %s, and bottles burst. %s.", sour, capital(hazard), means)
	default:
		add("calculated", "Yeast: what stands between it and the sugar is %s. %s; resistant yeasts survive any of these in a dirty plant.", strings.Join(f.Between, ", "), capital(hazard))
	}
	if f.Units60 > 0 {
		short := ""
		if f.Units60 < leastUnits {
			short = fmt.Sprintf(" That is less than the %d that makers of sour drinks usually give.", leastUnits)
		}
		add("practice", "Heat: %.3g minutes at 60 °C (z 7 °C), or %.3g at 80 °C (z 10 °C), in the coldest bottle.%s It counts against yeasts and moulds, not against spores that survive; a process authority sets the process.", f.Units60, f.Units80, short)
	}
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
