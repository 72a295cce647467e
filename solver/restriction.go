package solver

import (
	"fmt"
	"math"
)

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
