package solver

import "bittersum/solver/internal/lu"

// movable keeps the entries of columns that may move at the beginning of each row of the matrix, so that pricing a
// row passes over those whose bounds are one value: in a search over whole numbers that is most of them, most of the
// time.
type movable struct {
	end   []int32 // by row: where its entries of movable columns end; nil while all rows count whole
	where []int32 // by entry of the column copy: its place in the row copy
	entry []int32 // by entry of the row copy: its place in the column copy
	fixed []bool  // by column
}

// part puts the entries of fixed columns last. It is made at the first change of a bound, since a program that is
// solved once has few of them.
func (v *movable) part(a *lu.Matrix, lower, upper []float64) {
	if v.end != nil {
		return
	}
	entries := len(a.RowIndex)
	v.end = append([]int32(nil), a.RowStart[1:a.Rows+1]...)
	v.where, v.entry = make([]int32, entries), make([]int32, entries)
	v.fixed = make([]bool, a.Columns)
	next := append([]int32(nil), a.ColumnStart[:a.Columns]...)
	for k, j := range a.RowIndex {
		v.where[next[j]], v.entry[k] = int32(k), next[j]
		next[j]++
	}
	for j := range v.fixed {
		v.set(a, j, lower[j] == upper[j])
	}
}

// set moves the entries of column j to the part of their rows where they belong.
func (v *movable) set(a *lu.Matrix, j int, fixed bool) {
	if v.end == nil || j >= len(v.fixed) || v.fixed[j] == fixed {
		return
	}
	v.fixed[j] = fixed
	for e := a.ColumnStart[j]; e < a.ColumnStart[j+1]; e++ {
		i := a.ColumnIndex[e]
		if fixed {
			v.end[i]--
			v.exchange(a, v.where[e], v.end[i])
		} else {
			v.exchange(a, v.where[e], v.end[i])
			v.end[i]++
		}
	}
}

// exchange swaps two entries of a row.
func (v *movable) exchange(a *lu.Matrix, k, l int32) {
	a.RowIndex[k], a.RowIndex[l] = a.RowIndex[l], a.RowIndex[k]
	a.RowValue[k], a.RowValue[l] = a.RowValue[l], a.RowValue[k]
	v.entry[k], v.entry[l] = v.entry[l], v.entry[k]
	v.where[v.entry[k]], v.where[v.entry[l]] = k, l
}

// last returns where the entries to be priced of row i end.
func (v *movable) last(a *lu.Matrix, i int32) int32 {
	if v.end == nil {
		return a.RowStart[i+1]
	}
	return v.end[i]
}
