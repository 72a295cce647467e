package generate

import (
	"fmt"

	"bittersum/solver"
)

// FewCount is how many blends there are in the set that Few draws from: of 30 to 150 ingredients.
const FewCount = 60

// Few returns the blend with that number, below FewCount for the set: the cheapest mix of at most k of n ingredients,
// each with a least dose, that keeps the ranges of some attributes and of the whole. Every tenth is drawn without
// looking whether there is any such mix.
func Few(number uint64) *solver.Problem {
	s := newSource(number, 5)
	n := 30 + int(number%FewCount)*120/(FewCount-1)
	attributes := s.between(5, 10)
	in := s.between(5, max(6, n/12))
	amounts := make([]float64, n) // of a mix that there is
	for range in {
		amounts[s.IntN(n)] = digits(s.uniform(20, 250), 3)
	}
	total := 0.0
	for _, a := range amounts {
		total += a
	}
	p := &solver.Problem{Name: fmt.Sprintf("few%02d", number)}
	whole := solver.Row{Name: "whole", Lower: digits(0.9*total, 4), Upper: digits(1.1*total, 4)}
	count := solver.Row{Name: "count", Lower: -solver.Inf, Upper: float64(in)}
	var doses []solver.Row
	for j := range n {
		most := digits(s.uniform(300, 900), 2)
		least := digits(s.uniform(10, 60), 2)
		if a := amounts[j]; a > 0 {
			least = min(least, digits(0.8*a, 2))
		}
		x := p.AddColumn(solver.Column{Name: fmt.Sprintf("x%03d", j), Cost: digits(s.uniform(0.5, 9), 3), Upper: most})
		z := p.AddColumn(solver.Column{Name: fmt.Sprintf("z%03d", j), Upper: 1, Kind: solver.Integer})
		whole.Terms = append(whole.Terms, solver.Term{Column: x, Value: 1})
		count.Terms = append(count.Terms, solver.Term{Column: z, Value: 1})
		doses = append(doses,
			solver.Row{Name: fmt.Sprintf("most%03d", j), Lower: -solver.Inf, Terms: []solver.Term{{Column: x, Value: 1}, {Column: z, Value: -most}}},
			solver.Row{Name: fmt.Sprintf("dose%03d", j), Upper: solver.Inf, Terms: []solver.Term{{Column: x, Value: 1}, {Column: z, Value: -least}}})
	}
	p.AddRow(whole)
	for i := range attributes {
		row := solver.Row{Name: fmt.Sprintf("a%02d", i)}
		value := 0.0
		for j := range n {
			if s.Float64() > 0.45 {
				continue
			}
			content := digits(s.uniform(0.05, 4), 3)
			row.Terms = append(row.Terms, solver.Term{Column: 2 * j, Value: content})
			value += content * amounts[j]
		}
		if number%10 == 9 {
			value *= s.uniform(0.7, 2.2)
		}
		width := s.uniform(0.01, 0.06)
		row.Lower, row.Upper = digits(value*(1-width), 4), digits(value*(1+width), 4)
		p.AddRow(row)
	}
	p.AddRow(count)
	for _, row := range doses {
		p.AddRow(row)
	}
	return p
}
