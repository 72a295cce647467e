// Package fit learns from what was measured: contents of ingredients, and how much of them a kettle draws, from
// records of batches and from bench infusions, with the profile's figures as what was known before.
//
// A content of a lot in use counts as the profile's times 1 + m + l: m is how far the profile is off for all lots,
// l how far this lot is off them. Before anything is measured each has half of the variance that the profile (or
// the usual assumption) gives to lots; practice. So one lot, however well measured, never narrows what later lots
// may bring by more than that half.
package fit

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/regress"
	"bittersum/internal/study"

	"gonum.org/v1/gonum/mat"
)

// What measurements are off by beside their instrument's error, since a kettle is no laboratory; practice.
const (
	modelShare   = 0.02 // of an attribute's or the acidity's value: volumes, mixing
	phOff        = 0.10
	brixOff      = 0.10
	densityOff   = 0.001
	mostRounds   = 30
	leastFactor  = 0.02 // a content is not below a fiftieth of the profile's
	apartFrom    = 3.0  // deviations from which a measurement is named
	conflictFrom = 2.5  // deviations of the profile from which a content is named
	toldBelow    = 0.9  // of the deviation before: what is not narrowed so far is not told
	togetherFrom = 0.8  // correlation
)

// Batch is something that was made of weighed amounts and measured.
type Batch struct {
	Name string
	// Job says how its amounts are judged, and Recipe what was weighed.
	Job    *brief.Job
	Recipe *brief.Recipe
	// Lots names the lot of each part, empty where none was written down, and Methods how each was extracted.
	Lots, Methods []string
	Measured      []Measurement
}

// Measurement is one reading, by the name that records use.
type Measurement struct {
	Name         string
	Value, Error float64
}

// Subject is a content that measurements tell of. For acidity it stands for all acids and ions of the source.
type Subject struct {
	Ingredient, Attribute string
	// Method is how it was extracted, empty for the profile's usual way.
	Method string
}

// Learned is what is known of a subject now.
type Learned struct {
	Subject
	// Lot is set for a lot with a certificate, of which it alone is known more.
	Lot string
	// Unit is that of the contents. Before and After are what reaches the liquor of a gram, with the deviations of
	// what is known of the mean of all lots; Lot is the deviation of a lot that is not known yet, for After.
	Unit                  string
	Before, BeforeSD      float64
	After, AfterSD, LotSD float64
	// Factor is After over Before, and FactorSD its deviation.
	Factor, FactorSD float64
	// Told says that the measurements narrow it, Conflict that they contradict the profile, Assumed that the
	// profile's own deviation is assumed.
	Told, Conflict, Assumed bool
	// Batches are those that tell of it.
	Batches []string
	// Times is how often it was extracted.
	Times  int
	source *brief.Source
	cv     float64
}

// Row is one measurement beside what is foretold of it.
type Row struct {
	Batch string
	Measurement
	// Before and After are foretold by the profile and by the fit; Off is how many deviations it lies from what the
	// profile and all other measurements foretell, NaN where they foretell nothing.
	Before, After, Off float64
	Outlier            bool
}

// Together are two subjects that the measurements tell apart badly.
type Together struct {
	A, B        Subject
	Correlation float64
}

// Result is what was learned.
type Result struct {
	Learned  []Learned
	Rows     []Row
	Together []Together
	// Condition is the condition number of the equations; Rounds how often they were linearised.
	Condition float64
	Rounds    int
	// Unused are measurements that tell of no content, and Certified the lots whose certificates stand.
	Unused []string
}

// ErrNothing says that no measurement tells of any content.
var ErrNothing = errors.New("no measurement here tells of a content: it takes a pH, an acidity, °Bx, a density or a laboratory's value of an attribute that some ingredient brings")

// fitting is the state of one fit. Column n of the equations is unknown n.
type fitting struct {
	batches  []Batch
	assumed  float64
	unknowns []unknown
	rows     []Row
	at       []int // the batch of each row
	result   *Result
}

// unknown is how far a subject is off the profile, for all lots or for one.
type unknown struct {
	Subject
	lot     string // empty for all lots
	sd      float64
	source  *brief.Source
	cv      float64
	assumed bool
}

