package study

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"math"
	"slices"

	"bittersum/internal/brief"
)

// MeasuredVariation is the coefficient of variation that a laboratory's value of a lot leaves; practice.
const MeasuredVariation = 0.05

// NextMeasurement is what measuring a content of each lot would bring.
type NextMeasurement struct {
	Figure
	// CV is the content's variation now.
	CV float64
	// Saves is by how much the guarded recipe grows cheaper per litre, about; NaN where that was not proved.
	Saves float64
	// AtMost bounds the chance that the recipe as it is breaks a limit once the content is measured.
	AtMost float64
}

// Measurements are contents in the order of what measuring them saves.
type Measurements struct {
	// Base is the guarded recipe without them: as sure as asked, or the surest one.
	Base *GuardedRecipe
	// Asked is false when no recipe is as sure as asked, and Base the surest.
	Asked bool
	List  []NextMeasurement
}

// The share of a limit's variance below which a content is not worth a question, what is no saving, and how many
// contents are asked about.
const (
	leastShare = 0.02
	told       = 2e-5 // of the cost; less is what the search leaves open
	mostAsked  = 12
)

// NextMeasurements works out which content is worth measuring next, for a recipe guarded as o asks. Each is taken to
// be known of every lot to MeasuredVariation, with its mean as it is now. Base has a Plain.Conflict when the brief
// cannot be met; the list is empty when nothing that varies holds the recipe.
func NextMeasurements(ctx context.Context, j *brief.Job, o GuardOptions) (*Measurements, error) {
	base, err := Guard(ctx, j, o)
	if err != nil {
		return nil, err
	}
	m := &Measurements{Base: base, Asked: true}
	switch {
	case base.Plain.Conflict != nil:
		return m, nil
	case base.Assessment == nil && base.Surest == nil:
		return m, nil
	case base.Assessment == nil:
		m.Base, m.Asked = base.Surest.GuardedRecipe, false
	}
	m.List = m.candidates()
	err = each(len(m.List), func(k int) error { return m.List[k].ask(ctx, m.Base, o) })
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(m.List, func(a, b NextMeasurement) int {
		return cmp.Or(cmp.Compare(orNothing(b.Saves), orNothing(a.Saves)), cmp.Compare(a.AtMost, b.AtMost))
	})
	return m, nil
}

// ask works out what a measurement brings.
func (n *NextMeasurement) ask(ctx context.Context, base *GuardedRecipe, o GuardOptions) error {
	o.Risk = base.Options.Risk
	known := map[Figure]float64{n.Figure: MeasuredVariation}
	maps.Copy(known, o.Known)
	o.Known = known
	var err error
	if n.AtMost, err = atMost(base, o); err != nil {
		return err
	}
	sure, err := Guard(ctx, base.Job, o)
	switch {
	case errors.Is(err, ErrUnproved), err == nil && sure.Assessment == nil:
		n.Saves = math.NaN()
	case err != nil:
		return err
	default:
		if n.Saves = base.Assessment.Cost.PerLitre - sure.Assessment.Cost.PerLitre; math.Abs(n.Saves) < told*base.Assessment.Cost.PerLitre {
			n.Saves = 0
		}
	}
	return nil
}

func orNothing(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}

// candidates lists the contents that make the limits vary which hold the recipe or are likeliest to break.
func (m *Measurements) candidates() []NextMeasurement {
	shares := map[Figure]float64{}
	cvs := map[Figure]float64{}
	for n := range m.Base.Limits {
		l := &m.Base.Limits[n]
		if !l.Binding && l.Broken.Chance < l.Allowed/10 {
			continue
		}
		total, parts := 0.0, map[Figure]float64{}
		for _, p := range m.Base.Assessment.Recipe.Parts {
			at := slices.Index(m.Base.Job.Sources, p.Source)
			mean := p.Source.Expected(l.Name)
			attribute := l.Name
			if l.Name == string(brief.PH) {
				attribute = brief.Acidity
				mean = p.Source.Expected(brief.Acidity)
			}
			if l.Mean != nil {
				mean = l.Mean[at]
			}
			figure := Figure{p.Source.Name, attribute}
			parts[figure] = math.Pow(p.Amount*mean*l.CV[at], 2)
			total += parts[figure]
			cvs[figure] = math.Max(cvs[figure], l.CV[at])
		}
		for figure, part := range parts {
			if part > leastShare*total && cvs[figure] > MeasuredVariation*1.2 {
				shares[figure] = math.Max(shares[figure], part/total)
			}
		}
	}
	var list []NextMeasurement
	for figure := range shares {
		list = append(list, NextMeasurement{Figure: figure, CV: cvs[figure]})
	}
	slices.SortFunc(list, func(a, b NextMeasurement) int {
		return cmp.Or(cmp.Compare(shares[b.Figure], shares[a.Figure]), cmp.Compare(a.Source, b.Source), cmp.Compare(a.Attribute, b.Attribute))
	})
	return list[:min(len(list), mostAsked)]
}

// atMost bounds the chance that a recipe breaks what it was guarded against, as lots vary under other options.
func atMost(r *GuardedRecipe, o GuardOptions) (float64, error) {
	g := &guarding{Job: r.Job, Options: o, variation: newVariation(o.StressOptions), limits: slices.Clone(r.Limits)}
	sums, worst := map[int]float64{}, 0.0
	for n := range g.limits {
		l := &g.limits[n]
		broken, err := g.broken(r.Assessment, l, g.StressOptions, curvedDraws)
		if err != nil {
			return 0, err
		}
		k := 0
		if o.Counting == EachAlone {
			k = l.group
		}
		sums[k] += broken.AtMost
		worst = math.Max(worst, sums[k])
	}
	if o.Counting == Drawn {
		return g.any(r.Assessment, g.StressOptions).AtMost, nil
	}
	return math.Min(1, worst), nil
}
