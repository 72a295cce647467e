package solver

import "math"

// newSolution makes a solution with room for every vector of an optimum, in few allocations.
func (s *simplex) newSolution() *Solution {
	n, m := s.n, s.m
	numbers := make([]float64, 2*n+2*m)
	places := make([]Place, n+m)
	copy(places, s.place)
	return &Solution{
		X:           numbers[:n:n],
		Activity:    numbers[n : n+m : n+m],
		Dual:        numbers[n+m : n+2*m : n+2*m],
		ReducedCost: numbers[n+2*m:],
		Basis:       &Basis{Columns: places[:n:n], Rows: places[n:]},
		Iterations:  s.iterations,
	}
}

// answer turns the outcome of a run into a solution in the problem's own units, or claims nothing if
// it does not stand up to the problem.
func (s *simplex) answer(p *Problem, o outcome) *Solution {
	switch o {
	case finished:
		return s.optimum(p)
	case noPoint:
		y := make([]float64, s.m)
		for i := range y {
			y[i] = s.proof[i] / s.scaling.unit[s.n+i]
		}
		solution := &Solution{Status: Infeasible, Farkas: y, Basis: s.basis(), Iterations: s.iterations}
		if !provesInfeasible(p, y) {
			solution.Status, solution.Farkas = Unproved, nil
			solution.Reason = "the proof of infeasibility does not hold in the problem's own units"
		}
		return solution
	case noLimit:
		ray := make([]float64, s.n)
		for j := range ray {
			ray[j] = s.ray[j] * s.scaling.unit[j]
		}
		tidyRay(p, ray)
		solution := &Solution{Status: Unbounded, Ray: ray, Basis: s.basis(), Iterations: s.iterations}
		if !provesUnbounded(p, ray) {
			solution.Status, solution.Ray = Unproved, nil
			solution.Reason = "the ray does not hold in the problem's own units"
		}
		return solution
	case hopeless:
		return &Solution{Status: Limit, Reason: pastHope, Bound: s.proven, Iterations: s.iterations}
	case halted:
		solution := &Solution{Status: Limit, Reason: s.reason, Basis: s.basis(), Iterations: s.iterations}
		s.restoreBounds()
		if s.factor.Ready {
			s.computePrimal()
		}
		x := make([]float64, s.n)
		for j := range x {
			x[j] = s.x[j] * s.scaling.unit[j]
		}
		solution.lastPoint(p, x, s.prices())
		return solution
	}
	return &Solution{Status: Unproved, Reason: s.reason, Basis: s.basis(), Iterations: s.iterations}
}

func (s *simplex) basis() *Basis {
	places := append([]Place(nil), s.place...)
	return &Basis{Columns: places[:s.n:s.n], Rows: places[s.n:]}
}

// tidyRay sets entries to zero that are rounding and point beyond a bound.
func tidyRay(p *Problem, ray []float64) {
	largest := 0.0
	for _, r := range ray {
		largest = max(largest, math.Abs(r))
	}
	for j, r := range ray {
		c := &p.Columns[j]
		if r != 0 && math.Abs(r) <= proofRounding*largest && (r < 0 && c.Lower > -Huge || r > 0 && c.Upper < Huge) {
			ray[j] = 0
		}
	}
}

// setPoint fills X, Activity and Objective from the present values.
func (s *simplex) setPoint(p *Problem, solution *Solution) {
	for j := range p.Columns {
		c := &p.Columns[j]
		x := s.x[j] * s.scaling.unit[j]
		// A value beyond a bound by less than the tolerance stands on it.
		if x < c.Lower && c.Lower-x <= 1e-12*(1+math.Abs(c.Lower)) {
			x = c.Lower
		} else if x > c.Upper && x-c.Upper <= 1e-12*(1+math.Abs(c.Upper)) {
			x = c.Upper
		}
		solution.X[j] = x
	}
	for i := range p.Rows {
		sum := 0.0
		for _, t := range p.Rows[i].Terms {
			sum += t.Value * solution.X[t.Column]
		}
		solution.Activity[i] = sum
	}
	solution.Objective = p.Value(solution.X)
}

