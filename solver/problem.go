package solver

import (
	"fmt"
	"math"
)

// Sense says which way the objective is to go. The zero value is Minimize.
type Sense int8

const (
	Minimize Sense = iota
	Maximize
)

// Kind restricts the values a column may take. The zero value is Continuous.
type Kind int8

const (
	// Continuous columns take any value within their bounds.
	Continuous Kind = iota
	// Integer columns take whole values within their bounds.
	Integer
	// SemiContinuous columns are zero or lie within [Lower, Upper]; Lower is at least zero and
	// Upper is finite.
	SemiContinuous
)

// Column is one variable.
type Column struct {
	Name         string
	Cost         float64
	Lower, Upper float64
	Kind         Kind
}

// Term is one coefficient of a row.
type Term struct {
	Column int
	Value  float64
}

// Row is one two-sided limit on a linear form. An equality has Lower == Upper; an absent side is
// infinite; a row free on both sides is allowed and never binds.
type Row struct {
	Name         string
	Lower, Upper float64
	Terms        []Term
}

// Problem is a linear program as plain values. The zero value is an empty minimisation. Solve never
// changes it; a Session takes a copy.
type Problem struct {
	Name    string
	Sense   Sense
	Offset  float64
	Columns []Column
	Rows    []Row

	// Figures are those that no float64 holds; nil where there are none.
	Figures *Figures

	// Cones are more than linear.
	Cones []Cone
}

// Inf is the infinite bound.
var Inf = math.Inf(1)

// Huge is the magnitude from which a finite bound is read as infinite, as MPS files use it.
const Huge = 1e30

// AddColumn appends c and returns its index.
func (p *Problem) AddColumn(c Column) int {
	p.Columns = append(p.Columns, c)
	return len(p.Columns) - 1
}

// AddRow appends r and returns its index.
func (p *Problem) AddRow(r Row) int {
	p.Rows = append(p.Rows, r)
	return len(p.Rows) - 1
}

// Clone returns a copy that shares nothing with p.
func (p *Problem) Clone() *Problem {
	q := *p
	q.Columns = append([]Column(nil), p.Columns...)
	q.Rows = append([]Row(nil), p.Rows...)
	for i := range q.Rows {
		q.Rows[i].Terms = append([]Term(nil), q.Rows[i].Terms...)
	}
	q.cloneRestrictions()
	return &q
}

// HasIntegers reports whether p takes branching: a column that is other than continuous.
func (p *Problem) HasIntegers() bool {
	for _, c := range p.Columns {
		if c.Kind != Continuous {
			return true
		}
	}
	return false
}

// Activity returns Σ a_ij x_j for every row i.
func (p *Problem) Activity(x []float64) []float64 {
	activity := make([]float64, len(p.Rows))
	for i, row := range p.Rows {
		for _, t := range row.Terms {
			activity[i] += t.Value * x[t.Column]
		}
	}
	return activity
}

// Value returns the objective at x.
func (p *Problem) Value(x []float64) float64 {
	value := p.Offset
	for j, c := range p.Columns {
		value += c.Cost * x[j]
	}
	return value
}

// Check returns an error that names the first malformed part of p: a number that is not finite where
// it must be, a term whose column does not exist or stands twice in one row, a semi-continuous column
// without a finite upper bound. Crossed bounds (Lower > Upper) are not malformed: they make the
// problem infeasible. Names may be empty or repeated; nothing here depends on them.
func (p *Problem) Check() error {
	if math.IsNaN(p.Offset) || math.IsInf(p.Offset, 0) {
		return fmt.Errorf("solver: objective offset is %v", p.Offset)
	}
	for j, c := range p.Columns {
		if err := checkBounds(c.Lower, c.Upper); err != nil {
			return fmt.Errorf("solver: column %d %q: %w", j, c.Name, err)
		}
		if math.IsNaN(c.Cost) || math.IsInf(c.Cost, 0) {
			return fmt.Errorf("solver: column %d %q: cost is %v", j, c.Name, c.Cost)
		}
		if c.Kind == SemiContinuous && (c.Lower < 0 || c.Upper >= Huge) {
			return fmt.Errorf("solver: column %d %q: a semi-continuous column needs 0 <= lower and a finite upper bound", j, c.Name)
		}
	}
	terms := newTermChecker(len(p.Columns))
	for i, row := range p.Rows {
		if err := terms.checkRow(row); err != nil {
			return fmt.Errorf("solver: row %d %q: %w", i, row.Name, err)
		}
	}
	return p.checkRestrictions(terms)
}

// termChecker checks the terms of linear forms over n columns.
type termChecker struct {
	seen []int // the last form in which a column stood, counted from 1
	form int
}

func newTermChecker(n int) *termChecker { return &termChecker{seen: make([]int, n)} }

func (c *termChecker) checkRow(row Row) error {
	if err := checkBounds(row.Lower, row.Upper); err != nil {
		return err
	}
	return c.check(row.Terms)
}

func (c *termChecker) check(terms []Term) error {
	c.form++
	for _, t := range terms {
		switch {
		case t.Column < 0 || t.Column >= len(c.seen):
			return fmt.Errorf("there is no column %d", t.Column)
		case math.IsNaN(t.Value) || math.IsInf(t.Value, 0):
			return fmt.Errorf("coefficient of column %d is %v", t.Column, t.Value)
		case c.seen[t.Column] == c.form:
			return fmt.Errorf("column %d stands twice", t.Column)
		}
		c.seen[t.Column] = c.form
	}
	return nil
}

func checkBounds(lower, upper float64) error {
	switch {
	case math.IsNaN(lower) || math.IsNaN(upper):
		return fmt.Errorf("a bound is not a number")
	case lower >= Huge:
		return fmt.Errorf("lower bound is %v", lower)
	case upper <= -Huge:
		return fmt.Errorf("upper bound is %v", upper)
	}
	return nil
}
