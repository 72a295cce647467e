package solver

import (
	"fmt"
	"math"
)

// SOS1 is a special ordered set of type 1: at most one of its columns is other than zero. The order of
// the columns guides the search and means nothing else.
type SOS1 struct {
	Name    string
	Columns []int
}

// Indicator is a row that holds whenever an integer column with bounds within [0, 1] equals Active,
// which is 0 or 1. Otherwise the row is of no consequence.
type Indicator struct {
	Name   string
	Column int
	Active int
	Row    Row
}

// Cone is the second-order-cone row
//
//	Σ linear_j x_j + Scale·‖F x + g‖ <= Upper
//
// with the Euclidean norm, F given by one form per row of Factors and g by Constants, which is empty or
// as long as Factors. Scale is at least zero.
type Cone struct {
	Name      string
	Linear    []Term
	Scale     float64
	Factors   [][]Term
	Constants []float64
	Upper     float64
}

// Activity returns the left-hand side at x.
func (c *Cone) Activity(x []float64) float64 {
	return formAt(c.Linear, x) + c.Scale*c.norm(x)
}

// norm returns ‖F x + g‖.
func (c *Cone) norm(x []float64) float64 {
	norm := 0.0
	for i := range c.Factors {
		norm = math.Hypot(norm, c.factor(i, x))
	}
	return norm
}

// factor returns the i-th entry of F x + g.
func (c *Cone) factor(i int, x []float64) float64 {
	value := formAt(c.Factors[i], x)
	if len(c.Constants) > 0 {
		value += c.Constants[i]
	}
	return value
}

// formAt returns a linear form at x.
func formAt(terms []Term, x []float64) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t.Value * x[t.Column]
	}
	return sum
}

// cloneRestrictions makes the slices of restrictions p's own.
func (p *Problem) cloneRestrictions() {
	p.SOS1 = append([]SOS1(nil), p.SOS1...)
	for i := range p.SOS1 {
		p.SOS1[i].Columns = append([]int(nil), p.SOS1[i].Columns...)
	}
	p.Indicators = append([]Indicator(nil), p.Indicators...)
	for i := range p.Indicators {
		p.Indicators[i].Row.Terms = append([]Term(nil), p.Indicators[i].Row.Terms...)
	}
	p.Cones = append([]Cone(nil), p.Cones...)
	for i := range p.Cones {
		c := &p.Cones[i]
		c.Linear = append([]Term(nil), c.Linear...)
		c.Constants = append([]float64(nil), c.Constants...)
		c.Factors = append([][]Term(nil), c.Factors...)
		for k := range c.Factors {
			c.Factors[k] = append([]Term(nil), c.Factors[k]...)
		}
	}
}

func (p *Problem) checkRestrictions(terms *termChecker) error {
	for i, set := range p.SOS1 {
		terms.form++
		for _, j := range set.Columns {
			if j < 0 || j >= len(p.Columns) {
				return fmt.Errorf("solver: set %d %q: there is no column %d", i, set.Name, j)
			}
			if terms.seen[j] == terms.form {
				return fmt.Errorf("solver: set %d %q: column %d stands twice", i, set.Name, j)
			}
			terms.seen[j] = terms.form
		}
	}
	for i, ind := range p.Indicators {
		if ind.Column < 0 || ind.Column >= len(p.Columns) {
			return fmt.Errorf("solver: indicator %d %q: there is no column %d", i, ind.Name, ind.Column)
		}
		if c := p.Columns[ind.Column]; c.Kind != Integer || c.Lower < 0 || c.Upper > 1 {
			return fmt.Errorf("solver: indicator %d %q: column %d %q is not an integer column within [0, 1]", i, ind.Name, ind.Column, c.Name)
		}
		if ind.Active != 0 && ind.Active != 1 {
			return fmt.Errorf("solver: indicator %d %q: active is %d, not 0 or 1", i, ind.Name, ind.Active)
		}
		if err := terms.checkRow(ind.Row); err != nil {
			return fmt.Errorf("solver: indicator %d %q: %w", i, ind.Name, err)
		}
	}
	for i, cone := range p.Cones {
		if err := checkCone(&cone, terms); err != nil {
			return fmt.Errorf("solver: cone %d %q: %w", i, cone.Name, err)
		}
	}
	return nil
}

func checkCone(c *Cone, terms *termChecker) error {
	if math.IsNaN(c.Scale) || math.IsInf(c.Scale, 0) || c.Scale < 0 {
		return fmt.Errorf("scale is %v", c.Scale)
	}
	if math.IsNaN(c.Upper) || c.Upper <= -Huge {
		return fmt.Errorf("upper bound is %v", c.Upper)
	}
	if len(c.Constants) > 0 && len(c.Constants) != len(c.Factors) {
		return fmt.Errorf("%d constants go with %d factors", len(c.Constants), len(c.Factors))
	}
	for _, v := range c.Constants {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("a constant is %v", v)
		}
	}
	if err := terms.check(c.Linear); err != nil {
		return err
	}
	for _, factor := range c.Factors {
		if err := terms.check(factor); err != nil {
			return err
		}
	}
	return nil
}
