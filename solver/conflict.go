package solver

import (
	"context"
	"errors"
	"maps"
	"math"
	"slices"
)

// Conflict is an irreducible set of limits that cannot hold together: with any one of them left out
// there is a point that meets all the others. Every row's linear form is taken for granted; the limits
// on it, and the bounds of the columns, are what can conflict.
type Conflict struct {
	// Feasible reports that there is no conflict at all; Members is empty then.
	Feasible bool
	// Members are in the order of columns, then rows, a lower side before an upper one. An equality's
	// two sides are members each by itself.
	Members []Bound
}

// ConflictOptions steer the search. The zero value is ready to use.
type ConflictOptions struct {
	// Basis is one to begin from, usually that of the infeasible outcome of Solve.
	Basis *Basis
	// Reluctance says how unwelcome a limit is in the set: the search is for a set with few limits of
	// the highest reluctance, then with few of the next lower, and one is named only if the limits of
	// lower reluctance do not conflict by themselves. Limits that nobody can change, such as a law's,
	// are best given a high one. If it is nil, rows have one and column bounds zero, so that the set
	// holds few rows.
	Reluctance func(Bound) int
}

// FindConflict returns an irreducible set of limits in conflict. It is searched for in floating-point
// arithmetic, and found and checked in exact arithmetic among the limits that the search leaves: the
// set is infeasible, and each of its members left out makes it feasible. An error means that p is
// malformed or more than linear, that the search could not be settled, or that the context ended.
//
// The row of a dictionary at which the dual simplex can't go on is such a set (J. Gleeson and J. Ryan,
// Identifying minimally infeasible subsystems of inequalities, ORSA Journal on Computing 2, 1990). A
// deletion filter (J. Chinneck and E. Dravnieks, ORSA Journal on Computing 3, 1991) then rids it of
// reluctant members.
func FindConflict(ctx context.Context, p *Problem, opt ConflictOptions) (*Conflict, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if !p.linear() {
		return nil, errNotLinear
	}
	if v := newExactProgram(p).crossed(); v >= 0 {
		e := exactProgram{columns: len(p.Columns)}
		return &Conflict{Members: []Bound{{e.variable(v), LowerSide}, {e.variable(v), UpperSide}}}, nil
	}
	reluctance := opt.Reluctance
	if reluctance == nil {
		reluctance = rowsFirst
	}
	members, err := searchConflict(ctx, p, opt.Basis, reluctance)
	if err == nil {
		members, err = settleConflict(ctx, p, members, nil)
	}
	// Floating-point arithmetic forgives small conflicts, so it is not believed when it finds none.
	if errors.Is(err, errUndecided) || errors.Is(err, errFeasible) {
		if opt.Reluctance == nil && len(p.Rows)*len(p.Columns) > wholeCells {
			reluctance = nil // few rows are not worth exact pivots without end
		}
		members, err = settleConflict(ctx, p, p.everyBound(), reluctance)
	}
	switch {
	case errors.Is(err, errFeasible):
		return &Conflict{Feasible: true}, nil
	case err != nil:
		return nil, err
	}
	return &Conflict{Members: members}, nil
}

// rowsFirst is the reluctance that makes for conflicts of few rows.
func rowsFirst(b Bound) int {
	if b.Row {
		return 1
	}
	return 0
}

var (
	// errUndecided says that floating-point arithmetic did not settle the matter.
	errUndecided = errors.New("solver: the conflict search did not settle")
	errFeasible  = errors.New("solver: there is no conflict")
)

// conflictFinder finds conflicts as bounds are dropped and restored.
type conflictFinder interface {
	// conflict returns a conflict of the bounds that are left, nil if there is none.
	conflict() ([]Bound, error)
	drop(Bound)
	restore(Bound)
}

// filterConflict drops bounds for good as long as a conflict remains without them, the most reluctant
// first, and returns the best of the conflicts met on the way: dropping a limit can lead to a conflict
// of many more.
func filterConflict(f conflictFinder, members []Bound, reluctance func(Bound) int, least int) ([]Bound, error) {
	needed := map[Bound]bool{}
	best := members
	for {
		worst, found := least, -1
		for k, m := range members {
			if level := reluctance(m); level > worst && !needed[m] {
				worst, found = level, k
			}
		}
		if found < 0 {
			return best, nil
		}
		m := members[found]
		f.drop(m)
		rest, err := f.conflict()
		if err != nil {
			return nil, err
		}
		if rest == nil {
			needed[m] = true
			f.restore(m)
			continue
		}
		if members = rest; !betterConflict(best, members, reluctance) {
			best = members
		}
	}
}

