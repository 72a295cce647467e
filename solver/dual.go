package solver

import (
	"math"

	"bittersum/solver/internal/lu"
)

// dual runs the dual simplex method with steepest edge pricing (Forrest and Goldfarb 1992, "Steepest
// edge simplex algorithms for linear programming") from any basis. Where reduced costs have the wrong
// sign and no bound to flip to, the costs are shifted, so that it ends primal feasible or with a proof
// that there is no feasible point; the caller restores the costs and goes on with the primal method.
func (s *simplex) dual() outcome {
	s.makeDualFeasible(startShift)
	if s.m >= lu.HyperMin && !s.costChanged {
		s.perturbCosts()
	}
	s.degenerate = 0
	for retries := 0; ; {
		if o := s.pause("dual"); o != running {
			return o
		}
		if s.factor.Full() {
			s.refreshDual()
		}
		p := s.leavingRow()
		if p < 0 {
			return finished
		}
		rho := &s.row
		rho.Clear()
		rho.Value[p] = 1
		rho.Index = append(rho.Index, p)
		s.factor.SolveTransposed(rho, true)
		if !s.weightHolds(p, rho) {
			s.iterations--

			continue
		}
		s.price(rho)
		r := s.head[p]
		excess := s.violation(r)
		q := s.enteringDual(excess)
		if q < 0 {
			if s.factor.Updates > s.options.updates {
				s.refreshDual()
				continue
			}
			s.keepProof(rho, excess > 0)
			return noPoint
		}
		column := &s.column
		column.Clear()
		s.setColumn(column, q)
		s.factor.Solve(column, true)
		alpha, seen := column.Value[p], s.alpha.Value[q]
		if math.Abs(alpha-seen) > 1e-7*(1+math.Abs(alpha)) || math.Abs(alpha) < lu.TinyPivot {
			if s.factor.Updates > 0 {
				s.refreshDual()
				continue
			}
			if retries++; retries > 3 || math.Abs(alpha) < lu.TinyPivot {
				return undecided
			}
			s.factor.Threshold = min(0.9, 3*s.factor.Threshold)
			s.refreshDual()
			continue
		}
		s.stepDual(p, q, rho)
		if s.options.hopeless != nil && s.beyond() {
			return hopeless
		}
	}
}

// leavingRow returns the position whose bound violation is largest for its weight, or -1.
func (s *simplex) leavingRow() int32 {
	best, chosen := 0.0, int32(-1)
	for p, v := range s.head {
		e := 0.0
		if x := s.x[v]; x < s.lower[v] {
			e = s.lower[v] - x
		} else if x > s.upper[v] {
			e = x - s.upper[v]
		}
		if e > s.primalTolerance && e*e > best*s.weight[p] {
			best, chosen = e*e/s.weight[p], int32(p)
		}
	}
	return chosen
}

// weightHolds compares the weight of position p with its true value, which the row gives for free. It
// corrects the weight and reports false if it was so wrong that another row might have been chosen.
func (s *simplex) weightHolds(p int32, rho *lu.Vector) bool {
	norm := 0.0
	for _, i := range rho.Index {
		norm += rho.Value[i] * rho.Value[i]
	}
	old := s.weight[p]
	s.weight[p] = norm
	return norm <= 4*old
}

// stepDual carries out one basis change: q enters at position p, whose row is rho.
func (s *simplex) stepDual(p int32, q int, rho *lu.Vector) {
	r := s.head[p]
	s.flipPassed()
	column := &s.column
	alpha := column.Value[p]

	// Reduced costs. A sign that the relaxed ratio test let slip is put right by shifting the cost.
	step := s.d[q] / alpha
	if upper := s.violation(r) > 0; upper != (step >= 0) && step != 0 {
		s.shiftCost(q, 0)

		step = 0
	}
	if step == 0 {
		s.degenerate++
	} else {
		s.degenerate = 0
		for _, v := range s.alpha.Index {
			s.d[v] -= step * s.alpha.Value[v]
			if s.wrongSign(int(v)) > 0 {
				s.shiftCost(int(v), harrisShift)
			}
		}
	}
	// Values.
	excess := s.violation(r)
	t := excess / alpha
	for _, i := range column.Index {
		s.x[s.head[i]] -= t * column.Value[i]
	}
	s.x[q] += t

	s.updateWeights(p, alpha, rho)
	s.swap(p, q, excess > 0)
	s.d[r] = -step
	if !s.factor.Update(p, alpha) {
		s.refreshDual()
	}
	if s.degenerate > 200+s.m/2 && s.degenerate%100 == 0 {
		s.perturbCosts()
	}
}

