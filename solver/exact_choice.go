package solver

import (
	"context"
	"fmt"
	"math"
)

// Choice returns the linear program that is left of p once its discrete decisions are those of x: an
// integer column is held at the nearest whole number, a semi-continuous one at zero or within its
// bounds, all columns of a set but its largest at zero, and the row of an indicator that holds is a row.
// Whatever explains a linear program explains the answer of a search so, for as long as nothing makes
// another choice better. An error means that p is malformed or has cones, or that x is not as long as
// p has columns.
func (p *Problem) Choice(x []float64) (*Problem, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if len(p.Cones) > 0 {
		return nil, fmt.Errorf("solver: a program with cones has no linear choice")
	}
	if len(x) != len(p.Columns) {
		return nil, fmt.Errorf("solver: %d values for %d columns", len(x), len(p.Columns))
	}
	q := p.Clone()
	q.SOS1, q.Indicators = nil, nil
	for _, set := range p.SOS1 {
		largest := 0
		for k, j := range set.Columns {
			if math.Abs(x[j]) > math.Abs(x[set.Columns[largest]]) {
				largest = k
			}
		}
		for k, j := range set.Columns {
			if k != largest {
				q.Columns[j].holdAt(0)
			}
		}
	}
	for j := range q.Columns {
		c := &q.Columns[j]
		switch c.Kind {
		case Integer:
			c.holdAt(math.Round(x[j]))
		case SemiContinuous:
			if x[j] < c.Lower/2 { // with a lower bound of zero there is nothing to choose
				c.holdAt(0)
			}
		}
		c.Kind = Continuous
	}
	for _, indicator := range p.Indicators {
		if int(math.Round(x[indicator.Column])) == indicator.Active {
			q.AddRow(indicator.Row)
		}
	}
	return q, nil
}

// holdAt fixes a column, or makes its bounds cross if they do not allow the value.
func (c *Column) holdAt(value float64) {
	if c.Kind == SemiContinuous && value == 0 {
		c.Lower, c.Upper = 0, 0
		return
	}
	c.Lower, c.Upper = math.Max(c.Lower, value), math.Min(c.Upper, value)
}

// ProveChoice proves in exact arithmetic what Prove can prove of an answer s to a problem with discrete
// decisions: that its X, made exact, meets every limit, and that no X with the same decisions is better.
// Whether other decisions are better is for the search to say: see Solution.Bound. Rows of the proof
// beyond those of p belong to the indicators that hold. Of a linear program it is Prove.
func ProveChoice(ctx context.Context, p *Problem, s *Solution, opt Options) (*Proof, error) {
	if p.linear() || s == nil || s.X == nil {
		return Prove(ctx, p, s, opt)
	}
	q, err := p.Choice(s.X)
	if err != nil {
		return nil, err
	}
	// The search keeps no basis, so the engine finds one to begin from.
	t, err := Solve(ctx, q, opt)
	if err != nil {
		return nil, err
	}
	return Prove(ctx, q, t, opt)
}
