package solver

// pastHope is the reason of a solve that ended at a bound that is enough.
const pastHope = "the bound is enough"

// How many iterations of the dual method lie between looks at its bound, and how many after a look whose estimate was
// not borne out.
const (
	boundEvery      = 2
	boundEveryAgain = 12
)

// beyond reports whether the search that wants this solve needs no more than the bound of the present basis, which
// it keeps. While the costs are the true ones, the value of the basis is that bound; whatever they are, prices of the
// rows make one in the problem's own units.
func (s *simplex) beyond() bool {
	p := s.problem
	if s.iterations < s.boundLook || s.boundsChanged {
		return false
	}
	s.boundLook = s.iterations + boundEvery
	value := 0.0
	for j, c := range s.trueCost[:s.n] {
		value += c * s.x[j]
	}
	value /= s.scaling.cost
	if p.Sense == Maximize {
		value = -value
	}
	if !s.options.hopeless(value + p.Offset) {
		return false
	}
	s.proven = p.boundOf(s.prices())
	if s.options.hopeless(s.proven) {
		return true
	}
	s.boundLook = s.iterations + boundEveryAgain
	return false
}

// prices returns the prices of the rows that the present reduced costs stand for, in the problem's own units.
func (s *simplex) prices() []float64 {
	y := make([]float64, s.m)
	for i := range y {
		if v := s.n + i; s.place[v] != Basic {
			y[i] = s.d[v] / (s.scaling.unit[v] * s.scaling.cost)
		}
	}
	return y
}
