package kettle

import (
	"fmt"
	"math"
	"strings"

	"bittersum/internal/brief"
)

// contradictions hold what was measured against what follows from what was weighed, each with its error.
func (m *Made) contradictions() {
	for _, x := range m.Record.Measured {
		i, ok := m.Expected[x.Name]
		if !ok || math.IsNaN(x.Value) || math.IsNaN(i.Value) || x.Name == MeasureBottles {
			continue
		}
		e := i.Error + m.Job.Instrument(x.Name).Off(x.Value)
		by := x.Value - i.Value
		if math.Abs(by) <= e || i.Least && by > 0 {
			continue
		}
		text := fmt.Sprintf("%s was measured at %s, where %s follows from what was weighed, give or take %s", x.Name, figure(x.Value), figure(i.Value), figure(e))
		cause, stronger := m.cause(x, i)
		m.explained(text+cause, stronger, x.Name)
	}
	m.bottles()
}

// cause says what is wrong if the measurement is right, and by what factor everything is stronger then.
func (m *Made) cause(x Measured, i Implied) (string, float64) {
	l := m.Standing.Recovered
	switch x.Name {
	case MeasureLitres:
		if x.Value < i.Value {
			return fmt.Sprintf(": %s L are missing, lost or never run in", figure(i.Value-x.Value)), i.Value / x.Value
		}
		return fmt.Sprintf(": %s L too much, so that everything is weaker", figure(x.Value-i.Value)), 1
	case MeasureBrix:
		kg, share := m.Standing.MassKg, x.Value/100
		solids := kg * i.Value / 100
		if x.Value > i.Value {
			water := kg - solids/share
			return fmt.Sprintf(": either %s kg more sugar went in than is written, or %s kg of water less, which leaves %s L of %s L",
				figure((share*kg-solids)/(1-share)), figure(water), figure(l*(1-water/kg)), figure(l)), x.Value / i.Value
		}
		if share <= 0 {
			return ": no sugar is in it, or the reading is wrong", 1
		}
		return fmt.Sprintf(": either %s kg of sugar less went in than is written, or %s kg of water more", figure((solids-share*kg)/(1-share)), figure(solids/share-kg)), 1
	case MeasureDensity:
		const water = 0.9982
		if over := i.Value - water; over > 0.001 && x.Value > i.Value {
			return ": more was dissolved than is written, or the water is short", (x.Value - water) / over
		}
		return ": what was dissolved or the water is not what is written", 1
	case MeasurePH:
		return ": an acid, an alkali or the meter is not what is thought", 1
	case MeasureMarc:
		if x.Value > i.Value {
			return fmt.Sprintf(": %s kg more is held back, plants or liquor, than is written", figure(x.Value-i.Value)), 1
		}
		return ": plants went in short, or were pressed further than reckoned", 1
	}
	return ": an amount, a content or the measurement is not what is thought", math.Max(1, x.Value/i.Value)
}

// explained adds a contradiction with what the caps are if everything is as much stronger.
func (m *Made) explained(text string, stronger float64, measure string) {
	if stronger <= 1 || math.IsInf(stronger, 0) || math.IsNaN(stronger) {
		m.found(Missed, text, "weigh, count and measure again before going on")
		return
	}
	worst, near := "", 0.0
	for _, c := range m.Standing.Caps {
		if !m.bound(c.Cap, measure) || c.Max <= 0 {
			continue
		}
		if reached := c.Guarded * stronger / c.Max; reached > near {
			near = reached
			worst = fmt.Sprintf("%s would be judged at %s of %s %s that %s allows", c.Substance, figure(c.Guarded*stronger), figure(c.Max), c.Unit(), c.Market.Name)
		}
	}
	switch {
	case near > 1:
		m.found(Barred, text+"; if so, "+worst, "not to be sold before this is cleared up")
	case worst != "":
		m.found(Missed, text+"; even so the caps hold: "+worst, "weigh, count and measure again before going on")
	default:
		m.found(Missed, text, "weigh, count and measure again before going on")
	}
}

// bound reports whether a capped substance grows with what a measurement found too strong: everything does
// with the volume, and what the same sources carry with an attribute.
func (m *Made) bound(c brief.Cap, measure string) bool {
	if m.Job.Library.Attributes[measure] == nil {
		return true
	}
	for _, p := range m.Standing.Recipe.Parts {
		if p.Source.Expected(measure) > 0 && m.Job.GuardedBy(p.Source, c.Cap) > 0 {
			return true
		}
	}
	return false
}

// bottles holds the number of bottles against the litres.
func (m *Made) bottles() {
	x, ok := m.value(MeasureBottles)
	if !ok || m.Job.BottleML == 0 {
		return
	}
	filled, litres := x.Value*m.Job.BottleML/1000, m.litres()
	if short := litres - filled; short > bottlesShort*litres+m.Job.BottleML/1000 {
		m.found(Missed, fmt.Sprintf("%s bottles hold %s L of %s L: %s L are unaccounted for", figure(x.Value), figure(filled), figure(litres), figure(short)), "count again, and write down what was lost")
	}
}

// yields holds what was recovered against what was planned: as measured, or else as it follows from what was weighed.
func (m *Made) yields() {
	planned := m.Record.PlannedL
	if math.IsNaN(planned) {
		return
	}
	litres, e, how := m.litres(), 0.0, "were found"
	if x, ok := m.value(MeasureLitres); ok {
		e = m.Job.Instrument(MeasureLitres).Off(x.Value)
	} else {
		how = "follow from what was weighed"
		e = implies(m.Standing, MeasureLitres).Error
	}
	switch short := planned - litres; {
	case short > e+litresOffShare*planned:
		m.found(Missed, fmt.Sprintf("%s L %s, of %s L planned: %s L too few", figure(litres), how, figure(planned), figure(short)), "")
	case short > e:
		m.found(Near, fmt.Sprintf("%s L %s, of %s L planned", figure(litres), how, figure(planned)), "")
	}
}

// provenance notes where a record stands to its brief.
func (m *Made) provenance() {
	r, j := m.Record, m.Job
	switch {
	case r.Brief != "" && r.Brief != j.Name:
		m.found(Missed, fmt.Sprintf("the record is of the brief %q, and this is %q", r.Brief, j.Name), "judge it by its own brief")
	case r.BriefPrint != "" && r.BriefPrint != j.Fingerprint:
		m.found(Noted, "The brief changed since the batch was planned; it is judged by the brief as it is now.", "")
	}
	var without []string
	for _, l := range m.Lines {
		if l.Lot == "" && l.LotUsed == "" && l.Grams > 0 && !l.Source.Water() {
			without = append(without, l.Ingredient)
		}
	}
	if len(without) > 0 {
		m.found(Noted, fmt.Sprintf("No lot is written down of %s: a recall could not tell this batch by it (--lot NAME=LOT).", strings.Join(without, ", ")), "")
	}
}
