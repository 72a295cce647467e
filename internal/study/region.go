package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/profile"
	"bittersum/solver"
)

// Region is what two attributes can be at once, all else as the brief asks; what it asks of the two is set
// aside. In a blend it is a polygon, exact in its corners. In a drink volumes and activities move a little
// with the recipe, so that the edges bend: each corner is taken at those of its own liquor, and an edge
// stays within a thousandth of the region's width of the line between its corners.
type Region struct {
	Job  *brief.Job
	X, Y *profile.Attribute
	// AskedX and AskedY are what the brief asks of the two.
	AskedX, AskedY brief.Range
	// PerLitre says that both are counted per litre although they are defined on different bases: only on
	// one basis is the region a polygon. It lists those that were changed.
	PerLitre []string
	// Corners run around the region counter-clockwise, from the one with the least X.
	Corners []Corner
	// Unproved are points beyond the corners at which no recipe could be proved: the region may reach as far.
	Unproved [][2]float64
	// Today is the brief's cheapest recipe, with the values TodayX and TodayY; nil when there is none.
	Today          *Answer
	TodayX, TodayY float64

	// Conflict is set, and Corners are not, when even without the two the brief cannot be met.
	Conflict *Answer
}

// Corner is a corner of a region.
type Corner struct {
	X, Y float64
	// Answer is the cheapest recipe there, proved and assessed.
	Answer *Answer
	// Binding are the limits that hold from this corner to the next.
	Binding []formulate.Limit
}

// Regions finds the region of two attributes. It asks for the furthest point in one direction after
// another: between two corners known the direction square to the line through them tells whether there is
// another one beyond. Values are quotients of linear forms over one and the same basis, which is brought to
// one by dividing the program by it (A. Charnes, W. W. Cooper, Naval Research Logistics Quarterly 9 (1962)
// 181-186), so that each direction is a linear program.
func Regions(ctx context.Context, j *brief.Job, x, y string) (*Region, error) {
	r := &Region{}
	var err error
	if r.X, err = pushable(j, x); err != nil {
		return nil, err
	}
	if r.Y, err = pushable(j, y); err != nil {
		return nil, err
	}
	r.AskedX, r.AskedY = j.Target(x).Range, j.Target(y).Range
	if j, err = bounded(j); err != nil {
		return nil, err
	}
	if j, err = r.oneBasis(j); err != nil {
		return nil, err
	}
	r.Job = j
	if r.Today, err = Cheapest(ctx, j); err != nil {
		return nil, err
	}
	free, err := j.Changed(func(b *brief.Brief) {
		b.SetTarget(x, brief.Unbounded())
		b.SetTarget(y, brief.Unbounded())
	})
	if err != nil {
		return nil, err
	}
	f, s, err := settled(ctx, free)
	if err != nil {
		return nil, err
	}
	if s.Status != solver.Optimal {
		r.Conflict, err = Cheapest(ctx, free)
		if err == nil && r.Conflict.Conflict == nil {
			err = fmt.Errorf("%w: the program is %s", ErrUnproved, s.Status)
		}
		return r, err
	}
	if r.Today.Conflict != nil {
		r.Today = nil
	} else {
		cx, basis := f.Content(r.X)
		cy, _ := f.Content(r.Y)
		r.TodayX, r.TodayY = ratioOf(cx, basis, r.Today.Solution.X), ratioOf(cy, basis, r.Today.Solution.X)
	}
	w := &outline{x: r.X, y: r.Y, straight: 1e-8}
	if j.Kind == brief.Drink {
		w.straight = 1e-3
	}
	if err := w.at(f); err != nil {
		return nil, err
	}
	corners, err := w.corners(ctx)
	if err != nil {
		return nil, err
	}
	return r, r.judge(ctx, corners)
}

// oneBasis counts both attributes on one basis.
func (r *Region) oneBasis(j *brief.Job) (*brief.Job, error) {
	if r.X.Per == r.Y.Per {
		return j, nil
	}
	for _, a := range []**profile.Attribute{&r.X, &r.Y} {
		if (*a).Per != profile.PerLitre {
			changed := **a
			changed.Per = profile.PerLitre
			*a = &changed
			r.PerLitre = append(r.PerLitre, changed.Name)
		}
	}
	var asked []string
	for _, name := range r.PerLitre {
		if j.Target(name).Range != brief.Unbounded() {
			asked = append(asked, name)
		}
	}
	changed, err := j.Changed(func(b *brief.Brief) {
		b.Define(r.X)
		b.Define(r.Y)
		for _, name := range asked { // what was asked was on another basis
			b.SetTarget(name, brief.Unbounded())
		}
	})
	if slices.Contains(asked, r.X.Name) {
		r.AskedX = brief.Unbounded()
	}
	if slices.Contains(asked, r.Y.Name) {
		r.AskedY = brief.Unbounded()
	}
	return changed, err
}

// outline searches the corners of a region, in the program at one state of the liquor after another.
type outline struct {
	x, y *profile.Attribute
	// straight is how far, as a share of the region's width, an edge may bend.
	straight float64

	f            *formulate.Formulation
	session      *solver.Session
	columns      int
	formX, formY []float64 // by column
	basis        *solver.Basis
}

