package solver

import "math"

// logicalStart makes every logical basic.
func (s *simplex) logicalStart() {
	for j := range s.n {
		s.rest(j)
	}
	for i := range s.m {
		s.head[i] = int32(s.n + i)
		s.place[s.n+i] = Basic
		s.weight[i] = 1
	}
	s.weightsKnown, s.fresh = true, true
}

// rest places variable v at the bound nearer to zero.
func (s *simplex) rest(v int) {
	l, u := s.lower[v], s.upper[v]
	switch {
	case math.IsInf(l, -1) && math.IsInf(u, 1):
		s.place[v], s.x[v] = Zero, 0
	case math.IsInf(u, 1) || !math.IsInf(l, -1) && math.Abs(l) <= math.Abs(u):
		s.place[v], s.x[v] = AtLower, l
	default:
		s.place[v], s.x[v] = AtUpper, u
	}
}

// settle brings the nonbasic variable v to where its place says, changing the place if there is no
// such bound.
func (s *simplex) settle(v int) {
	switch {
	case s.place[v] == AtLower && !math.IsInf(s.lower[v], -1):
		s.x[v] = s.lower[v]
	case s.place[v] == AtUpper && !math.IsInf(s.upper[v], 1):
		s.x[v] = s.upper[v]
	default:
		s.rest(v)
	}
}

// loadPlaces is loadBasis for the places of all variables in a row.
func (s *simplex) loadPlaces(places []Place) bool {
	return places != nil && s.loadBasis(&Basis{Columns: places[:s.n], Rows: places[s.n:]})
}

// loadBasis takes b over if its shape and number of basic variables fit.
func (s *simplex) loadBasis(b *Basis) bool {
	if b == nil || len(b.Columns) != s.n || len(b.Rows) != s.m {
		return false
	}
	basic := 0
	for _, places := range [2][]Place{b.Columns, b.Rows} {
		for _, q := range places {
			if q == Basic {
				basic++
			}
		}
	}
	if basic != s.m {
		return false
	}
	copy(s.place, b.Columns)
	copy(s.place[s.n:], b.Rows)
	k := 0
	for v, q := range s.place {
		if q == Basic {
			s.head[k] = int32(v)
			k++
		} else {
			s.settle(v)
		}
	}
	s.weightsKnown, s.fresh = false, false
	return true
}
