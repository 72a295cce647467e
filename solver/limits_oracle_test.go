package solver

import (
	"context"
	"fmt"
	"math/big"

	"bittersum/solver/internal/lp"
)

// What this file holds serves tests alone: the optimum as bounds move, in exact arithmetic, beside which the
// walks in floating point are held.

// limitWalk follows the optimum of a program as its bounds move with a parameter t (T. Gal,
// Postoptimal Analyses, Parametric Programming and Related Topics, 1979, chapter 3). At every
// break-point the dual simplex runs with bounds that drift: ties are settled for the t that follow,
// so that no step has length zero and none can cycle.
type limitWalk struct {
	d            *dictionary // a view of its own
	run          *run
	lower, upper []*big.Rat // the bounds at t = 0
	rates        rates
	t            *big.Rat
}

// newLimitWalk starts at t = 0 from an optimal dictionary with the given bounds; it takes d over.
func newLimitWalk(d *dictionary, r *run, lower, upper []*big.Rat, rates rates) *limitWalk {
	w := &limitWalk{d: d, run: r, lower: lower, upper: upper, rates: rates, t: new(big.Rat)}
	d.setBoundDrift(rates.lower, rates.upper)
	for j, v := range d.cobasis {
		// A fixed variable whose bounds part company rests at the one that its reduced cost asks for.
		if d.lower[v] != nil && d.upper[v] != nil && d.lower[v].Cmp(d.upper[v]) == 0 && !d.fixed(v) {
			d.place[v] = AtLower
			if d.costSign(j) < 0 {
				d.place[v] = AtUpper
			}
		}
	}
	d.refreshDrift()
	return w
}

// settle makes the dictionary optimal for all t a little beyond the present one. It is blocked if
// there is no feasible point beyond.
func (w *limitWalk) settle() ending {
	if w.d.crossed() >= 0 {
		return blocked
	}
	end, _ := w.d.dual(w.run, true)
	return end
}

// end is how far t can grow before the settled basis is infeasible.
type end struct {
	length *big.Rat // nil is infinite
	row    int      // whose variable then meets a bound; -1 if two bounds of one variable meet
	at     Place    // the bound that it meets
	tied   bool     // other basic variables rest at a bound there as well
}

// reach returns how far t can grow.
func (w *limitWalk) reach() end {
	d := w.d
	found := end{row: -1}
	var gap, drift, leastGap, leastDrift, left, right big.Int
	consider := func(i int, at Place) {
		c := -1
		if leastDrift.Sign() != 0 {
			c = left.Mul(&gap, &leastDrift).CmpAbs(right.Mul(&leastGap, &drift))
		}
		if c < 0 {
			found.row, found.at, found.tied = i, at, false
			leastGap.Set(&gap)
			leastDrift.Set(&drift)
		}
		found.tied = found.tied || c == 0
	}
	resting := false
	for i, v := range d.head {
		for _, side := range [...]Place{AtLower, AtUpper} {
			if d.bound(v, side) == nil {
				continue
			}
			d.roomDrift(i, side, &drift)
			if drift.Sign() > 0 {
				continue
			}
			d.roomGap(i, side, &gap)
			if drift.Sign() < 0 {
				consider(i, side)
			} else {
				resting = resting || gap.Sign() == 0
			}
		}
	}
	for v := range d.place {
		if d.lower[v] != nil && d.upper[v] != nil && !sameDrift(d.lowerDrift[v], d.upperDrift[v]) {
			gap.Sub(d.upper[v], d.lower[v])
			gap.Mul(&gap, d.value.over)
			drift.Sub(orZero(d.upperDrift[v]), orZero(d.lowerDrift[v]))
			drift.Mul(&drift, d.drift.over)
			if drift.Sign() < 0 {
				consider(-1, Zero)
			}
		}
	}
	found.tied = found.tied || resting
	if leastDrift.Sign() != 0 {
		leastGap.Mul(&leastGap, left.Mul(d.drift.over, d.driftUnit))
		leastDrift.Mul(&leastDrift, right.Mul(d.value.over, d.boundUnit))
		found.length = new(big.Rat).SetFrac(&leastGap, leastDrift.Neg(&leastDrift))
	}
	return found
}

