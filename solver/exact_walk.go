package solver

import "math/big"

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

// costWalk follows the optimum as the costs move with a parameter t, in the manner of limitWalk, by
// the primal simplex.
type costWalk struct {
	d    *dictionary
	run  *run
	cost []*big.Rat // at t = 0
	rate []*big.Rat
	t    *big.Rat
}

func newCostWalk(d *dictionary, r *run, cost, rate []*big.Rat) *costWalk {
	w := &costWalk{d: d, run: r, cost: cost, rate: rate, t: new(big.Rat)}
	d.setCostDrift(rate)
	return w
}

// settle makes the dictionary optimal for all t a little beyond the present one. It is blocked if the
// objective has no limit beyond.
func (w *costWalk) settle() ending {
	end, _ := w.d.primal(w.run)
	return end
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

// reach returns how far t can grow before the settled basis is no longer optimal, nil for ever, and the
// column whose variable then has to move.
func (w *costWalk) reach() (length *big.Rat, column int) {
	d := w.d
	column = -1
	var left, right big.Int
	cost, rate := d.cost.reduced.entries, d.costDrift.reduced.entries
	for j, v := range d.cobasis {
		price, drift := &cost[j], &rate[j]
		towards := drift.Sign() < 0 // for a variable at its lower bound
		if d.place[v] == AtUpper {
			towards = drift.Sign() > 0
		}
		if !towards || d.fixed(v) {
			continue
		}
		if column >= 0 {
			left.Mul(price, &rate[column])
			if left.CmpAbs(right.Mul(&cost[column], drift)) >= 0 {
				continue
			}
		}
		column = j
	}
	if column < 0 {
		return nil, -1
	}
	left.Mul(d.costDrift.reduced.over, d.costDrift.unit)
	left.Mul(&left, &cost[column])
	right.Mul(d.cost.reduced.over, d.cost.unit)
	right.Mul(&right, &rate[column])
	length = new(big.Rat).SetFrac(&left, &right)
	return length.Abs(length), column
}

// move advances t by length.
func (w *costWalk) move(length *big.Rat) {
	w.t = new(big.Rat).Add(w.t, length)
	w.d.setCosts(along(w.cost, w.rate, w.t))
}

// objective returns the objective at x, in the problem's own sense, and its derivative with t.
func (w *costWalk) objective(x []*big.Rat) (value, slope *big.Rat) {
	e := w.d.program
	slope = new(big.Rat)
	for j, rate := range w.rate {
		slope.Add(slope, new(big.Rat).Mul(rate, x[j]))
	}
	slope = e.minimized(slope)
	value = new(big.Rat).Mul(slope, w.t)
	return value.Add(value, e.objective(x)), slope
}
