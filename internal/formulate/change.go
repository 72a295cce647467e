package formulate

import (
	"math"

	"bittersum/solver"
)

// Excess returns the linear form that is above zero where what limit l speaks of lies above value: content
// less value times basis. Without a basis value stands on the row's right-hand side and is left out.
func (f *Formulation) Excess(l Limit, value float64) []solver.Term {
	switch {
	case l.Row < 0:
		return []solver.Term{{Column: l.Column, Value: 1}}
	case l.Curved():
		return f.acid(l, value)
	}
	return f.less(f.Problem.Rows[l.Row].Terms, value-l.Value, l.Slope)
}

// Linear reports whether Excess leaves value out.
func (l Limit) Linear() bool { return l.Row < 0 || l.Slope == nil }

// ValueAt returns what limit l speaks of for the columns x: a content over its basis, or the pH.
func (f *Formulation) ValueAt(l Limit, x []float64) float64 {
	switch {
	case l.Linear():
		return Dot(f.Excess(l, 0), x)
	case l.Curved():
		return f.phAt(l, x)
	}
	return l.Value + Dot(f.Problem.Rows[l.Row].Terms, x)/Dot(l.Slope, x)
}

// phAt returns the pH at which x needs no acid, in the medium of the limit's row, by halving: the
// acid shrinks as the pH that it has to reach grows.
func (f *Formulation) phAt(l Limit, x []float64) float64 {
	low, high := 0.0, 14.0
	for range 50 {
		middle := (low + high) / 2
		if Dot(f.acid(l, middle), x) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// Dot returns the value of a linear form for the columns x.
func Dot(terms []solver.Term, x []float64) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t.Value * x[t.Column]
	}
	return sum
}

// Without returns the program without limit l; an exact limit loses both sides.
func (f *Formulation) Without(l Limit) *solver.Problem {
	p := f.Problem.Clone()
	if l.Row >= 0 {
		p.Rows[l.Row].Lower, p.Rows[l.Row].Upper = -solver.Inf, solver.Inf
		return p
	}
	c := &p.Columns[l.Column]
	if l.Side != Max {
		c.Lower = 0
	}
	if l.Side != Min {
		c.Upper = solver.Inf
		if s := f.Job.Sources[l.Column]; s.Lot != nil {
			c.Upper = s.Max
		}
	}
	return p
}

// With returns the program with limit l at another value.
func (f *Formulation) With(l Limit, value float64) *solver.Problem {
	p := f.Problem.Clone()
	if l.Row < 0 {
		c := &p.Columns[l.Column]
		if l.Side != Max {
			c.Lower = math.Max(0, value)
		}
		if l.Side != Min {
			c.Upper = value
		}
		return p
	}
	row := &p.Rows[l.Row]
	if l.Curved() {
		row.Terms = f.acid(l, value)
		return p
	}
	if l.Slope != nil {
		row.Terms = f.less(row.Terms, value-l.Value, l.Slope)
		return p
	}
	if l.Side != Max {
		row.Lower = value
	}
	if l.Side != Min {
		row.Upper = value
	}
	return p
}

// Direction returns how the program moves as limit l grows by one unit of the maker's. For a Curved limit
// that is true at its value alone, so the rate is right and the range is not.
func (f *Formulation) Direction(l Limit) solver.Direction {
	side := solver.BothSides
	switch l.Side {
	case Min:
		side = solver.LowerSide
	case Max:
		side = solver.UpperSide
	}
	switch {
	case l.Row < 0:
		return solver.Direction{Row: -1, Column: l.Column, Limit: 1, Side: side}
	case l.Slope != nil:
		return solver.Direction{Row: l.Row, Terms: l.Slope}
	}
	return solver.Direction{Row: l.Row, Limit: 1, Side: side}
}
