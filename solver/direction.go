package solver

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// Direction moves one limit of a problem as a parameter δ grows from zero. With Row >= 0 the row's
// terms become a - δ·Terms and its sides b + δ·Limit: so a limit that stands on the right-hand side
// (Limit 1), and one that multiplies a linear form, as in content >= (lo + δ)·mass (Terms the form),
// both move by one unit. With Row < 0 the bounds of Column move by δ·Limit. Infinite bounds stay.
type Direction struct {
	Row, Column int
	Terms       []Term
	Limit       float64
	// Side says which of the two bounds moves by δ·Limit.
	Side Side
}

// OneSided is the slope of the optimal objective to one side of the present limit.
type OneSided struct {
	// Rate is the derivative of the optimal objective with respect to δ, taken in the direction of
	// growing δ on both sides.
	Rate float64
	// Delta is the δ up to which the basis behind Rate stays optimal, infinite when it does for ever.
	Delta float64
	// Empty says that the problem is infeasible at once to this side; Rate then means nothing.
	Empty bool
	// Basis is optimal from the present limit to Delta.
	Basis *Basis
}

// errNotBasic is returned for a solution without an optimal basis of the problem's shape.
var errNotBasic = errors.New("solver: sensitivity needs an optimal solution with a basis")

// Sensitivity returns the slopes of the optimal objective to both sides of a limit and how far each
// holds. At a degenerate vertex the two differ; the basis of each side is then found by solving a
// problem moved slightly to that side, never guessed.
//
// For a basis B whose row i changes by -δ·g the inverse changes by rank one (Sherman, Morrison 1950), so
// with u = B⁻¹e_i, κ = g_B·u, G = g·x and r the reduced costs of g as an objective, the basic values are
// x_B + u·θ with θ = δ(G+h)/(1-δκ), the reduced costs d_j + δ·y_i·r_j/(1-δκ), and the objective
// z + δ·y_i(G+h)/(1-δκ): the end of the basis is the first δ at which one of them changes sign.
func Sensitivity(ctx context.Context, p *Problem, s *Solution, d Direction) (down, up OneSided, err error) {
	if s.Status != Optimal || s.Basis == nil || len(s.Basis.Columns) != len(p.Columns) || len(s.Basis.Rows) != len(p.Rows) {
		return down, up, errNotBasic
	}
	span, err := spanOf(p, s, d)
	if err != nil {
		return down, up, err
	}
	if up, err = oneSided(ctx, p, s, d, span, +1); err != nil {
		return down, up, err
	}
	down, err = oneSided(ctx, p, s, d, span, -1)
	return down, up, err
}

// basisSpan is the interval of δ on which one basis stays optimal, and the objective's slope at δ = 0.
type basisSpan struct{ from, to, rate float64 }

// oneSided returns the slope to the side of sign. near is the span of the basis of s.
func oneSided(ctx context.Context, p *Problem, s *Solution, d Direction, near basisSpan, sign float64) (OneSided, error) {
	step := sideStep(p, d)
	end := near.to
	if sign < 0 {
		end = -near.from
	}
	if end > step {
		return OneSided{Rate: near.rate, Delta: sign * end, Basis: s.Basis}, nil
	}
	for range 6 {
		moved := move(p, d, sign*step)
		t, err := Solve(ctx, moved, Options{Start: s.Basis})
		if err != nil {
			return OneSided{}, err
		}
		switch t.Status {
		case Infeasible:
			return OneSided{Delta: 0, Empty: true}, nil
		case Optimal:
			span, err := spanOf(moved, t, d)
			if err != nil {
				return OneSided{}, err
			}
			// The span is measured from the moved limit; it must reach back to the present one.
			back, ahead := -span.from, span.to
			if sign < 0 {
				back, ahead = span.to, -span.from
			}
			if back >= step*(1-1e-6) {
				rate := (t.Objective - s.Objective) / (sign * step)
				if near := spanRate(p, t.Basis, d); !math.IsNaN(near) {
					rate = near
				}
				return OneSided{Rate: rate, Delta: sign * (step + ahead), Basis: t.Basis}, nil
			}
			step /= 16
		default:
			return OneSided{}, fmt.Errorf("solver: sensitivity: a neighbouring problem ended %s: %s", t.Status, t.Reason)
		}
	}
	return OneSided{}, errors.New("solver: sensitivity: no basis reaches back to the present limit")
}

// sideStep is a δ small against the limit that moves, and large against rounding.
func sideStep(p *Problem, d Direction) float64 {
	scale := 0.0
	if d.Row < 0 {
		scale = largestFinite(p.Columns[d.Column].Lower, p.Columns[d.Column].Upper)
	} else {
		scale = largestFinite(p.Rows[d.Row].Lower, p.Rows[d.Row].Upper)
		for _, g := range d.Terms {
			for _, t := range p.Rows[d.Row].Terms {
				if t.Column == g.Column && g.Value != 0 {
					scale = math.Max(scale, math.Abs(t.Value/g.Value))
				}
			}
		}
	}
	if scale == 0 {
		scale = 1
	}
	return 1e-6 * scale
}

func largestFinite(values ...float64) float64 {
	most := 0.0
	for _, v := range values {
		if math.Abs(v) < Huge {
			most = math.Max(most, math.Abs(v))
		}
	}
	return most
}

// move returns the problem at δ.
func move(p *Problem, d Direction, delta float64) *Problem {
	q := p.Clone()
	if d.Row < 0 {
		c := &q.Columns[d.Column]
		c.Lower, c.Upper = d.bounds(c.Lower, c.Upper, delta)
		return q
	}
	row := &q.Rows[d.Row]
	row.Lower, row.Upper = d.bounds(row.Lower, row.Upper, delta)
	for _, g := range d.Terms {
		found := false
		for n := range row.Terms {
			if row.Terms[n].Column == g.Column {
				row.Terms[n].Value -= delta * g.Value
				found = true
				break
			}
		}
		if !found {
			row.Terms = append(row.Terms, Term{g.Column, -delta * g.Value})
		}
	}
	return q
}

// bounds returns a pair of bounds moved to δ.
func (d Direction) bounds(lower, upper, delta float64) (float64, float64) {
	if d.Side != UpperSide {
		lower += delta * d.Limit
	}
	if d.Side != LowerSide {
		upper += delta * d.Limit
	}
	return lower, upper
}

// spanRate returns the slope of the objective at the present limit for basis b, or NaN.
func spanRate(p *Problem, b *Basis, d Direction) float64 {
	s, err := basicSolution(p, b)
	if err != nil {
		return math.NaN()
	}
	return s.rate(d)
}

// spanOf returns the span of the basis of s.
func spanOf(p *Problem, s *Solution, d Direction) (basisSpan, error) {
	b, err := basicSolution(p, s.Basis)
	if err != nil {
		return basisSpan{}, err
	}
	return b.span(d), nil
}
