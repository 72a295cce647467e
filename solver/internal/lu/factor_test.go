package lu

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// randomMatrix draws a sparse matrix; every column has entries.
func randomMatrix(r *rand.Rand, rows, columns int, density float64) *Matrix {
	entries := make([][]float64, rows)
	for i := range entries {
		entries[i] = make([]float64, columns)
	}
	for j := range columns {
		used := map[int]bool{r.IntN(rows): true}
		for i := range rows {
			if r.Float64() < density {
				used[i] = true
			}
		}
		for i := range rows {
			if used[i] {
				entries[i][j] = math.Exp(r.Float64()*6-3) * float64(1-2*r.IntN(2))
			}
		}
	}
	return matrixOf(entries)
}

// matrixOf keeps what is not zero in rows of one length.
func matrixOf(rows [][]float64) *Matrix {
	a := new(Matrix)
	a.Allocate(len(rows), len(rows[0]), len(rows)*len(rows[0]))
	k := int32(0)
	for i, row := range rows {
		for j, v := range row {
			if v != 0 {
				a.RowIndex[k], a.RowValue[k] = int32(j), v
				k++
			}
		}
		a.RowStart[i+1] = k
	}
	a.Close(k)
	return a
}

// dense returns the basis matrix of head, a column per position.
func dense(a *Matrix, head []int32) *mat.Dense {
	b := mat.NewDense(a.Rows, a.Rows, nil)
	for p, v := range head {
		if int(v) >= a.Columns {
			b.Set(int(v)-a.Columns, p, -1)
			continue
		}
		for k := a.ColumnStart[v]; k < a.ColumnStart[v+1]; k++ {
			b.Set(int(a.ColumnIndex[k]), p, a.ColumnValue[k])
		}
	}
	return b
}

// requireSolves compares solves of both kinds with gonum's dense LU for dense and sparse right-hand
// sides.
func requireSolves(t *testing.T, r *rand.Rand, f *Factor, a *Matrix, head []int32) {
	t.Helper()
	b := dense(a, head)
	var lu mat.LU
	lu.Factorize(b)
	if lu.Cond() > 1e9 {
		return
	}
	for _, entries := range []int{1, a.Rows} {
		v := new(Vector)
		v.Reset(a.Rows)
		for range entries {
			if i := int32(r.IntN(a.Rows)); v.Value[i] == 0 {
				v.Value[i] = r.NormFloat64()
				v.Index = append(v.Index, i)
			}
		}
		right := mat.NewVecDense(a.Rows, slices.Clone(v.Value))
		w := Vector{Value: slices.Clone(v.Value), Index: append(make([]int32, 0, a.Rows), v.Index...)}
		var want mat.VecDense
		require.NoError(t, lu.SolveVecTo(&want, false, right))
		f.Solve(v, false)
		requireVector(t, &want, v, lu.Cond())
		require.NoError(t, lu.SolveVecTo(&want, true, right))
		f.SolveTransposed(&w, false)
		requireVector(t, &want, &w, lu.Cond())
	}
}

func requireVector(t *testing.T, want *mat.VecDense, got *Vector, condition float64) {
	t.Helper()
	listed := map[int32]bool{}
	for _, i := range got.Index {
		require.False(t, listed[i], "position %d listed twice", i)
		listed[i] = true
	}
	room := 1e-10*condition*(1+mat.Norm(want, 2)) + 1e-12
	for i, x := range got.Value {
		require.InDelta(t, want.AtVec(i), x, room, "position %d", i)
		require.True(t, x == 0 || listed[int32(i)], "position %d not listed", i)
	}
}

func TestFactorAgainstDenseLU(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 7))
		rows := 1 + r.IntN(40)
		if seed%10 == 9 {
			rows = HyperMin + r.IntN(100) // solves that look for few nonzeros
		}
		a := randomMatrix(r, rows, 2*rows, 2/float64(rows)+0.2*r.Float64()*float64(seed%3))
		f := new(Factor)
		f.Reset(rows)
		head := make([]int32, rows)
		for p, v := range r.Perm(3 * rows)[:rows] {
			head[p] = int32(v)
		}
		rejected := f.Factorize(a, head)
		kept := slices.Clone(head)
		slices.Sort(kept)
		require.Len(t, slices.Compact(kept), rows, "a variable stands twice")
		for _, v := range rejected {
			require.NotContains(t, head, v)
		}
		requireSolves(t, r, f, a, head)

		// Updates: any nonbasic column may enter where its pivot is largest.
		for range 15 {
			v := int32(r.IntN(3 * rows))
			if slices.Contains(head, v) {
				continue
			}
			column, unit := new(Vector), new(Vector)
			column.Reset(rows)
			unit.Reset(rows)
			if int(v) >= a.Columns {
				column.Add(v-int32(a.Columns), -1)
			} else {
				for k := a.ColumnStart[v]; k < a.ColumnStart[v+1]; k++ {
					column.Add(a.ColumnIndex[k], a.ColumnValue[k])
				}
			}
			f.Solve(column, true)
			p, largest := int32(-1), 0.1
			for _, i := range column.Index {
				if x := math.Abs(column.Value[i]); x > largest {
					p, largest = i, x
				}
			}
			if p < 0 {
				continue
			}
			unit.Add(p, 1)
			f.SolveTransposed(unit, true)
			require.True(t, f.Update(p, column.Value[p]))
			head[p] = v
			requireSolves(t, r, f, a, head)
		}
	}
}

func TestFactorRepairsSingularBasis(t *testing.T) {
	a := matrixOf([][]float64{{1, 2, 1}, {2, 4, 1}, {3, 6, 1}})
	f := new(Factor)
	f.Reset(3)
	head := []int32{0, 1, 2}
	rejected := f.Factorize(a, head)
	require.Len(t, rejected, 1)
	require.Contains(t, []int32{0, 1}, rejected[0], "columns 0 and 1 are parallel")
	logicals := 0
	for _, v := range head {
		if v >= 3 {
			logicals++
		}
	}
	require.Equal(t, 1, logicals)
	requireSolves(t, rand.New(rand.NewPCG(1, 1)), f, a, head)
}

// An update whose new pivot is not what the entering column says is refused: the factors have lost their
// digits and are made anew. One that agrees to rounding is taken.
func TestFactorRefusesAPivotThatDisagrees(t *testing.T) {
	for off, taken := range map[float64]bool{0: true, 1e-10: true, 1e-5: false, -1e-5: false, 1: false} {
		a := matrixOf([][]float64{{4, 1, 2}, {1, 3, 5}})
		f := new(Factor)
		f.Reset(2)
		head := []int32{0, 1}
		require.Empty(t, f.Factorize(a, head))
		column, unit := new(Vector), new(Vector)
		column.Reset(2)
		unit.Reset(2)
		column.Add(0, 2)
		column.Add(1, 5)
		f.Solve(column, true)
		leaving := int32(0)
		unit.Add(leaving, 1)
		f.SolveTransposed(unit, true)
		require.Equal(t, taken, f.Update(leaving, column.Value[leaving]*(1+off)), "off by %v", off)
	}
}
