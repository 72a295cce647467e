package solver

import (
	"math"

	"bittersum/solver/internal/lp"
	"bittersum/solver/internal/lu"
)

// readForm takes p over, reusing the storage of f.
func readForm(f *lp.Form, p *Problem) {
	n, m := len(p.Columns), len(p.Rows)
	readMatrix(&f.A, p)
	f.Allocate(n, m)
	loadCosts(f.Cost, p)
	for j := range p.Columns {
		f.Lower[j], f.Upper[j] = endless(p.Columns[j].Lower, p.Columns[j].Upper)
	}
	for i := range p.Rows {
		f.Lower[n+i], f.Upper[n+i] = endless(p.Rows[i].Lower, p.Rows[i].Upper)
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
