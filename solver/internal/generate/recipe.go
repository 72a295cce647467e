package generate

import (
	"fmt"
	"math"
	"sort"

	"bittersum/solver"
)

// Recipe returns a random least-cost recipe: one batch of 1000 units, n ingredients in classes of near
// duplicates, and m attributes in units that lie decades apart, most with a two-sided target. Ratios of
// attributes, caps on classes and on single ingredients, and a few forced minima complete it. A hidden
// recipe meets every limit, unless the program is to be out of reach: then one attribute must exceed
// that of the richest ingredient.
func Recipe(n, m int, seed uint64, outOfReach bool) *solver.Problem {
	s := newSource(seed, uint64(n)<<32|uint64(m))
	r := newLarder(s, n, m)
	const batch = 1000.0
	p := &solver.Problem{Name: fmt.Sprintf("recipe_%dx%d_%d", n, m, seed)}
	hidden := s.shares(n, min(n, max(4, min(20, 3+n/6))))

	mass := solver.Row{Name: "mass", Lower: batch, Upper: batch}
	for j := range n {
		limit := solver.Inf
		if s.chance(0.7) {
			limit = digits(batch*max(s.spread(0.005, 0.4), 1.05*hidden[j]), 3)
			if limit < batch*hidden[j] || limit >= batch {
				limit = solver.Inf
			}
		}
		least := 0.0
		if hidden[j] > 0 && s.chance(0.1) {
			least = digits(batch*hidden[j]/2, 3)
		}
		p.AddColumn(solver.Column{Name: fmt.Sprintf("x%03d", j), Cost: r.price[j], Lower: least, Upper: limit})
		mass.Terms = append(mass.Terms, solver.Term{Column: j, Value: 1})
	}
	p.AddRow(mass)

	for i := range m {
		lower, upper := s.target(at(r.content[i], hidden), r.unit[i])
		p.AddRow(solver.Row{Name: fmt.Sprintf("a%03d", i), Lower: batch * lower, Upper: batch * upper, Terms: sparse(r.content[i])})
	}
	for k := range max(1, m/8) {
		r.addRatio(s, p, k, hidden)
	}
	for g := range max(1, r.classes/2) {
		r.addClassCap(s, p, g, hidden, batch)
	}
	if outOfReach {
		i := s.IntN(m)
		richest := 0.0
		for _, v := range r.content[i] {
			richest = max(richest, v)
		}
		row := &p.Rows[1+i]
		row.Lower, row.Upper = digits(batch*(1.05*richest+0.01*r.unit[i]), 5), solver.Inf
	}
	return p
}

// larder holds ingredients: their contents by attribute, classes and prices.
type larder struct {
	content [][]float64 // per attribute and ingredient
	unit    []float64   // the scale of an attribute
	class   []int
	classes int
	price   []float64
}

func newLarder(s source, n, m int) *larder {
	r := &larder{classes: max(3, min(12, n/6+2)), class: make([]int, n), unit: make([]float64, m), price: make([]float64, n)}
	for j := range n {
		r.class[j] = s.IntN(r.classes)
		r.price[j] = 0.15
	}
	typical := make([]float64, r.classes)
	for i := range m {
		r.unit[i] = math.Pow(10, s.uniform(-3, 2))
		for g := range typical {
			typical[g] = 0
			if s.chance(0.55) {
				typical[g] = s.spread(0.05, 1)
			}
		}
		worth := s.spread(0.02, 2) / r.unit[i] / float64(m)
		row := make([]float64, n)
		for j := range n {
			switch base := typical[r.class[j]]; {
			case base > 0 && s.chance(0.9):
				row[j] = digits(base*s.spread(0.5, 2)*r.unit[i], 4)
			case s.chance(0.12):
				row[j] = digits(s.spread(0.01, 0.3)*r.unit[i], 4)
			}
			r.price[j] += worth * row[j]
		}
		r.content = append(r.content, row)
	}
	for j := range n {
		r.price[j] = digits(r.price[j]*s.spread(0.6, 1.7), 4)
	}
	return r
}

// shares draws a recipe of k among n ingredients, a few of them large, that sums to one.
func (s source) shares(n, k int) []float64 {
	weights := make([]float64, k)
	for i := range weights {
		weights[i] = s.ExpFloat64()
	}
	sort.Sort(sort.Reverse(sort.Float64Slice(weights)))
	total := 0.0
	for i := range weights {
		weights[i] *= math.Max(0.05, math.Pow(0.55, float64(i)))
		total += weights[i]
	}
	shares := make([]float64, n)
	for i, j := range s.Perm(n)[:k] {
		shares[j] = weights[i] / total
	}
	return shares
}

// target draws the limits of an attribute around its value in the hidden recipe; a third are tight.
func (s source) target(value, unit float64) (lower, upper float64) {
	span := max(value, 0.02*unit) * s.uniform(0.05, 0.5)
	if s.chance(0.35) {
		span = max(value, 0.02*unit) * s.uniform(0.005, 0.06)
	}
	lower, upper = digits(max(0, value-span*s.uniform(0.2, 1)), 5), digits(value+span*s.uniform(0.2, 1), 5)
	switch kind := s.Float64(); {
	case kind > 0.87:
		return -solver.Inf, upper
	case kind > 0.70 && lower > 0:
		return lower, solver.Inf
	}
	return lower, upper
}

// addRatio adds the limit of one attribute over another.
func (r *larder) addRatio(s source, p *solver.Problem, k int, hidden []float64) {
	a, b := s.IntN(len(r.content)), s.IntN(len(r.content))
	over, under := at(r.content[a], hidden), at(r.content[b], hidden)
	if a == b || over <= 0 || under <= 0 {
		return
	}
	row := solver.Row{Name: fmt.Sprintf("r%03d", k), Lower: 0, Upper: solver.Inf}
	ratio := digits(over/under*s.uniform(0.85, 0.99), 4)
	if s.chance(0.5) {
		row.Lower, row.Upper = -solver.Inf, 0
		ratio = digits(over/under*s.uniform(1.01, 1.15), 4)
	}
	form := make([]float64, len(hidden))
	for j := range form {
		form[j] = digits(r.content[a][j]-ratio*r.content[b][j], 8)
	}
	row.Terms = sparse(form)
	p.AddRow(row)
}

// addClassCap adds the limit of the sum over a class of ingredients.
func (r *larder) addClassCap(s source, p *solver.Problem, g int, hidden []float64, batch float64) {
	row := solver.Row{Name: fmt.Sprintf("g%03d", g), Lower: -solver.Inf}
	sum := 0.0
	for j, class := range r.class {
		if class == g {
			row.Terms = append(row.Terms, solver.Term{Column: j, Value: 1})
			sum += hidden[j]
		}
	}
	if len(row.Terms) < 2 {
		return
	}
	row.Upper = digits(batch*min(1, sum*s.uniform(1.02, 1.6)+0.01), 4)
	p.AddRow(row)
}

func at(form, x []float64) float64 {
	sum := 0.0
	for j, v := range form {
		sum += v * x[j]
	}
	return sum
}

func sparse(form []float64) []solver.Term {
	var terms []solver.Term
	for j, v := range form {
		if v != 0 {
			terms = append(terms, solver.Term{Column: j, Value: v})
		}
	}
	return terms
}
