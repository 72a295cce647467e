package solver

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// Opinion is what an independent method says of a problem.
type Opinion struct {
	// Status is Optimal, Infeasible or Unbounded, or Unproved if there is no answer.
	Status    Status
	Objective float64
	X         []float64
	// Reason says why there is no answer.
	Reason string
}

// opinionEntries caps the dense matrix of a second opinion.
const opinionEntries = 4_000_000

// opinionTolerance is how far, relative to its size, the point of a second opinion may overstep a limit
// before the opinion is thrown away.
const opinionTolerance = 1e-6

// SecondOpinion solves the linear program p by gonum's dense simplex method, which shares no code with
// Solve. Integers and restrictions beyond linear ones get no answer, and neither do programs on which
// that method fails, which it does on many degenerate ones, or which it cannot finish before ctx ends.
// Since it cannot be interrupted, it may then go on in the background for ever.
//
// The error is that of Check.
func SecondOpinion(ctx context.Context, p *Problem) (Opinion, error) {
	if err := p.Check(); err != nil {
		return Opinion{}, err
	}
	if p.HasIntegers() || len(p.Cones) > 0 {
		return noOpinion("the problem is more than linear"), nil
	}
	form, settled := standardize(p)
	if settled != nil {
		return *settled, nil
	}
	if rows, columns := len(form.b), len(form.c); rows*columns > opinionEntries {
		return noOpinion(fmt.Sprintf("%d rows by %d columns are too many for a dense method", rows, columns)), nil
	}
	if ctx.Err() != nil {
		return noOpinion("no answer in time"), nil
	}
	done := make(chan Opinion, 1)
	go func() { done <- form.solve(p) }()
	select {
	case opinion := <-done:
		return opinion, nil
	case <-ctx.Done():
		return noOpinion("no answer in time"), nil
	}
}

func noOpinion(reason string) Opinion { return Opinion{Status: Unproved, Reason: reason} }

// standardForm is minimise c·y subject to A y = b, y >= 0, scaled, with the way back to x.
type standardForm struct {
	c, b []float64
	rows [][]Term // terms of A
	// Column j of p is shift[j] + scale·y, summed over the parts of j.
	shift []float64
	parts [][]Term
	scale []float64 // y_k of the unscaled form is scale[k] times that of the scaled one
}

// addColumn appends a column and returns its index.
func (f *standardForm) addColumn(cost float64) int {
	f.c = append(f.c, cost)
	return len(f.c) - 1
}

func (f *standardForm) addRow(b float64, terms ...Term) {
	f.rows = append(f.rows, terms)
	f.b = append(f.b, b)
}

// standardize brings p to standard form, or settles it where nothing is left to decide.
func standardize(p *Problem) (*standardForm, *Opinion) {
	sign := 1.0
	if p.Sense == Maximize {
		sign = -1
	}
	inUse := make([]bool, len(p.Columns))
	for _, row := range p.Rows {
		if row.Lower > -Huge || row.Upper < Huge {
			for _, t := range row.Terms {
				inUse[t.Column] = inUse[t.Column] || t.Value != 0
			}
		}
	}
	f := &standardForm{shift: make([]float64, len(p.Columns)), parts: make([][]Term, len(p.Columns))}
	openEnded := false
	for j, c := range p.Columns {
		cost := sign * c.Cost
		if c.Lower > c.Upper {
			return nil, &Opinion{Status: Infeasible}
		}
		switch below, above := c.Lower > -Huge, c.Upper < Huge; {
		case !inUse[j]:
			end, ok := bestEnd(c, cost)
			f.shift[j] = end
			openEnded = openEnded || !ok
		case below:
			f.shift[j] = c.Lower
			if c.Upper > c.Lower {
				k := f.addColumn(cost)
				f.parts[j] = []Term{{k, 1}}
				if above {
					f.addRow(c.Upper-c.Lower, Term{k, 1}, Term{f.addColumn(0), 1})
				}
			}
		case above:
			f.shift[j] = c.Upper
			f.parts[j] = []Term{{f.addColumn(-cost), -1}}
		default:
			f.parts[j] = []Term{{f.addColumn(cost), 1}, {f.addColumn(-cost), -1}}
		}
	}
	for _, row := range p.Rows {
		if !f.addLimits(row) {
			return nil, &Opinion{Status: Infeasible}
		}
	}
	if openEnded {
		// Unbounded if feasible, which the same form without costs decides.
		for k := range f.c {
			f.c[k] = 0
		}
	}
	if len(f.rows) == 0 {
		opinion := Opinion{Status: Unbounded}
		if !openEnded && allAtLeastZero(f.c) {
			opinion = Opinion{Status: Optimal, X: f.shift, Objective: p.Value(f.shift)}
		}
		return nil, &opinion
	}
	f.rescale()
	return f, nil
}

func allAtLeastZero(v []float64) bool {
	for _, x := range v {
		if x < 0 {
			return false
		}
	}
	return true
}

