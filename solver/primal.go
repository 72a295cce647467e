package solver

import (
	"math"

	"bittersum/solver/internal/lu"
)

// primal runs the primal simplex method with devex pricing (Harris 1973; Forrest and Goldfarb 1992)
// from any basis. While basic variables lie outside their bounds it minimises the sum of their
// violations; then it minimises the cost.
func (s *simplex) primal() outcome {
	s.resetDevex()
	phase := s.enterPhase()
	s.degenerate = 0
	for retries := 0; ; {
		if o := s.pause(phase.String()); o != running {
			return o
		}
		if s.factor.Full() {
			phase = s.refreshPrimal()
		}
		q := s.entering()
		if q < 0 {
			if s.factor.Updates > s.options.updates {
				phase = s.refreshPrimal()
				if q = s.entering(); q < 0 {
					return s.concludePrimal(phase)
				}
			} else {
				return s.concludePrimal(phase)
			}
		}
		column := &s.column
		column.Clear()
		s.setColumn(column, q)
		s.factor.Solve(column, true)
		if !s.pricedRight(q, phase) {
			if s.factor.Updates > 0 {
				phase = s.refreshPrimal()
				continue
			}
			if retries++; retries > 5 {
				return undecided
			}
			s.recomputePhase(phase)
			continue
		}
		var move primalStep
		if phase == reachPoint {
			move = s.stepToPoint(q)
		} else {
			move = s.stepWithin(q)
		}
		switch {
		case move.kind == stepUnlimited && s.factor.Updates > 0:
			phase = s.refreshPrimal()
			continue
		case move.kind == stepUnlimited && phase == reachPoint:
			return undecided
		case move.kind == stepUnlimited:
			s.keepRay(q)
			return noLimit
		case move.kind == stepPivot && math.Abs(column.Value[move.position]) < 1e-7 && s.factor.Updates > 0:
			phase = s.refreshPrimal()
			continue
		}
		phase = s.applyPrimal(q, move, phase)
	}
}

// phase is what the primal method is after.
type phase int8

const (
	reachPoint phase = iota
	reduceCost
)

func (p phase) String() string {
	if p == reachPoint {
		return "primal, phase one"
	}
	return "primal"
}

// primalStep is how far an entering variable moves and what stops it.
type primalStep struct {
	kind     stepKind
	length   float64 // at least zero
	position int32   // leaving position
	upper    bool    // the leaving variable goes to its upper bound
}

type stepKind int8

const (
	stepUnlimited stepKind = iota
	stepFlip
	stepPivot
)

// enterPhase finds which phase the present values call for and computes its reduced costs.
func (s *simplex) enterPhase() phase {
	p := reduceCost
	if count, _ := s.infeasibilities(); count > 0 {
		p = reachPoint
	}
	s.recomputePhase(p)
	return p
}

func (s *simplex) recomputePhase(p phase) {
	defer s.rateAll()
	if p == reduceCost {
		s.computeDual()
		return
	}
	y := &s.row
	clear(y.Value)
	for k, v := range s.head {
		y.Value[k] = s.slopeOf(v)
	}
	s.reducedCosts(y, nil)
}

// slopeOf is the derivative of the sum of violations with respect to variable v.
func (s *simplex) slopeOf(v int32) float64 {
	x := s.x[v]
	if x < s.lower[v]-s.primalTolerance {
		return -1
	}
	if x > s.upper[v]+s.primalTolerance {
		return 1
	}
	return 0
}

func (s *simplex) refreshPrimal() phase {
	s.refactor()
	s.computePrimal()
	return s.enterPhase()
}

func (s *simplex) resetDevex() {
	for v := range s.devex {
		s.devex[v] = 1
	}
}

// entering returns the nonbasic variable of largest weighted reduced cost, or -1.
func (s *simplex) entering() int {
	best, chosen := 0.0, -1
	for v, r := range s.rating {
		if r > best {
			best, chosen = r, v
		}
	}
	return chosen
}

