package solver

import (
	"context"
	"math/big"
)

// ending says how a run of exact pivots ended.
type ending int8

const (
	settled ending = iota
	// blocked: nothing can enter (dual simplex) or leave (primal simplex).
	blocked
	// stopped: the context ended or the pivots ran out.
	stopped
)

// greedyPivots is how many pivots a run may choose by largest violation before it follows the least
// index rule, which cannot cycle (R. Bland, 1977) but is slow, in proportion to rows + columns.
const greedyPivots = 20

// run bounds a sequence of exact pivots.
type run struct {
	ctx    context.Context
	pivots int // how many are left; negative means no cap
}

func (r *run) spend() bool {
	if r.pivots == 0 || r.ctx.Err() != nil {
		return false
	}
	r.pivots--
	return true
}

// solve pivots to an optimal dictionary. It returns the row that cannot be met (blocked, row >= 0) or
// the column along which the objective has no limit (blocked, column >= 0).
func (d *dictionary) solve(r *run) (end ending, row, column int) {
	if d.dualFeasible() {
		end, row = d.dual(r, true)
		return end, row, -1
	}
	if end, row = d.dual(r, false); end != settled {
		return end, row, -1
	}
	end, column = d.primal(r)
	return end, -1, column
}

// costSign is the sign of a reduced cost, drift included.
func (d *dictionary) costSign(j int) int {
	if s := d.cost.reduced.entries[j].Sign(); s != 0 {
		return s
	}
	return d.costDriftSign(j)
}

func (d *dictionary) costDriftSign(j int) int { return d.costDrift.reduced.entries[j].Sign() }

// fixed reports whether a variable's bounds leave it no room, drift included.
func (d *dictionary) fixed(v int) bool {
	if d.lower[v] == nil || d.upper[v] == nil || d.lower[v].Cmp(d.upper[v]) != 0 {
		return false
	}
	return d.lowerDrift == nil || sameDrift(d.lowerDrift[v], d.upperDrift[v])
}

func sameDrift(a, b *big.Int) bool { return orZero(a).Cmp(orZero(b)) == 0 }

var noDrift big.Int

func orZero(x *big.Int) *big.Int {
	if x == nil {
		return &noDrift
	}
	return x
}

// improving returns the direction in which moving the nonbasic variable of column j improves the
// objective, or 0.
func (d *dictionary) improving(j int) int {
	v := d.cobasis[j]
	s := d.costSign(j)
	if s == 0 || d.fixed(v) {
		return 0
	}
	switch d.place[v] {
	case AtLower:
		if s > 0 {
			return 0
		}
	case AtUpper:
		if s < 0 {
			return 0
		}
	}
	return -s
}

func (d *dictionary) dualFeasible() bool {
	for j := range d.cobasis {
		if d.improving(j) != 0 {
			return false
		}
	}
	return true
}

// room computes how far the basic variable of row i is inside the bound at the given place: the gap
// in units of the basic values and its drift. It returns false if that bound is infinite.
func (d *dictionary) room(i int, at Place, gap, drift *big.Int) bool {
	if d.bound(d.head[i], at) == nil {
		return false
	}
	d.roomDrift(i, at, drift)
	d.roomGap(i, at, gap)
	return true
}

func (d *dictionary) roomGap(i int, at Place, gap *big.Int) {
	gap.Mul(d.bound(d.head[i], at), d.value.over)
	gap.Sub(&d.value.entries[i], gap)
	if at == AtUpper {
		gap.Neg(gap)
	}
}

func (d *dictionary) roomDrift(i int, at Place, drift *big.Int) {
	drift.Set(&d.drift.entries[i])
	if by := d.boundDrift(d.head[i], at); by != nil && by.Sign() != 0 {
		var own big.Int
		drift.Sub(drift, own.Mul(by, d.drift.over))
	}
	if at == AtUpper {
		drift.Neg(drift)
	}
}

func lexicographicSign(gap, drift *big.Int) int {
	if s := gap.Sign(); s != 0 {
		return s
	}
	return drift.Sign()
}

// violated returns a row whose basic variable lies outside a bound, and that bound, or -1: the one of
// largest violation, or of least variable index.
func (d *dictionary) violated(byIndex bool) (row int, at Place) {
	row = -1
	var gap, drift, worst, worstDrift big.Int
	for i := range d.head {
		for _, side := range [...]Place{AtLower, AtUpper} {
			if !d.room(i, side, &gap, &drift) || lexicographicSign(&gap, &drift) >= 0 {
				continue
			}
			better := row < 0
			switch {
			case better:
			case byIndex:
				better = d.head[i] < d.head[row]
			default:
				c := gap.Cmp(&worst)
				better = c < 0 || c == 0 && drift.Cmp(&worstDrift) < 0
			}
			if better {
				row, at = i, side
				worst.Set(&gap)
				worstDrift.Set(&drift)
			}
		}
	}
	return row, at
}

// dual runs the bounded dual simplex from a dictionary whose reduced costs have the right signs. With
// priced false it pays no regard to costs and merely seeks a feasible dictionary.
func (d *dictionary) dual(r *run, priced bool) (ending, int) {
	ties := &perturbation{d: d}
	defer ties.endCosts()
	for count := 0; ; count++ {
		byIndex := count > greedyPivots*(len(d.head)+len(d.cobasis))
		row, at := d.violated(byIndex)
		if row < 0 {
			return settled, -1
		}
		if !priced {
			ties.costs()
		}
		column := d.dualRatio(row, at, priced, byIndex)
		if column < 0 {
			return blocked, row
		}
		if !r.spend() {
			return stopped, -1
		}
		if ties.count(d.costSign(column) == 0) {
			ties.costs()
		}
		d.place[d.head[row]] = at
		d.pivot(row, column)
		d.refresh()
	}
}

