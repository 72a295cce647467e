package solver

import (
	"context"
	"math/big"
)

// basisSystem is the square part of a basis that takes solving: the basic columns in the rows whose
// logical variables are nonbasic. The other rows only compute their activities.
type basisSystem struct {
	program *exactProgram
	place   []Place // of every variable
	columns []int   // basic columns, by position
	rows    []int   // rows with nonbasic logicals, by position
	matrix  integerMatrix
	factors *modularFactors
}

// system returns the system of a basis, or nil if the basis does not fit or is singular.
func (e *exactProgram) system(basis *Basis) *basisSystem {
	if basis == nil || len(basis.Columns) != e.columns || len(basis.Rows) != e.rows {
		return nil
	}
	b := &basisSystem{program: e, place: make([]Place, 0, e.columns+e.rows)}
	position := make([]int, e.columns)
	for j, at := range basis.Columns {
		b.place = append(b.place, e.rest(j, at))
		if at == Basic {
			position[j] = len(b.columns)
			b.columns = append(b.columns, j)
		}
	}
	for i, at := range basis.Rows {
		b.place = append(b.place, e.rest(e.columns+i, at))
		if at != Basic {
			b.rows = append(b.rows, i)
		}
	}
	if len(b.rows) != len(b.columns) {
		return nil
	}
	b.matrix = make(integerMatrix, len(b.rows))
	for k, i := range b.rows {
		for t := range e.terms[i] {
			term := &e.terms[i][t]
			if basis.Columns[term.column] == Basic {
				b.matrix[k] = append(b.matrix[k], integerEntry{position[term.column], &term.value})
			}
		}
	}
	if b.factors = factorModular(b.matrix.modular()); b.factors == nil {
		return nil
	}
	return b
}

// rest returns where a variable can rest, as near to the wish as its bounds allow.
func (e *exactProgram) rest(v int, wish Place) Place {
	switch {
	case wish == Basic:
		return Basic
	case e.lower[v] == nil && e.upper[v] == nil:
		return Zero
	case e.lower[v] == nil, wish == AtUpper && e.upper[v] != nil:
		return AtUpper
	}
	return AtLower
}

// point returns the value of every variable at the basis, or nil if the context ended.
func (b *basisSystem) point(ctx context.Context) []*big.Rat {
	e := b.program
	unit, scaled := e.integers(e.lower, e.upper)
	x := make([]big.Int, len(b.place))
	for v, at := range b.place {
		switch at {
		case AtLower:
			x[v].Set(scaled[0][v])
		case AtUpper:
			x[v].Set(scaled[1][v])
		}
	}
	return b.complete(ctx, x, unit)
}

// complete returns the value of every variable when the nonbasic ones have the given values, in their
// units and over unit, or nil if the context ended. It uses x up.
func (b *basisSystem) complete(ctx context.Context, x []big.Int, unit *big.Int) []*big.Rat {
	e := b.program
	right := make([]big.Int, len(b.rows))
	var product big.Int
	for k, i := range b.rows {
		right[k].Set(&x[e.columns+i])
		for t := range e.terms[i] {
			if term := &e.terms[i][t]; x[term.column].Sign() != 0 {
				right[k].Sub(&right[k], product.Mul(&term.value, &x[term.column]))
			}
		}
	}
	numerator, denominator, ok := b.matrix.lift(ctx, b.factors.solve, right)
	if !ok {
		return nil
	}
	for v := range x {
		x[v].Mul(&x[v], denominator)
	}
	for k, j := range b.columns {
		x[j].Set(&numerator[k])
	}
	for i := range e.rows {
		if sum := &x[e.columns+i]; b.place[e.columns+i] == Basic {
			sum.SetInt64(0)
			for t := range e.terms[i] {
				term := &e.terms[i][t]
				sum.Add(sum, product.Mul(&term.value, &x[term.column]))
			}
		}
	}
	denominator.Mul(denominator, unit)
	values := make([]*big.Rat, len(x))
	for v := range x {
		values[v] = new(big.Rat)
		if x[v].Sign() != 0 {
			values[v].Mul(values[v].SetFrac(&x[v], denominator), e.unit[v])
		}
	}
	return values
}

// multipliers returns row multipliers y with yᵀ A_j = cost_j for the basic columns, and zero on rows
// with basic logicals, or nil if the context ended. Both are in the problem's own units.
func (b *basisSystem) multipliers(ctx context.Context, cost []*big.Rat) []*big.Rat {
	e := b.program
	unit := big.NewInt(1)
	scaled := make([]*big.Rat, len(b.columns))
	for k, j := range b.columns {
		scaled[k] = new(big.Rat).Mul(cost[j], e.unit[j])
		raise(unit, scaled[k].Denom())
	}
	right := make([]big.Int, len(b.columns))
	for k, r := range scaled {
		right[k].Set(multiplied(r, unit))
	}
	numerator, denominator, ok := b.matrix.transposed().lift(ctx, b.factors.solveTransposed, right)
	if !ok {
		return nil
	}
	denominator.Mul(denominator, unit)
	y := zeros(e.rows)
	for k, i := range b.rows {
		if numerator[k].Sign() != 0 {
			y[i].SetFrac(&numerator[k], denominator)
			y[i].Quo(y[i], e.unit[e.columns+i])
		}
	}
	return y
}

func (b *basisSystem) basis() *Basis {
	n := b.program.columns
	return &Basis{Columns: b.place[:n:n], Rows: b.place[n:]}
}