// rate sets the rating of variable v: its squared reduced cost over its weight if it may enter, else
// zero.
func (s *simplex) rate(v int32) {
	d := s.d[v]
	s.rating[v] = 0
	if d <= s.dualTolerance && d >= -s.dualTolerance || s.lower[v] == s.upper[v] {
		return
	}
	switch s.place[v] {
	case Basic:
		return
	case AtLower:
		if d > 0 {
			return
		}
	case AtUpper:
		if d < 0 {
			return
		}
	}
	s.rating[v] = d * d / s.devex[v]
}

func (s *simplex) rateAll() {
	for v := range s.rating {
		s.rate(int32(v))
	}
}

// pricedRight compares the reduced cost of q with its value from the column just solved.
func (s *simplex) pricedRight(q int, p phase) bool {
	sum := 0.0
	if p == reduceCost {
		sum = s.cost[q]
		for _, i := range s.column.Index {
			sum -= s.cost[s.head[i]] * s.column.Value[i]
		}
	} else {
		for _, i := range s.column.Index {
			if g := s.slopeOf(s.head[i]); g != 0 {
				sum -= g * s.column.Value[i]
			}
		}
	}
	old := s.d[q]
	s.d[q] = sum
	s.rate(int32(q))
	return sum*old > 0 && math.Abs(sum) > s.dualTolerance && math.Abs(sum-old) <= 1e-3*(math.Abs(old)+1e-6)
}

// concludePrimal says what it means that no variable can enter.
func (s *simplex) concludePrimal(p phase) outcome {
	if p == reduceCost {
		return finished
	}
	y := &s.row
	clear(y.Value)
	for k, v := range s.head {
		y.Value[k] = s.slopeOf(v)
	}
	y.List()
	s.factor.SolveTransposed(y, false)
	clear(s.proof)
	for _, i := range y.Index {
		s.proof[i] = -y.Value[i]
	}
	y.Clear()
	return noPoint
}

// keepRay stores the direction in which the entering variable q moves for ever.
func (s *simplex) keepRay(q int) {
	s.ray = lu.Resize(s.ray, s.n+s.m)
	clear(s.ray)
	direction := s.direction(q)
	s.ray[q] = direction
	for _, i := range s.column.Index {
		s.ray[s.head[i]] = -direction * s.column.Value[i]
	}
}

func (s *simplex) direction(q int) float64 {
	if s.d[q] > 0 {
		return -1
	}
	return 1
}

// applyPrimal carries out a step of q and brings reduced costs, weights and factors up to date.
func (s *simplex) applyPrimal(q int, move primalStep, p phase) phase {
	column := &s.column
	changed := s.moveAlong(q, move, p)
	if move.kind == stepFlip {
		if s.place[q] == AtLower {
			s.place[q], s.x[q] = AtUpper, s.upper[q]
		} else {
			s.place[q], s.x[q] = AtLower, s.lower[q]
		}
		s.rate(int32(q))
		if len(changed.Index) > 0 {
			return s.reprice(changed)
		}
		return p
	}

	position := move.position
	alpha := column.Value[position]
	rho := &s.row
	rho.Clear()
	rho.Value[position] = 1
	rho.Index = append(rho.Index, position)
	s.factor.SolveTransposed(rho, true)
	s.price(rho)
	s.updateDevex(q, position, alpha)

	if len(changed.Index) > 0 {
		for _, i := range changed.Index {
			s.d[q] -= changed.Value[i] * column.Value[i]
		}
	}
	ratio := s.d[q] / alpha
	for _, v := range s.alpha.Index {
		s.d[v] -= ratio * s.alpha.Value[v]
	}
	if only := len(changed.Index) == 1 && changed.Index[0] == position; only {
		// The slope of the leaving variable goes to zero: its row serves again.
		g := changed.Value[position]
		for _, v := range s.alpha.Index {
			s.d[v] -= g * s.alpha.Value[v]
		}
		changed.Clear()
	}
	for _, v := range s.alpha.Index {
		s.rate(v)
	}
	r := s.head[position]
	if len(changed.Index) > 0 {
		s.subtractRow(changed)
	}
	s.swap(position, q, move.upper)
	s.d[r] = -ratio
	s.rate(r)
	s.rate(int32(q))
	if !s.factor.Update(position, alpha) {
		return s.refreshPrimal()
	}
	return s.afterPivot(p)
}

