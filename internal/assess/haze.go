package assess

import (
	"math"

	"bittersum/internal/chem"
	"bittersum/internal/profile"
)

// fridgeC is where a drink may stand when the brief gives no serving temperature: a refrigerator; practice.
const fridgeC = 4

// nearlySaturated is the share of saturation from which a salt is spoken of: the figures are no better.
const nearlySaturated = 0.8

// haze warns of salts that fall out where the drink is served, and of its syrup. Plants bring quinine that no solutes
// speak of: it counts as its salt.
func (a *Assessment) haze(add func(from, format string, args ...any)) {
	celsius := a.Job.ServingC
	if math.IsNaN(celsius) {
		celsius = fridgeC
	}
	of := func(name string, p *Prediction, quinine float64) {
		if p == nil || math.IsNaN(p.PH) {
			return
		}
		solution := p.solution
		if more := quinine/1000/chem.Quinine.Constants().MolarMass - solution.Amounts[chem.Quinine]; more > 0 {
			solution.Amounts[chem.Quinine] += more
			solution.Amounts[chem.Chloride] += more
		}
		saturations, err := chem.Saturations(&solution, celsius)
		if err != nil {
			return
		}
		for _, s := range saturations {
			switch {
			case s.Times > 1:
				add(s.Source, "Haze: at %g °C %s holds %.2g times as much of %s as stays dissolved. Within hours to weeks it can turn cloudy or let crystals fall, and bitterness or acid with them: use less of what brings it, or another salt, and keep a trial bottle cold.", celsius, name, s.Times, s.Name)
			case s.Times > nearlySaturated:
				add(s.Source, "Haze: at %g °C %s holds %.2g times as much of %s as stays dissolved, too near for a calculation to tell: keep a trial bottle cold.", celsius, name, s.Times, s.Name)
			}
		}
	}
	quinine := 0.0
	if attribute := a.Job.Library.Attributes["quinine"]; attribute != nil {
		quinine = a.Value("quinine", profile.PerLitre)
	}
	of("the drink", a.Served, quinine)
	of("the syrup", a.Syrup, quinine*a.Job.Dilution())
}
