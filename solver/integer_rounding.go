package solver

import (
	"math"
	"sort"
)

// rounder makes mixed-integer rounding cuts from single rows with bounds substituted (Marchand and
// Wolsey, "Aggregation and mixed integer rounding to solve MIPs", Operations Research 49 (2001),
// 363-371).
type rounder struct {
	p       *Problem
	rows    []Row // one-sided: a·x <= Upper
	lower   []float64
	upper   []float64
	ceiling map[int]variableBound
}

// variableBound is x <= ratio·y for an integer column y.
type variableBound struct {
	column int
	ratio  float64
}

func newRounder(p *Problem, l *relaxation) *rounder {
	m := &rounder{p: p, lower: l.rootLower, upper: l.rootUpper, ceiling: map[int]variableBound{}}
	for _, row := range l.linear.Rows {
		if row.Upper < Huge {
			m.take(row.Terms, 1, row.Upper)
		}
		if row.Lower > -Huge {
			m.take(row.Terms, -1, -row.Lower)
		}
	}
	return m
}

// take keeps sign·a·x <= limit as a row to make cuts of, or as a variable bound.
func (m *rounder) take(terms []Term, sign, limit float64) {
	whole := false
	row := Row{Lower: -Inf, Upper: limit}
	for _, t := range terms {
		row.Terms = append(row.Terms, Term{t.Column, sign * t.Value})
		whole = whole || m.p.Columns[t.Column].Kind == Integer
	}
	if len(row.Terms) == 2 && limit == 0 && whole {
		x, y := row.Terms[0], row.Terms[1]
		if m.p.Columns[x.Column].Kind == Integer {
			x, y = y, x
		}
		if m.p.Columns[x.Column].Kind != Integer && x.Value > 0 && y.Value < 0 && m.lower[y.Column] >= 0 {
			m.ceiling[x.Column] = variableBound{y.Column, -y.Value / x.Value}
			return
		}
	}
	m.rows = append(m.rows, row)
}

// separate returns the deepest cuts that x violates, no two of them much alike.
func (m *rounder) separate(x []float64) []Row {
	type candidate struct {
		cut      Row
		efficacy float64
	}
	var found []candidate
	for _, row := range m.rows {
		base, ok := m.substitute(row, x)
		if !ok {
			continue
		}
		if cut, efficacy := base.bestCut(); efficacy > cutEfficacy {
			if cut, ok = m.tidy(cut); ok {
				found = append(found, candidate{cut, efficacy})
			}
		}
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].efficacy > found[b].efficacy })
	var chosen []Row
	for _, c := range found {
		alike := false
		for _, other := range chosen {
			alike = alike || cosine(c.cut.Terms, other.Terms) > cutLikeness
		}
		if !alike {
			chosen = append(chosen, c.cut)
		}
		if len(chosen) == cutsPerRound {
			break
		}
	}
	return chosen
}

func cosine(a, b []Term) float64 {
	values := map[int]float64{}
	var product, left, right float64
	for _, t := range a {
		values[t.Column] = t.Value
		left += t.Value * t.Value
	}
	for _, t := range b {
		product += t.Value * values[t.Column]
		right += t.Value * t.Value
	}
	return product / math.Sqrt(left*right)
}

// Limits on what a cut may look like: the range of its coefficients and how far the fraction that it
// rounds must be from a whole number.
const (
	cutRange    = 1e6
	cutFraction = 0.01
)

// tidy relaxes the cut by a hair against rounding, and reports false if its coefficients lie too far
// apart to trust.
func (m *rounder) tidy(cut Row) (Row, bool) {
	most := 0.0
	for _, t := range cut.Terms {
		most = math.Max(most, math.Abs(t.Value))
	}
	kept := cut.Terms[:0:0]
	for _, t := range cut.Terms {
		switch {
		case math.Abs(t.Value) >= most/cutRange:
			kept = append(kept, t)
		case t.Value > 0 && m.lower[t.Column] > -Huge:
			cut.Upper -= t.Value * m.lower[t.Column]
		case t.Value < 0 && m.upper[t.Column] < Huge:
			cut.Upper -= t.Value * m.upper[t.Column]
		default:
			return cut, false
		}
	}
	cut.Terms = kept
	cut.Upper += 1e-9 * (math.Abs(cut.Upper) + most)
	return cut, len(kept) > 0
}

// substituted is a row in terms of variables that are at least zero: Σ y + Σ s <= limit.
type substituted struct {
	whole []shifted // integer
	rest  []shifted // continuous
	limit float64
}

// shifted is one variable v >= 0 with its coefficient and value; v = scale·x_column + ratio·x_other -
// shift in terms of the problem's columns.
type shifted struct {
	value, at float64
	column    int
	scale     float64
	shift     float64
	other     int
	ratio     float64
	most      float64 // its largest value
}

