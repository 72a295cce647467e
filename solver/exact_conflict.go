package solver

import (
	"cmp"
	"context"
	"math/big"
	"slices"
)

// settleConflict finds a conflict among the given bounds in exact arithmetic and checks it: the set is
// infeasible, and no longer so without any one member. If reluctance is given it filters by it.
func settleConflict(ctx context.Context, p *Problem, among []Bound, reluctance func(Bound) int) ([]Bound, error) {
	f := newExactFinder(ctx, p, among)
	members, err := f.conflict()
	switch {
	case err != nil:
		return nil, err
	case members == nil && len(among) == len(p.everyBound()):
		return nil, errFeasible
	case members == nil:
		return nil, errUndecided
	}
	if reluctance != nil {
		members, err = filterConflict(f, members, reluctance, leastReluctance(among, reluctance))
		if err != nil {
			return nil, err
		}
	}
	slices.SortFunc(members, compareBounds)
	if len(members) < len(among) {
		f = newExactFinder(ctx, p, members)
	}
	return members, checkConflict(f, members)
}

func checkConflict(f conflictFinder, members []Bound) error {
	if rest, err := f.conflict(); err != nil || rest == nil {
		return orDefect(err, "the limits found do not conflict")
	}
	for _, m := range members {
		f.drop(m)
		if rest, err := f.conflict(); err != nil || rest != nil {
			return orDefect(err, "the conflict found is not irreducible")
		}
		f.restore(m)
	}
	return nil
}

func compareBounds(a, b Bound) int {
	if a.Row != b.Row {
		if b.Row {
			return -1
		}
		return 1
	}
	return cmp.Or(a.Index-b.Index, int(a.Side)-int(b.Side))
}

// exactFinder is a conflictFinder by a dictionary of some rows of a program and of some bounds.
type exactFinder struct {
	d    *dictionary
	run  *run
	name []Variable       // of the dictionary's variables, in the program
	at   map[Variable]int // the reverse
	// guide finds the bases from which the dictionary goes on, if it is too large to go far by itself.
	guide *sessionFinder
}

// newExactFinder returns a finder of conflicts among the given bounds, all others taken as infinite.
func newExactFinder(ctx context.Context, p *Problem, among []Bound) *exactFinder {
	q := &Problem{Columns: make([]Column, len(p.Columns))}
	f := &exactFinder{run: &run{ctx: ctx, pivots: -1}, at: map[Variable]int{}}
	for j := range q.Columns {
		q.Columns[j] = Column{Lower: -Inf, Upper: Inf}
		f.name = append(f.name, ColumnVariable(j))
		f.at[ColumnVariable(j)] = j
	}
	for _, b := range among {
		v := b.Variable
		if v.Row {
			if _, ok := f.at[v]; !ok {
				f.at[v] = len(f.name)
				f.name = append(f.name, v)
				q.AddRow(Row{Lower: -Inf, Upper: Inf, Terms: p.Rows[v.Index].Terms})
			}
			v = RowVariable(f.at[v] - len(q.Columns))
		}
		fromLower, fromUpper := p.bounds(b.Variable)
		lower, upper := q.bounds(v)
		if b.Side == LowerSide {
			*lower = *fromLower
		} else {
			*upper = *fromUpper
		}
		q.takeFigures(p, v, b.Variable)
	}
	e := newExactProgram(q)
	f.d = e.dictionary(ctx)
	if e.rows*e.columns > wholeCells {
		if session, err := NewSession(q, Options{}); err == nil {
			f.guide = &sessionFinder{ctx: ctx, session: session, original: q}
		}
	}
	return f
}

// inGuide names a bound in the guide's program.
func (f *exactFinder) inGuide(b Bound) Bound {
	return Bound{f.d.program.variable(f.at[b.Variable]), b.Side}
}

func (f *exactFinder) conflict() ([]Bound, error) {
	if f.guide != nil {
		s, err := f.guide.session.Solve(f.run.ctx)
		if err != nil {
			return nil, err
		}
		if !f.d.load(f.run.ctx, s.Basis) {
			return nil, f.run.ctx.Err()
		}
	}
	end, row := f.d.dual(f.run, false)
	switch end {
	case stopped:
		return nil, f.run.ctx.Err()
	case settled:
		return nil, f.run.ctx.Err()
	}
	return f.blockedBounds(row), f.run.ctx.Err()
}

// blockedBounds returns the bounds that keep a row's variable from meeting its own. Each of the others
// holds a different nonbasic variable, so without any one of them the row could be met.
func (f *exactFinder) blockedBounds(row int) []Bound {
	d := f.d
	var gap, drift big.Int
	side := LowerSide
	if d.room(row, AtUpper, &gap, &drift) && lexicographicSign(&gap, &drift) < 0 {
		side = UpperSide
	}
	members := []Bound{{f.name[d.head[row]], side}}
	entries := d.table.row(row).entries
	for j, v := range d.cobasis {
		if s := entries[j].Sign(); s != 0 {
			holds := LowerSide
			if (s > 0) == (side == LowerSide) {
				holds = UpperSide
			}
			members = append(members, Bound{f.name[v], holds})
		}
	}
	return members
}

func (f *exactFinder) drop(b Bound) {
	if f.guide != nil {
		f.guide.drop(f.inGuide(b))
	}
	f.d.dropBound(f.at[b.Variable], b.Side)
}

func (f *exactFinder) restore(b Bound) {
	if f.guide != nil {
		f.guide.restore(f.inGuide(b))
	}
	d := f.d
	v := f.at[b.Variable]
	if b.Side == LowerSide {
		d.lower[v] = d.program.scaledBound(d.program.lower[v], v, d.boundUnit)
	} else {
		d.upper[v] = d.program.scaledBound(d.program.upper[v], v, d.boundUnit)
	}
	d.settleRest(v)
}

// dropBound makes a bound infinite.
func (d *dictionary) dropBound(v int, side Side) {
	if side == LowerSide {
		d.lower = without(d.lower, v)
	} else {
		d.upper = without(d.upper, v)
	}
	d.settleRest(v)
}

// settleRest finds a nonbasic variable a place among its changed bounds.
func (d *dictionary) settleRest(v int) {
	if d.place[v] != Basic {
		d.place[v] = d.rest(v, d.place[v])
		d.refresh()
	}
}

// scaledBound returns a bound of variable v in its unit, over unit.
func (e *exactProgram) scaledBound(bound *big.Rat, v int, unit *big.Int) *big.Int {
	return multiplied(new(big.Rat).Quo(bound, e.unit[v]), unit)
}

// without returns a copy of bounds in which the one of variable v is infinite.
func without[T any](bounds []*T, v int) []*T {
	copied := append([]*T(nil), bounds...)
	copied[v] = nil
	return copied
}
