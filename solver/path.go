package solver

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// Path is the optimal objective as one limit moves along a Direction, from basis to basis. Where the
// limit multiplies a linear form the pieces are rational functions, else straight lines. The objective is
// continuous, but for the limits at which such a form makes a basis singular (as when a row's last
// coefficient vanishes).
type Path struct {
	// Pieces run from the least δ to the greatest; each begins where the one before ends.
	Pieces []PathPiece
	// Low and High say what stops the path at its two ends: Optimal that the stated end was reached,
	// Infeasible or Unbounded that the problem is so beyond.
	Low, High Status
}

// PathPiece is an interval of δ on which one basis stays optimal. With τ = (δ-Anchor)/(1-Bend·(δ-Anchor))
// the objective is Objective + Slope·τ and the columns are X + Rate·τ all along the piece.
type PathPiece struct {
	From, To float64
	// ObjectiveFrom and ObjectiveTo are the optimal values at From and To.
	ObjectiveFrom, ObjectiveTo float64
	// XFrom and XTo are optimal columns there; nil at an infinite end.
	XFrom, XTo []float64

	Anchor, Objective, Slope, Bend float64
	X, Rate                        []float64

	// Basis is optimal all along; Entering and Leaving are the variables that it has and has not in
	// common with the piece before.
	Basis             *Basis
	Entering, Leaving []Variable
}

// At returns the objective and the columns at δ.
func (p *PathPiece) At(delta float64) (objective float64, x []float64) {
	tau := p.tau(delta)
	x = make([]float64, len(p.X))
	for j := range x {
		x[j] = p.X[j] + times(p.Rate[j], tau)
	}
	return p.Objective + times(p.Slope, tau), x
}

// times is a product in which nothing times infinity is nothing.
func times(rate, tau float64) float64 {
	if rate == 0 {
		return 0
	}
	return rate * tau
}

// SlopeAt returns the derivative of the objective at δ.
func (p *PathPiece) SlopeAt(delta float64) float64 {
	below := 1 - p.Bend*(delta-p.Anchor)
	return p.Slope / (below * below)
}

func (p *PathPiece) tau(delta float64) float64 {
	return (delta - p.Anchor) / (1 - p.Bend*(delta-p.Anchor))
}

// mostPieces bounds the length of a path, against a walk that makes no headway.
const mostPieces = 10000

// Follow returns the path of the optimum of p along d for δ from from <= 0 to to >= 0, either of which
// may be infinite. It begins from the optimal solution s, at δ = 0.
//
// It is the parametric simplex method for a right-hand side (S. I. Gass, T. Saaty, Naval Research
// Logistics Quarterly 2 (1955) 39-45) with the rank-one change of Sensitivity for a limit that multiplies
// a form: the ratio tests give the end of a basis, and a solve from that basis just beyond gives the next,
// whose span has to reach back to the break-point. So a degenerate break-point, where many bases meet, is
// one step. The work is done in floating point.
func Follow(ctx context.Context, p *Problem, s *Solution, d Direction, from, to float64) (*Path, error) {
	if s.Status != Optimal || s.Basis == nil || len(s.Basis.Columns) != len(p.Columns) || len(s.Basis.Rows) != len(p.Rows) {
		return nil, errNotBasic
	}
	if err := checkSpan(from, to); err != nil {
		return nil, err
	}
	if err := d.check(p); err != nil {
		return nil, err
	}
	path := &Path{Low: Optimal, High: Optimal}
	f := &follower{ctx: ctx, p: p, d: d, step: sideStep(p, d)}
	var down []PathPiece
	var err error
	if from < 0 {
		if down, path.Low, err = f.walk(s.Basis, -1, -from); err != nil {
			return nil, err
		}
	}
	for k := len(down) - 1; k >= 0; k-- {
		path.add(down[k])
	}
	if to > 0 {
		up, end, err := f.walk(s.Basis, +1, to)
		if err != nil {
			return nil, err
		}
		path.High = end
		for _, piece := range up {
			path.add(piece)
		}
	}
	for k := range path.Pieces {
		if k > 0 {
			piece := &path.Pieces[k]
			piece.Entering, piece.Leaving = exchangedVariables(path.Pieces[k-1].Basis, piece.Basis)
		}
	}
	return path, nil
}

