// Package lp holds a linear program as the algorithms take it.
package lp

import "bittersum/solver/internal/lu"

// Form is a problem as the algorithms want it: a minimisation over columns and logicals, with arrays by
// variable. A bound that does not hold is infinite.
type Form struct {
	A            lu.Matrix
	Cost         []float64 // by column
	Lower, Upper []float64 // columns, then rows

	store []float64
}

// Allocate makes room for n columns and m rows, reusing storage that is large enough.
func (f *Form) Allocate(n, m int) {
	f.store = lu.Resize(f.store, 3*n+2*m)
	f.Cost, f.Lower, f.Upper = f.store[:n:n], f.store[n:2*n+m:2*n+m], f.store[2*n+m:]
}
