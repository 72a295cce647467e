package kettle

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// Made is a batch as it was really made.
type Made struct {
	Job    *brief.Job
	Record *Record
	// Lines are what was weighed, in the record's order, and Measures what was measured.
	Lines    []MadeLine
	Measures []MadeMeasure
	// Missing names what is planned and not written down.
	Missing []string
	// Assessment judges what was weighed, from its real lots; nil while nothing is.
	Assessment *assess.Assessment
	// Wrong is what must not be: a lot that may not be used or held too little, a measurement over a limit.
	Wrong []string
}

// MadeLine is a weighed source against its plan.
type MadeLine struct {
	Weighed
	Source *brief.Source
	// Off is weighed less planned, in grams and as a share; NaN where either is missing.
	OffG, OffShare float64
	// TakeKg is what it took of its lot, before trimming.
	TakeKg float64
	// Notable says that it is off by more than a division and half a percent.
	Notable bool
}

// MadeMeasure is a measurement against what was expected.
type MadeMeasure struct {
	Measured
	Off float64
}

// notableShare is how far an amount may be off its plan without being noted.
const notableShare = 0.005

// Judge is JudgeOn on no day in particular: dates are not held against it.
func Judge(j *brief.Job, r *Record) (*Made, error) { return JudgeOn(j, r, time.Time{}) }

