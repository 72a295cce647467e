// Package generate makes seeded random programs for tests and benchmarks. It is used by those alone.
package generate

import (
	"math"
	"math/rand/v2"
	"strconv"

	"bittersum/solver"
)

// source is a seeded source of numbers with the draws that the generators share.
type source struct{ *rand.Rand }

func newSource(seed uint64, stream uint64) source {
	return source{rand.New(rand.NewPCG(seed, stream))}
}

func (s source) uniform(low, high float64) float64 { return low + (high-low)*s.Float64() }

// spread draws evenly on a logarithmic scale.
func (s source) spread(low, high float64) float64 {
	return math.Exp(s.uniform(math.Log(low), math.Log(high)))
}

func (s source) chance(p float64) bool { return s.Float64() < p }

func (s source) between(low, high int) int { return low + s.IntN(high-low+1) }

// digits rounds v to n significant digits, so that the program is exactly what its text says.
func digits(v float64, n int) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	if err != nil {
		panic(err) // the text comes from FormatFloat
	}
	return rounded
}

// Kinds are the names of the families of small random programs, in the order in which Small draws them.
var Kinds = []string{
	"recipe", "recipe out of reach", "degenerate", "general", "twelve decades",
	"unbounded", "contradiction", "bare",
}

// Small returns the random program with the given number. Its kind is number modulo len(Kinds).
func Small(number uint64) (kind string, p *solver.Problem) {
	s := newSource(number, 1)
	kind = Kinds[number%uint64(len(Kinds))]
	switch kind {
	case "recipe":
		p = Recipe(s.between(5, 30), s.between(3, 15), number, false)
	case "recipe out of reach":
		p = Recipe(s.between(5, 30), s.between(3, 15), number, true)
	case "degenerate":
		p = degenerate(s)
	case "general":
		p = general(s)
	case "twelve decades":
		p = rescale(s, general(s))
	case "unbounded":
		p = unbounded(s)
	case "contradiction":
		p = contradiction(s)
	default:
		p = bare(s)
	}
	if s.chance(0.3) {
		flip(p)
	}
	p.Name = kind
	return kind, p
}

// flip states the same program as a maximisation.
func flip(p *solver.Problem) {
	p.Sense = solver.Maximize
	p.Offset = -p.Offset
	for j := range p.Columns {
		p.Columns[j].Cost = -p.Columns[j].Cost
	}
}

// degenerate programs have few distinct coefficients, right-hand sides of zero and repeated rows, so
// that many bases share one vertex.
func degenerate(s source) *solver.Problem {
	n, m := s.between(2, 14), s.between(1, 12)
	p := &solver.Problem{}
	for range n {
		p.AddColumn(solver.Column{Cost: float64(s.between(-1, 3)), Upper: []float64{solver.Inf, 1, 2}[s.IntN(3)]})
	}
	for i := range m {
		row := solver.Row{Lower: -solver.Inf, Upper: float64(s.IntN(2))}
		if s.chance(0.3) {
			row.Lower = 0
		}
		if s.chance(0.2) && i > 0 {
			row.Terms = append(row.Terms, p.Rows[s.IntN(i)].Terms...)
		} else {
			row.Terms = s.terms(n, 0.6, func() float64 { return float64(s.between(-1, 2)) })
		}
		p.AddRow(row)
	}
	return p
}

// terms draws a sparse linear form over n columns.
func (s source) terms(n int, density float64, value func() float64) []solver.Term {
	var terms []solver.Term
	for j := range n {
		if !s.chance(density) {
			continue
		}
		if v := value(); v != 0 {
			terms = append(terms, solver.Term{Column: j, Value: v})
		}
	}
	return terms
}

// general programs have every kind of bound: free, fixed, boxed, one-sided either way, negative. Three
// in four are feasible by construction, since all limits leave room for a hidden point. All figures are
// eighths, so that sums of products are exact and a fixed row agrees with the hidden point exactly.
func general(s source) *solver.Problem {
	n, m := s.between(1, 20), s.between(0, 15)
	hidden := s.chance(0.75)
	p := &solver.Problem{Offset: s.eighth(-5, 5)}
	point := make([]float64, n)
	for j := range n {
		point[j] = s.eighth(-10, 10)
		c := solver.Column{Cost: s.eighth(-1, 5)}
		c.Lower, c.Upper = s.limits(point[j], hidden)
		p.AddColumn(c)
	}
	for range m {
		row := solver.Row{Terms: s.terms(n, s.uniform(0.2, 0.9), func() float64 { return s.eighth(-9, 9) })}
		activity := 0.0
		for _, t := range row.Terms {
			activity += t.Value * point[t.Column]
		}
		row.Lower, row.Upper = s.limits(activity, hidden)
		p.AddRow(row)
	}
	if s.chance(0.8) {
		s.bound(p)
	}
	return p
}

// bound draws costs anew such that a dual feasible point exists, and so the objective has a limit.
func (s source) bound(p *solver.Problem) {
	multiplier := func(lower, upper float64) float64 {
		v := s.eighth(0, 3)
		switch {
		case lower > -solver.Inf && (upper == solver.Inf || s.chance(0.5)):
			return v
		case upper < solver.Inf:
			return -v
		}
		return 0
	}
	for j, c := range p.Columns {
		p.Columns[j].Cost = multiplier(c.Lower, c.Upper)
	}
	for _, row := range p.Rows {
		y := multiplier(row.Lower, row.Upper)
		for _, t := range row.Terms {
			p.Columns[t.Column].Cost += y * t.Value
		}
	}
}