// dualRatio returns the column to enter so that row's variable can return to its bound with all
// reduced costs keeping their signs, or -1 if nothing can move it there.
func (d *dictionary) dualRatio(row int, at Place, priced, byIndex bool) int {
	best := -1
	var left, right big.Int
	entries := d.table.row(row).entries
	for j, v := range d.cobasis {
		direction := entries[j].Sign() // of the variable, to raise the row's
		if direction == 0 || d.fixed(v) {
			continue
		}
		if at == AtUpper {
			direction = -direction
		}
		if d.place[v] == AtLower && direction < 0 || d.place[v] == AtUpper && direction > 0 {
			continue
		}
		if best < 0 {
			best = j
			continue
		}
		c := 0
		for _, reduced := range [...]*fractions{d.cost.reduced, d.costDrift.reduced} {
			if priced && c == 0 {
				left.Mul(&reduced.entries[j], &entries[best])
				c = left.CmpAbs(right.Mul(&reduced.entries[best], &entries[j]))
			}
		}
		if c == 0 {
			if byIndex {
				c = v - d.cobasis[best]
			} else {
				c = entries[best].CmpAbs(&entries[j])
			}
		}
		if c < 0 {
			best = j
		}
	}
	return best
}

// primal runs the bounded primal simplex from a feasible dictionary. When it is blocked the column is
// one along which the objective has no limit.
func (d *dictionary) primal(r *run) (ending, int) {
	ties := &perturbation{d: d}
	defer ties.endBounds()
	for count := 0; ; count++ {
		byIndex := count > greedyPivots*(len(d.head)+len(d.cobasis))
		column := d.entering(byIndex)
		if column < 0 {
			return settled, -1
		}
		if !r.spend() {
			return stopped, -1
		}
		moved, ok := d.advance(column, d.improving(column))
		if !ok {
			return blocked, column
		}
		if ties.count(!moved) {
			ties.bounds()
		}
	}
}

func (d *dictionary) entering(byIndex bool) int {
	best := -1
	cost, drift := d.cost.reduced.entries, d.costDrift.reduced.entries
	for j := range d.cobasis {
		if d.improving(j) == 0 {
			continue
		}
		better := best < 0
		switch {
		case better:
		case byIndex:
			better = d.cobasis[j] < d.cobasis[best]
		default:
			c := cost[j].CmpAbs(&cost[best])
			better = c > 0 || c == 0 && drift[j].CmpAbs(&drift[best]) > 0
		}
		if better {
			best = j
		}
	}
	return best
}

// step is a bound met on the way along a column.
type step struct {
	row        int // of the basic variable that meets it; -1 for the moving variable itself
	at         Place
	gap, drift big.Int // distance is gap / rate, up to a factor common to all steps along a column
	rate       big.Int
}

// advance moves the nonbasic variable of column q in the given direction until a bound stops it, and
// pivots. It returns whether any variable moved, and false if nothing stops it.
func (d *dictionary) advance(q, direction int) (moved, ok bool) {
	s := d.primalRatio(q, direction)
	if s == nil {
		return false, false
	}
	if s.row < 0 {
		d.place[d.cobasis[q]] = s.at
	} else {
		d.place[d.head[s.row]] = s.at
		d.pivot(s.row, q)
	}
	d.refresh()
	return s.gap.Sign() > 0, true
}

// primalRatio returns the nearest bound on the way, the one of least variable index among equals, or
// nil if there is none.
func (d *dictionary) primalRatio(q, direction int) *step {
	var best *step
	consider := func(s *step) {
		if best == nil {
			best = s
			return
		}
		c := compareSteps(s, best)
		if c < 0 || c == 0 && best.row >= 0 && (s.row < 0 || d.head[s.row] < d.head[best.row]) {
			best = s
		}
	}
	v := d.cobasis[q]
	column := d.table.column(q)
	if d.lower[v] != nil && d.upper[v] != nil {
		own := &step{row: -1, at: AtUpper}
		if direction < 0 {
			own.at = AtLower
		}
		own.rate.Set(column.over)
		own.gap.Sub(d.upper[v], d.lower[v])
		own.gap.Mul(&own.gap, d.value.over)
		if d.lowerDrift != nil {
			own.drift.Sub(orZero(d.upperDrift[v]), orZero(d.lowerDrift[v]))
			own.drift.Mul(&own.drift, d.drift.over)
		}
		consider(own)
	}
	for i := range d.head {
		sign := column.entries[i].Sign() * direction
		if sign == 0 {
			continue
		}
		s := &step{row: i, at: AtLower}
		if sign > 0 {
			s.at = AtUpper
		}
		if !d.room(i, s.at, &s.gap, &s.drift) {
			continue
		}
		s.rate.Abs(&column.entries[i])
		consider(s)
	}
	return best
}

func compareSteps(a, b *step) int {
	var left, right big.Int
	c := left.Mul(&a.gap, &b.rate).Cmp(right.Mul(&b.gap, &a.rate))
	if c == 0 {
		c = left.Mul(&a.drift, &b.rate).Cmp(right.Mul(&b.drift, &a.rate))
	}
	return c
}
