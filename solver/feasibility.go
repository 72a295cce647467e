package solver

import "math"

// violation is how far variable v lies outside its bounds: negative below, positive above.
func (s *simplex) violation(v int32) float64 {
	x := s.x[v]
	if x < s.lower[v] {
		return x - s.lower[v]
	}
	if x > s.upper[v] {
		return x - s.upper[v]
	}
	return 0
}

// wrongSign is by how much the reduced cost of the nonbasic variable v has the wrong sign for its place.
func (s *simplex) wrongSign(v int) float64 {
	d := s.d[v]
	switch s.place[v] {
	case AtLower:
		if d < 0 && s.lower[v] < s.upper[v] {
			return -d
		}
	case AtUpper:
		if d > 0 && s.lower[v] < s.upper[v] {
			return d
		}
	case Zero:
		return math.Abs(d)
	}
	return 0
}

// infeasibilities returns the number and sum of bound violations beyond tolerance.
func (s *simplex) infeasibilities() (count int, sum float64) {
	for _, v := range s.head {
		if e := math.Abs(s.violation(v)); e > s.primalTolerance {
			count++
			sum += e
		}
	}
	return count, sum
}

// dualInfeasibilities moves boxed variables to the bound their reduced cost asks for, reports whether
// any moved, and counts the wrong signs that remain.
func (s *simplex) dualInfeasibilities() (count int, moved bool) {
	for v := range s.place {
		if s.place[v] == Basic || s.wrongSign(v) <= s.dualTolerance {
			continue
		}
		switch {
		case s.place[v] == AtLower && !math.IsInf(s.upper[v], 1):
			s.place[v], s.x[v] = AtUpper, s.upper[v]
			moved = true
		case s.place[v] == AtUpper && !math.IsInf(s.lower[v], -1):
			s.place[v], s.x[v] = AtLower, s.lower[v]
			moved = true
		default:
			count++
		}
	}
	return count, moved
}

// wrongSigns counts the reduced costs of the wrong sign.
func (s *simplex) wrongSigns() int {
	count := 0
	for v, q := range s.place {
		if q != Basic && s.wrongSign(v) > s.dualTolerance {
			count++
		}
	}
	return count
}