// vertex is a point of the region with the columns that make it.
type vertex struct {
	x, y    float64
	columns []float64
	f       *formulate.Formulation // at the state it was found at
}

// at takes the program of a formulation, divided by the basis of the two attributes.
func (o *outline) at(f *formulate.Formulation) error {
	p := &solver.Problem{Name: f.Problem.Name, Sense: solver.Maximize}
	n := len(f.Problem.Columns)
	for _, c := range f.Problem.Columns {
		p.AddColumn(solver.Column{Name: c.Name, Upper: solver.Inf})
	}
	scale := p.AddColumn(solver.Column{Name: "scale", Upper: solver.Inf})
	row := func(name string, terms []solver.Term, lower, upper float64) {
		side := func(bound, least, most float64) {
			scaled := append([]solver.Term(nil), terms...)
			if bound != 0 {
				scaled = append(scaled, solver.Term{Column: scale, Value: -bound})
			}
			p.AddRow(solver.Row{Name: name, Terms: scaled, Lower: least, Upper: most})
		}
		switch {
		case lower == upper:
			side(lower, 0, 0)
		default:
			if lower > -solver.Huge {
				side(lower, 0, solver.Inf)
			}
			if upper < solver.Huge {
				side(upper, -solver.Inf, 0)
			}
		}
	}
	for _, r := range f.Problem.Rows {
		row(r.Name, r.Terms, r.Lower, r.Upper)
	}
	for j, c := range f.Problem.Columns {
		if c.Lower != 0 || c.Upper < solver.Huge {
			lower := c.Lower
			if lower == 0 {
				lower = math.Inf(-1)
			}
			row(c.Name, []solver.Term{{Column: j, Value: 1}}, lower, c.Upper)
		}
	}
	content := func(a *profile.Attribute) []float64 {
		form := make([]float64, n)
		terms, _ := f.Content(a)
		for _, t := range terms {
			form[t.Column] += t.Value
		}
		return form
	}
	_, basis := f.Content(o.x)
	if basis == nil {
		p.Columns[scale].Lower, p.Columns[scale].Upper = 1, 1
	} else {
		p.AddRow(solver.Row{Name: "basis", Terms: basis, Lower: 1, Upper: 1})
	}
	var start *solver.Basis
	if o.session != nil {
		start = o.basis
	}
	session, err := solver.NewSession(p, solver.Options{Start: start})
	o.f, o.session, o.columns, o.formX, o.formY = f, session, n, content(o.x), content(o.y)
	return err
}

// furthest returns a point of the region that lies furthest in a direction, at the state of its own liquor.
func (o *outline) furthest(ctx context.Context, dx, dy float64) (v vertex, err error) {
	for range 12 {
		if v, err = o.furthestHere(ctx, dx, dy); err != nil {
			return v, err
		}
		state, err := o.f.StateOf(v.columns)
		if err != nil || state.Near(o.f.State) {
			return v, nil
		}
		if err := o.at(formulate.At(o.f.Job, state)); err != nil {
			return v, err
		}
	}
	return v, nil
}

// furthestHere is furthest at the present state.
func (o *outline) furthestHere(ctx context.Context, dx, dy float64) (vertex, error) {
	for j := range o.columns {
		o.session.SetCost(j, dx*o.formX[j]+dy*o.formY[j])
	}
	s, err := o.session.Solve(ctx)
	if err != nil {
		return vertex{}, err
	}
	if s.Status != solver.Optimal {
		return vertex{}, fmt.Errorf("%w: the search for a corner ended %s", ErrUnproved, s.Status)
	}
	o.basis = s.Basis
	v := vertex{columns: s.X[:o.columns], f: o.f}
	for j, x := range v.columns {
		v.x += o.formX[j] * x
		v.y += o.formY[j] * x
	}
	if scale := s.X[o.columns]; scale > 0 {
		columns := make([]float64, o.columns)
		for j, x := range v.columns {
			columns[j] = x / scale
		}
		v.columns = columns
	}
	return v, nil
}

// mostCorners bounds the search; no region of a recipe comes near it.
const mostCorners = 500

