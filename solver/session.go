package solver

import (
	"context"
	"fmt"
	"math"
)

// Session holds a problem that is solved again and again with small changes, each time from the last
// basis. It reads over integrality: it solves the continuous relaxation. It is not safe for use by
// several goroutines at once.
type Session struct {
	problem *Problem
	options Options
	simplex *simplex // nil when rows or columns were added since
	basis   *Basis   // start for the next simplex
	costs   bool     // costs changed since the last solve
}

// RowTerm is one coefficient of a new column.
type RowTerm struct {
	Row   int
	Value float64
}

// NewSession starts a session on a copy of p. The error says how p is malformed.
func NewSession(p *Problem, opt Options) (*Session, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	return &Session{problem: p.Clone(), options: opt, basis: opt.Start.Clone()}, nil
}

// Problem returns the session's problem as it stands. It must not be changed.
func (t *Session) Problem() *Problem { return t.problem }

// Solve solves the problem as it stands, starting from the last basis. The error is always nil; it
// is there so that callers need not change should that ever be otherwise.
func (t *Session) Solve(ctx context.Context) (*Solution, error) {
	if t.simplex == nil {
		t.simplex, t.costs = new(simplex), false
		solution := t.simplex.solveNew(ctx, t.problem, t.basis, t.options)
		if t.simplex.a == nil {
			// A limit ran out before the problem was taken up.
			t.simplex = nil
		}
		return solution, nil
	}
	if t.costs {
		cost := t.simplex.own.Cost
		loadCosts(cost, t.problem)
		t.simplex.loadCosts(cost)
		t.costs = false
	}
	return t.simplex.solve(ctx, t.problem, t.options), nil
}

// SetBasis makes b the start of the next solve, if it fits.
func (t *Session) SetBasis(b *Basis) {
	if t.simplex == nil {
		t.basis = b.Clone()
		return
	}
	if t.simplex.loadBasis(b) {
		t.simplex.factor.Ready = false
	}
}

// SetOptions replaces the options. Options.Start is read by NewSession only.
func (t *Session) SetOptions(opt Options) { t.options = opt }

// SetCost changes the cost of column j. It panics if there is no such column.
func (t *Session) SetCost(j int, cost float64) {
	t.problem.Columns[j].Cost = cost
	t.costs = true
}

// SetColumnBounds changes the bounds of column j. It panics if there is no such column.
func (t *Session) SetColumnBounds(j int, lower, upper float64) {
	c := &t.problem.Columns[j]
	if c.Lower == lower && c.Upper == upper {
		return
	}
	c.Lower, c.Upper = lower, upper
	t.changeBounds(j, lower, upper)
}

// SetRowBounds changes the bounds of row i. It panics if there is no such row.
func (t *Session) SetRowBounds(i int, lower, upper float64) {
	r := &t.problem.Rows[i]
	if r.Lower == lower && r.Upper == upper {
		return
	}
	r.Lower, r.Upper = lower, upper
	t.changeBounds(len(t.problem.Columns)+i, lower, upper)
}

func (t *Session) changeBounds(v int, lower, upper float64) {
	if t.simplex == nil {
		return
	}
	lower, upper = endless(lower, upper)
	t.simplex.movable.part(t.simplex.a, t.simplex.trueLower, t.simplex.trueUpper)
	t.simplex.setBounds(v, lower, upper)
	t.simplex.movable.set(t.simplex.a, v, lower == upper)
	if t.simplex.place[v] != Basic {
		t.simplex.settle(v)
	}
}

// AddRow appends a row, whose logical joins the basis, and returns its index. The error says what is
// malformed in it; nothing is added then.
func (t *Session) AddRow(r Row) (int, error) {
	r.Terms = append([]Term(nil), r.Terms...)
	if err := newTermChecker(len(t.problem.Columns)).checkRow(r); err != nil {
		return -1, fmt.Errorf("solver: row %q: %w", r.Name, err)
	}
	t.keepBasis()
	if t.basis != nil {
		t.basis.Rows = append(t.basis.Rows, Basic)
	}
	return t.problem.AddRow(r), nil
}

// AddColumn appends a column with its coefficients, nonbasic at first, and returns its index. The error
// says that a bound or coefficient is malformed, that there is no such row or that a row stands twice;
// nothing is added then.
func (t *Session) AddColumn(c Column, terms []RowTerm) (int, error) {
	if err := checkBounds(c.Lower, c.Upper); err != nil {
		return -1, fmt.Errorf("solver: column %q: %w", c.Name, err)
	}
	seen := map[int]bool{}
	for _, term := range terms {
		switch {
		case term.Row < 0 || term.Row >= len(t.problem.Rows):
			return -1, fmt.Errorf("solver: column %q: there is no row %d", c.Name, term.Row)
		case seen[term.Row]:
			return -1, fmt.Errorf("solver: column %q: row %d stands twice", c.Name, term.Row)
		case math.IsNaN(term.Value) || math.IsInf(term.Value, 0):
			return -1, fmt.Errorf("solver: column %q: coefficient in row %d is %v", c.Name, term.Row, term.Value)
		}
		seen[term.Row] = true
	}
	t.keepBasis()
	if t.basis != nil {
		t.basis.Columns = append(t.basis.Columns, AtLower)
	}
	j := t.problem.AddColumn(c)
	for _, term := range terms {
		row := &t.problem.Rows[term.Row]
		row.Terms = append(row.Terms, Term{Column: j, Value: term.Value})
	}
	return j, nil
}

// keepBasis puts the last basis aside before the shape of the problem changes.
func (t *Session) keepBasis() {
	if t.simplex != nil {
		t.basis = t.simplex.basis()
		t.simplex = nil
	}
}
