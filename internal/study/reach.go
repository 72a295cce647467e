package study

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

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

	path  *solver.PathPiece
	shift float64
}

// CostAt returns the least cost per litre at a value of the stretch.
func (s *Stretch) CostAt(value float64) float64 {
	cost, _ := s.path.At(value - s.shift)
	return cost
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
	if r.Today, err = cheapest(ctx, j); err != nil {
		return nil, err
	}
	if r.Today.Conflict != nil {
		free, err := j.Changed(func(b *brief.Brief) { b.SetTarget(attribute, brief.Unbounded()) })
		if err != nil {
			return nil, err
		}
		if r.Today, err = cheapest(ctx, free); err != nil {
			return nil, err
		}
		if r.Today.Conflict != nil {
			r.Conflict = r.Today
			return r, nil
		}
	}
	content, basis := r.Today.Formulation.Content(a)
	r.Start = onLimit(ratioOf(content, basis, r.Today.Solution.X), r.Asked)
	if err := r.follow(ctx, up, down); err != nil {
		return nil, err
	}
	if err := r.stops(ctx); err != nil {
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
		if math.Abs(value-bound) <= 1e-9*(1+math.Abs(bound)) {
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

func (r *Reached) follow(ctx context.Context, up, down bool) error {
	j, err := r.with(r.Start)
	if err != nil {
		return err
	}
	f, s, err := settled(ctx, j)
	if err != nil {
		return err
	}
	if s.Status != solver.Optimal {
		return fmt.Errorf("%w: at the value of the cheapest recipe the program is %s", ErrUnproved, s.Status)
	}
	l := limitOf(f, formulate.Target, r.Attribute.Name)
	from, to := 0.0, 0.0
	if down {
		from = -r.Start
	}
	if up {
		to = solver.Inf
	}
	path, err := solver.Follow(ctx, f.Problem, s, f.Direction(l), from, to)
	if err != nil {
		return err
	}
	for k := range path.Pieces {
		if err := r.add(f, &path.Pieces[k]); err != nil {
			return err
		}
	}
	return nil
}

// add appends a piece of the path, or lengthens the last stretch when nothing changes that a maker sees.
func (r *Reached) add(f *formulate.Formulation, piece *solver.PathPiece) error {
	s := Stretch{
		From: r.Start + piece.From, To: r.Start + piece.To, CostFrom: piece.ObjectiveFrom, CostTo: piece.ObjectiveTo,
		SlopeFrom: piece.SlopeAt(piece.From), SlopeTo: piece.SlopeAt(piece.To), path: piece, shift: r.Start,
	}
	if math.IsInf(s.To, 1) {
		return tomlfile.Faults{{File: r.Job.File, What: r.Attribute.Name + " can grow for ever", Hint: "bound an amount under limits or total"}}
	}
	if s.From < 0 && s.From > -1e-12*(1+r.Start) {
		s.From = 0
	}
	// Two breaks closer than anyone can weigh are one.
	if s.To-s.From <= 1e-9*(1+math.Abs(s.To)) {
		return nil
	}
	middle := (piece.From + piece.To) / 2
	_, x := piece.At(middle)
	s.Binding = binding(f, x, r.Attribute.Name)
	if n := len(r.Stretches); n > 0 {
		before := r.Stretches[n-1]
		s.From = before.To
		_, y := before.path.At((before.path.From + before.path.To) / 2)
		for k, source := range f.Job.Sources {
			now, then := used(x[k]), used(y[k])
			switch {
			case now && !then:
				s.Enter = append(s.Enter, source)
			case then && !now:
				s.Leave = append(s.Leave, source)
			}
		}
	}
	r.Stretches = append(r.Stretches, s)
	return nil
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

// stops solves anew at every end of a stretch: the recipes there are proved and assessed, and their costs
// have to be those of the curve.
func (r *Reached) stops(ctx context.Context) error {
	if len(r.Stretches) == 0 {
		r.Stops = []Stop{{r.Start, r.Today}}
		return nil
	}
	last := len(r.Stretches)
	r.Stops = make([]Stop, last+1)
	return each(last+1, func(k int) error {
		at, cost, inward := 0.0, 0.0, 0.0
		switch k {
		case 0:
			at, cost, inward = r.Stretches[0].From, r.Stretches[0].CostFrom, 1
		case last:
			at, cost, inward = r.Stretches[k-1].To, r.Stretches[k-1].CostTo, -1
		default:
			at, cost = r.Stretches[k].From, r.Stretches[k].CostFrom
		}
		stop, err := r.stop(ctx, at, inward)
		if err != nil {
			return err
		}
		if got := stop.Answer.LeastCost; math.Abs(got-cost) > costTolerance*(1+math.Abs(cost)) {
			return fmt.Errorf("%w: at %s %.6g a fresh solve costs %.9g, the curve %.9g", ErrUnproved, r.Attribute.Name, at, got, cost)
		}
		r.Stops[k] = stop
		return nil
	})
}

// costTolerance is how far, relative to 1 + cost, a curve may lie from the cost of a proved recipe.
const costTolerance = 1e-6

// stop solves at a value. At the end of the road rounding can leave nothing of it: inward is the way back,
// by less than amounts are printed to.
func (r *Reached) stop(ctx context.Context, at, inward float64) (Stop, error) {
	for _, digits := range []int{10, 8, 7} {
		value := rounded(at, digits, inward)
		j, err := r.with(value)
		if err != nil {
			return Stop{}, err
		}
		a, err := cheapest(ctx, j)
		if err != nil {
			return Stop{}, err
		}
		if a.Conflict == nil {
			return Stop{at, a}, nil
		}
		if inward == 0 {
			break
		}
	}
	return Stop{}, fmt.Errorf("%w: there is no recipe at %s %.9g, where the curve has one", ErrUnproved, r.Attribute.Name, at)
}

// rounded returns x with so many significant digits: the nearest such number, or the next one up or down.
// Short decimals keep exact arithmetic short.
func rounded(x float64, digits int, direction float64) float64 {
	if x == 0 {
		return 0
	}
	place := math.Floor(math.Log10(math.Abs(x))) + 1 - float64(digits)
	steps := x / math.Pow(10, place)
	switch {
	case direction > 0:
		steps = math.Ceil(steps)
	case direction < 0:
		steps = math.Floor(steps)
	default:
		steps = math.Round(steps)
	}
	short, _ := strconv.ParseFloat(fmt.Sprintf("%.0fe%.0f", steps, place), 64)
	return short
}

// end finds out why the curve ends to the side of sign.
func (r *Reached) end(ctx context.Context, followed bool, sign float64) (End, error) {
	end := End{Followed: followed}
	at := r.Stops[len(r.Stops)-1].Value
	if sign < 0 {
		at = r.Stops[0].Value
	}
	if !followed || sign < 0 && at <= 0 {
		return end, nil
	}
	j, err := r.with(rounded(at+sign*1e-5*(1+math.Abs(at)), 8, 0))
	if err != nil {
		return end, err
	}
	f, s, err := settled(ctx, j)
	if err != nil {
		return end, err
	}
	if s.Status != solver.Infeasible {
		return end, fmt.Errorf("%w: there is a recipe beyond %s %.9g, where the curve ends", ErrUnproved, r.Attribute.Name, at)
	}
	a := &Answer{Job: j, Formulation: f, Solution: s}
	err = a.members(ctx)
	end.Conflict = a.Conflict
	return end, err
}