// refineFrom is the dual residual, as a share of the largest cost, from which the dual values are computed
// once more for what the first time left.
const refineFrom = 1e-9

// optimum makes the optimal solution and its certificate.
func (s *simplex) optimum(p *Problem) *Solution {
	solution := s.newSolution()
	s.setPoint(p, solution)
	s.setDual(p, solution)
	s.judge(p, solution)
	if s.assessed.DualResidual > refineFrom*p.dearest() {
		s.refineDual()
		s.setDual(p, solution)
		s.judge(p, solution)
	}
	return solution
}

// dearest is the largest cost in magnitude.
func (p *Problem) dearest() float64 {
	dearest := 0.0
	for j := range p.Columns {
		dearest = max(dearest, math.Abs(p.Columns[j].Cost))
	}
	return dearest
}

// refineDual takes one step of iterative refinement on the dual values: what they leave of the costs of the
// basic variables is solved for and added. Where dual values are large beside the costs, digits are won so.
func (s *simplex) refineDual() {
	y := make([]float64, s.m)
	for i := range y {
		if v := s.n + i; s.place[v] != Basic {
			y[i] = s.d[v] - s.cost[v]
		}
	}
	rest := &s.row
	clear(rest.Value)
	for p, v := range s.head {
		sum := s.cost[v]
		if int(v) < s.n {
			for k := s.a.ColumnStart[v]; k < s.a.ColumnStart[v+1]; k++ {
				sum -= s.a.ColumnValue[k] * y[s.a.ColumnIndex[k]]
			}
		} else {
			sum += y[int(v)-s.n]
		}
		rest.Value[p] = sum
	}
	rest.List()
	s.factor.SolveTransposed(rest, false)
	for i := range y {
		if v := s.n + i; s.place[v] != Basic {
			s.d[v] = s.cost[v] + y[i] + rest.Value[i]
		}
	}
	rest.Clear()
}

// setDual fills Dual and ReducedCost from the present prices.
func (s *simplex) setDual(p *Problem, solution *Solution) {
	sign := 1.0
	if p.Sense == Maximize {
		sign = -1
	}
	for j := range p.Columns {
		solution.ReducedCost[j] = p.Columns[j].Cost
	}
	for i := range p.Rows {
		v := s.n + i
		if s.place[v] == Basic {
			continue
		}
		y := sign * s.d[v] / (s.scaling.unit[v] * s.scaling.cost)
		solution.Dual[i] = y
		if y != 0 {
			for _, t := range p.Rows[i].Terms {
				solution.ReducedCost[t.Column] -= t.Value * y
			}
		}
	}
	for j, q := range solution.Basis.Columns {
		if q == Basic {
			solution.ReducedCost[j] = 0
		}
	}
}

// judge sets the status and the certificate of a solution that has its vectors.
func (s *simplex) judge(p *Problem, solution *Solution) {
	solution.Status, solution.Reason = Optimal, ""
	feasibility := s.options.Feasibility
	if feasibility == 0 {
		feasibility = 1e-9
	}
	if cap(s.scratch) < 2*s.n {
		s.scratch = make([]float64, 2*s.n)
	}
	a := assess(p, solution, feasibility, s.scratch[:2*s.n])
	solution.Certificate = a.Certificate
	s.assessed = a
	switch {
	case !(a.primalExcess <= 1):
		solution.Status, solution.Reason = Unproved, "a bound is overstepped in the problem's own units"
	case !(a.dualExcess <= 1):
		solution.Status, solution.Reason = Unproved, "a reduced cost has the wrong sign in the problem's own units"
	case !(a.gapExcess <= 1):
		solution.Status, solution.Reason = Unproved, "primal and dual objective differ"
	}
}
