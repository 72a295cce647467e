package modular

import (
	"context"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Lifted solutions satisfy the equations and the transposed ones; a matrix that is not factorised is
// singular.
func TestLiftSolvesIntegerEquations(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(rt, "size")
		entry := rapid.OneOf(rapid.Just(int64(0)), rapid.Int64Range(-3, 3), rapid.Int64())
		matrix := make(Matrix, n)
		dense := make([][]*big.Rat, n)
		for i := range matrix {
			dense[i] = make([]*big.Rat, n)
			for j := range n {
				dense[i][j] = new(big.Rat)
				if v := entry.Draw(rt, "entry"); v != 0 {
					matrix[i] = append(matrix[i], Entry{j, big.NewInt(v)})
					dense[i][j].SetInt64(v)
				}
			}
		}
		factors := Factor(matrix.Residues())
		if factors == nil {
			require.Zero(rt, determinant(dense).Sign())
			return
		}
		right := make([]big.Int, n)
		for i := range right {
			right[i].SetInt64(entry.Draw(rt, "right"))
		}
		for _, system := range []struct {
			matrix Matrix
			solve  func([]uint64) []uint64
		}{{matrix, factors.Solve}, {matrix.Transposed(), factors.SolveTransposed}} {
			x, denominator, ok := system.matrix.Lift(context.Background(), system.solve, right)
			require.True(rt, ok)
			require.Positive(rt, denominator.Sign())
			require.True(rt, system.matrix.solvedBy(x, denominator, right))
		}
	})
}

// determinant by Gaussian elimination; a is used up.
func determinant(a [][]*big.Rat) *big.Rat {
	d := big.NewRat(1, 1)
	for k := range a {
		pivot := k
		for pivot < len(a) && a[pivot][k].Sign() == 0 {
			pivot++
		}
		if pivot == len(a) {
			return new(big.Rat)
		}
		if pivot != k {
			a[k], a[pivot] = a[pivot], a[k]
			d.Neg(d)
		}
		d.Mul(d, a[k][k])
		for i := k + 1; i < len(a); i++ {
			factor := new(big.Rat).Quo(a[i][k], a[k][k])
			for j := k; j < len(a); j++ {
				a[i][j].Sub(a[i][j], new(big.Rat).Mul(factor, a[k][j]))
			}
		}
	}
	return d
}