// corners returns the corners counter-clockwise from the one of least x.
func (o *outline) corners(ctx context.Context) ([]vertex, error) {
	var extremes []vertex // left, bottom, right, top: counter-clockwise
	for _, d := range [][2]float64{{-1, 0}, {0, -1}, {1, 0}, {0, 1}} {
		v, err := o.furthest(ctx, d[0], d[1])
		if err != nil {
			return nil, err
		}
		extremes = append(extremes, v)
	}
	width, height := extremes[2].x-extremes[0].x, extremes[3].y-extremes[1].y
	small := 1e-9 * (math.Abs(extremes[2].x) + math.Abs(extremes[0].x))
	width, height = math.Max(width, small), math.Max(height, 1e-9*(math.Abs(extremes[3].y)+math.Abs(extremes[1].y)))
	if width == 0 {
		width = 1
	}
	if height == 0 {
		height = 1
	}
	same := func(a, b vertex) bool {
		return math.Abs(a.x-b.x) <= 1e-7*width && math.Abs(a.y-b.y) <= 1e-7*height
	}
	var around []vertex
	var between func(a, b vertex) error
	between = func(a, b vertex) error {
		if same(a, b) || len(around) > mostCorners {
			return nil
		}
		// Square to a..b, outwards, in shares of width and height.
		dx, dy := (b.y-a.y)/height, -(b.x-a.x)/width
		length := math.Hypot(dx, dy)
		dx, dy = dx/length, dy/length
		c, err := o.furthest(ctx, dx/width, dy/height)
		if err != nil {
			return err
		}
		beyond := dx*(c.x-a.x)/width + dy*(c.y-a.y)/height
		if beyond <= o.straight || same(a, c) || same(b, c) {
			return nil
		}
		if err := between(a, c); err != nil {
			return err
		}
		around = append(around, c)
		return between(c, b)
	}
	for n, v := range extremes {
		around = append(around, v)
		if err := between(v, extremes[(n+1)%4]); err != nil {
			return nil, err
		}
	}
	return tidy(around, width, height), nil
}

// tidy drops points that repeat one, or that lie on the line between their neighbours.
func tidy(around []vertex, width, height float64) []vertex {
	for {
		n := len(around)
		at := -1
		for k, v := range around {
			a, b := around[(k+n-1)%n], around[(k+1)%n]
			ax, ay, bx, by := (v.x-a.x)/width, (v.y-a.y)/height, (b.x-v.x)/width, (b.y-v.y)/height
			if math.Hypot(ax, ay) <= 1e-7 || n > 2 && math.Abs(ax*by-ay*bx) <= 1e-8*(math.Hypot(bx, by)+1e-9) && ax*bx+ay*by >= 0 {
				at = k
				break
			}
		}
		if at < 0 || n == 1 {
			break
		}
		around = append(append([]vertex(nil), around[:at]...), around[at+1:]...)
	}
	first := 0
	for k, v := range around {
		if v.x < around[first].x-1e-9*width || math.Abs(v.x-around[first].x) <= 1e-9*width && v.y < around[first].y {
			first = k
		}
	}
	return append(append([]vertex(nil), around[first:]...), around[:first]...)
}

// inward moves a value towards the middle by a share, but nothing at all stays nothing.
func inward(value, middle, share float64) float64 {
	if math.Abs(value) <= 1e-6*math.Abs(middle) && share <= 1e-5 {
		return 0
	}
	return value + share*(middle-value)
}

// shared returns the limits of a that are among b too.
func shared(a, b []formulate.Limit) []formulate.Limit {
	var out []formulate.Limit
	for _, l := range a {
		if slices.ContainsFunc(b, l.Same) {
			out = append(out, l)
		}
	}
	return out
}

// judge has the cheapest recipe of each corner proved and assessed, and finds what holds along the edges.
func (r *Region) judge(ctx context.Context, corners []vertex) error {
	mx, my := 0.0, 0.0
	for _, v := range corners {
		mx += v.x / float64(len(corners))
		my += v.y / float64(len(corners))
	}
	found := make([]Corner, len(corners))
	err := each(len(corners), func(k int) error {
		v := corners[k]
		c := Corner{X: v.x, Y: v.y}
		// Towards the middle: by less than is printed where rounding is in the way, by more where the
		// volumes of the corner's own liquor are.
		for _, share := range []float64{1e-9, 1e-7, 1e-5, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2} {
			c.X, c.Y = inward(v.x, mx, share), inward(v.y, my, share)
			asking, err := r.Job.Changed(func(b *brief.Brief) {
				x, y := rounded(c.X, 10, 0), rounded(c.Y, 10, 0)
				b.SetTarget(r.X.Name, brief.Range{Min: x, Max: x})
				b.SetTarget(r.Y.Name, brief.Range{Min: y, Max: y})
			})
			if err != nil {
				return err
			}
			c.Answer, err = Cheapest(ctx, asking)
			if err == nil && c.Answer.Conflict == nil {
				break
			}
			// So near to the last recipe there is, state and recipe may not settle: it has a neighbour that does.
			if c.Answer = nil; err != nil && !errors.Is(err, ErrUnproved) {
				return err
			}
		}
		next := corners[(k+1)%len(corners)]
		c.Binding = shared(binding(v.f, v.columns, ""), binding(next.f, next.columns, ""))
		found[k] = c
		return nil
	})
	if err != nil {
		return err
	}
	for k, c := range found {
		if c.Answer == nil {
			r.Unproved = append(r.Unproved, [2]float64{corners[k].x, corners[k].y})
			continue
		}
		if found[(k+1)%len(found)].Answer == nil {
			c.Binding = nil // what holds there holds towards another point
		}
		r.Corners = append(r.Corners, c)
	}
	if len(r.Corners) == 0 {
		return fmt.Errorf("%w: there is no recipe at any corner of the region", ErrUnproved)
	}
	return nil
}
