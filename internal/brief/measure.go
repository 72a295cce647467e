package brief

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bittersum/internal/chem"
	"bittersum/internal/tomlfile"
)

// Reading is what an instrument shows of the drink as served. It is computed from all that is dissolved,
// where an attribute adds up.
type Reading string

const (
	// PH is the pH at 25 °C.
	PH Reading = "ph"
	// Brix is what a refractometer shows of the drink without its gas, in °Bx.
	Brix Reading = "brix"
	// Density is that of the drink without its gas at 20 °C, in kg/L.
	Density Reading = "density"
)

// LeastPH and MostPH bound what a drink can be asked to be, where constants and activities are sound.
const LeastPH, MostPH = 1.5, 8.0

// Acidity is the attribute that a burette measures: titratable acidity.
const Acidity = "acidity"

// Solids is the attribute that volumes and refractometer readings are worked out from.
const Solids = "soluble-solids"

// Readings are the readings that a brief may ask for, besides the acidity.
var Readings = []Reading{PH, Brix, Density}

// Unit returns the unit that the reading is stated in.
func (r Reading) Unit() string {
	switch r {
	case Brix:
		return "°Bx"
	case Density:
		return "kg/L"
	}
	return ""
}

// allowed returns the targets that the reading may have.
func (r Reading) allowed() tomlfile.Range {
	switch r {
	case PH:
		return tomlfile.Range{Min: LeastPH, Max: MostPH}
	case Brix:
		return tomlfile.Range{Min: 0, Max: 75}
	}
	return tomlfile.Range{Min: 0.7, Max: 1.5}
}

// ReadingTarget is the range of a reading that the brief asks for.
type ReadingTarget struct {
	Reading
	Range
	Line int
}

// Titration says how acidity is measured and expressed.
type Titration struct {
	// EndPoint is the pH that the sample is titrated to.
	EndPoint float64
	// As is the acid that the acidity is expressed as.
	As chem.Species
}

// perCitric returns the acidity as the titration expresses it of one gram of citric acid.
func (t Titration) perCitric() float64 {
	as, _ := chem.EquivalentMass(t.As) // readTitration admits acids with equivalents only
	citric, _ := chem.EquivalentMass(chem.Citric)
	return as / citric
}

// usualTitration is how acidity is meant where a brief says nothing else.
var usualTitration = Titration{chem.EndPoint82, chem.Citric}

// Serving is how the drink is made up, filled and served.
type Serving struct {
	// Throw is the parts of soda, by volume, that are added to one part of what is made; zero when the
	// drink is made ready to drink. Amounts, bottles and costs then count on the syrup, targets and
	// caps on the drink as served.
	Throw float64
	// CarbonDioxide is the gas dissolved in the drink as served, g/L; NaN when it is not given.
	CarbonDioxide float64
	// FillingC and ServingC are temperatures in °C; NaN when they are not given.
	FillingC, ServingC float64
	// Headspace is the share of the bottle that is left empty, with air in it, when it is closed.
	Headspace float64
	// Heat is how the filled bottles are heated: temperatures in the course of time; nil for no heat.
	Heat []chem.Heat
}

// Dilution returns the litres of drink as served that one litre of what is made gives.
func (s Serving) Dilution() float64 { return 1 + s.Throw }

// ThrownWith names what a syrup is thrown with: water where the drink is to be still.
func (b *Brief) ThrownWith() string {
	if b.Carbonated {
		return "soda"
	}
	return "still water"
}

// Loss is a share of the liquor that is lost at one step of the process.
type Loss struct {
	Step  string
	Share float64
	// SD is the standard deviation of the share from batch to batch, 0 where it counts as certain.
	SD float64
}

// Kept returns the share of the liquor that all losses, one after the other, leave.
func (b *Brief) Kept() float64 {
	kept := 1.0
	for _, l := range b.Losses {
		kept *= 1 - l.Share
	}
	return kept
}

// readTarget reads one table under [targets]: a reading or an attribute.
func (b *Brief) readTarget(t *tomlfile.Table) {
	allowed, reading := tomlfile.Any, Reading("")
	if b.Kind == Drink {
		allowed = tomlfile.NonNegative
		for _, r := range Readings {
			if t.Key() == string(r) {
				allowed, reading = r.allowed(), r
			}
		}
	}
	r := readRange(t, "min", "max", allowed)
	if !t.Has("min") && !t.Has("max") {
		t.Fault("", "asks for nothing: give min, max or both", "")
	}
	if b.Kind == Drink && t.Key() == Acidity {
		b.readTitration(t)
	}
	t.Done()
	if reading != "" {
		b.Readings = append(b.Readings, ReadingTarget{Reading: reading, Range: r, Line: t.Line("")})
		return
	}
	b.Targets = append(b.Targets, Target{Attribute: t.Key(), Range: r, Line: t.Line("")})
}

// Alcohol is the name of the attribute that the strength of a drink is asked of, in g/L.
const Alcohol = "alcohol"

// EthanolPerPercent is the g/L of ethanol in one percent by volume at 20 °C (OIML R 22, from memory).
const EthanolPerPercent = 7.8924

// strengthRoom is how far above the brief's strength, in % by volume, a recipe may be, so that it can be
// weighed in.
const strengthRoom = 0.2

