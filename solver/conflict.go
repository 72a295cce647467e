package solver

import (
	"context"
	"math"
	"math/big"
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
	// Reluctance, if set, says how unwelcome a limit is in the set: one of higher reluctance is named
	// only if all limits of lower reluctance, and those already found needed, do not conflict without
	// it. Limits that nobody can change, such as a law's, are best given a high one.
	Reluctance func(Bound) int
}

// FindConflict returns an irreducible set of limits in conflict, as found and checked in exact
// arithmetic: the set is infeasible, and each of its members left out makes it feasible. An error means
// that p is malformed or more than linear, or that the context ended.
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
	d := newExactProgram(p).dictionary()
	f := &conflictFilter{d: d, run: &run{ctx: ctx, pivots: -1}}
	if v := d.crossed(); v >= 0 {
		return &Conflict{Members: []Bound{f.named(v, AtLower), f.named(v, AtUpper)}}, nil
	}
	if !d.load(ctx, opt.Basis) {
		return nil, ctx.Err()
	}
	d.setCosts(nil)
	members, err := f.conflict()
	if err != nil {
		return nil, err
	}
	if members == nil {
		return &Conflict{Feasible: true}, nil
	}
	if opt.Reluctance != nil {
		if members, err = f.filter(members, opt.Reluctance); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(members, compareVariableSides)
	conflict := &Conflict{Members: make([]Bound, len(members))}
	for k, m := range members {
		conflict.Members[k] = f.named(m.variable, m.at)
	}
	if err := verifyConflict(f.run, p, conflict.Members); err != nil {
		return nil, err
	}
	return conflict, nil
}

// variableSide is a Bound of a dictionary.
type variableSide struct {
	variable int
	at       Place
}

func compareVariableSides(a, b variableSide) int {
	if a.variable != b.variable {
		return a.variable - b.variable
	}
	return int(a.at) - int(b.at)
}

// conflictFilter drops and restores bounds of one dictionary.
type conflictFilter struct {
	d   *dictionary
	run *run
}

func (f *conflictFilter) named(v int, at Place) Bound {
	side := LowerSide
	if at == AtUpper {
		side = UpperSide
	}
	return Bound{f.d.program.variable(v), side}
}

// conflict returns an irreducible conflict of the dictionary's bounds, or nil if there is none.
func (f *conflictFilter) conflict() ([]variableSide, error) {
	end, row := f.d.dual(f.run, false)
	switch end {
	case stopped:
		return nil, f.run.ctx.Err()
	case settled:
		return nil, nil
	}
	return f.d.blockedBounds(row), nil
}

// blockedBounds returns the bounds that keep a row's variable from meeting its own. Each of the others
// holds a different nonbasic variable, so without any one of them the row could be met.
func (d *dictionary) blockedBounds(row int) []variableSide {
	var gap, drift big.Int
	at := AtLower
	if d.room(row, AtUpper, &gap, &drift) && lexicographicSign(&gap, &drift) < 0 {
		at = AtUpper
	}
	members := []variableSide{{d.head[row], at}}
	for j, v := range d.cobasis {
		if s := d.table[row][j].Sign(); s != 0 {
			holds := AtLower
			if (s > 0) == (at == AtLower) {
				holds = AtUpper
			}
			members = append(members, variableSide{v, holds})
		}
	}
	return members
}

// drop makes a bound infinite and returns it for restore.
func (f *conflictFilter) drop(m variableSide) *big.Int {
	d := f.d
	bound := d.bound(m.variable, m.at)
	if m.at == AtLower {
		d.lower = without(d.lower, m.variable)
	} else {
		d.upper = without(d.upper, m.variable)
	}
	f.rest(m.variable)
	return bound
}

func (f *conflictFilter) restore(m variableSide, bound *big.Int) {
	if m.at == AtLower {
		f.d.lower[m.variable] = bound
	} else {
		f.d.upper[m.variable] = bound
	}
	f.rest(m.variable)
}

// rest finds a nonbasic variable a place among its changed bounds.
func (f *conflictFilter) rest(v int) {
	if d := f.d; d.place[v] != Basic {
		d.place[v] = d.rest(v, d.place[v])
		d.refresh()
	}
}

// filter drops bounds for good as long as a conflict remains without them, the most reluctant first.
func (f *conflictFilter) filter(members []variableSide, reluctance func(Bound) int) ([]variableSide, error) {
	least := f.leastReluctance(reluctance)
	needed := map[variableSide]bool{}
	for {
		worst, found := least, -1
		for k, m := range members {
			if level := reluctance(f.named(m.variable, m.at)); level > worst && !needed[m] {
				worst, found = level, k
			}
		}
		if found < 0 {
			return members, nil
		}
		m := members[found]
		bound := f.drop(m)
		rest, err := f.conflict()
		if err != nil {
			return nil, err
		}
		if rest != nil {
			members = rest
			continue
		}
		needed[m] = true
		f.restore(m, bound)
	}
}

func (f *conflictFilter) leastReluctance(reluctance func(Bound) int) int {
	least := math.MaxInt
	for v := range f.d.place {
		for _, at := range [...]Place{AtLower, AtUpper} {
			if f.d.bound(v, at) != nil {
				least = min(least, reluctance(f.named(v, at)))
			}
		}
	}
	return least
}

// verifyConflict returns an error unless the members conflict and no longer do without any one of them. It
// builds the program anew, of the members alone.
func verifyConflict(r *run, p *Problem, members []Bound) error {
	d, variables := conflictProgram(p, members)
	f := &conflictFilter{d: d, run: r}
	if rest, err := f.conflict(); err != nil || rest == nil {
		return orDefect(err, "the limits found do not conflict")
	}
	for k, member := range members {
		m := variableSide{variables[k], AtLower}
		if member.Side == UpperSide {
			m.at = AtUpper
		}
		bound := f.drop(m)
		if rest, err := f.conflict(); err != nil || rest != nil {
			return orDefect(err, "the conflict found is not irreducible")
		}
		f.restore(m, bound)
	}
	return nil
}

// conflictProgram returns a dictionary of the members' rows and of no other limits than the members,
// and the number that each member's variable has in it.
func conflictProgram(p *Problem, members []Bound) (d *dictionary, variables []int) {
	q := &Problem{Columns: make([]Column, len(p.Columns))}
	for j := range q.Columns {
		q.Columns[j] = Column{Lower: -Inf, Upper: Inf}
	}
	rows := map[int]int{}
	variables = make([]int, len(members))
	for k, member := range members {
		v := member.Variable
		if v.Row {
			i, seen := rows[v.Index]
			if !seen {
				i = q.AddRow(Row{Lower: -Inf, Upper: Inf, Terms: p.Rows[v.Index].Terms})
				rows[v.Index] = i
			}
			v = RowVariable(i)
		}
		fromLower, fromUpper := p.bounds(member.Variable)
		lower, upper := q.bounds(v)
		if member.Side == LowerSide {
			*lower = *fromLower
		} else {
			*upper = *fromUpper
		}
		variables[k] = v.Index
		if v.Row {
			variables[k] += len(q.Columns)
		}
	}
	return newExactProgram(q).dictionary(), variables
}