// substitute brings a row to that form, each column by the bound that x is nearest to.
func (m *rounder) substitute(row Row, x []float64) (substituted, bool) {
	base := substituted{limit: row.Upper}
	whole := map[int]float64{}
	var order []int
	addWhole := func(j int, value float64) {
		if _, ok := whole[j]; !ok {
			order = append(order, j)
		}
		whole[j] += value
	}
	for _, t := range row.Terms {
		j := t.Column
		if m.p.Columns[j].Kind == Integer {
			addWhole(j, t.Value)
			continue
		}
		below, above := x[j]-m.lower[j], m.upper[j]-x[j]
		bound, ok := m.ceiling[j]
		switch {
		case ok && bound.ratio*x[bound.column]-x[j] <= math.Min(below, above)+1e-9:
			addWhole(bound.column, t.Value*bound.ratio)
			base.rest = append(base.rest, shifted{value: -t.Value, at: math.Max(0, bound.ratio*x[bound.column]-x[j]),
				column: j, scale: -1, other: bound.column, ratio: bound.ratio})
		case below <= above && m.lower[j] > -Huge:
			base.limit -= t.Value * m.lower[j]
			base.rest = append(base.rest, shifted{value: t.Value, at: math.Max(0, below), column: j, scale: 1, shift: m.lower[j]})
		case m.upper[j] < Huge:
			base.limit -= t.Value * m.upper[j]
			base.rest = append(base.rest, shifted{value: -t.Value, at: math.Max(0, above), column: j, scale: -1, shift: -m.upper[j]})
		default:
			return base, false
		}
	}
	for _, j := range order {
		value := whole[j]
		below, above := x[j]-m.lower[j], m.upper[j]-x[j]
		span := m.upper[j] - m.lower[j]
		switch {
		case below <= above && m.lower[j] > -Huge:
			base.limit -= value * m.lower[j]
			base.whole = append(base.whole, shifted{value: value, at: math.Max(0, below), column: j, scale: 1, shift: m.lower[j], most: span})
		case m.upper[j] < Huge:
			base.limit -= value * m.upper[j]
			base.whole = append(base.whole, shifted{value: -value, at: math.Max(0, above), column: j, scale: -1, shift: -m.upper[j], most: span})
		default:
			return base, false
		}
	}
	return base, len(order) > 0
}

// bestCut tries the coefficients of those integers that lie between their bounds as divisors, and parts
// of the best, and returns the cut that cuts off most for its length.
func (b *substituted) bestCut() (Row, float64) {
	bestDivisor, best := 0.0, 0.0
	try := func(divisor float64) {
		if efficacy := b.efficacy(divisor); efficacy > best {
			bestDivisor, best = divisor, efficacy
		}
	}
	tried := map[float64]bool{}
	for _, v := range b.whole {
		divisor := math.Abs(v.value)
		if v.at > integrality && v.at < v.most-integrality && divisor > 0 && !tried[divisor] && len(tried) < 12 {
			tried[divisor] = true
			try(divisor)
		}
	}
	for _, part := range []float64{2, 4, 8} {
		if best > 0 {
			try(bestDivisor / part)
		}
	}
	if best == 0 {
		return Row{}, 0
	}
	return b.cut(bestDivisor), best
}

// rounded returns the coefficients of the cut for a divisor.
func (b *substituted) rounded(divisor float64) (whole, rest func(value float64) float64, limit float64, ok bool) {
	limit = math.Floor(b.limit / divisor)
	fraction := b.limit/divisor - limit
	if fraction < cutFraction || fraction > 1-cutFraction || math.Abs(limit) > 1e9 {
		return nil, nil, 0, false
	}
	whole = func(value float64) float64 {
		d := value / divisor
		floor := math.Floor(d + 1e-11*(1+math.Abs(d)))
		return floor + math.Max(0, d-floor-fraction)/(1-fraction)
	}
	rest = func(value float64) float64 { return math.Min(0, value/divisor) / (1 - fraction) }
	return whole, rest, limit, true
}

// efficacy is how far the cut for a divisor is violated, in units of its length.
func (b *substituted) efficacy(divisor float64) float64 {
	whole, rest, limit, ok := b.rounded(divisor)
	if !ok {
		return 0
	}
	violation, length := -limit, 0.0
	for _, v := range b.whole {
		c := whole(v.value)
		violation += c * v.at
		length += c * c
	}
	for _, v := range b.rest {
		c := rest(v.value)
		violation += c * v.at
		length += c * c
	}
	if length == 0 {
		return 0
	}
	return violation / math.Sqrt(length)
}

// cut returns the cut for a divisor in the columns of the problem.
func (b *substituted) cut(divisor float64) Row {
	whole, rest, limit, _ := b.rounded(divisor)
	row := Row{Name: "cut", Lower: -Inf, Upper: limit}
	at := map[int]int{}
	add := func(j int, value float64) {
		i, ok := at[j]
		if !ok {
			i = len(row.Terms)
			at[j] = i
			row.Terms = append(row.Terms, Term{Column: j})
		}
		row.Terms[i].Value += value
	}
	back := func(v shifted, c float64) {
		if c == 0 {
			return
		}
		add(v.column, c*v.scale)
		if v.ratio != 0 {
			add(v.other, c*v.ratio)
		}
		row.Upper += c * v.shift
	}
	for _, v := range b.whole {
		back(v, whole(v.value))
	}
	for _, v := range b.rest {
		back(v, rest(v.value))
	}
	kept := row.Terms[:0]
	for _, t := range row.Terms {
		if t.Value != 0 {
			kept = append(kept, t)
		}
	}
	row.Terms = kept
	return row
}
