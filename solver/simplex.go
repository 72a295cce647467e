package solver

import (
	"math"
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
)

// simplex is the state of the bounded revised simplex method on the scaled problem
//
//	minimise cost·x subject to A x - s = 0, lower <= (x, s) <= upper,
//
// whose variables are the n columns followed by the m logicals s.
type simplex struct {
	n, m    int
	a       *matrix
	own     form // of a workspace that is used again
	store   []float64
	scaling scaling

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

	factor factor
	// weight holds the dual steepest edge weights by position; weightsKnown says they belong to head.
	weight       []float64
	weightsKnown bool
	devex        []float64 // primal reference weights by variable
	rating       []float64 // what entering maximises, by variable
	savedWeight  []float64 // by variable, while positions change

	row, column, tau, flips vector // by position
	alpha                   vector // pivot row by variable
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
}

// breakpoint is where a variable would meet a bound along a step.
type breakpoint struct {
	at    float64
	size  float64 // magnitude of the pivot
	which int32   // variable or position
	upper bool    // meets the upper bound
}

// newSimplex takes f over, scaling its matrix in place.
func newSimplex(f *form) *simplex {
	s := new(simplex)
	s.load(f)
	return s
}

// load makes s the state for f, whose matrix it scales in place, reusing storage.
func (s *simplex) load(f *form) {
	s.a, s.n, s.m = &f.a, f.a.columns, f.a.rows
	s.allocate()
	s.scaling.find(s.a, f.cost)
	for v := range f.lower {
		s.setBounds(v, f.lower[v], f.upper[v])
	}
	s.loadCosts(f.cost)
	s.boundsChanged = false
	s.degenerate = 0
}

// allocate makes every work array.
func (s *simplex) allocate() {
	n, m := s.n, s.m
	all := n + m
	s.store = resize(s.store, 11*all+2*m)
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
	s.head = resize(s.head, m)
	s.place = resize(s.place, all)
	s.factor.reset(m)
	for _, v := range [...]*vector{&s.row, &s.column, &s.tau, &s.flips} {
		v.reset(m)
	}
	s.alpha.reset(all)
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

// restoreCosts and restoreBounds undo perturbations and shifts.
func (s *simplex) restoreCosts() {
	if s.costChanged {
		copy(s.cost, s.trueCost)
		s.costChanged = false
	}
}

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

// setColumn puts the column of variable v into b, which must be clear.
func (s *simplex) setColumn(b *vector, v int) {
	if v >= s.n {
		b.value[v-s.n] = -1
		b.index = append(b.index, int32(v-s.n))
		return
	}
	for k := s.a.columnStart[v]; k < s.a.columnStart[v+1]; k++ {
		i := s.a.columnIndex[k]
		b.value[i] = s.a.columnValue[k]
		b.index = append(b.index, i)
	}
}

// addColumn adds t times the column of variable v to b, keeping b's index proper.
func (s *simplex) addColumn(b *vector, v int, t float64) {
	if v >= s.n {
		addEntry(b, int32(v-s.n), -t)
		return
	}
	for k := s.a.columnStart[v]; k < s.a.columnStart[v+1]; k++ {
		addEntry(b, s.a.columnIndex[k], t*s.a.columnValue[k])
	}
}

// vanishing stands for zero in an entry that is already listed.
const vanishing = 1e-100

func addEntry(b *vector, i int32, t float64) {
	old := b.value[i]
	if old == 0 {
		b.index = append(b.index, i)
	}
	if b.value[i] = old + t; b.value[i] == 0 {
		b.value[i] = vanishing
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
					addEntry(alpha, j, r*a.rowValue[k])
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