// bestEnd returns the value at which a column that is in no row costs least, and false if there is none.
func bestEnd(c Column, cost float64) (float64, bool) {
	lower, upper := c.Lower > -Huge, c.Upper < Huge
	switch {
	case cost > 0:
		return c.Lower, lower
	case cost < 0:
		return c.Upper, upper
	case lower:
		return c.Lower, true
	case upper:
		return c.Upper, true
	}
	return 0, true
}

// addLimits adds the equations of one row of the problem, and reports false if they cannot hold.
func (f *standardForm) addLimits(row Row) bool {
	below, above := row.Lower > -Huge, row.Upper < Huge
	if row.Lower > row.Upper {
		return false
	}
	constant := 0.0
	var terms []Term
	for _, t := range row.Terms {
		constant += t.Value * f.shift[t.Column]
		for _, part := range f.parts[t.Column] {
			if t.Value != 0 {
				terms = append(terms, Term{part.Column, t.Value * part.Value})
			}
		}
	}
	switch {
	case !below && !above:
	case len(terms) == 0:
		slack := opinionTolerance * (1 + math.Abs(constant))
		return constant >= row.Lower-slack && constant <= row.Upper+slack
	case row.Lower == row.Upper:
		f.addRow(row.Lower-constant, terms...)
	case !below:
		f.addRow(row.Upper-constant, append(terms, Term{f.addColumn(0), 1})...)
	default:
		surplus := f.addColumn(0)
		f.addRow(row.Lower-constant, append(terms, Term{surplus, -1})...)
		if above {
			f.addRow(row.Upper-row.Lower, Term{surplus, 1}, Term{f.addColumn(0), 1})
		}
	}
	return true
}

// rescale divides rows and columns by powers of two near the geometric mean of their entries'
// magnitudes, in a few rounds.
func (f *standardForm) rescale() {
	f.scale = make([]float64, len(f.c))
	for k := range f.scale {
		f.scale[k] = 1
	}
	for range 4 {
		logs, counts := make([]float64, len(f.c)), make([]float64, len(f.c))
		for i, terms := range f.rows {
			sum := 0.0
			for _, t := range terms {
				sum += math.Log2(math.Abs(t.Value))
			}
			by := math.Exp2(-math.Round(sum / float64(len(terms))))
			for k := range terms {
				terms[k].Value *= by
				logs[terms[k].Column] += math.Log2(math.Abs(terms[k].Value))
				counts[terms[k].Column]++
			}
			f.b[i] *= by
		}
		for k := range f.c {
			logs[k] = math.Exp2(-math.Round(logs[k] / math.Max(1, counts[k])))
			f.c[k] *= logs[k]
			f.scale[k] *= logs[k]
		}
		for _, terms := range f.rows {
			for k := range terms {
				terms[k].Value *= logs[terms[k].Column]
			}
		}
	}
}

// solve runs gonum's method and checks its point against p.
func (f *standardForm) solve(p *Problem) (opinion Opinion) {
	defer func() {
		if failure := recover(); failure != nil {
			opinion = noOpinion(fmt.Sprint("the method failed: ", failure))
		}
	}()
	a := mat.NewDense(len(f.rows), len(f.c), nil)
	for i, terms := range f.rows {
		for _, t := range terms {
			a.Set(i, t.Column, a.At(i, t.Column)+t.Value)
		}
	}
	// A wrong sign of a reduced cost below this, relative to the largest cost, is rounding.
	largest := 0.0
	for _, v := range f.c {
		largest = math.Max(largest, math.Abs(v))
	}
	_, y, err := lp.Simplex(f.c, a, f.b, 1e-10*math.Max(largest, math.SmallestNonzeroFloat64), nil)
	switch {
	case errors.Is(err, lp.ErrInfeasible):
		return Opinion{Status: Infeasible}
	case errors.Is(err, lp.ErrUnbounded):
		return Opinion{Status: Unbounded}
	case err != nil:
		return noOpinion(fmt.Sprint("the method failed: ", err))
	}
	return f.judge(p, y)
}

// judge turns the point y of the scaled form into x and checks it.
func (f *standardForm) judge(p *Problem, y []float64) Opinion {
	x := append([]float64(nil), f.shift...)
	for j, parts := range f.parts {
		for _, part := range parts {
			x[j] += part.Value * f.scale[part.Column] * y[part.Column]
		}
	}
	for j, c := range p.Columns {
		if math.IsInf(x[j], 0) {
			return Opinion{Status: Unbounded}
		}
		if slack := opinionTolerance * (1 + math.Abs(x[j])); x[j] < c.Lower-slack || x[j] > c.Upper+slack {
			return noOpinion(fmt.Sprintf("the point found oversteps the bounds of column %d %q", j, c.Name))
		}
	}
	for _, row := range p.Rows {
		activity, size := 0.0, 1.0
		for _, t := range row.Terms {
			activity += t.Value * x[t.Column]
			size += math.Abs(t.Value * x[t.Column])
		}
		if activity < row.Lower-opinionTolerance*size || activity > row.Upper+opinionTolerance*size {
			return noOpinion(fmt.Sprintf("the point found oversteps row %q", row.Name))
		}
	}
	return Opinion{Status: Optimal, X: x, Objective: p.Value(x)}
}