// Advance returns the first piece of the path of Follow upwards, or downwards, until |δ| = end. Without a
// piece the status says what the problem is beyond s; with one it is Optimal.
func Advance(ctx context.Context, p *Problem, s *Solution, d Direction, up bool, end float64) (PathPiece, Status, error) {
	if s.Status != Optimal || s.Basis == nil || len(s.Basis.Columns) != len(p.Columns) || len(s.Basis.Rows) != len(p.Rows) {
		return PathPiece{}, Unproved, errNotBasic
	}
	if err := d.check(p); err != nil {
		return PathPiece{}, Unproved, err
	}
	sign := 1.0
	if !up {
		sign = -1
	}
	f := &follower{ctx: ctx, p: p, d: d, step: sideStep(p, d)}
	piece, status, err := f.next(s.Basis, sign, 0)
	if err != nil || status != Optimal {
		return piece, status, err
	}
	reached := piece.To
	if !up {
		reached = -piece.From
	}
	piece.cut(sign, math.Min(reached, end))
	return piece, Optimal, nil
}

func (d Direction) check(p *Problem) error {
	switch {
	case d.Row >= len(p.Rows), d.Row < 0 && (d.Column < 0 || d.Column >= len(p.Columns)):
		return fmt.Errorf("solver: there is no limit %+v", d)
	case d.Row < 0 && len(d.Terms) > 0:
		return errors.New("solver: the bounds of a column do not multiply a form")
	}
	return newTermChecker(len(p.Columns)).check(d.Terms)
}

// follower walks along one direction of one problem.
type follower struct {
	ctx  context.Context
	p    *Problem
	d    Direction
	step float64
}

// walk goes to the side of sign until δ = sign·end and says what stopped it. The pieces are in the order
// walked; each has From < To all the same.
func (f *follower) walk(basis *Basis, sign, end float64) ([]PathPiece, Status, error) {
	var pieces []PathPiece
	at := 0.0
	for len(pieces) < mostPieces {
		if f.ctx.Err() != nil {
			return nil, Limit, f.ctx.Err()
		}
		piece, status, err := f.next(basis, sign, at)
		if err != nil || status != Optimal {
			return pieces, status, err
		}
		reached := piece.To
		if sign < 0 {
			reached = -piece.From
		}
		done := reached >= end*(1-1e-12)
		if done {
			reached = end
		}
		piece.cut(sign, reached)
		pieces = append(pieces, piece)
		if done {
			return pieces, Optimal, nil
		}
		at, basis = reached, piece.Basis
	}
	return nil, Limit, errors.New("solver: the path has too many pieces")
}

// next returns the piece that begins at sign·at, given a basis that is optimal there or nearby.
func (f *follower) next(basis *Basis, sign, at float64) (PathPiece, Status, error) {
	if at == 0 {
		if v, err := basicSolution(f.p, basis); err == nil {
			if piece := f.piece(v, sign, 0, 0); piece.length() > f.step {
				return piece, Optimal, nil
			}
		}
	}
	// Beyond the break-point by less and less, until a basis reaches back to it.
	step := f.step
	if at > 0 {
		step = max(step, sideStep(move(f.p, f.d, sign*at), f.d))
	}
	var last PathPiece
	found, gap := false, math.Inf(1)
	var blocked Status
	for range 3 {
		moved := move(f.p, f.d, sign*(at+step))
		t, err := f.solve(moved, basis)
		if err != nil {
			return last, Unproved, err
		}
		switch t.Status {
		case Optimal:
			v, err := basicSolution(moved, t.Basis)
			if err != nil {
				break
			}
			span := v.span(f.d)
			back := -span.from
			if sign < 0 {
				back = span.to
			}
			piece := f.piece(v, sign, at, at+step)
			if back >= step*(1-1e-6) {
				return piece, Optimal, nil
			}
			if step-back < gap {
				last, found, gap = piece, true, step-back
			}
		case Infeasible, Unbounded:
			if !found {
				blocked = t.Status
			}
		case Limit:
			return last, Limit, f.ctx.Err()
		}
		step /= 10
	}
	switch {
	case found: // pieces shorter than what arithmetic can tell apart lie between
		return last, Optimal, nil
	case blocked != Unproved:
		return last, blocked, nil
	}
	return last, Unproved, errors.New("solver: no basis reaches back to a break-point of the path")
}

