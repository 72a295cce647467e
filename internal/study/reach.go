package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
	"bittersum/solver"
)

// Reached is the least cost of a drink against the value of one attribute, all else as the brief asks;
// what the brief asks of the attribute itself is set aside.
type Reached struct {
	Job       *brief.Job
	Attribute *profile.Attribute
	// Asked is what the brief asks of the attribute.
	Asked brief.Range
	// Start is the value of the cheapest recipe, Today.
	Start float64
	Today *Answer
	// Stretches run from the least value to the greatest; each begins where the one before ends.
	Stretches []Stretch
	// Stops are the recipes at the ends of the stretches, one more than there are stretches.
	Stops []Stop
	// Low and High are why the curve does not go on at either end.
	Low, High End

	// Conflict is set, and all else is not, when even without this attribute the brief cannot be met.
	Conflict *Answer
}

// Stretch is an interval of values on which the recipe changes along one line (one curve, where spent
// plants hold liquor back).
type Stretch struct {
	From, To float64
	// CostFrom and CostTo are the least costs per litre at its ends, SlopeFrom and SlopeTo what one more
	// unit of the attribute costs there.
	CostFrom, CostTo, SlopeFrom, SlopeTo float64
	// Enter and Leave are the sources used here and not on the stretch before, and the reverse.
	Enter, Leave []*brief.Source
	// Binding are the limits that hold the recipe on this stretch, without those of the kettle.
	Binding []formulate.Limit

	used  []bool
	steps []step
}

// CostAt returns the least cost per litre at a value of the stretch.
func (s *Stretch) CostAt(value float64) float64 {
	for n, step := range s.steps {
		if value <= step.to || n == len(s.steps)-1 {
			return step.at(value)
		}
	}
	return math.NaN()
}

// Stop is the cheapest recipe at a value of the attribute, proved and assessed.
type Stop struct {
	Value  float64
	Answer *Answer
}

// Recipe returns the assessment of the stop's recipe.
func (s Stop) Recipe() *assess.Assessment { return s.Answer.Assessment }

// End says why a curve ends.
type End struct {
	// Followed says that the curve was followed to this side at all.
	Followed bool
	// Conflict holds the limits that exclude each other beyond the end; nil when the curve ends at
	// nothing of the attribute at all.
	Conflict *Conflict
	// Custom says that there is a recipe beyond the end, with more than drinks are made with.
	Custom bool
}

// mostLiquor ends the roads on which nearly all that is made stays in the spent plants: at most two litres
// are made for each that is recovered.
const mostLiquor = 2

// bounded returns the job with the liquor bounded.
func bounded(j *brief.Job) (*brief.Job, error) {
	return j.Changed(func(b *brief.Brief) { b.MostLiquor = mostLiquor })
}

// Reach follows the least cost against the value of an attribute, up or down or both ways from the
// cheapest recipe, until no recipe is left.
func Reach(ctx context.Context, j *brief.Job, attribute string, up, down bool) (*Reached, error) {
	a, err := pushable(j, attribute)
	if err != nil {
		return nil, err
	}
	if j, err = bounded(j); err != nil {
		return nil, err
	}
	r := &Reached{Job: j, Attribute: a, Asked: j.Target(attribute).Range}
	if r.Today, err = Cheapest(ctx, j); err != nil {
		return nil, err
	}
	if r.Today.Conflict != nil {
		free, err := j.Changed(func(b *brief.Brief) { b.SetTarget(attribute, brief.Unbounded()) })
		if err != nil {
			return nil, err
		}
		if r.Today, err = Cheapest(ctx, free); err != nil {
			return nil, err
		}
		if r.Today.Conflict != nil {
			r.Conflict = r.Today
			return r, nil
		}
	}
	content, basis := r.Today.Formulation.Content(a)
	r.Start = onLimit(ratioOf(content, basis, r.Today.Solution.X), r.Asked)
	if a.SensibleMax > r.Start {
		if r.Job, err = r.Job.Changed(func(b *brief.Brief) { b.Reaching = attribute }); err != nil {
			return nil, err
		}
	}
	if err := r.follow(ctx, up, down); err != nil {
		return nil, err
	}
	return r, each(2, func(k int) (err error) {
		if k == 0 {
			r.Low, err = r.end(ctx, down, -1)
		} else {
			r.High, err = r.end(ctx, up, +1)
		}
		return err
	})
}