// JudgeOn judges what was made. The job must have been opened with every lot. The error is a
// tomlfile.Faults for names that the brief does not know, and for what cannot be so, such as a day after
// today.
func JudgeOn(j *brief.Job, r *Record, today time.Time) (*Made, error) {
	m := &Made{Job: j, Record: r}
	var faults tomlfile.Faults
	recipe := &brief.Recipe{Name: r.Batch, Batch: true}
	for _, w := range r.Weighed {
		s := j.Source(w.Name())
		if s == nil && w.Lot == "" {
			s = bought(j, w.Ingredient)
		}
		if s == nil {
			faults = append(faults, unknownSource(j, r, w))
			continue
		}
		l := MadeLine{Weighed: w, Source: s, OffG: w.Grams - w.PlannedG, OffShare: (w.Grams - w.PlannedG) / w.PlannedG}
		if math.IsNaN(w.Grams) {
			m.Missing = append(m.Missing, w.Name())
		} else {
			l.TakeKg = w.Grams / 1000 / (1 - s.Ingredient.TrimmingLoss)
			recipe.Parts = append(recipe.Parts, brief.Part{Source: s, Amount: w.Grams})
		}
		l.Notable = !math.IsNaN(l.OffG) && math.Abs(l.OffG) > w.DivisionG && !(math.Abs(l.OffShare) <= notableShare)
		m.Lines = append(m.Lines, l)
		m.lot(l)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for _, x := range r.Measured {
		m.Measures = append(m.Measures, MadeMeasure{x, x.Value - x.Planned})
		if math.IsNaN(x.Value) {
			m.Missing = append(m.Missing, x.Name)
		}
		m.measured(x)
		m.beside(x)
	}
	if len(r.Weighed) == 0 {
		m.Missing = append(m.Missing, "what was weighed")
	}
	if len(recipe.Parts) == 0 {
		return m, nil
	}
	var err error
	if m.Assessment, err = assess.Assess(j, recipe); err != nil {
		return nil, tomlfile.Faults{{File: r.File, What: err.Error()}}
	}
	return m, nil
}

// bought returns the ingredient as bought, for a record that names no lot; a brief that allows only lots
// has no such source.
func bought(j *brief.Job, name string) *brief.Source {
	for _, s := range j.Sources {
		if s.Ingredient.Name == name && s.Lot == nil {
			return s
		}
	}
	return nil
}

func unknownSource(j *brief.Job, r *Record, w Weighed) tomlfile.Fault {
	var names []string
	for _, s := range j.Sources {
		names = append(names, s.Name)
	}
	what := fmt.Sprintf("%q is not in use in %s", w.Name(), j.File)
	if w.Lot != "" && bought(j, w.Ingredient) != nil {
		what = fmt.Sprintf("there is no lot %q of %q in the lots of %s", w.Lot, w.Ingredient, j.File)
	}
	return tomlfile.Fault{File: r.File, Line: w.Line, Key: "weighed", What: what, Hint: tomlfile.DidYouMean(w.Name(), names)}
}

// lot notes where a lot should not have been used, or had not that much.
func (m *Made) lot(l MadeLine) {
	lot := l.Source.Lot
	if lot == nil || math.IsNaN(l.Grams) || l.Grams == 0 {
		return
	}
	unused := *lot // as it was before this batch
	unused.Draws = slices.DeleteFunc(slices.Clone(lot.Draws), func(d brief.Draw) bool { return d.Batch == m.Record.Batch })
	left := unused.LeftKg()
	if why := unused.WhyNot(m.Day()); why != "" && left > 0 {
		m.Wrong = append(m.Wrong, fmt.Sprintf("lot %s of %s %s", lot.Number, lot.Ingredient, why))
	}
	if l.TakeKg > left+1e-6 {
		m.Wrong = append(m.Wrong, fmt.Sprintf("%.6g kg were taken of lot %s of %s, which had %.6g kg", l.TakeKg, lot.Number, lot.Ingredient, left))
	}
}

// measured notes a measurement that is over a limit.
func (m *Made) measured(x Measured) {
	if math.IsNaN(x.Value) {
		return
	}
	if x.Name == MeasurePH && x.Value > chem.AcidFoodPH {
		m.Wrong = append(m.Wrong, fmt.Sprintf("pH %v is above %v: a sealed drink can grow dangerous bacteria; ask a process authority before anything is sold", x.Value, chem.AcidFoodPH))
	}
	for _, c := range m.Job.Caps {
		if c.Substance == x.Name && x.Value*heaviest(c) > c.Max {
			m.Wrong = append(m.Wrong, fmt.Sprintf("%s was measured at %v, above the cap of %v of market %s (%s)", x.Name, x.Value, c.Max, c.Market.Name, c.Citation))
		}
	}
}

// heaviest is what a value in the attribute's own unit is taken times to be held against a cap: a value per
// kilogram may be as much more per litre as the heaviest syrup is heavier than water, and one per litre is
// never more per kilogram.
func heaviest(c brief.Cap) float64 {
	if c.Per == profile.PerLitre && c.Attribute.Per == profile.PerKilogram {
		return 1.35
	}
	return 1
}

// Measures returns the names that a measurement may have: those of the record's own plan, those that a
// kettle is read by, and the attributes, in their own units.
func (r *Record) Measures(j *brief.Job) []string {
	names := append([]string{MeasureBrix, MeasurePH, MeasureAcidity, MeasureDensity, MeasureLitres, MeasureMarc, MeasureBottles},
		j.Library.AttributeNames()...)
	for _, m := range r.Measured {
		names = append(names, m.Name)
	}
	return names
}

// beside notes a reading of the finished drink that is not what the brief asks. A syrup's readings are not
// the drink's.
func (m *Made) beside(x Measured) {
	var asked brief.Range
	switch {
	case math.IsNaN(x.Value) || m.Job.Throw > 0:
		return
	case x.Name == MeasureAcidity:
		asked = m.Job.Target(brief.Acidity).Range
	case x.Name == MeasureBrix:
		asked = m.Job.ReadingTarget(brief.Brix).Range
	case x.Name == MeasurePH:
		asked = m.Job.ReadingTarget(brief.PH).Range
	case x.Name == MeasureDensity:
		asked = m.Job.ReadingTarget(brief.Density).Range
	default:
		return
	}
	if x.Value < asked.Min {
		m.Wrong = append(m.Wrong, fmt.Sprintf("%s was measured at %v; the brief asks for at least %v", x.Name, x.Value, asked.Min))
	}
	if x.Value > asked.Max {
		m.Wrong = append(m.Wrong, fmt.Sprintf("%s was measured at %v; the brief asks for at most %v", x.Name, x.Value, asked.Max))
	}
}

// Draws returns what the batch took of each lot, in kg by its number.
func (m *Made) Draws() map[string]float64 {
	kg := map[string]float64{}
	for _, l := range m.Lines {
		if l.Source.Lot != nil && !math.IsNaN(l.Grams) {
			kg[l.Source.Lot.Number] += l.TakeKg
		}
	}
	return kg
}

// Day returns the day that draws are booked on.
func (m *Made) Day() time.Time {
	if m.Record.MadeOn.IsZero() {
		return m.Record.PlannedOn
	}
	return m.Record.MadeOn
}

// Sound reports whether all is written down and nothing is wrong.
func (m *Made) Sound() bool {
	return len(m.Missing) == 0 && len(m.Wrong) == 0 && m.Assessment != nil && m.Assessment.KeepsCaps() && len(m.Assessment.Misses()) == 0
}
