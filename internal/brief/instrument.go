package brief

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// What is measured at a kettle, by the names that records use. A laboratory's values go by the names of
// attributes, in their own units.
const (
	MeasureBrix    = "brix"
	MeasurePH      = "ph"
	MeasureAcidity = "acidity_g_per_l"
	MeasureDensity = "density_kg_per_l"
	MeasureAlcohol = "alcohol_percent"
	MeasureLitres  = "litres"
	MeasureMarc    = "marc_kg"
	MeasureBottles = "bottles"
)

// KettleMeasures are the measurements of a kettle, in the order in which they are taken.
var KettleMeasures = []string{MeasureMarc, MeasureLitres, MeasureBrix, MeasureAcidity, MeasurePH, MeasureDensity, MeasureAlcohol, MeasureBottles}

// Instrument says how far a measurement may be off: by Error in its own unit, and by Share of its value.
type Instrument struct {
	Error, Share float64
	Line         int
}

// usualInstruments are the errors reckoned with when the brief gives no others: a hand refractometer, a pH
// meter calibrated the same day, a burette, a hydrometer, a dipped vessel, a platform scale; practice.
var usualInstruments = map[string]Instrument{
	MeasureBrix:    {Error: 0.2},
	MeasurePH:      {Error: 0.05},
	MeasureAcidity: {Share: 0.02},
	MeasureDensity: {Error: 0.001},
	MeasureAlcohol: {Error: 0.2},
	MeasureLitres:  {Share: 0.01},
	MeasureMarc:    {Share: 0.05},
	MeasureBottles: {},
}

// laboratory is the error of a laboratory's value; practice.
var laboratory = Instrument{Share: 0.05}

// Instrument returns how far a measurement of that name may be off.
func (b *Brief) Instrument(name string) Instrument {
	if own, ok := b.Instruments[name]; ok {
		return own
	}
	if usual, ok := usualInstruments[name]; ok {
		return usual
	}
	return laboratory
}

// Off is how far a value may be off, in its own unit.
func (i Instrument) Off(value float64) float64 { return i.Error + i.Share*math.Abs(value) }

// readInstruments reads [instruments.NAME] tables.
func (b *Brief) readInstruments(root *tomlfile.Table, lib *profile.Library) {
	instruments := root.Table("instruments")
	if instruments == nil {
		return
	}
	b.Instruments = map[string]Instrument{}
	known := append(slices.Clone(KettleMeasures), lib.AttributeNames()...)
	for _, t := range instruments.Named() {
		if !slices.Contains(known, t.Key()) {
			hint := tomlfile.DidYouMean(t.Key(), known)
			if hint == "" {
				hint = "known are " + strings.Join(KettleMeasures, ", ") + " and the attributes"
			}
			instruments.Fault(t.Key(), fmt.Sprintf("there is no measurement %q", t.Key()), hint)
		}
		b.Instruments[t.Key()] = Instrument{
			Error: t.NumberOr("error", tomlfile.NonNegative, 0), Share: t.NumberOr("error_share", tomlfile.Range{Min: 0, Max: 0.5}, 0), Line: t.Line(""),
		}
		if !t.Has("error") && !t.Has("error_share") {
			t.Fault("", "needs error, in the unit of the measurement, or error_share, a share of its value", "")
		}
		t.Done()
	}
}