// pushable looks up an attribute that something in use carries.
func pushable(j *brief.Job, name string) (*profile.Attribute, error) {
	a := j.Library.Attributes[name]
	fault := func(what, hint string) error {
		return tomlfile.Faults{{File: j.File, What: what, Hint: hint}}
	}
	switch {
	case a == nil && slices.Contains(brief.Readings, brief.Reading(strings.ToLower(name))):
		return nil, fault(fmt.Sprintf("%s is what an instrument shows, and no amount that can be followed", name), "follow what moves it, such as acidity or sugars")
	case a == nil:
		return nil, fault(fmt.Sprintf("there is no attribute %q", name), tomlfile.DidYouMean(name, j.Library.AttributeNames()))
	case (j.Kind == brief.Drink) != (a.Per == profile.PerLitre || a.Per == profile.PerKilogram || a.Per == profile.Per100g):
		return nil, fault(fmt.Sprintf("attribute %q counts per %s, which is not for a %s", name, a.Per, j.Kind), "")
	case !slices.ContainsFunc(j.Sources, func(s *brief.Source) bool { return s.Expected(name) > 0 }):
		return nil, fault(fmt.Sprintf("no ingredient in use carries %s", name), "")
	}
	return a, nil
}

// onLimit takes a value that lies on a bound of r but for rounding to that bound.
func onLimit(value float64, r brief.Range) float64 {
	for _, bound := range []float64{r.Min, r.Max} {
		if !math.IsInf(bound, 0) && math.Abs(value-bound) <= 1e-9*(1+math.Abs(bound)) {
			return bound
		}
	}
	return value
}

// with returns the job with the attribute at exactly a value.
func (r *Reached) with(value float64) (*brief.Job, error) {
	return r.Job.Changed(func(b *brief.Brief) { b.SetTarget(r.Attribute.Name, brief.Range{Min: value, Max: value}) })
}

// limitOf returns the first limit of a kind and name.
func limitOf(f *formulate.Formulation, kind formulate.Kind, name string) formulate.Limit {
	return f.Limits[slices.IndexFunc(f.Limits, func(l formulate.Limit) bool { return l.Kind == kind && l.Name == name })]
}

// used reports whether an amount is more than nothing but for rounding.
func used(x float64) bool { return x > 1e-8 }

// binding returns the limits that the columns x meet without room. The target called moved is left out, as are
// the kettle's own rows.
func binding(f *formulate.Formulation, x []float64, moved string) []formulate.Limit {
	var out []formulate.Limit
	activity := f.Problem.Activity(x)
	for _, l := range f.Limits {
		if l.Kind == formulate.Recovery || l.Kind == formulate.Volume || l.Kind == formulate.Target && l.Name == moved {
			continue
		}
		value, size := x[max(0, l.Column)], 1.0
		lower, upper := 0.0, 0.0
		if l.Row >= 0 {
			row := f.Problem.Rows[l.Row]
			value, lower, upper = activity[l.Row], row.Lower, row.Upper
			for _, t := range row.Terms {
				size += math.Abs(t.Value * x[t.Column])
			}
		} else {
			lower, upper = f.Problem.Columns[l.Column].Lower, f.Problem.Columns[l.Column].Upper
		}
		bound := upper
		if l.Side == formulate.Min {
			bound = lower
		}
		if math.Abs(value-bound) <= 1e-9*size {
			out = append(out, l)
		}
	}
	return out
}

// rounded returns x with so many significant digits: the nearest such number, or the next one up or down.
// Short decimals keep exact arithmetic short.
func rounded(x float64, digits int, direction float64) float64 {
	if x == 0 {
		return 0
	}
	place := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))+1-float64(digits))
	steps := x / place
	switch {
	case direction > 0:
		steps = math.Ceil(steps)
	case direction < 0:
		steps = math.Floor(steps)
	default:
		steps = math.Round(steps)
	}
	return formulate.Decimal(steps, place)
}

// end finds out why the curve ends to the side of sign.
func (r *Reached) end(ctx context.Context, followed bool, sign float64) (End, error) {
	end := End{Followed: followed}
	at := r.Stops[len(r.Stops)-1].Value
	if sign < 0 {
		at = r.Stops[0].Value
	}
	if !followed || sign < 0 && at <= 2*r.hair(at) {
		return end, nil
	}
	if most := r.Job.Sensible(r.Attribute.Name); sign > 0 && at >= most*(1-1e-6) {
		end.Custom = true
		return end, nil
	}
	last := r.Stops[len(r.Stops)-1].Answer
	if sign < 0 {
		last = r.Stops[0].Answer
	}
	for _, hairs := range []float64{1e4, 1e3, 1e5} {
		j, err := r.with(rounded(at+sign*hairs*r.hair(at), 5, sign))
		if err != nil {
			return end, err
		}
		f, s, err := settledFrom(ctx, j, last.Formulation.State, nil)
		if errors.Is(err, ErrUnproved) { // no state to be found beyond: judge at that of the last recipe
			f = formulate.At(j, last.Formulation.State)
			s, err = solver.Solve(ctx, f.Problem, solver.Options{})
		}
		if err != nil {
			return end, err
		}
		if s.Status != solver.Infeasible {
			continue
		}
		a := &Answer{Job: j, Formulation: f, Solution: s}
		err = a.members(ctx)
		end.Conflict = a.Conflict
		return end, err
	}
	return end, fmt.Errorf("%w: beyond %s %.9g, where the curve ends, there is a recipe", ErrUnproved, r.Attribute.Name, at)
}