// limits draws bounds, around value if it is to be kept possible.
func (s source) limits(value float64, keep bool) (lower, upper float64) {
	below, above := s.eighth(0, 8), s.eighth(0, 8)
	if s.chance(0.25) {
		below = 0
	}
	if !keep {
		value += s.eighth(-6, 6)
	}
	switch s.IntN(6) {
	case 0:
		return -solver.Inf, solver.Inf
	case 1:
		return value, value
	case 2:
		return -solver.Inf, value + above
	case 3:
		return value - below, value + above
	}
	return value - below, solver.Inf
}

// eighth draws a multiple of 1/8.
func (s source) eighth(low, high int) float64 { return float64(s.between(8*low, 8*high)) / 8 }

// rescale restates p in units that differ by up to twelve decades. Figures stay short decimals, so that
// the program has the same meaning when it is read as decimals.
func rescale(s source, p *solver.Problem) *solver.Problem {
	power := make([]int, len(p.Columns))
	for j := range p.Columns {
		power[j] = s.between(-6, 6)
		c := &p.Columns[j]
		c.Cost = shift(c.Cost, power[j])
		c.Lower = shift(c.Lower, -power[j])
		c.Upper = shift(c.Upper, -power[j])
	}
	for i := range p.Rows {
		row, by := &p.Rows[i], s.between(-6, 6)
		row.Lower = shift(row.Lower, by)
		row.Upper = shift(row.Upper, by)
		for k := range row.Terms {
			row.Terms[k].Value = shift(row.Terms[k].Value, by+power[row.Terms[k].Column])
		}
	}
	return p
}

// shift multiplies a short decimal by a power of ten.
func shift(v float64, power int) float64 { return digits(v*math.Pow(10, float64(power)), 15) }

// unbounded programs keep a hidden point possible and have a direction along which no limit stops and
// the cost falls.
func unbounded(s source) *solver.Problem {
	n, m := s.between(2, 12), s.between(1, 10)
	p := &solver.Problem{}
	direction := make([]float64, n)
	cost := 0.0
	for j := range n {
		direction[j] = float64(s.between(0, 3))
		c := solver.Column{Cost: digits(s.uniform(-2, 5), 3), Upper: solver.Inf}
		if direction[j] == 0 && s.chance(0.5) {
			c.Upper = digits(s.uniform(1, 9), 2)
		}
		cost += c.Cost * direction[j]
		p.AddColumn(c)
	}
	if direction[0] == 0 {
		direction[0] = 1
		cost += p.Columns[0].Cost
		p.Columns[0].Upper = solver.Inf
	}
	if cost >= 0 {
		p.Columns[0].Cost = digits(p.Columns[0].Cost-cost-1, 6)
	}
	for range m {
		row := solver.Row{Terms: s.terms(n, 0.6, func() float64 { return float64(s.between(-4, 4)) }), Lower: -solver.Inf, Upper: solver.Inf}
		along := 0.0
		for _, t := range row.Terms {
			along += t.Value * direction[t.Column]
		}
		limit := float64(s.between(0, 5))
		if along <= 0 {
			row.Upper = limit
		}
		if along >= 0 {
			row.Lower = -limit
		}
		p.AddRow(row)
	}
	return p
}

// contradiction programs hold rows whose sum, by positive weights, cannot be met.
func contradiction(s source) *solver.Problem {
	p := general(s)
	n := len(p.Columns)
	first := s.terms(n, 0.7, func() float64 { return float64(s.between(-4, 4)) })
	second := s.terms(n, 0.7, func() float64 { return float64(s.between(-4, 4)) })
	sum := make([]float64, n)
	for _, t := range first {
		sum[t.Column] += t.Value
	}
	for _, t := range second {
		sum[t.Column] += 2 * t.Value
	}
	var third []solver.Term
	for j, v := range sum {
		if v != 0 {
			third = append(third, solver.Term{Column: j, Value: v})
		}
	}
	a, b := float64(s.between(-5, 5)), float64(s.between(-5, 5))
	gap := []float64{1, 0.01, 10}[s.IntN(3)]
	p.AddRow(solver.Row{Lower: a, Upper: solver.Inf, Terms: first})
	p.AddRow(solver.Row{Lower: b, Upper: solver.Inf, Terms: second})
	p.AddRow(solver.Row{Lower: -solver.Inf, Upper: a + 2*b - gap, Terms: third})
	return p
}

// bare programs lack rows, columns or terms.
func bare(s source) *solver.Problem {
	p := &solver.Problem{Offset: float64(s.between(-3, 3))}
	for range s.IntN(4) {
		c := solver.Column{Cost: float64(s.between(-1, 1))}
		c.Lower, c.Upper = s.limits(float64(s.between(-3, 3)), true)
		p.AddColumn(c)
	}
	for range s.IntN(3) {
		row := solver.Row{Lower: float64(s.between(-3, 0)), Upper: float64(s.between(0, 3))}
		if s.chance(0.15) {
			row.Lower = 0.5
		}
		if s.chance(0.3) {
			row.Terms = s.terms(len(p.Columns), 0.5, func() float64 { return 1 })
		}
		if row.Lower > row.Upper {
			row.Upper = row.Lower
		}
		p.AddRow(row)
	}
	return p
}
