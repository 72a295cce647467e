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

// A lifted table and a whole one are the same table, entry by entry, along any pivots.
func TestLiftedTableIsTheWholeTable(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := tinyProblem().Draw(rt, "problem")
		e := newExactProgram(p)
		whole, lifted := e.dictionaryOf(newWholeTable(e)), e.dictionaryOf(newLiftedTable(context.Background(), e))
		for range rapid.IntRange(0, 4).Draw(rt, "pivots") {
			requireSameTable(rt, whole, lifted)
			if len(whole.head) == 0 || len(whole.cobasis) == 0 {
				return
			}
			r := rapid.IntRange(0, len(whole.head)-1).Draw(rt, "row")
			q := rapid.IntRange(0, len(whole.cobasis)-1).Draw(rt, "column")
			if whole.table.row(r).entries[q].Sign() == 0 {
				continue
			}
			for _, d := range []*dictionary{whole, lifted} {
				d.place[d.head[r]] = d.rest(d.head[r], AtUpper)
				d.pivot(r, q)
				d.refresh()
			}
		}
		requireSameTable(rt, whole, lifted)
	})
}

func requireSameTable(t require.TestingT, whole, lifted *dictionary) {
	require.Equal(t, whole.head, lifted.head)
	require.Equal(t, whole.cobasis, lifted.cobasis)
	same := func(a, b *fractions) {
		require.Len(t, b.entries, len(a.entries))
		for k := range a.entries {
			left := new(big.Rat).SetFrac(&a.entries[k], a.over)
			requireRat(t, left, new(big.Rat).SetFrac(&b.entries[k], b.over))
		}
	}
	for i := range whole.head {
		same(whole.table.row(i), lifted.table.row(i))
	}
	for j := range whole.cobasis {
		same(whole.table.column(j), lifted.table.column(j))
	}
	same(whole.value, lifted.value)
	same(whole.cost.reduced, lifted.cost.reduced)
}
