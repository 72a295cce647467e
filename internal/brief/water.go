package brief

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bittersum/internal/chem"
	"bittersum/internal/tomlfile"
)

// Water is what a water report says, for the water of the liquor and of the soda it is thrown with.
type Water struct {
	// Solutes are the ions in mmol/L with their charges closed; alkalinity counts as bicarbonate.
	Solutes Solutes
	// Alkalinity is in mmol/L.
	Alkalinity float64
	// Off is how far the reported charges miss each other as a share of the larger side, and ClosedWith the
	// ion that closed them, or empty; Closed is how much of it was taken, mmol/L.
	Off, Closed float64
	ClosedWith  string
	// HardnessAsCalcium says that the hardness was reported alone and counts as calcium.
	HardnessAsCalcium bool
	Line              int
}

// litreOfWater is the grams in a litre of water at 20 °C.
const litreOfWater = 998.2

// waterUnits are the mmol/L of charge of one unit each, by what a report may count in: 1 meq/L is 50.04
// mg/L of CaCO3, 61.02 mg/L of HCO3, 2.804 German, 5.004 French and 3.511 English degrees.
var waterUnits = map[string]float64{
	"mg/l caco3": 2 / 100.086, "mg/l as caco3": 2 / 100.086, "mg/l hco3": 1 / 61.017, "meq/l": 1, "mmol/l charge": 1,
	"°dh": 2 / 5.6077, "dh": 2 / 5.6077, "°fh": 0.2 / 1.00086, "fh": 0.2 / 1.00086, "°eh": 1 / 3.511, "eh": 1 / 3.511,
}

const waterForm = `write a number and its unit, as in "80 mg/L", "2 meq/L", "14 °dH", "25 °fH" or "120 mg/L CaCO3"`

// ions of a water report, with the most, mg/L, that drinking water can be taken to hold.
var reportedIons = []struct {
	key     string
	species chem.Species
	most    float64
}{
	{"calcium", chem.Calcium, 600}, {"magnesium", chem.Magnesium, 300}, {"sodium", chem.Sodium, 1000}, {"potassium", chem.Potassium, 300},
	{"chloride", chem.Chloride, 1500}, {"sulfate", chem.Sulfate, 1600},
}

const (
	mostAlkalinity = 40  // mmol/L, 2 g/L as CaCO3
	mostHardness   = 50  // mmol/L of charge, 140 °dH
	mostOff        = 0.5 // charges further off are no water report
)

// readWater reads [water].
func (b *Brief) readWater(root *tomlfile.Table) {
	t := root.Table("water")
	if t == nil {
		return
	}
	w := &Water{Line: t.Line("")}
	charge := func(key string, most float64, hco3 bool) (float64, bool) {
		x, unit, ok := quantity(t, key)
		per, known := waterUnits[unit]
		switch {
		case !ok:
			return 0, false
		case !known || unit == "mg/l hco3" && !hco3:
			t.Fault(key, fmt.Sprintf("is in %q; say what it counts as", unit), waterForm)
			return 0, false
		case x*per > most:
			t.Fault(key, fmt.Sprintf("is %.4g meq/L; no drinking water holds more than %v", x*per, most), "")
			return 0, false
		}
		return x * per, true
	}
	w.Alkalinity, _ = charge("alkalinity", mostAlkalinity, true)
	for _, ion := range reportedIons {
		x, unit, ok := quantity(t, ion.key)
		if !ok {
			continue
		}
		k := ion.species.Constants()
		mmol := x / k.MolarMass
		if unit != "mg/l" {
			per, known := waterUnits[unit]
			if !known || unit == "mg/l hco3" {
				t.Fault(ion.key, fmt.Sprintf("is in %q", unit), waterForm)
				continue
			}
			mmol = x * per / ionCharge(ion.species)
		}
		if mmol*k.MolarMass > ion.most {
			t.Fault(ion.key, fmt.Sprintf("is %.4g mg/L; no drinking water holds more than %v", mmol*k.MolarMass, ion.most), "")
			continue
		}
		w.Solutes[ion.species] = mmol
	}
	if hardness, ok := charge("hardness", mostHardness, false); ok {
		w.harden(t, hardness)
	}
	w.close(t)
	t.Done()
	b.Water = w
}

