package kettle

import (
	"fmt"
	"math"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
)

// possible is what a measurement can show at all.
var possible = map[string]tomlfile.Range{
	MeasurePH: {Min: 0, Max: 14}, MeasureBrix: {Min: 0, Max: 90}, MeasureAcidity: {Min: 0, Max: 1000},
	MeasureDensity: {Min: 0.7, Max: 1.6}, MeasureAlcohol: {Min: 0, Max: 97}, MeasureLitres: tomlfile.Positive,
	MeasureMarc: tomlfile.NonNegative, MeasureBottles: tomlfile.NonNegative,
}

// impossible returns what of a record cannot be so: days that have not come or lie before a delivery,
// readings that no instrument shows, more bottles than litres.
func (m *Made) impossible(today time.Time) tomlfile.Faults {
	var faults tomlfile.Faults
	fault := func(line int, key, format string, args ...any) {
		faults = append(faults, tomlfile.Fault{File: m.Record.File, Line: line, Key: key, What: fmt.Sprintf(format, args...)})
	}
	made := m.Record.MadeOn
	if !today.IsZero() && made.After(today) {
		fault(0, "made_on", "%s has not come yet; today is %s", made.Format(time.DateOnly), today.Format(time.DateOnly))
	}
	for _, l := range m.Lines {
		if lot := l.Source.Lot; lot != nil && l.Grams > 0 && m.Day().Before(lot.Received) && !m.Day().IsZero() {
			fault(l.Line, "weighed", "lot %s of %s was received on %s, after the batch was made on %s", lot.Number, lot.Ingredient, lot.Received.Format(time.DateOnly), m.Day().Format(time.DateOnly))
		}
	}
	for _, x := range m.Record.Measured {
		allowed, ok := possible[x.Name]
		if !ok {
			allowed = tomlfile.NonNegative
		}
		switch {
		case math.IsNaN(x.Value):
		case !allowed.Admits(x.Value):
			fault(x.Line, "measured."+x.Name, "%v cannot be; it must be %s", x.Value, allowed)
		case x.Name == MeasureBottles && x.Value != math.Floor(x.Value):
			fault(x.Line, "measured."+x.Name, "%v is no number of bottles", x.Value)
		}
	}
	if most, from := m.fillable(); m.Job.BottleML > 0 {
		if x, ok := m.value(MeasureBottles); ok && x.Value*m.Job.BottleML/1000 > most {
			fault(x.Line, "measured."+MeasureBottles, "%v bottles of %v mL hold %.4g L, more than the %.4g L that %s", x.Value, m.Job.BottleML, x.Value*m.Job.BottleML/1000, most, from)
		}
	}
	return faults
}

// fillable is the most that there can be to fill, and where that is from.
func (m *Made) fillable() (litres float64, from string) {
	if x, ok := m.value(MeasureLitres); ok {
		return x.Value + m.Job.Instrument(MeasureLitres).Off(x.Value), "were measured, with the error of that"
	}
	if m.Standing == nil {
		return math.Inf(1), ""
	}
	i := implies(m.Standing, MeasureLitres)
	return i.Value + i.Error, "can come of what was weighed"
}

// value returns a measurement that was taken.
func (m *Made) value(name string) (Measured, bool) {
	for _, x := range m.Record.Measured {
		if x.Name == name && !math.IsNaN(x.Value) {
			return x, true
		}
	}
	return Measured{Value: math.NaN()}, false
}

// known reports whether a measurement of that name means anything under the job.
func known(j *brief.Job, name string) bool {
	_, kettle := possible[name]
	return kettle || j.Library.Attributes[name] != nil
}
