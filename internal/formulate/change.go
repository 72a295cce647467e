package formulate

import (
	"math"

	"bittersum/solver"
)

// Parts returns the linear forms of a limit: content against value times basis. A nil basis is 1.
func (f *Formulation) Parts(l Limit) (content, basis []solver.Term) {
	if l.Row < 0 {
		return []solver.Term{{Column: l.Column, Value: 1}}, nil
	}
	return less(f.Problem.Rows[l.Row].Terms, -l.Value, l.Slope), l.Slope
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
	if l.Slope != nil {
		row.Terms = less(row.Terms, value-l.Value, l.Slope)
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

// Direction returns how the program moves as limit l grows by one unit of the maker's.
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