// strength makes the strength that a brief names a target, because the caps of spirits are wider and must
// not be had without the alcohol. A brief's own target of alcohol stands instead.
func (b *Brief) strength(root *tomlfile.Table) {
	if b.Kind != Drink || !(b.AlcoholPercent > 0) {
		return
	}
	for _, t := range b.Targets {
		if t.Attribute == Alcohol {
			return
		}
	}
	b.Targets = append(b.Targets, Target{
		Attribute: Alcohol, Line: root.Line("alcohol_percent"),
		Range: Range{b.AlcoholPercent * EthanolPerPercent, (b.AlcoholPercent + strengthRoom) * EthanolPerPercent},
	})
}

func (b *Brief) readTitration(t *tomlfile.Table) {
	b.Titration.EndPoint = t.NumberOr("end_point", tomlfile.Range{Min: 5, Max: 9}, chem.EndPoint82)
	var names []string
	for _, name := range chem.SpeciesNames() {
		if s, err := chem.ParseSpecies(name); err == nil && s.Constants().Equivalents > 0 {
			names = append(names, name)
		}
	}
	if name := t.OneOf("as", names...); name != "" {
		b.Titration.As, _ = chem.ParseSpecies(name) // OneOf admits known names only
	}
	if t.Has("end_point") && b.Titration.EndPoint != chem.EndPoint82 {
		b.endPointLine = t.Line("end_point")
	}
}

// readServing reads the throw, the carbonation and the temperatures.
func (b *Brief) readServing(root *tomlfile.Table) {
	b.CarbonDioxide, b.FillingC, b.ServingC = nan, nan, nan
	if text := root.String("throw"); text != "" {
		b.Throw = readThrow(root, text)
	}
	celsius := tomlfile.Range{Min: 0, Max: 60}
	b.FillingC = root.NumberOr("filling_temperature_c", celsius, nan)
	b.ServingC = root.NumberOr("serving_temperature_c", celsius, nan)
	b.Headspace = root.NumberOr("headspace_share", tomlfile.Range{Min: 0.01, Max: 0.5}, usualHeadspace)
	const grams, volumes = "carbon_dioxide_g_per_l", "carbon_dioxide_volumes"
	b.CarbonDioxide = root.NumberOr(grams, tomlfile.Range{Min: 0, Max: 20, Open: true}, nan)
	if x, ok := root.Number(volumes, tomlfile.Range{Min: 0, Max: 10, Open: true}); ok {
		b.CarbonDioxide = chem.GramsFromVolumes(x)
	}
	given := grams
	if root.Has(volumes) {
		given = volumes
		if root.Has(grams) {
			root.Fault(volumes, fmt.Sprintf("stands beside %s; give one of the two", grams), "")
		}
	}
	if !math.IsNaN(b.CarbonDioxide) && !b.Carbonated {
		root.Fault(given, "needs carbonated = true", "")
	}
}

// throwForm says how a throw is written.
const throwForm = `write one part of syrup and the parts of soda added to it, as in "1+5"`

// ParseThrow reads "1+5", parts of soda to one part of syrup, and returns the parts of soda. Otherwise it
// says what is wrong.
func ParseThrow(text string) (soda float64, wrong string) {
	one, parts, two := strings.Cut(text, "+")
	x, err := strconv.ParseFloat(strings.TrimSpace(parts), 64)
	switch {
	case !two || strings.TrimSpace(one) != "1" || err != nil || math.IsNaN(x) || math.IsInf(x, 0):
		return 0, fmt.Sprintf("%q is no throw", text)
	case x < 0:
		return 0, fmt.Sprintf("%q adds less than nothing", text)
	case x > 100:
		return 0, fmt.Sprintf("%q is out of range; at most 100 parts of soda are added", text)
	}
	return x, ""
}

func readThrow(root *tomlfile.Table, text string) float64 {
	x, wrong := ParseThrow(text)
	if wrong != "" {
		root.Fault("throw", wrong, throwForm)
	}
	return x
}

// readLosses reads [losses]: the share of the liquor lost at each step, by the maker's name for it.
func (b *Brief) readLosses(root *tomlfile.Table) {
	losses := root.Table("losses")
	if losses == nil {
		return
	}
	for _, step := range losses.Keys() {
		if losses.IsTable(step) {
			b.Losses = append(b.Losses, readLoss(losses.Table(step)))
		} else if x, ok := losses.Number(step, lossShare); ok {
			b.Losses = append(b.Losses, Loss{Step: step, Share: x})
		}
	}
	losses.Done()
}

// lossShare is what may be lost at one step.
var lossShare = tomlfile.Range{Min: 0, Max: 0.9}

// readLoss reads a loss that varies from batch to batch: share and sd.
func readLoss(t *tomlfile.Table) Loss {
	t.Require("share")
	l := Loss{Step: t.Key(), Share: t.NumberOr("share", lossShare, 0), SD: t.NumberOr("sd", tomlfile.NonNegative, 0)}
	switch {
	case l.SD > 0 && l.Share == 0 && t.Has("share"):
		t.Fault("sd", "stands beside a share of 0: a loss of nothing does not vary", "")
	case l.Share+3*l.SD > lossShare.Max:
		t.Fault("sd", fmt.Sprintf("%v is too wide: share + 3 sd is at most %v", l.SD, lossShare.Max), "")
	}
	t.Done()
	return l
}

// ReadingTarget returns the brief's target for a reading, or one that asks for nothing.
func (b *Brief) ReadingTarget(r Reading) ReadingTarget {
	for _, t := range b.Readings {
		if t.Reading == r {
			return t
		}
	}
	return ReadingTarget{Reading: r, Range: Unbounded()}
}
