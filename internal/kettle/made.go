package kettle

import (
	"cmp"
	"errors"
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
	// Assessment judges what was weighed, from its real lots; nil while nothing is. Standing judges it with
	// what is planned for all that is not weighed yet; nil when that is nothing.
	Assessment, Standing *assess.Assessment
	// Expected is what measurements should show of Standing, by name.
	Expected map[string]Implied
	// Asked is all that the brief asks for, as it was found.
	Asked []Judged
	// Findings are what is to be said of the batch, and Wrong the words of those that forbid to call it right.
	Findings []Finding
	Wrong    []string
	// Correction is what to add so that the batch meets the brief; nil when it needs none.
	Correction *Correction

	strangers []string // ingredients that the brief does not use
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

// MadeMeasure is a measurement against what should be found by what was weighed.
type MadeMeasure struct {
	Measured
	Implied Implied
	// Error is how far the instrument may be off, and Off how far it shows other than what should be found.
	Error, Off float64
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
	if err := m.admit(); err != nil {
		return nil, err
	}
	weighed, standing, err := m.lines()
	if err != nil {
		return nil, err
	}
	if m.Assessment, err = m.assess(weighed); err != nil {
		return nil, err
	}
	if m.Standing, err = m.assess(standing); err != nil {
		return nil, err
	}
	if err := m.impossible(today).Err(); err != nil {
		return nil, err
	}
	m.measures()
	if len(r.Weighed) == 0 {
		m.Missing = append(m.Missing, "what was weighed")
	}
	for _, name := range m.strangers {
		m.found(Missed, fmt.Sprintf("%s is in it, which the brief does not use", name), "")
	}
	for _, l := range m.Lines {
		m.lot(l)
	}
	m.unsafe()
	if m.Standing != nil {
		m.capped()
		m.asks()
		m.contradictions()
		m.yields()
	}
	m.provenance()
	slices.SortStableFunc(m.Findings, func(a, b Finding) int { return cmp.Compare(b.Class, a.Class) })
	for _, f := range m.Findings {
		if f.Class >= Missed {
			m.Wrong = append(m.Wrong, f.Text)
		}
	}
	return m, nil
}

// admit takes ingredients of the record that the brief does not use into the job, so that they are judged.
func (m *Made) admit() error {
	for _, w := range m.Record.Weighed {
		name := w.Ingredient
		used := slices.ContainsFunc(m.Job.Sources, func(s *brief.Source) bool { return s.Ingredient.Name == name })
		if !used && m.Job.Library.Ingredients[name] != nil && !slices.Contains(m.strangers, name) {
			m.strangers = append(m.strangers, name)
		}
	}
	if len(m.strangers) == 0 {
		return nil
	}
	job, err := m.Job.Changed(func(b *brief.Brief) {
		for _, name := range m.strangers {
			b.Use = append(b.Use, brief.Ref{Name: name})
		}
	})
	if err == nil {
		m.Job = job
	}
	return err
}

// lines takes over what was weighed. It returns that as a recipe, and the same with what is planned for all
// that is not weighed yet.
func (m *Made) lines() (weighed, standing *brief.Recipe, err error) {
	var faults tomlfile.Faults
	weighed = &brief.Recipe{Name: m.Record.Batch, Batch: true}
	standing = &brief.Recipe{Name: m.Record.Batch, Batch: true}
	for _, w := range m.Record.Weighed {
		s := m.Job.Source(w.Name())
		if s == nil && w.Lot == "" {
			s = bought(m.Job, w.Ingredient)
		}
		if s == nil {
			faults = append(faults, unknownSource(m.Job, m.Record, w))
			continue
		}
		l := MadeLine{Weighed: w, Source: s, OffG: w.Grams - w.PlannedG, OffShare: (w.Grams - w.PlannedG) / w.PlannedG}
		part := brief.Part{Source: s, Amount: w.Grams}
		if math.IsNaN(w.Grams) {
			m.Missing = append(m.Missing, w.Name())
			part.Amount = w.PlannedG
		} else {
			l.TakeKg = w.Grams / 1000 / (1 - s.Ingredient.TrimmingLoss)
			weighed.Parts = append(weighed.Parts, part)
		}
		if !math.IsNaN(part.Amount) {
			standing.Parts = append(standing.Parts, part)
		}
		l.Notable = !math.IsNaN(l.OffG) && math.Abs(l.OffG) > w.DivisionG && !(math.Abs(l.OffShare) <= notableShare)
		m.Lines = append(m.Lines, l)
	}
	return weighed, standing, faults.Err()
}

// assess judges a recipe, and returns nil for one of nothing.
func (m *Made) assess(r *brief.Recipe) (*assess.Assessment, error) {
	if !slices.ContainsFunc(r.Parts, func(p brief.Part) bool { return p.Amount > 0 }) {
		return nil, nil
	}
	a, err := assess.Assess(m.Job, r)
	if errors.Is(err, assess.ErrNothing) && len(m.Missing) > 0 {
		return nil, nil // it will be something when the water is in
	}
	if err != nil {
		return nil, tomlfile.Faults{{File: m.Record.File, What: err.Error()}}
	}
	return a, nil
}

// measures takes over what was measured, beside what should be found.
func (m *Made) measures() {
	m.Expected = map[string]Implied{}
	for _, x := range m.Record.Measured {
		if !known(m.Job, x.Name) {
			m.found(Missed, fmt.Sprintf("%s is no measurement that means anything here", x.Name), "")
			continue
		}
		i := Implied{Value: math.NaN(), Error: math.NaN()}
		if m.Standing != nil {
			i = implies(m.Standing, x.Name)
			m.Expected[x.Name] = i
		}
		m.Measures = append(m.Measures, MadeMeasure{x, i, m.Job.Instrument(x.Name).Off(x.Value), x.Value - i.Value})
		if math.IsNaN(x.Value) {
			m.Missing = append(m.Missing, x.Name)
		}
	}
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
		m.found(Barred, fmt.Sprintf("lot %s of %s %s", lot.Number, lot.Ingredient, why), "hold the batch until the lot is cleared")
	}
	if l.TakeKg > left+1e-6 {
		m.found(Missed, fmt.Sprintf("%.6g kg were taken of lot %s of %s, which had %.6g kg", l.TakeKg, lot.Number, lot.Ingredient, left), "look which lot it was")
	}
}

