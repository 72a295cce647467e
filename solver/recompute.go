package solver

// refactor computes the factors of the basis anew, repairing it if it is singular. It reports
// whether the basis stayed as it was.
func (s *simplex) refactor() bool {
	for p, v := range s.head {
		s.savedWeight[v] = s.weight[p]
	}
	rejected := s.factor.factorize(s.a, s.head)
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
	clear(b.value)
	a := s.a
	for j := range s.n {
		if s.place[j] == Basic || s.x[j] == 0 {
			continue
		}
		x := s.x[j]
		for k := a.columnStart[j]; k < a.columnStart[j+1]; k++ {
			b.value[a.columnIndex[k]] -= a.columnValue[k] * x
		}
	}
	for i := range s.m {
		if v := s.n + i; s.place[v] != Basic {
			b.value[i] += s.x[v]
		}
	}
	b.list()
	s.factor.solve(b, false)
	for p, v := range s.head {
		s.x[v] = b.value[p]
	}
	b.clear()
}

// computeDual finds the reduced costs for the working costs.
func (s *simplex) computeDual() {
	y := &s.row
	clear(y.value)
	for p, v := range s.head {
		y.value[p] = s.cost[v]
	}
	s.reducedCosts(y, s.cost)
}

// reducedCosts turns the costs of the basic variables in y into multipliers, and sets d from them and
// the given costs (none for zeros).
func (s *simplex) reducedCosts(y *vector, cost []float64) {
	y.list()
	s.factor.solveTransposed(y, false)
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
		for k := a.columnStart[j]; k < a.columnStart[j+1]; k++ {
			sum -= a.columnValue[k] * y.value[a.columnIndex[k]]
		}
		s.d[j] = sum
	}
	for i := range s.m {
		v := s.n + i
		switch {
		case s.place[v] == Basic:
			s.d[v] = 0
		case cost != nil:
			s.d[v] = cost[v] + y.value[i]
		default:
			s.d[v] = y.value[i]
		}
	}
	y.clear()
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

// price sets alpha to rho·(A, -I) over the nonbasic variables.
func (s *simplex) price(rho *vector) {
	alpha := &s.alpha
	alpha.clear()
	a := s.a
	switch {
	case s.m < hyperMin || 10*len(rho.index) > s.m && 5*len(rho.index) < 2*s.m:
		for _, i := range rho.index {
			r := rho.value[i]
			first, last := a.rowStart[i], a.rowStart[i+1]
			index := a.rowIndex[first:last]
			value := a.rowValue[first:last][:len(index)]
			for k, j := range index {
				alpha.value[j] += r * value[k]
			}
			alpha.value[s.n+int(i)] = -r
		}
		s.listAlpha()
	case 10*len(rho.index) <= s.m:
		for _, i := range rho.index {
			r := rho.value[i]
			for k := a.rowStart[i]; k < a.rowStart[i+1]; k++ {
				j := a.rowIndex[k]
				if s.place[j] != Basic {
					alpha.add(j, r*a.rowValue[k])
				}
			}
			if v := int32(s.n) + i; s.place[v] != Basic {
				alpha.value[v] = -r
				alpha.index = append(alpha.index, v)
			}
		}
	default:
		for j := range s.n {
			if s.place[j] == Basic {
				continue
			}
			sum := 0.0
			for k := a.columnStart[j]; k < a.columnStart[j+1]; k++ {
				sum += a.columnValue[k] * rho.value[a.columnIndex[k]]
			}
			alpha.value[j] = sum
		}
		for _, i := range rho.index {
			alpha.value[s.n+int(i)] = -rho.value[i]
		}
		s.listAlpha()
	}
}

// listAlpha drops basic variables and rounding from alpha and lists the rest.
func (s *simplex) listAlpha() {
	alpha := &s.alpha
	index := alpha.index[:len(alpha.value)]
	count := 0
	for v, x := range alpha.value {
		if x == 0 {
			continue
		}
		if s.place[v] == Basic || x < negligible && x > -negligible {
			alpha.value[v] = 0
			continue
		}
		index[count] = int32(v)
		count++
	}
	alpha.index = index[:count]
}
