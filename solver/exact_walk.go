package solver

import "math/big"

// costWalk follows the optimum as the costs move with a parameter t, by the primal simplex (T. Gal,
// Postoptimal Analyses, Parametric Programming and Related Topics, 1979, chapter 3): at every break-point with
// costs that drift, so that ties are settled for the t that follow and none can cycle.
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