// move advances t by length.
func (w *limitWalk) move(length *big.Rat) {
	w.t = new(big.Rat).Add(w.t, length)
	w.d.setBounds(along(w.lower, w.rates.lower, w.t), along(w.upper, w.rates.upper, w.t))
	w.d.refresh()
}

// slopes returns the rate at which every variable moves with t.
func (w *limitWalk) slopes() []*big.Rat {
	d := w.d
	slopes := make([]*big.Rat, len(d.place))
	unit := new(big.Int).Mul(d.drift.over, d.driftUnit)
	for i, v := range d.head {
		slopes[v] = d.measured(v, &d.drift.entries[i], unit)
	}
	for _, v := range d.cobasis {
		slopes[v] = d.measured(v, orZero(d.boundDrift(v, d.place[v])), d.driftUnit)
	}
	return slopes
}

// slope returns the rate at which the minimised objective moves with t.
func (w *limitWalk) slope() *big.Rat {
	d := w.d
	var total, product big.Int
	for j, v := range d.cobasis {
		if drift := d.boundDrift(v, d.place[v]); drift != nil && drift.Sign() != 0 {
			total.Add(&total, product.Mul(drift, &d.cost.reduced.entries[j]))
		}
	}
	unit := new(big.Int).Mul(d.cost.reduced.over, d.driftUnit)
	return new(big.Rat).SetFrac(&total, unit.Mul(unit, d.cost.unit))
}

// bends reports what happens at the end of the reach without going there: whether the objective's
// slope changes, and whether the program is infeasible beyond. It returns sure false if a tie hides
// the answer.
func (w *limitWalk) bends(e end) (bends, infeasible, sure bool) {
	if e.row < 0 {
		return true, true, true
	}
	column := w.d.dualRatio(e.row, e.at, true, false)
	if column < 0 {
		return true, true, true
	}
	return w.d.costSign(column) != 0, false, !e.tied
}

// settleInPlace is settle as long as no variable moves; it returns false once one has to.
func (w *costWalk) settleInPlace() (stays bool, end ending) {
	d := w.d
	for count := 0; ; count++ {
		column := d.entering(count > greedyPivots*(len(d.head)+len(d.cobasis)))
		if column < 0 {
			return true, settled
		}
		direction := d.improving(column)
		s := d.primalRatio(column, direction)
		if s == nil || s.gap.Sign() > 0 {
			return false, settled
		}
		if !w.run.spend() {
			return false, stopped
		}
		d.advance(column, direction)
	}
}

// Move is a bound that moves with a parameter t: by Rate, in the bound's own unit, per unit of t.
type Move struct {
	Bound Bound
	Rate  float64
}

// ParametricLimits returns the optimal objective of a linear program as a function of t while bounds
// move with t, for t from from <= 0 to to >= 0, which may be infinite. The present program is t = 0. It
// begins from the basis of s, an outcome of Solve or nil.
//
// The curve ends early where the program becomes infeasible; two sides of a row that cross make it so.
// It is convex when minimising and concave when maximising. The work is done in exact arithmetic, as
// Prove does it. An error means that the moves are malformed, that p is not a linear program with an
// optimum, or that the context ended.
func ParametricLimits(ctx context.Context, p *Problem, s *Solution, moves []Move, from, to float64) (*Curve, error) {
	if err := checkSpan(from, to); err != nil {
		return nil, err
	}
	d, r, err := settledDictionary(ctx, p, s)
	if err != nil {
		return nil, err
	}
	e := d.program
	motion := e.noRates()
	for _, move := range moves {
		if err := p.checkMove(move); err != nil {
			return nil, err
		}
		motion.add(e.number(move.Bound.Variable), move.Bound.Side, Decimal(move.Rate))
	}
	walk := func(rates rates, end float64) ([]*exactPiece, Status, error) {
		w := newLimitWalk(d.view(), r, e.lower, e.upper, rates)
		return w.pieces(exactBound(end))
	}
	return assemble(ctx, e, from, to, func(end float64) ([]*exactPiece, Status, error) {
		if end < 0 {
			return walk(motion.negated(), -end)
		}
		return walk(motion, end)
	})
}

