package solver

import (
	"bittersum/solver/internal/lp"
	"bittersum/solver/internal/lu"
)

// outcome says how a run of simplex iterations ended.
type outcome int8

const (
	running   outcome = iota
	finished          // the method has nothing left to improve
	noPoint           // infeasible; simplex.proof holds the row multipliers
	noLimit           // unbounded; simplex.ray holds the direction
	halted            // a limit ran out; simplex.reason says which
	undecided         // the arithmetic did not settle
	hopeless          // simplex.proven is a bound that is enough for the search
)

// simplex is the state of the bounded revised simplex method on the scaled problem
//
//	minimise cost·x subject to A x - s = 0, lower <= (x, s) <= upper,
//
// whose variables are the n columns followed by the m logicals s.
type simplex struct {
	n, m    int
	a       *lu.Matrix
	own     lp.Form // of a workspace that is used again
	store   []float64
	scaling scaling
	movable movable

	trueLower, trueUpper, trueCost []float64
	// The working bounds and costs differ from the true ones while perturbed or shifted.
	lower, upper, cost         []float64
	boundsChanged, costChanged bool
	// fresh says that nothing is known yet: the basis to begin from is that of all logicals.
	fresh bool

	head  []int32 // basic variable by position
	place []Place
	x     []float64 // value by variable
	d     []float64 // reduced cost by variable

	factor lu.Factor
	// weight holds the dual steepest edge weights by position; weightsKnown says they belong to head.
	weight       []float64
	weightsKnown bool
	devex        []float64 // primal reference weights by variable
	rating       []float64 // what entering maximises, by variable
	savedWeight  []float64 // by variable, while positions change

	row, column, tau, flips lu.Vector // by position
	alpha                   lu.Vector // pivot row by variable
	candidate               []breakpoint
	passed                  []int32

	primalTolerance, dualTolerance float64
	finalPrimal, finalDual         float64

	proof []float64 // scaled row multipliers
	ray   []float64 // scaled direction

	*limits
	random uint64
	// degenerate counts iterations in a row without progress.
	degenerate int
	scratch    []float64
	assessed   assessment
	// problem is what is solved, in its own units; boundLook the iteration of the next look at the bound that the
	// dual method has reached, and proven that bound where it ends the solve.
	problem   *Problem
	boundLook int
	proven    float64
}

// breakpoint is where a variable would meet a bound along a step.
type breakpoint struct {
	at    float64
	size  float64 // magnitude of the pivot
	which int32   // variable or position
	upper bool    // meets the upper bound
}

// newSimplex takes f over, scaling its matrix in place.
func newSimplex(f *lp.Form) *simplex {
	s := new(simplex)
	s.load(f)
	return s
}

// load makes s the state for f, whose matrix it scales in place, reusing storage.
func (s *simplex) load(f *lp.Form) {
	s.a, s.n, s.m = &f.A, f.A.Columns, f.A.Rows
	s.movable = movable{}
	s.allocate()
	s.scaling.find(s.a, f.Cost)
	for v := range f.Lower {
		s.setBounds(v, f.Lower[v], f.Upper[v])
	}
	s.loadCosts(f.Cost)
	s.boundsChanged = false
	s.degenerate = 0
}

// allocate makes every work array.
func (s *simplex) allocate() {
	n, m := s.n, s.m
	all := n + m
	s.store = lu.Resize(s.store, 11*all+2*m)
	store := s.store
	next := func(k int) []float64 {
		part := store[:k:k]
		store = store[k:]
		return part
	}
	s.trueLower, s.trueUpper, s.trueCost = next(all), next(all), next(all)
	s.lower, s.upper, s.cost = next(all), next(all), next(all)
	s.x, s.d, s.devex, s.savedWeight = next(all), next(all), next(all), next(all)
	s.rating = next(all)
	s.weight, s.proof = next(m), next(m)
	clear(s.trueCost[n:])
	s.head = lu.Resize(s.head, m)
	s.place = lu.Resize(s.place, all)
	s.factor.Reset(m)
	for _, v := range [...]*lu.Vector{&s.row, &s.column, &s.tau, &s.flips} {
		v.Reset(m)
	}
	s.alpha.Reset(all)
}

// loadCosts scales the given costs of a minimisation.
func (s *simplex) loadCosts(cost []float64) {
	for j, c := range cost {
		s.trueCost[j] = c * s.scaling.unit[j] * s.scaling.cost
	}
	copy(s.cost, s.trueCost)
	s.costChanged = false
}

func (s *simplex) setBounds(v int, lower, upper float64) {
	u := 1 / s.scaling.unit[v]
	s.trueLower[v], s.trueUpper[v] = lower*u, upper*u
	s.lower[v], s.upper[v] = lower*u, upper*u
}

// crossed returns a variable whose bounds exclude each other, or -1.
func (s *simplex) crossed() int {
	for v, l := range s.trueLower {
		if l > s.trueUpper[v] {
			return v
		}
	}
	return -1
}

// setColumn puts the column of variable v into b, which must be clear.
func (s *simplex) setColumn(b *lu.Vector, v int) {
	if v >= s.n {
		b.Value[v-s.n] = -1
		b.Index = append(b.Index, int32(v-s.n))
		return
	}
	for k := s.a.ColumnStart[v]; k < s.a.ColumnStart[v+1]; k++ {
		i := s.a.ColumnIndex[k]
		b.Value[i] = s.a.ColumnValue[k]
		b.Index = append(b.Index, i)
	}
}

// addColumn adds t times the column of variable v to b, keeping b's index proper.
func (s *simplex) addColumn(b *lu.Vector, v int, t float64) {
	if v >= s.n {
		b.Add(int32(v-s.n), -t)
		return
	}
	for k := s.a.ColumnStart[v]; k < s.a.ColumnStart[v+1]; k++ {
		b.Add(s.a.ColumnIndex[k], t*s.a.ColumnValue[k])
	}
}

// swap makes q basic at position p in place of the variable there, which goes to the given bound.
func (s *simplex) swap(p int32, q int, upper bool) {
	r := s.head[p]
	switch {
	case upper:
		s.place[r], s.x[r] = AtUpper, s.upper[r]
	default:
		s.place[r], s.x[r] = AtLower, s.lower[r]
	}
	s.head[p] = int32(q)
	s.place[q] = Basic
	s.d[q] = 0
}

// pause counts an iteration and looks at the limits now and then.
func (s *simplex) pause(phase string) outcome {
	s.iterations++
	if s.iterations > s.cap {
		s.reason = "iteration limit"
		return halted
	}
	if s.options.Progress != nil && s.iterations%progressEvery == 0 {
		s.report(phase)
	}
	if (s.iterations&15 == 0 || s.m > 500) && s.expired() {
		return halted
	}
	return running
}

const progressEvery = 100

// next returns a number in [0, 1) of a fixed sequence (xorshift, Marsaglia 2003).
func (s *simplex) next() float64 {
	r := s.random
	r ^= r << 13
	r ^= r >> 7
	r ^= r << 17
	s.random = r
	return float64(r>>11) / (1 << 53)
}
