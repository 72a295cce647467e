package solver

import "math"

// enteringDual chooses the entering variable for a leaving one that lies excess outside its bounds, or
// returns -1 if nothing limits the step. It is the bound flipping test with Harris's tolerance
// (Maros 2003, "A generalized dual phase-2 simplex algorithm"; Harris 1973): boxed variables whose
// reduced cost changes sign are passed, and left in s.passed to be flipped, as long as the leaving row
// stays infeasible; among those within the tolerance of the last breakpoint the largest pivot wins.
func (s *simplex) enteringDual(excess float64) int {
	s.passed = s.passed[:0]
	s.collectDual(excess)
	points := s.candidate
	slope := math.Abs(excess)
	first := 0 // points before first are passed
	sorted := 0
	for first < len(points) {
		if first == sorted {
			sorted = s.bringForward(first)
		}
		slope -= points[first].size * (s.upper[points[first].which] - s.lower[points[first].which])
		if !(slope > s.primalTolerance) {
			break
		}
		first++
	}
	if len(points) == 0 {
		return -1
	}
	if first == len(points) {
		// Every candidate can be flipped and the row stays infeasible.
		return -1
	}
	limit := math.Inf(1)
	for k := first; k < len(points); k++ {
		limit = min(limit, points[k].at+s.dualTolerance/points[k].size)
	}
	chosen := first
	for k := first; k < len(points); k++ {
		if points[k].at <= limit && points[k].size > points[chosen].size {
			chosen = k
		}
	}
	// A pivot too small for comfort: an earlier breakpoint still improves.
	for k := first - 1; k >= 0 && points[chosen].size < 1e-5; k-- {
		if points[k].size > 10*points[chosen].size {
			chosen, first = k, k
		}
	}
	q := int(points[chosen].which)
	for k := range first {
		s.passed = append(s.passed, points[k].which)
	}
	return q
}

// collectDual lists the variables whose reduced cost moves towards zero.
func (s *simplex) collectDual(excess float64) {
	least := 1e-9
	if s.factor.Updates > 10 {
		least = 1e-7
	}
	points := s.candidate[:0]
	for _, v := range s.alpha.Index {
		a := s.alpha.Value[v]
		if excess < 0 {
			a = -a
		}
		if a < least && a > -least || s.lower[v] == s.upper[v] {
			continue
		}
		switch s.place[v] {
		case Basic:
			continue
		case AtLower:
			if a < 0 {
				continue
			}
		case AtUpper:
			if a > 0 {
				continue
			}
		}
		size := math.Abs(a)
		points = append(points, breakpoint{at: math.Abs(s.d[v]) / size, size: size, which: v})
	}
	s.candidate = points
}

// bringForward puts the candidates from first on that come soonest in order and returns where they
// end. The first few times it only finds the soonest, which is often enough.
func (s *simplex) bringForward(first int) int {
	points := s.candidate
	soonest := first
	for k := first + 1; k < len(points); k++ {
		if before(points[k], points[soonest]) {
			soonest = k
		}
	}
	points[first], points[soonest] = points[soonest], points[first]
	if first < 6 || len(points)-first < 12 {
		return first + 1
	}
	sortBreakpoints(points[first:])
	return len(points)
}