// moveAlong takes the step along the entering column q and returns by how much the slope of basic variables changes,
// by position; only in phase one does any.
func (s *simplex) moveAlong(q int, move primalStep, p phase) (changed *lu.Vector) {
	t := move.length * s.direction(q)
	if move.length > 0 {
		s.degenerate = 0
	} else {
		s.degenerate++
	}
	column := &s.column
	changed = &s.tau
	changed.Clear()
	for _, i := range column.Index {
		v := s.head[i]
		if p != reachPoint {
			s.x[v] -= t * column.Value[i]
			continue
		}
		old := s.slopeOf(v)
		s.x[v] -= t * column.Value[i]
		now := s.slopeOf(v)
		if move.kind == stepPivot && i == move.position {
			now = 0
		}
		if now != old {
			changed.Value[i] = now - old
			changed.Index = append(changed.Index, i)
		}
	}
	s.x[q] += t
	return changed
}

// afterPivot perturbs bounds where there was no progress for long, and goes over to the costs once a point is reached.
func (s *simplex) afterPivot(p phase) phase {
	if s.degenerate > 0 && s.degenerate%s.patience() == 0 {
		s.perturbBounds()
		if p == reachPoint {
			return s.enterPhase()
		}
	}
	if p == reachPoint {
		if count, _ := s.infeasibilities(); count == 0 {
			s.recomputePhase(reduceCost)
			return reduceCost
		}
	}
	return p
}

// patience is how many steps without progress are borne before bounds are perturbed.
func (s *simplex) patience() int { return 30 + s.m/20 }

// reprice corrects the phase one reduced costs for changed slopes at an unchanged basis.
func (s *simplex) reprice(changed *lu.Vector) phase {
	if count, _ := s.infeasibilities(); count == 0 {
		s.recomputePhase(reduceCost)
		return reduceCost
	}
	s.subtractRow(changed)
	return reachPoint
}

// subtractRow takes the combination of tableau rows that c holds from the reduced costs.
func (s *simplex) subtractRow(c *lu.Vector) {
	s.factor.SolveTransposed(c, false)
	s.price(c)
	for _, v := range s.alpha.Index {
		s.d[v] -= s.alpha.Value[v]
		s.rate(v)
	}
}

// updateDevex brings the reference weights to the basis in which q stands at position.
func (s *simplex) updateDevex(q int, position int32, alpha float64) {
	own := s.devex[q]
	for _, v := range s.alpha.Index {
		k := s.alpha.Value[v] / alpha
		if w := k * k * own; w > s.devex[v] {
			s.devex[v] = w
		}
	}
	w := max(own/(alpha*alpha), 1)
	s.devex[s.head[position]] = w
	if w > 1e7 {
		s.resetDevex()
		s.rateAll()
	}
}

// perturbBounds relaxes the bounds of basic variables by small random amounts, so that ties break.
func (s *simplex) perturbBounds() {
	for _, v := range s.head {
		l, u := s.lower[v], s.upper[v]
		if !math.IsInf(l, -1) {
			s.lower[v] = l - (1+math.Abs(l))*(1+s.next())*5e-7
		}
		if !math.IsInf(u, 1) {
			s.upper[v] = u + (1+math.Abs(u))*(1+s.next())*5e-7
		}
	}
	s.boundsChanged = true
}