// Fit learns from batches; assumed is the coefficient of variation of natural products without a deviation.
func Fit(batches []Batch, assumed float64) (*Result, error) {
	f := &fitting{batches: batches, assumed: assumed, result: &Result{}}
	f.collect()
	if len(f.rows) == 0 || len(f.unknowns) == 0 {
		return nil, ErrNothing
	}
	x := make([]float64, len(f.unknowns))
	for round := range mostRounds {
		model, err := f.linearised(x)
		if err != nil {
			return nil, err
		}
		if round == 0 {
			f.drop(model)
			if model, err = f.linearised(x); err != nil {
				return nil, err
			}
			if len(f.rows) == 0 {
				return nil, ErrNothing
			}
		}
		fit, err := model.Solve()
		if err != nil {
			return nil, err
		}
		moved := 0.0
		for n := range x {
			moved = math.Max(moved, math.Abs(fit.Mean[n]-x[n]))
		}
		x = fit.Mean
		if moved < 1e-9 {
			f.result.Rounds = round + 1
			return f.learned(x, fit)
		}
	}
	return nil, fmt.Errorf("%w: the linearised equations do not settle in %d rounds", study.ErrUnproved, mostRounds)
}

// collect lists rows and unknowns.
func (f *fitting) collect() {
	for b := range f.batches {
		batch := &f.batches[b]
		for _, m := range batch.Measured {
			attribute := subjectOf(m.Name)
			if attribute == "" || math.IsNaN(m.Value) {
				f.unused(batch.Name, m.Name)
				continue
			}
			told := false
			for n := range batch.Recipe.Parts {
				told = f.admit(batch, n, attribute) || told
			}
			if !told {
				f.unused(batch.Name, m.Name)
				continue
			}
			f.rows = append(f.rows, Row{Batch: batch.Name, Measurement: m})
			f.at = append(f.at, b)
		}
	}
}

func (f *fitting) unused(batch, name string) {
	f.result.Unused = append(f.result.Unused, name+" of "+batch)
}

// subjectOf returns the attribute whose contents a measurement tells of, or nothing.
func subjectOf(name string) string {
	switch name {
	case brief.MeasurePH, brief.MeasureAcidity:
		return brief.Acidity
	case brief.MeasureBrix, brief.MeasureDensity:
		return brief.Solids
	case brief.MeasureLitres, brief.MeasureMarc, brief.MeasureBottles, brief.MeasureAlcohol:
		return ""
	}
	return name
}

// admit adds the unknowns of a part's content, if it has one that can be off.
func (f *fitting) admit(b *Batch, n int, attribute string) bool {
	p := b.Recipe.Parts[n]
	s := p.Source
	if p.Amount == 0 || s.Ingredient.Pure || s.Water() {
		return false
	}
	content, _ := s.Content(attribute)
	if attribute == brief.Acidity {
		if brought, _ := s.Solutes(); brought == (brief.Solutes{}) && content.PerGram == 0 {
			return false
		}
	} else if content.PerGram == 0 || content.Recovery == 0 {
		return false
	}
	subject := Subject{s.Ingredient.Name, attribute, b.Methods[n]}
	cv, assumed := f.assumed, true
	if content.SD > 0 && content.PerGram > 0 {
		cv, assumed = content.SD/content.PerGram, false
	}
	certified := false
	if s.Lot != nil {
		_, certified = s.Lot.Contents[attribute]
	}
	if certified {
		if assumed {
			cv = study.CertificateVariation
		}
		f.add(unknown{Subject: subject, lot: lotOf(b, n), sd: cv, source: s, cv: cv, assumed: assumed})
		return true
	}
	half := cv / math.Sqrt2
	f.add(unknown{Subject: subject, sd: half, source: s, cv: cv, assumed: assumed})
	f.add(unknown{Subject: subject, lot: lotOf(b, n), sd: half, source: s, cv: cv, assumed: assumed})
	return true
}

// lotOf names a part's lot: where none is written down, each batch counts as another lot.
func lotOf(b *Batch, n int) string {
	if b.Lots[n] != "" {
		return b.Lots[n]
	}
	return "that of " + b.Name
}

func (f *fitting) add(u unknown) {
	if !slices.ContainsFunc(f.unknowns, func(o unknown) bool { return o.Subject == u.Subject && o.lot == u.lot }) {
		f.unknowns = append(f.unknowns, u)
	}
}

// concerns reports whether an unknown stands in a part of a batch.
func (u unknown) concerns(b *Batch, n int) bool {
	s := b.Recipe.Parts[n].Source
	if u.Ingredient != s.Ingredient.Name || u.Method != b.Methods[n] || u.lot != "" && u.lot != lotOf(b, n) {
		return false
	}
	if u.lot == "" && s.Lot != nil {
		_, certified := s.Lot.Contents[u.Attribute]
		return !certified
	}
	return true
}