// flipPassed moves the boxed variables that the ratio test passed to their other bound.
func (s *simplex) flipPassed() {
	if len(s.passed) == 0 {
		return
	}
	b := &s.flips
	b.Clear()
	for _, v := range s.passed {
		t := s.upper[v] - s.lower[v]
		if s.place[v] == AtLower {
			s.place[v], s.x[v] = AtUpper, s.upper[v]
		} else {
			s.place[v], s.x[v] = AtLower, s.lower[v]
			t = -t
		}
		s.addColumn(b, int(v), t)
	}
	s.factor.Solve(b, false)
	for _, i := range b.Index {
		s.x[s.head[i]] -= b.Value[i]
	}
	s.passed = s.passed[:0]
}

// updateWeights applies the recurrence of Forrest and Goldfarb (1992, equation 16).
func (s *simplex) updateWeights(p int32, alpha float64, rho *lu.Vector) {
	tau := &s.tau
	tau.Clear()
	tau.Index = append(tau.Index, rho.Index...)
	for _, i := range rho.Index {
		tau.Value[i] = rho.Value[i]
	}
	s.factor.Solve(tau, false)
	own := s.weight[p]
	for _, i := range s.column.Index {
		if i == p {
			continue
		}
		k := s.column.Value[i] / alpha
		w := s.weight[i] + k*(k*own-2*tau.Value[i])
		s.weight[i] = max(w, 1e-4, k*k)
	}
	s.weight[p] = max(own/(alpha*alpha), 1e-4)
}

// refreshDual factorises anew and recomputes values and reduced costs, keeping shifts.
func (s *simplex) refreshDual() {

	s.refactor()
	s.computePrimal()
	s.computeDual()
	s.makeDualFeasible(harrisShift)
}

// makeDualFeasible flips boxed variables with a wrong sign and shifts the costs of the others.
func (s *simplex) makeDualFeasible(shift float64) {
	count, moved := s.dualInfeasibilities()
	if moved {
		s.computePrimal()
	}
	if count == 0 {
		return
	}
	for v, q := range s.place {
		if q != Basic && s.wrongSign(v) > s.dualTolerance {
			s.shiftCost(v, max(harrisShift, min(shift*(1+math.Abs(s.cost[v])), math.Abs(s.d[v]))))
		}
	}
}

// Shifts leave reduced costs a random share of these on the right side of zero, so that they do not tie.
const (
	startShift  = 1e-3 // at most, where a method starts; relative to the cost
	harrisShift = 1e-9 // after a ratio test that let a sign slip
	tieBreak    = 5e-7 // perturbation of all costs, relative
)

// shiftCost changes the cost of the nonbasic variable v so that its reduced cost has the right sign,
// at a distance from zero of the order of size.
func (s *simplex) shiftCost(v int, size float64) {
	d := 0.0
	if size > 0 && s.place[v] != Zero {
		d = size * (0.5 + s.next())
		if s.place[v] == AtUpper {
			d = -d
		}
	}
	s.cost[v] += d - s.d[v]
	s.d[v] = d
	s.costChanged = true
}

// perturbCosts moves the costs of nonbasic variables away from ties, each to the side that keeps its
// reduced cost feasible (Koberstein 2005, section 6.3.1).
func (s *simplex) perturbCosts() {
	for v, q := range s.place {
		if s.lower[v] == s.upper[v] || q == Zero || q == Basic {
			continue
		}
		t := (1 + math.Abs(s.cost[v])) * (1 + s.next()) * tieBreak
		if q == AtUpper {
			t = -t
		}
		s.cost[v] += t
		s.d[v] += t
	}
	s.costChanged = true
}

// keepProof stores the row as multipliers of an infeasible combination; negative turns its sign.
func (s *simplex) keepProof(rho *lu.Vector, above bool) {
	clear(s.proof)
	for _, i := range rho.Index {
		if above {
			s.proof[i] = -rho.Value[i]
		} else {
			s.proof[i] = rho.Value[i]
		}
	}
}

// dualPhaseOne looks for a dual feasible basis: the dual simplex method on the problem in which every
// bound is replaced by zero or one according to whether it is there, and a free variable by a wide box,
// has the optimum zero exactly if there is one (Koberstein 2005, section 4.2, after Pan 2004).
func (s *simplex) dualPhaseOne() outcome {
	for v := range s.lower {
		below, above := math.IsInf(s.lower[v], -1), math.IsInf(s.upper[v], 1)
		switch {
		case below && above:
			s.lower[v], s.upper[v] = -1000, 1000
		case above:
			s.lower[v], s.upper[v] = 0, 1
		case below:
			s.lower[v], s.upper[v] = -1, 0
		default:
			s.lower[v], s.upper[v] = 0, 0
		}
		if s.place[v] == Basic {
			continue
		}
		if s.d[v] < 0 {
			s.place[v], s.x[v] = AtUpper, s.upper[v]
		} else {
			s.place[v], s.x[v] = AtLower, s.lower[v]
		}
	}
	s.boundsChanged = true
	s.computePrimal()
	return s.dual()
}