// capped notes what is over a cap by what was weighed.
func (m *Made) capped() {
	for _, c := range m.Standing.Caps {
		if !c.Holds {
			m.found(Barred, fmt.Sprintf("%s is judged at %s %s, above the cap of %s of market %s (%s)", c.Substance, figure(c.Guarded), c.Unit(), figure(c.Max), c.Market.Name, c.Citation), "")
		}
	}
}

// unsafe notes a measurement over a cap, and a pH that is no acid food's.
func (m *Made) unsafe() {
	for _, x := range m.Record.Measured {
		if math.IsNaN(x.Value) {
			continue
		}
		e := m.Job.Instrument(x.Name).Off(x.Value)
		if x.Name == MeasurePH && x.Value+e > chem.AcidFoodPH {
			m.found(Barred, fmt.Sprintf("pH %v is above %v%s: a sealed drink can grow dangerous bacteria; ask a process authority before anything is sold", x.Value, chem.AcidFoodPH, orError(x.Value, chem.AcidFoodPH)), "")
		}
		m.overCaps(x)
	}
}

// overCaps notes where a measurement, or it with its error, is over a cap.
func (m *Made) overCaps(x Measured) {
	if math.IsNaN(x.Value) {
		return
	}
	for _, c := range m.Job.Caps {
		switch e := m.Job.Instrument(x.Name).Off(x.Value); {
		case c.Substance != x.Name:
		case x.Value*heaviest(c) > c.Max:
			m.found(Barred, fmt.Sprintf("%s was measured at %v, above the cap of %v of market %s (%s)", x.Name, x.Value, c.Max, c.Market.Name, c.Citation), "")
		case (x.Value+e)*heaviest(c) > c.Max:
			m.found(Near, fmt.Sprintf("%s was measured at %v; the measurement's error of %s reaches over the cap of %v of market %s", x.Name, x.Value, figure(e), c.Max, c.Market.Name), "")
		}
	}
}

// orError says that a value is over a limit by its error alone.
func orError(value, limit float64) string {
	if value > limit {
		return ""
	}
	return ", or cannot be told from it"
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
	names := append(slices.Clone(brief.KettleMeasures), j.Library.AttributeNames()...)
	for _, m := range r.Measured {
		names = append(names, m.Name)
	}
	return names
}

// PerLitre judges what was weighed as a recipe for a litre recovered. The error is a tomlfile.Faults where something
// is not weighed.
func (m *Made) PerLitre() (*assess.Assessment, error) {
	var faults tomlfile.Faults
	for _, l := range m.Lines {
		if math.IsNaN(l.Grams) {
			faults = append(faults, tomlfile.Fault{File: m.Record.File, Line: l.Line, Key: "weighed", What: fmt.Sprintf("%s has no grams", l.Name()), Hint: "write down what was weighed"})
		}
	}
	if m.Assessment == nil && len(faults) == 0 {
		faults = append(faults, tomlfile.Fault{File: m.Record.File, Key: "weighed", What: "nothing was weighed"})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	recipe := &brief.Recipe{Name: m.Assessment.Recipe.Name}
	for _, p := range m.Assessment.Recipe.Parts {
		p.Amount = significant(p.Amount / m.Assessment.Recovered)
		recipe.Parts = append(recipe.Parts, p)
	}
	return assess.Assess(m.Job, recipe)
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
