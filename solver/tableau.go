package solver

import "errors"

// tableau is the simplex tableau of one basis in the problem's own units, as stated: no scaling, costs
// in the problem's sense. Variables are the n columns followed by the m rows' logicals, with
// A x - s = 0.
type tableau struct {
	n, m    int
	head    []int     // basic variable by position
	place   []Place   // by variable
	value   []float64 // by variable
	dual    []float64 // by row
	reduced []float64 // reduced cost by variable; that of a logical is the dual value of its row
	s       *simplex
}

// newTableau factorises the basis b of p. The error says that b does not fit p or is singular.
func newTableau(p *Problem, b *Basis) (*tableau, error) {
	s := newSimplex(newForm(p))
	if !s.loadBasis(b) {
		return nil, errors.New("solver: the basis does not fit the problem")
	}
	if !s.refactor() {
		return nil, errors.New("solver: the basis is singular")
	}
	s.computePrimal()
	s.computeDual()
	t := &tableau{n: s.n, m: s.m, s: s, place: s.place}
	t.head = make([]int, s.m)
	for k, v := range s.head {
		t.head[k] = int(v)
	}
	sign := 1.0
	if p.Sense == Maximize {
		sign = -1
	}
	t.value = make([]float64, s.n+s.m)
	t.reduced = make([]float64, s.n+s.m)
	for v, u := range s.scaling.unit {
		t.value[v] = s.x[v] * u
		t.reduced[v] = sign * s.d[v] / (u * s.scaling.cost)
	}
	t.dual = t.reduced[s.n:]
	return t, nil
}

// row returns row r of B⁻¹ (A, -I) by variable, zero at basic ones. A step dx of the nonbasic variables
// changes the basic variable of position r by -row·dx.
func (t *tableau) row(r int) []float64 {
	s := t.s
	rho := &s.row
	rho.clear()
	rho.value[r] = 1
	rho.index = append(rho.index, int32(r))
	s.factor.solveTransposed(rho, false)
	s.price(rho)
	row := make([]float64, t.n+t.m)
	unit := s.scaling.unit[t.head[r]]
	for _, v := range s.alpha.index {
		if s.place[v] != Basic {
			row[v] = s.alpha.value[v] * unit / s.scaling.unit[v]
		}
	}
	rho.clear()
	return row
}

// column returns B⁻¹ times the column of variable v, by position. A step of v by t changes the basic
// variables by -t times it.
func (t *tableau) column(v int) []float64 {
	s := t.s
	b := &s.column
	b.clear()
	s.setColumn(b, v)
	s.factor.solve(b, false)
	column := make([]float64, t.m)
	for _, k := range b.index {
		column[k] = b.value[k] * s.scaling.unit[t.head[k]] / s.scaling.unit[v]
	}
	b.clear()
	return column
}