// ionCharge returns the charge of a strong ion in water, without its sign; sulfate has lost its proton.
func ionCharge(s chem.Species) float64 {
	if s == chem.Sulfate {
		return 2
	}
	return math.Abs(float64(s.Constants().Charge))
}

// harden holds the hardness, mmol/L of charge, against calcium and magnesium: it gives the one that the
// report leaves out, or counts as calcium when it is all there is.
func (w *Water) harden(t *tomlfile.Table, hardness float64) {
	calcium, magnesium := t.Has("calcium"), t.Has("magnesium")
	given := 2 * (w.Solutes[chem.Calcium] + w.Solutes[chem.Magnesium])
	const room = 0.1 // reports round each figure
	switch {
	case hardness < given*(1-room)-0.05 || calcium && magnesium && hardness > given*(1+room)+0.05:
		t.Fault("hardness", fmt.Sprintf("is %.4g meq/L, but calcium and magnesium make %.4g", hardness, given), "one of them is wrong")
	case calcium && !magnesium:
		w.Solutes[chem.Magnesium] = math.Max(0, hardness-given) / 2
	case magnesium && !calcium:
		w.Solutes[chem.Calcium] = math.Max(0, hardness-given) / 2
	case !calcium:
		w.Solutes[chem.Calcium], w.HardnessAsCalcium = hardness/2, true
	}
}

// close makes positive and negative charge equal with sodium or chloride, which take no part in acidity.
func (w *Water) close(t *tomlfile.Table) {
	w.Solutes[chem.Carbonic] = w.Alkalinity
	positive, negative := 0.0, w.Alkalinity
	for _, ion := range reportedIons {
		x := w.Solutes[ion.species] * ionCharge(ion.species)
		if ion.species.Constants().Charge > 0 {
			positive += x
		} else {
			negative += x
		}
	}
	larger := math.Max(positive, negative)
	if larger == 0 {
		if len(t.Keys()) == 0 {
			t.Fault("", "reports nothing", "give alkalinity, calcium and what else the report states, or leave [water] out")
		}
		return
	}
	gap := positive - negative
	w.Off, w.Closed = math.Abs(gap)/larger, math.Abs(gap)
	if w.Off > mostOff && w.Closed > 0.5 && t.Has("alkalinity") && (t.Has("calcium") || t.Has("hardness")) {
		t.Fault("", fmt.Sprintf("does not balance: %.3g meq/L of cations against %.3g of anions", positive, negative), "a report with all of calcium, magnesium, sodium, alkalinity, chloride and sulfate balances within a tenth")
	}
	switch {
	case gap > 0:
		w.Solutes[chem.Chloride] += gap
		w.ClosedWith = "chloride"
	case gap < 0:
		w.Solutes[chem.Sodium] -= gap
		w.ClosedWith = "sodium"
	}
}

// quantity reads "80 mg/L": a number and its unit, in small letters.
func quantity(t *tomlfile.Table, key string) (x float64, unit string, ok bool) {
	text := t.String(key)
	if text == "" {
		return 0, "", false
	}
	number, unit, _ := strings.Cut(strings.TrimSpace(text), " ")
	x, err := strconv.ParseFloat(number, 64)
	unit = strings.ToLower(strings.Join(strings.Fields(unit), " "))
	if err != nil || !(x >= 0) || math.IsInf(x, 0) || unit == "" {
		t.Fault(key, fmt.Sprintf("%q is no amount", text), waterForm)
		return 0, "", false
	}
	return x, unit, true
}

// perGram returns what a gram of the water brings, mmol.
func (w *Water) perGram() Solutes {
	s := w.Solutes
	for i := range s {
		s[i] /= litreOfWater
	}
	return s
}

// SodaSolutes returns what the soda or water that a syrup is thrown with brings, mmol per litre of drink as
// served.
func (b *Brief) SodaSolutes() Solutes {
	if b.Water == nil || b.Throw == 0 {
		return Solutes{}
	}
	s := b.Water.Solutes
	for i := range s {
		s[i] *= b.Throw / b.Dilution()
	}
	return s
}

// SodaCharge returns the mmol/L of negative less positive charge that it brings into the drink as served.
func (b *Brief) SodaCharge(pH float64, in chem.Medium, degassed bool) float64 {
	return b.SodaSolutes().Charge(pH, in, degassed)
}
