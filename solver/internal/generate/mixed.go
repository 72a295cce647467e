package generate

import (
	"fmt"

	"bittersum/solver"
)

// MixedKinds are the names of the families of random mixed-integer programs, in the order in which
// Mixed draws them.
var MixedKinds = []string{"doses", "packs", "knapsack", "discount"}

// Mixed returns the random mixed-integer program with the given number. Its kind is number modulo
// len(MixedKinds). All are stated with integer columns alone, so that any solver takes them.
func Mixed(number uint64) (kind string, p *solver.Problem) {
	s := newSource(number, 2)
	kind = MixedKinds[number%uint64(len(MixedKinds))]
	switch kind {
	case "doses":
		p = doses(s, number)
	case "packs":
		p = packs(s, number)
	case "knapsack":
		p = knapsack(s)
	default:
		p = discount(s)
	}
	p.Name = kind
	return kind, p
}

// doses is a recipe in which an ingredient is either out or in with a least dose, and few are in.
func doses(s source, number uint64) *solver.Problem {
	n := s.between(6, 25)
	p := Recipe(n, s.between(3, 8), number, false)
	count := solver.Row{Name: "count", Lower: -solver.Inf, Upper: float64(s.between(max(4, n/4), n))}
	for j := range n {
		c := &p.Columns[j]
		c.Lower = 0
		most := min(c.Upper, 1000)
		c.Upper = most
		y := p.AddColumn(solver.Column{Name: fmt.Sprintf("y%03d", j), Upper: 1, Kind: solver.Integer, Cost: digits(s.uniform(0, 20), 2)})
		if number/uint64(len(MixedKinds))%2 == 1 {
			p.Columns[y].Cost = 0
		}
		p.AddRow(solver.Row{Name: fmt.Sprintf("most%03d", j), Lower: -solver.Inf, Upper: 0,
			Terms: []solver.Term{{Column: j, Value: 1}, {Column: y, Value: -most}}})
		p.AddRow(solver.Row{Name: fmt.Sprintf("dose%03d", j), Lower: 0, Upper: solver.Inf,
			Terms: []solver.Term{{Column: j, Value: 1}, {Column: y, Value: -digits(most*s.uniform(0.02, 0.4), 3)}}})
		count.Terms = append(count.Terms, solver.Term{Column: y, Value: 1})
	}
	p.AddRow(count)
	return p
}

// packs is a recipe whose ingredients come in whole packs, with enough looseness to have answers.
func packs(s source, number uint64) *solver.Problem {
	n := s.between(4, 12)
	p := Recipe(n, s.between(2, 5), number, false)
	for i := range p.Rows {
		row := &p.Rows[i]
		row.Lower -= 0.05 * abs(row.Lower)
		row.Upper += 0.05 * abs(row.Upper)
	}
	for j := range n {
		pack := []float64{5, 10, 25, 50}[s.IntN(4)]
		c := &p.Columns[j]
		k := p.AddColumn(solver.Column{Name: fmt.Sprintf("k%03d", j), Upper: 200, Kind: solver.Integer})
		c.Lower = 0
		p.AddRow(solver.Row{Name: fmt.Sprintf("pack%03d", j), Terms: []solver.Term{{Column: j, Value: 1}, {Column: k, Value: -pack}}})
	}
	return p
}

func abs(v float64) float64 { return max(v, -v) }

// knapsack has a few capacities and general integers, all worth something.
func knapsack(s source) *solver.Problem {
	n := s.between(4, 25)
	p := &solver.Problem{Sense: solver.Maximize}
	for j := range n {
		p.AddColumn(solver.Column{Name: fmt.Sprintf("x%03d", j), Cost: float64(s.between(5, 60)), Upper: float64(s.between(1, 3)), Kind: solver.Integer})
	}
	for i := range s.between(1, 4) {
		row := solver.Row{Name: fmt.Sprintf("r%03d", i), Lower: -solver.Inf,
			Terms: s.terms(n, 0.8, func() float64 { return float64(s.between(3, 40)) })}
		total := 0.0
		for _, t := range row.Terms {
			total += t.Value
		}
		row.Upper = float64(int(total * s.uniform(0.3, 0.8)))
		p.AddRow(row)
	}
	return p
}

// discount buys over months into a stock; a cheaper price holds only above an amount.
func discount(s source) *solver.Problem {
	months, goods := s.between(2, 5), s.between(1, 3)
	p := &solver.Problem{}
	store := make([]solver.Row, months)
	for g := range goods {
		price, stock := digits(s.uniform(2, 8), 3), -1
		for t := range months {
			price = digits(price*s.uniform(0.9, 1.12), 3)
			need := digits(s.uniform(10, 60), 2)
			few := p.AddColumn(solver.Column{Name: fmt.Sprintf("few%d_%d", g, t), Cost: price, Upper: 200})
			many := p.AddColumn(solver.Column{Name: fmt.Sprintf("many%d_%d", g, t), Cost: digits(price*s.uniform(0.75, 0.95), 3), Upper: 200})
			z := p.AddColumn(solver.Column{Name: fmt.Sprintf("z%d_%d", g, t), Cost: digits(s.uniform(0, 15), 2), Upper: 1, Kind: solver.Integer})
			kept := p.AddColumn(solver.Column{Name: fmt.Sprintf("kept%d_%d", g, t), Cost: digits(s.uniform(0.02, 0.2), 2), Upper: solver.Inf})
			balance := solver.Row{Lower: need, Upper: need, Terms: []solver.Term{{Column: few, Value: 1}, {Column: many, Value: 1}, {Column: kept, Value: -1}}}
			if stock >= 0 {
				balance.Terms = append(balance.Terms, solver.Term{Column: stock, Value: 1})
			}
			p.AddRow(balance)
			p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 0, Terms: []solver.Term{{Column: many, Value: 1}, {Column: z, Value: -200}}})
			p.AddRow(solver.Row{Lower: 0, Upper: solver.Inf, Terms: []solver.Term{{Column: many, Value: 1}, {Column: z, Value: -digits(s.uniform(30, 90), 2)}}})
			store[t].Terms = append(store[t].Terms, solver.Term{Column: kept, Value: 1})
			stock = kept
		}
	}
	for t := range store {
		store[t].Lower, store[t].Upper = -solver.Inf, float64(40*goods)
		p.AddRow(store[t])
	}
	return p
}
