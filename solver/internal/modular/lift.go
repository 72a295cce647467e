// Package modular solves systems of integer equations exactly, by way of their residues modulo a prime.
package modular

import (
	"context"
	"math/big"
)

// Matrix is a square sparse matrix of integers, by rows.
type Matrix [][]Entry

// Entry is a value in a column of a row.
type Entry struct {
	Column int
	Value  *big.Int
}

// Residues returns the matrix modulo the modulus.
func (b Matrix) Residues() [][]cell {
	var scratch big.Int
	rows := make([][]cell, len(b))
	for i, row := range b {
		for _, entry := range row {
			if v := residue(entry.Value, &scratch); v != 0 {
				rows[i] = append(rows[i], cell{entry.Column, v})
			}
		}
	}
	return rows
}

// Transposed returns the transposed matrix, which shares the values of b.
func (b Matrix) Transposed() Matrix {
	t := make(Matrix, len(b))
	for i, row := range b {
		for _, entry := range row {
			t[entry.Column] = append(t[entry.Column], Entry{i, entry.Value})
		}
	}
	return t
}

// Lift solves B x = right exactly: x = numerator / denominator. It finds x modulo powers of the modulus
// (J. Dixon, Exact solution of linear equations using p-adic expansions, Numerische Mathematik 40,
// 1982) until the fraction that they stand for satisfies the equations, and returns false if the
// context ended before. solve solves the equations modulo the modulus.
func (b Matrix) Lift(ctx context.Context, solve func([]uint64) []uint64, right []big.Int) (numerator []big.Int, denominator *big.Int, ok bool) {
	n := len(b)
	numerator, denominator = make([]big.Int, n), big.NewInt(1)
	rest := make([]big.Int, n) // what of right is left, over power
	for i := range rest {
		rest[i].Set(&right[i])
	}
	digits := make([]big.Int, n) // x modulo power
	power := big.NewInt(1)
	small := make([]uint64, n)
	var digit, product, scratch big.Int
	check := 2
	for count := 1; ; count++ {
		if ctx.Err() != nil {
			return nil, nil, false
		}
		zero := true
		for i := range rest {
			small[i] = residue(&rest[i], &scratch)
			zero = zero && rest[i].Sign() == 0
		}
		if !zero {
			x := solve(small)
			for j := range digits {
				if x[j] != 0 {
					digits[j].Add(&digits[j], product.Mul(power, digit.SetUint64(x[j])))
				}
			}
			for i, row := range b {
				for _, entry := range row {
					if x[entry.Column] != 0 {
						rest[i].Sub(&rest[i], product.Mul(entry.Value, digit.SetUint64(x[entry.Column])))
					}
				}
				rest[i].QuoRem(&rest[i], bigModulus, &scratch)
			}
		}
		power.Mul(power, bigModulus)
		if count < check && !zero {
			continue
		}
		check += check/2 + 1
		if reconstruct(digits, power, numerator, denominator) && b.solvedBy(numerator, denominator, right) {
			return numerator, denominator, true
		}
	}
}

// solvedBy reports whether B numerator = denominator·right.
func (b Matrix) solvedBy(numerator []big.Int, denominator *big.Int, right []big.Int) bool {
	var sum, product big.Int
	for i, row := range b {
		sum.Mul(denominator, &right[i])
		for _, entry := range row {
			sum.Sub(&sum, product.Mul(entry.Value, &numerator[entry.Column]))
		}
		if sum.Sign() != 0 {
			return false
		}
	}
	return true
}

// reconstruct finds fractions over a common denominator that are congruent to the residues modulo
// power, with numerators and denominator below the root of half of it, or returns false if there are
// none (P. Wang, A p-adic algorithm for univariate partial fractions, 1981).
func reconstruct(residues []big.Int, power *big.Int, numerator []big.Int, denominator *big.Int) bool {
	var limit, half big.Int
	half.Rsh(power, 1)
	limit.Sqrt(&half)
	denominator.SetInt64(1)
	for j := range residues {
		n := &numerator[j]
		n.Mul(&residues[j], denominator)
		n.Mod(n, power)
		if n.Cmp(&half) > 0 {
			n.Sub(n, power)
		}
		if n.CmpAbs(&limit) <= 0 {
			continue
		}
		d, ok := fractionOf(n, power, &limit)
		if !ok || denominator.Mul(denominator, d).CmpAbs(&limit) > 0 {
			return false
		}
		for k := range j {
			numerator[k].Mul(&numerator[k], d)
		}
	}
	return true
}

// fractionOf replaces the residue n by the numerator of the fraction congruent to it modulo power, and
// returns its positive denominator, by Euclid's algorithm stopped half way.
func fractionOf(n, power, limit *big.Int) (denominator *big.Int, ok bool) {
	var a, b, u, v, quotient, remainder, product big.Int
	a.Set(power)
	b.Mod(n, power)
	v.SetInt64(1)
	for b.Cmp(limit) > 0 {
		quotient.QuoRem(&a, &b, &remainder)
		a.Set(&b)
		b.Set(&remainder)
		product.Mul(&quotient, &v)
		product.Sub(&u, &product)
		u.Set(&v)
		v.Set(&product)
	}
	if v.Sign() == 0 || v.CmpAbs(limit) > 0 {
		return nil, false
	}
	if v.Sign() < 0 {
		v.Neg(&v)
		b.Neg(&b)
	}
	n.Set(&b)
	return &v, true
}
