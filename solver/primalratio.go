package solver

import "math"

// primalPivot is the smallest pivot the primal ratio tests consider.
const primalPivot = 1e-9

// stepWithin finds how far q can move while the basic variables stay within bounds: Harris's two passes
// (1973), of which the first finds the longest step with bounds relaxed by the tolerance and the
// second the largest pivot within it.
func (s *simplex) stepWithin(q int) primalStep {
	direction := s.direction(q)
	column := &s.column
	limit := math.Inf(1)
	for _, i := range column.Index {
		a := direction * column.Value[i]
		v := s.head[i]
		switch {
		case a > primalPivot:
			if l := s.lower[v]; l > math.Inf(-1) {
				limit = min(limit, (s.x[v]-l+s.primalTolerance)/a)
			}
		case a < -primalPivot:
			if u := s.upper[v]; u < math.Inf(1) {
				limit = min(limit, (s.x[v]-u-s.primalTolerance)/a)
			}
		}
	}
	span := s.upper[q] - s.lower[q]
	if span <= limit {
		if math.IsInf(span, 1) {
			return primalStep{}
		}
		return primalStep{kind: stepFlip, length: span}
	}
	chosen := primalStep{}
	size := 0.0
	for _, i := range column.Index {
		a := direction * column.Value[i]
		v := s.head[i]
		switch {
		case a > primalPivot:
			if l := s.lower[v]; l > math.Inf(-1) {
				if t := (s.x[v] - l) / a; t <= limit && a > size {
					size = a
					chosen = primalStep{kind: stepPivot, length: max(t, 0), position: i}
				}
			}
		case a < -primalPivot:
			if u := s.upper[v]; u < math.Inf(1) {
				if t := (s.x[v] - u) / a; t <= limit && -a > size {
					size = -a
					chosen = primalStep{kind: stepPivot, length: max(t, 0), position: i, upper: true}
				}
			}
		}
	}
	return chosen
}

// stepToPoint finds how far q should move to reduce the sum of violations most. The sum is convex and
// piecewise linear along the step; its slope rises by the pivot's magnitude wherever a basic variable
// meets a bound (Maros 1986, "A general phase-I method in linear programming").
func (s *simplex) stepToPoint(q int) primalStep {
	direction := s.direction(q)
	column := &s.column
	points := s.candidate[:0]
	largest := 0.0
	for _, i := range column.Index {
		a := direction * column.Value[i]
		size := math.Abs(a)
		if size <= primalPivot {
			continue
		}
		v := s.head[i]
		x, l, u := s.x[v], s.lower[v], s.upper[v]
		largest = max(largest, size)
		if a > 0 { // the variable falls
			if x > u+s.primalTolerance {
				points = append(points, breakpoint{at: (x - u) / size, size: size, which: i, upper: true})
			}
			if x >= l-s.primalTolerance && !math.IsInf(l, -1) {
				points = append(points, breakpoint{at: max(x-l, 0) / size, size: size, which: i})
			}
		} else {
			if x < l-s.primalTolerance {
				points = append(points, breakpoint{at: (l - x) / size, size: size, which: i})
			}
			if x <= u+s.primalTolerance && !math.IsInf(u, 1) {
				points = append(points, breakpoint{at: max(u-x, 0) / size, size: size, which: i, upper: true})
			}
		}
	}
	s.candidate = points
	span := s.upper[q] - s.lower[q]
	sortBreakpoints(points)
	slope := -math.Abs(s.d[q])
	last := -1
	for k, b := range points {
		if b.at > span {
			return primalStep{kind: stepFlip, length: span}
		}
		last = k
		slope += b.size
		if slope >= 0 {
			break
		}
	}
	if last < 0 {
		if math.IsInf(span, 1) {
			return primalStep{}
		}
		return primalStep{kind: stepFlip, length: span}
	}
	if slope < 0 && !math.IsInf(span, 1) {
		return primalStep{kind: stepFlip, length: span}
	}
	// Among the breakpoints within the tolerance of the last, and then among earlier ones if that is
	// too small, prefer a large pivot.
	chosen := last
	for k := last + 1; k < len(points) && points[k].at <= points[last].at+s.primalTolerance/points[k].size; k++ {
		if points[k].size > points[chosen].size {
			chosen = k
		}
	}
	for k := last - 1; k >= 0 && points[chosen].size < 1e-3*largest; k-- {
		if points[k].size > points[chosen].size {
			chosen = k
		}
	}
	b := points[chosen]
	return primalStep{kind: stepPivot, length: b.at, position: b.which, upper: b.upper}
}