// solve solves the problem next to a break-point, in exact arithmetic where floating point does not settle.
func (f *follower) solve(moved *Problem, basis *Basis) (*Solution, error) {
	t, err := Solve(f.ctx, moved, Options{Start: basis, Feasibility: 1e-13})
	if err != nil || t.Status != Unproved {
		return t, err
	}
	proof, err := Prove(f.ctx, moved, t, Options{})
	if err != nil {
		return nil, err
	}
	return proof.Solution(), nil
}

// piece returns the piece of the vertex, which was computed at sign·anchor, from sign·start onwards.
func (f *follower) piece(v *vertex, sign, start, anchor float64) PathPiece {
	n := len(f.p.Columns)
	span := v.span(f.d)
	p := PathPiece{Anchor: sign * anchor, X: v.value[:n:n], Rate: make([]float64, n), Basis: v.basis, Slope: v.rate(f.d)}
	p.Objective = f.p.Value(p.X)
	if !v.slack(f.d) {
		if f.d.Row < 0 {
			p.Rate[f.d.Column] = f.d.Limit
		}
		if len(v.head) > 0 {
			if motion, err := v.motion(f.d); err == nil {
				p.Bend = motion.kappa
				for at, k := range v.head {
					if k < n {
						p.Rate[k] = motion.unit.AtVec(at) * motion.gain
					}
				}
			}
		}
	}
	if sign > 0 {
		p.From, p.To = start, anchor+span.to
	} else {
		p.From, p.To = -anchor+span.from, -start
	}
	return p
}

func (p *PathPiece) length() float64 { return p.To - p.From }

// cut ends the piece at sign·reached and evaluates it at both ends.
func (p *PathPiece) cut(sign, reached float64) {
	if sign > 0 {
		p.To = reached
	} else {
		p.From = -reached
	}
	end := func(delta float64) (float64, []float64) {
		if !math.IsInf(delta, 0) {
			return p.At(delta)
		}
		if p.Slope == 0 {
			return p.Objective, nil
		}
		return math.Inf(1) * p.Slope * math.Copysign(1, delta), nil
	}
	p.ObjectiveFrom, p.XFrom = end(p.From)
	p.ObjectiveTo, p.XTo = end(p.To)
}

// add appends a piece, or lengthens the last one when the new one goes on along its curve.
func (path *Path) add(piece PathPiece) {
	if n := len(path.Pieces); n > 0 && path.Pieces[n-1].continues(&piece) {
		last := &path.Pieces[n-1]
		last.To, last.ObjectiveTo, last.XTo = piece.To, piece.ObjectiveTo, piece.XTo
		return
	}
	path.Pieces = append(path.Pieces, piece)
}

// continues reports whether q lies on the curve of p, as far as rounding can tell.
func (p *PathPiece) continues(q *PathPiece) bool {
	for _, share := range []float64{0.5, 1} {
		length := q.length()
		if math.IsInf(length, 0) {
			length = 1 + math.Abs(q.From)
		}
		from := q.From
		if math.IsInf(from, 0) {
			from = q.To - length
		}
		delta := from + share*length
		if p.Bend*(delta-p.Anchor) >= 1 {
			return false
		}
		z, x := p.At(delta)
		w, y := q.At(delta)
		if !near(z, w) {
			return false
		}
		for j := range x {
			if !near(x[j], y[j]) {
				return false
			}
		}
	}
	return true
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*(1+math.Abs(a)+math.Abs(b)) }

// exchangedVariables lists the variables that are basic in only one of two bases.
func exchangedVariables(before, after *Basis) (entering, leaving []Variable) {
	compare := func(before, after []Place, variable func(int) Variable) {
		for k := range before {
			switch {
			case before[k] != Basic && after[k] == Basic:
				entering = append(entering, variable(k))
			case before[k] == Basic && after[k] != Basic:
				leaving = append(leaving, variable(k))
			}
		}
	}
	compare(before.Columns, after.Columns, ColumnVariable)
	compare(before.Rows, after.Rows, RowVariable)
	return entering, leaving
}
