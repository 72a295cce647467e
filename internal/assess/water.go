package assess

import (
	"math"

	"bittersum/internal/chem"
)

// usualAlkalinity is that of a middling tap water, mmol/L: 100 mg/L as calcium carbonate.
const usualAlkalinity = 2

// water cautions about the analysis of the water: what it lacks, or what there being none may hide.
func (a *Assessment) water(add func(from, format string, args ...any)) {
	if w := a.Job.Water; w != nil {
		if w.Off > 0.05 && w.ClosedWith != "" {
			add("brief", "The water report does not balance: its charges are %.0f %% off; %.3g mmol/L of %s closed it.", 100*w.Off, w.Closed, w.ClosedWith)
		}
		if w.HardnessAsCalcium {
			add("brief", "The water report gives its hardness alone, which counts as calcium.")
		}
		return
	}
	if math.IsNaN(a.Served.PH) || a.served.Water() <= 0 {
		return
	}
	hard := a.served.Gassed()
	alkalinity := usualAlkalinity / 1000. * math.Min(1, a.served.Water())
	hard.Amounts[chem.Carbonic] += alkalinity
	hard.Amounts[chem.Sodium] += alkalinity
	state, err := chem.PH(&hard)
	equivalent, none := chem.EquivalentMass(a.Job.Titration.As)
	if err != nil || none != nil || state.PH-a.Served.PH < tellApart {
		return
	}
	add("calculated", "The water counts as pure, since the brief gives no [water]. 100 mg/L of alkalinity (as CaCO3) would bring the pH from %.2f to %.2f and take %.2g g/L from the acidity.",
		a.Served.PH, state.PH, alkalinity*equivalent)
}