// foretell returns what each measurement of a batch should show at x, and adds step to the factor of one part's
// content of an attribute.
func (f *fitting) foretell(b *Batch, x []float64, part int, attribute string, step float64) (map[string]float64, error) {
	recipe := &brief.Recipe{Name: b.Recipe.Name, Batch: true}
	for n, p := range b.Recipe.Parts {
		factors := map[string]float64{}
		for k, u := range f.unknowns {
			if u.concerns(b, n) {
				if _, ok := factors[u.Attribute]; !ok {
					factors[u.Attribute] = 1
				}
				factors[u.Attribute] += x[k]
			}
		}
		if n == part {
			factors[attribute] += step
		}
		for name := range factors {
			factors[name] = math.Max(leastFactor, factors[name])
		}
		if len(factors) > 0 {
			p.Source = p.Source.Varied(factors)
		}
		recipe.Parts = append(recipe.Parts, p)
	}
	a, err := assess.Assess(b.Job, recipe)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name, err)
	}
	shows := map[string]float64{}
	for _, m := range b.Measured {
		shows[m.Name] = shown(a, m.Name)
	}
	return shows, nil
}

// linearised returns the equations about x.
func (f *fitting) linearised(x []float64) (*regress.Model, error) {
	m := &regress.Model{X: mat.NewDense(len(f.rows), len(f.unknowns), nil)}
	first := 0
	for b := range f.batches {
		count := 0
		for first+count < len(f.at) && f.at[first+count] == b {
			count++
		}
		if count == 0 {
			continue
		}
		if err := f.linearise(m, x, b, first, count); err != nil {
			return nil, err
		}
		first += count
	}
	for _, u := range f.unknowns {
		m.Mean, m.PriorSD = append(m.Mean, 0), append(m.PriorSD, u.sd)
	}
	return m, nil
}

// linearise fills the equations of a batch, whose rows begin at first.
func (f *fitting) linearise(m *regress.Model, x []float64, b, first, count int) error {
	batch := &f.batches[b]
	here, err := f.foretell(batch, x, -1, "", 0)
	if err != nil {
		return err
	}
	noise := make([]float64, count)
	done := map[[2]string]bool{}
	const step = 1e-3
	for n, p := range batch.Recipe.Parts {
		for _, u := range f.unknowns {
			key := [2]string{p.Source.Name, u.Attribute}
			if !u.concerns(batch, n) || done[key] {
				continue
			}
			done[key] = true
			up, err := f.foretell(batch, x, n, u.Attribute, step)
			if err != nil {
				return err
			}
			down, err := f.foretell(batch, x, n, u.Attribute, -step)
			if err != nil {
				return err
			}
			content, _ := p.Source.Content(u.Attribute)
			for i := range count {
				name := f.rows[first+i].Name
				slope := (up[name] - down[name]) / (2 * step)
				for k, other := range f.unknowns {
					if other.Attribute == u.Attribute && other.concerns(batch, n) {
						m.X.Set(first+i, k, m.X.At(first+i, k)+slope)
					}
				}
				own := study.WeighingVariation
				if content.Recovery > 0 && content.Drawn() && u.Attribute != brief.Acidity {
					own = math.Hypot(own, study.RecoveryVariation)
				}
				noise[i] += math.Pow(own*slope, 2)
			}
		}
	}
	for i := range count {
		row := &f.rows[first+i]
		foretold := here[row.Name]
		if math.IsNaN(foretold) {
			return fmt.Errorf("%s: nothing is foretold of %s", batch.Name, row.Name)
		}
		if row.After = foretold; !slices.ContainsFunc(x, func(v float64) bool { return v != 0 }) {
			row.Before = foretold
		}
		y := row.Value - foretold
		for k := range f.unknowns {
			y += m.X.At(first+i, k) * x[k]
		}
		m.Y = append(m.Y, y)
		m.SD = append(m.SD, math.Sqrt(row.Error*row.Error+math.Pow(modelOff(row.Name, foretold), 2)+noise[i]))
	}
	return nil
}

func modelOff(name string, value float64) float64 {
	switch name {
	case brief.MeasurePH:
		return phOff
	case brief.MeasureBrix:
		return brixOff
	case brief.MeasureDensity:
		return densityOff
	}
	return modelShare * math.Abs(value)
}

// drop takes out rows that no unknown moves, which tell nothing.
func (f *fitting) drop(m *regress.Model) {
	var rows []Row
	var at []int
	for i, row := range f.rows {
		if mat.Norm(m.X.RowView(i), 1) == 0 {
			f.unused(row.Batch, row.Name)
			continue
		}
		rows, at = append(rows, row), append(at, f.at[i])
	}
	f.rows, f.at = rows, at
	used := f.unknowns[:0]
	for k, u := range f.unknowns {
		if mat.Norm(m.X.ColView(k), 1) > 0 {
			used = append(used, u)
		}
	}
	f.unknowns = used
}

// String says what a subject is.
func (s Subject) String() string {
	text := s.Attribute + " of " + s.Ingredient
	if s.Attribute == brief.Acidity {
		text = "acids of " + s.Ingredient
	}
	if s.Method != "" {
		text += " by " + s.Method
	}
	return text
}
