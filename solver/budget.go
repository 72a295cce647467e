package solver

import "fmt"

// AddBudget appends a row that holds while at most so many of its coefficients stray at once, each upwards by
// its deviation:
//
//	Σ a_j x_j + max over S, |S| <= most, of Σ_{j in S} d_j x_j <= upper
//
// where a fractional most lets one more stray in part (D. Bertsimas, M. Sim, The price of robustness, Operations
// Research 52 (2004) 35-53, theorem 1). Deviations are at least zero and so are the columns they stand on. It
// takes a column for most and one more and a row for each deviation. The index of the row is returned.
func (p *Problem) AddBudget(name string, terms, deviations []Term, upper, most float64) int {
	each := p.AddColumn(Column{Name: name + " each", Upper: Inf})
	row := Row{Name: name, Lower: -Inf, Upper: upper, Terms: append([]Term(nil), terms...)}
	row.Terms = append(row.Terms, Term{each, most})
	for _, d := range deviations {
		beyond := p.AddColumn(Column{Name: fmt.Sprintf("%s beyond %d", name, d.Column), Upper: Inf})
		row.Terms = append(row.Terms, Term{beyond, 1})
		p.AddRow(Row{Name: fmt.Sprintf("%s strays %d", name, d.Column), Upper: Inf, Terms: []Term{{each, 1}, {beyond, 1}, {d.Column, -d.Value}}})
	}
	return p.AddRow(row)
}
