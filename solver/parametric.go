package solver

import (
	"context"
	"fmt"
	"math/big"
)

// ParametricCosts returns the optimal objective of a linear program as a function of t while the cost
// of column j moves by rates[j] per unit of t, for t from from <= 0 to to >= 0, which may be infinite.
// The present program is t = 0. It begins from the basis of s, an outcome of Solve or nil. The curve is
// concave when minimising and convex when maximising, X is constant on every piece, and the curve ends early
// where the program becomes unbounded. The work is done in exact arithmetic, as Prove does it. An error means
// that the rates are malformed, that p is not a linear program with an optimum, or that the context ended.
func ParametricCosts(ctx context.Context, p *Problem, s *Solution, rates []float64, from, to float64) (*Curve, error) {
	if err := checkSpan(from, to); err != nil {
		return nil, err
	}
	if len(rates) != len(p.Columns) {
		return nil, fmt.Errorf("solver: %d cost rates for %d columns", len(rates), len(p.Columns))
	}
	d, r, err := settledDictionary(ctx, p, s)
	if err != nil {
		return nil, err
	}
	e := d.program
	rate := make([]*big.Rat, len(rates))
	for j, v := range rates {
		if rate[j] = Decimal(v); rate[j] == nil {
			return nil, fmt.Errorf("solver: the cost rate of column %d is %v", j, v)
		}
		rate[j] = e.minimized(rate[j])
	}
	return assemble(ctx, e, from, to, func(end float64) ([]*exactPiece, Status, error) {
		if end < 0 {
			return newCostWalk(d.view(), r, e.cost, negatives(rate)).pieces(exactBound(-end))
		}
		return newCostWalk(d.view(), r, e.cost, rate).pieces(exactBound(end))
	})
}

func checkSpan(from, to float64) error {
	if !(from <= 0 && to >= 0) {
		return fmt.Errorf("solver: the parameter's span from %v to %v does not hold zero", from, to)
	}
	return nil
}

// assemble walks to both ends and joins what was found.
func assemble(ctx context.Context, e *exactProgram, from, to float64, walk func(end float64) ([]*exactPiece, Status, error)) (*Curve, error) {
	var down, up []*exactPiece
	curve := &Curve{Low: Optimal, High: Optimal}
	var err error
	if from < 0 {
		if down, curve.Low, err = walk(from); err != nil {
			return nil, err
		}
	}
	if to > 0 {
		if up, curve.High, err = walk(to); err != nil {
			return nil, err
		}
	}
	curve.Pieces = e.join(down, up)
	return curve, ctx.Err()
}

// close sets the piece's far end and reports whether the walk ends there.
func (p *exactPiece) close(length, end *big.Rat) bool {
	p.to = end
	if length == nil {
		return true
	}
	reached := new(big.Rat).Add(p.from, length)
	if end != nil && reached.Cmp(end) >= 0 {
		return true
	}
	p.to = reached
	return false
}

// pieces walks until the given end, nil for ever, and says what stopped it.
func (w *costWalk) pieces(end *big.Rat) ([]*exactPiece, Status, error) {
	var pieces []*exactPiece
	for {
		switch w.settle() {
		case blocked:
			return pieces, Unbounded, nil
		case stopped:
			return nil, Limit, w.run.ctx.Err()
		}
		e := w.d.program
		piece := &exactPiece{
			from: w.t, anchor: w.t, x: w.d.worths(), basis: w.d.basis(),
			prices: w.d.prices(), drift: w.d.priceDrift(),
		}
		piece.rate = zeros(len(piece.x))
		piece.objective, piece.slope = w.objective(piece.x[:e.columns])
		pieces = append(pieces, piece)
		length, _ := w.reach()
		if done := piece.close(length, end); done {
			return pieces, Optimal, nil
		}
		w.move(length)
	}
}
