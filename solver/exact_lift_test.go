package solver

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
		matrix := make(integerMatrix, n)
		dense := make([][]*big.Rat, n)
		for i := range matrix {
			dense[i] = zeros(n)
			for j := range n {
				if v := entry.Draw(rt, "entry"); v != 0 {
					matrix[i] = append(matrix[i], integerEntry{j, big.NewInt(v)})
					dense[i][j].SetInt64(v)
				}
			}
		}
		factors := factorModular(matrix.modular())
		if factors == nil {
			require.Zero(rt, determinant(dense).Sign())
			return
		}
		right := make([]big.Int, n)
		for i := range right {
			right[i].SetInt64(entry.Draw(rt, "right"))
		}
		for _, system := range []struct {
			matrix integerMatrix
			solve  func([]uint64) []uint64
		}{{matrix, factors.solve}, {matrix.transposed(), factors.solveTransposed}} {
			x, denominator, ok := system.matrix.lift(context.Background(), system.solve, copied(right))
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

// A basis is certified if and only if the dictionary finds nothing left to do at it.
func TestCertifyAgreesWithDictionary(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := optimalTiny().Draw(rt, "problem")
		e := newExactProgram(p)
		d := e.dictionary()
		r := &run{ctx: context.Background(), pivots: -1}
		d.solve(r)
		proof := e.certify(context.Background(), d.basis(), nil)
		require.NotNil(rt, proof)
		want := d.prove(r)
		requireRat(rt, want.Objective, proof.Objective)
		for j := range p.Columns {
			requireRat(rt, want.X[j], proof.X[j])
			requireRat(rt, want.ReducedCost[j], proof.ReducedCost[j])
		}
		for i := range p.Rows {
			requireRat(rt, want.Dual[i], proof.Dual[i])
			requireRat(rt, want.Activity[i], proof.Activity[i])
		}
	})
}

// Infeasible and unbounded outcomes of the engine are certified without pivots wherever they rest on
// one row or one column of the basis.
func TestCertifyInfeasibleAndUnbounded(t *testing.T) {
	counts := map[Status]int{}
	rapid.Check(t, func(rt *rapid.T) {
		p := tinyProblem().Draw(rt, "problem")
		s, err := Solve(context.Background(), p, Options{})
		require.NoError(rt, err)
		e := newExactProgram(p)
		if e.crossed() >= 0 {
			return
		}
		proof := e.certify(context.Background(), s.Basis, s)
		if proof == nil {
			return
		}
		counts[proof.Status]++
		require.Equal(rt, s.Status, proof.Status)
		switch proof.Status {
		case Infeasible:
			require.Empty(rt, e.faultOfFarkas(proof.Farkas))
		case Unbounded:
			require.Empty(rt, e.faultOfRay(proof))
		default:
			require.Empty(rt, e.faultOfOptimum(proof))
		}
	})
	require.Positive(t, counts[Optimal])
	require.Positive(t, counts[Infeasible])
	require.Positive(t, counts[Unbounded])
}
