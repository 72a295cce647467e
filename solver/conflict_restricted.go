package solver

import (
	"context"
	"slices"
)

// relaxed returns the linear program that is left of p without its restrictions: every column
// continuous, and a semi-continuous one reaching down to zero.
func (p *Problem) relaxed() *Problem {
	q := p.Clone()
	q.SOS1, q.Indicators, q.Cones = nil, nil, nil
	for j := range q.Columns {
		c := &q.Columns[j]
		if c.Kind == SemiContinuous {
			c.Lower = min(c.Lower, 0)
		}
		c.Kind = Continuous
	}
	return q
}

// findRestrictedConflict looks for a conflict of the relaxed program first, which needs no restriction
// to explain it, and then for one that integrality, sets, indicators or cones have a part in.
func findRestrictedConflict(ctx context.Context, p *Problem, opt ConflictOptions) (*Conflict, error) {
	q := p.relaxed()
	linear, err := FindConflict(ctx, q, opt)
	if err != nil {
		return nil, err
	}
	if !linear.Feasible {
		linear.Members = heldBack(p, linear.Members)
		return linear, nil
	}
	f := &restrictedFinder{ctx: ctx, original: p, problem: p.Clone(), left: p.changeableBounds()}
	for j := range f.problem.Columns {
		f.problem.Columns[j].Cost = 0
	}
	members, err := f.conflict()
	if err != nil {
		return nil, err
	}
	if members == nil {
		return &Conflict{Feasible: true}, nil
	}
	// Every limit is tried, so that what is left is irreducible.
	reluctance := opt.Reluctance
	if reluctance == nil {
		reluctance = rowsFirst
	}
	least := leastReluctance(members, reluctance) - 1
	if members, err = filterConflict(f, members, reluctance, least); err != nil {
		return nil, err
	}
	slices.SortFunc(members, compareBounds)
	return &Conflict{Members: members, Restricted: true}, nil
}

// heldBack drops what stands for a semi-continuous column's being zero at least, which is no limit of p.
func heldBack(p *Problem, members []Bound) []Bound {
	kept := members[:0]
	for _, b := range members {
		if b.Row || p.Columns[b.Index].Kind != SemiContinuous || b.Side != LowerSide {
			kept = append(kept, b)
		}
	}
	return kept
}

// changeableBounds lists the limits that can be left out of a program with restrictions: the bounds of
// columns that are not continuous are part of what they are, and stay.
func (p *Problem) changeableBounds() []Bound {
	var bounds []Bound
	for _, b := range p.everyBound() {
		if b.Row || p.Columns[b.Index].Kind == Continuous {
			bounds = append(bounds, b)
		}
	}
	return bounds
}

// restrictedFinder is a conflictFinder by branch and bound: all that is left is the conflict.
type restrictedFinder struct {
	ctx               context.Context
	original, problem *Problem
	left              []Bound
}

func (f *restrictedFinder) conflict() ([]Bound, error) {
	s, err := Solve(f.ctx, f.problem, Options{})
	switch {
	case err != nil:
		return nil, err
	case f.ctx.Err() != nil:
		return nil, f.ctx.Err()
	case s.Status == Optimal:
		return nil, nil
	case s.Status != Infeasible:
		return nil, errUndecided
	}
	return append([]Bound{}, f.left...), nil
}

func (f *restrictedFinder) drop(b Bound) {
	f.move(b, Inf)
	kept := make([]Bound, 0, len(f.left))
	for _, other := range f.left {
		if other != b {
			kept = append(kept, other)
		}
	}
	f.left = kept
}

func (f *restrictedFinder) restore(b Bound) {
	lower, upper := f.original.bounds(b.Variable)
	if b.Side == LowerSide {
		f.move(b, *lower)
	} else {
		f.move(b, *upper)
	}
	f.left = append(f.left, b)
}

// move sets a bound; an infinite value stands for its absence on either side.
func (f *restrictedFinder) move(b Bound, value float64) {
	lower, upper := f.problem.bounds(b.Variable)
	switch {
	case b.Side == UpperSide:
		*upper = value
	case value == Inf:
		*lower = -Inf
	default:
		*lower = value
	}
}