// checkMove returns an error unless the move is of bounds that exist and are finite.
func (p *Problem) checkMove(move Move) error {
	lower, upper := p.bounds(move.Bound.Variable)
	switch {
	case lower == nil:
		return fmt.Errorf("solver: there is no variable %+v", move.Bound.Variable)
	case Decimal(move.Rate) == nil:
		return fmt.Errorf("solver: the rate of a move is %v", move.Rate)
	case move.Bound.Side != UpperSide && *lower <= -Huge, move.Bound.Side != LowerSide && *upper >= Huge:
		return fmt.Errorf("solver: the %v bound of %+v is infinite and cannot move", move.Bound.Side, move.Bound.Variable)
	}
	return nil
}

// pieces walks until the given end, nil for ever, and says what stopped it.
func (w *limitWalk) pieces(end *big.Rat) ([]*exactPiece, Status, error) {
	var pieces []*exactPiece
	for {
		switch w.settle() {
		case blocked:
			return pieces, Infeasible, nil
		case stopped:
			return nil, Limit, w.run.ctx.Err()
		}
		e := w.d.program
		piece := &exactPiece{
			from: w.t, anchor: w.t, x: w.d.worths(), rate: w.slopes(), slope: e.minimized(w.slope()),
			basis: w.d.basis(), prices: w.d.prices(),
		}
		piece.objective = e.objective(piece.x[:e.columns])
		piece.drift = zeros(len(piece.x))
		pieces = append(pieces, piece)
		length := w.reach().length
		if done := piece.close(length, end); done {
			return pieces, Optimal, nil
		}
		w.move(length)
	}
}

// number gives a variable its place among all: columns first, then rows.
func (e *exactProgram) number(v Variable) int {
	if v.Row {
		return e.columns + v.Index
	}
	return v.Index
}

// rates holds the rate at which every bound moves with a parameter; nil stands for zero.
type rates struct {
	lower, upper []*big.Rat
}

func (e *exactProgram) noRates() rates {
	n := e.columns + e.rows
	return rates{make([]*big.Rat, n), make([]*big.Rat, n)}
}

func (r rates) add(v int, side Side, rate *big.Rat) {
	if side != UpperSide {
		r.lower[v] = sum(r.lower[v], rate)
	}
	if side != LowerSide {
		r.upper[v] = sum(r.upper[v], rate)
	}
}

func (r rates) negated() rates {
	flip := func(x []*big.Rat) []*big.Rat {
		y := make([]*big.Rat, len(x))
		for v := range x {
			if x[v] != nil {
				y[v] = new(big.Rat).Neg(x[v])
			}
		}
		return y
	}
	return rates{flip(r.lower), flip(r.upper)}
}

func sum(a, b *big.Rat) *big.Rat {
	if a == nil {
		return b
	}
	return new(big.Rat).Add(a, b)
}

// crossed returns a variable whose lower bound exceeds its upper bound, drift included, or -1.
func (d *dictionary) crossed() int {
	for v := range d.place {
		if d.lower[v] == nil || d.upper[v] == nil {
			continue
		}
		c := d.lower[v].Cmp(d.upper[v])
		if c == 0 && d.lowerDrift != nil {
			c = orZero(d.lowerDrift[v]).Cmp(orZero(d.upperDrift[v]))
		}
		if c > 0 {
			return v
		}
	}
	return -1
}

// Find returns the piece that holds t, the left one at a break-point, or nil.
func (c *Curve) Find(t float64) *Piece {
	for k := range c.Pieces {
		if p := &c.Pieces[k]; p.From <= t && t <= p.To {
			return p
		}
	}
	return nil
}

// Find returns the piece that holds δ, the left one at a break-point, or nil.
func (p *Path) Find(delta float64) *PathPiece {
	for k := range p.Pieces {
		if piece := &p.Pieces[k]; piece.From <= delta && delta <= piece.To {
			return piece
		}
	}
	return nil
}

func newForm(p *Problem) *lp.Form {
	f := new(lp.Form)
	readForm(f, p)
	return f
}
