package solver

import "bittersum/solver/internal/lu"

// refactor computes the factors of the basis anew, repairing it if it is singular. It reports
// whether the basis stayed as it was.
func (s *simplex) refactor() bool {
	for p, v := range s.head {
		s.savedWeight[v] = s.weight[p]
	}
	rejected := s.factor.Factorize(s.a, s.head)
	for _, v := range rejected {
		s.rest(int(v))
	}
	for p, v := range s.head {
		if s.place[v] != Basic {
			s.place[v] = Basic
			s.savedWeight[v] = 1
		}
		s.weight[p] = s.savedWeight[v]
	}
	if !s.weightsKnown {
		for p := range s.weight {
			s.weight[p] = 1
		}
		s.weightsKnown = true
	}
	return len(rejected) == 0
}

// computePrimal finds the values of the basic variables from those of the nonbasic ones.
func (s *simplex) computePrimal() {
	b := &s.column
	clear(b.Value)
	a := s.a
	for j := range s.n {
		if s.place[j] == Basic || s.x[j] == 0 {
			continue
		}
		x := s.x[j]
		for k := a.ColumnStart[j]; k < a.ColumnStart[j+1]; k++ {
			b.Value[a.ColumnIndex[k]] -= a.ColumnValue[k] * x
		}
	}
	for i := range s.m {
		if v := s.n + i; s.place[v] != Basic {
			b.Value[i] += s.x[v]
		}
	}
	b.List()
	s.factor.Solve(b, false)
	for p, v := range s.head {
		s.x[v] = b.Value[p]
	}
	b.Clear()
}

// computeDual finds the reduced costs for the working costs.
func (s *simplex) computeDual() {
	y := &s.row
	clear(y.Value)
	for p, v := range s.head {
		y.Value[p] = s.cost[v]
	}
	s.reducedCosts(y, s.cost)
}

// reducedCosts turns the costs of the basic variables in y into multipliers, and sets d from them and
// the given costs (none for zeros).
func (s *simplex) reducedCosts(y *lu.Vector, cost []float64) {
	y.List()
	s.factor.SolveTransposed(y, false)
	a := s.a
	for j := range s.n {
		if s.place[j] == Basic {
			s.d[j] = 0
			continue
		}
		sum := 0.0
		if cost != nil {
			sum = cost[j]
		}
		for k := a.ColumnStart[j]; k < a.ColumnStart[j+1]; k++ {
			sum -= a.ColumnValue[k] * y.Value[a.ColumnIndex[k]]
		}
		s.d[j] = sum
	}
	for i := range s.m {
		v := s.n + i
		switch {
		case s.place[v] == Basic:
			s.d[v] = 0
		case cost != nil:
			s.d[v] = cost[v] + y.Value[i]
		default:
			s.d[v] = y.Value[i]
		}
	}
	y.Clear()
}

// restoreCosts undoes perturbations and shifts of costs.
func (s *simplex) restoreCosts() {
	if s.costChanged {
		copy(s.cost, s.trueCost)
		s.costChanged = false
	}
}

// restoreBounds undoes changes of bounds, and moves nonbasic variables to the true ones.
func (s *simplex) restoreBounds() {
	if !s.boundsChanged {
		return
	}
	copy(s.lower, s.trueLower)
	copy(s.upper, s.trueUpper)
	s.boundsChanged = false
	for v, q := range s.place {
		if q != Basic {
			s.settle(v)
		}
	}
}

// price sets alpha to rho·(A, -I) over the nonbasic variables; it may leave out columns that are fixed.
func (s *simplex) price(rho *lu.Vector) {
	alpha := &s.alpha
	alpha.Clear()
	a := s.a
	switch {
	case s.m < lu.HyperMin || 10*len(rho.Index) > s.m && 5*len(rho.Index) < 2*s.m:
		for _, i := range rho.Index {
			r := rho.Value[i]
			first, last := a.RowStart[i], s.movable.last(a, i)
			index := a.RowIndex[first:last]
			value := a.RowValue[first:last][:len(index)]
			for k, j := range index {
				alpha.Value[j] += r * value[k]
			}
			alpha.Value[s.n+int(i)] = -r
		}
		s.listAlpha()
	case 10*len(rho.Index) <= s.m:
		for _, i := range rho.Index {
			r := rho.Value[i]
			for k := a.RowStart[i]; k < s.movable.last(a, i); k++ {
				j := a.RowIndex[k]
				if s.place[j] != Basic {
					alpha.Add(j, r*a.RowValue[k])
				}
			}
			if v := int32(s.n) + i; s.place[v] != Basic {
				alpha.Value[v] = -r
				alpha.Index = append(alpha.Index, v)
			}
		}
	default:
		for j := range s.n {
			if s.place[j] == Basic {
				continue
			}
			sum := 0.0
			for k := a.ColumnStart[j]; k < a.ColumnStart[j+1]; k++ {
				sum += a.ColumnValue[k] * rho.Value[a.ColumnIndex[k]]
			}
			alpha.Value[j] = sum
		}
		for _, i := range rho.Index {
			alpha.Value[s.n+int(i)] = -rho.Value[i]
		}
		s.listAlpha()
	}
}

// listAlpha drops basic variables and rounding from alpha and lists the rest.
func (s *simplex) listAlpha() {
	alpha := &s.alpha
	index := alpha.Index[:len(alpha.Value)]
	count := 0
	for v, x := range alpha.Value {
		if x == 0 {
			continue
		}
		if s.place[v] == Basic || x < lu.Negligible && x > -lu.Negligible {
			alpha.Value[v] = 0
			continue
		}
		index[count] = int32(v)
		count++
	}
	alpha.Index = index[:count]
}
