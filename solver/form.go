package solver

import (
	"math"

	"bittersum/solver/internal/lu"
)

// form is a problem as the algorithms want it: a minimisation over columns and logicals, with arrays by
// variable. Bounds of magnitude Huge and above are infinite.
type form struct {
	a            lu.Matrix
	cost         []float64 // by column
	lower, upper []float64 // columns, then rows

	store []float64
}

// read takes p over, reusing storage.
func (f *form) read(p *Problem) {
	n, m := len(p.Columns), len(p.Rows)
	readMatrix(&f.a, p)
	f.allocate(n, m)
	loadCosts(f.cost, p)
	for j := range p.Columns {
		f.lower[j], f.upper[j] = endless(p.Columns[j].Lower, p.Columns[j].Upper)
	}
	for i := range p.Rows {
		f.lower[n+i], f.upper[n+i] = endless(p.Rows[i].Lower, p.Rows[i].Upper)
	}
}

// readMatrix takes the coefficients of p, leaving out zeros.
func readMatrix(a *lu.Matrix, p *Problem) {
	nonzeros := 0
	for i := range p.Rows {
		nonzeros += len(p.Rows[i].Terms)
	}
	a.Allocate(len(p.Rows), len(p.Columns), nonzeros)
	k := int32(0)
	for i := range p.Rows {
		for _, t := range p.Rows[i].Terms {
			if t.Value == 0 {
				continue
			}
			a.RowIndex[k], a.RowValue[k] = int32(t.Column), t.Value
			k++
		}
		a.RowStart[i+1] = k
	}
	a.Close(k)
}

func (f *form) allocate(n, m int) {
	f.store = lu.Resize(f.store, 3*n+2*m)
	f.cost, f.lower, f.upper = f.store[:n:n], f.store[n:2*n+m:2*n+m], f.store[2*n+m:]
}

// loadCosts copies the costs of p, turned to minimisation.
func loadCosts(cost []float64, p *Problem) {
	sign := 1.0
	if p.Sense == Maximize {
		sign = -1
	}
	for j := range p.Columns {
		cost[j] = sign * p.Columns[j].Cost
	}
}

// endless turns huge bounds into infinite ones.
func endless(lower, upper float64) (float64, float64) {
	if lower <= -Huge {
		lower = math.Inf(-1)
	}
	if upper >= Huge {
		upper = math.Inf(1)
	}
	return lower, upper
}