// betterConflict reports whether conflict a has fewer reluctant members than b, those of the highest
// reluctance counting first.
func betterConflict(a, b []Bound, reluctance func(Bound) int) bool {
	surplus := map[int]int{} // by level, of b over a
	for _, m := range a {
		surplus[reluctance(m)]--
	}
	for _, m := range b {
		surplus[reluctance(m)]++
	}
	levels := slices.Sorted(maps.Keys(surplus))
	for _, level := range slices.Backward(levels) {
		if surplus[level] != 0 {
			return surplus[level] > 0
		}
	}
	return false
}

// everyBound lists the finite bounds of p.
func (p *Problem) everyBound() []Bound {
	var all []Bound
	add := func(v Variable, lower, upper float64) {
		if lower > -Huge {
			all = append(all, Bound{v, LowerSide})
		}
		if upper < Huge {
			all = append(all, Bound{v, UpperSide})
		}
	}
	for j, c := range p.Columns {
		add(ColumnVariable(j), c.Lower, c.Upper)
	}
	for i, r := range p.Rows {
		add(RowVariable(i), r.Lower, r.Upper)
	}
	return all
}

func leastReluctance(bounds []Bound, reluctance func(Bound) int) int {
	least := math.MaxInt
	for _, b := range bounds {
		least = min(least, reluctance(b))
	}
	return least
}

// searchConflict looks for a conflict without reluctant members in floating-point arithmetic.
func searchConflict(ctx context.Context, p *Problem, start *Basis, reluctance func(Bound) int) ([]Bound, error) {
	q := p.Clone()
	for j := range q.Columns {
		q.Columns[j].Cost = 0
	}
	session, err := NewSession(q, Options{Start: start})
	if err != nil {
		return nil, err
	}
	f := &sessionFinder{ctx: ctx, session: session, original: p}
	members, err := f.conflict()
	if err != nil {
		return nil, err
	}
	if members == nil {
		return nil, errFeasible
	}
	return filterConflict(f, members, reluctance, leastReluctance(p.everyBound(), reluctance))
}

// sessionFinder is a conflictFinder by the engine.
type sessionFinder struct {
	ctx      context.Context
	session  *Session
	original *Problem
}

func (f *sessionFinder) conflict() ([]Bound, error) {
	s, err := f.session.Solve(f.ctx)
	switch {
	case err != nil:
		return nil, err
	case s.Status == Optimal:
		return nil, nil
	case f.ctx.Err() != nil:
		return nil, f.ctx.Err()
	case s.Status != Infeasible || s.Farkas == nil:
		return nil, errUndecided
	}
	return f.session.Problem().support(s.Farkas), nil
}

func (f *sessionFinder) drop(b Bound) {
	lower, upper := f.session.Problem().bounds(b.Variable)
	if b.Side == LowerSide {
		f.set(b.Variable, -Inf, *upper)
	} else {
		f.set(b.Variable, *lower, Inf)
	}
}

func (f *sessionFinder) restore(b Bound) {
	lower, upper := f.session.Problem().bounds(b.Variable)
	fromLower, fromUpper := f.original.bounds(b.Variable)
	if b.Side == LowerSide {
		f.set(b.Variable, *fromLower, *upper)
	} else {
		f.set(b.Variable, *lower, *fromUpper)
	}
}

func (f *sessionFinder) set(v Variable, lower, upper float64) {
	if v.Row {
		f.session.SetRowBounds(v.Index, lower, upper)
	} else {
		f.session.SetColumnBounds(v.Index, lower, upper)
	}
}

// supportRounding is the share of the terms of a sum of multipliers that counts as zero.
const supportRounding = 1e-9

// support returns the bounds that Farkas multipliers make use of.
func (p *Problem) support(y []float64) []Bound {
	combined, size := make([]float64, len(p.Columns)), make([]float64, len(p.Columns))
	var rows []Bound
	for i, row := range p.Rows {
		switch {
		case y[i] > 0:
			rows = append(rows, RowBound(i, UpperSide))
		case y[i] < 0:
			rows = append(rows, RowBound(i, LowerSide))
		}
		for _, t := range row.Terms {
			combined[t.Column] += y[i] * t.Value
			size[t.Column] += math.Abs(y[i] * t.Value)
		}
	}
	var columns []Bound
	for j, t := range combined {
		switch {
		case math.Abs(t) <= supportRounding*size[j]:
		case t > 0:
			columns = append(columns, ColumnBound(j, LowerSide))
		default:
			columns = append(columns, ColumnBound(j, UpperSide))
		}
	}
	return slices.DeleteFunc(append(columns, rows...), func(b Bound) bool { return p.checkSide(b) != nil })
}
