package lu

// Matrix is a sparse matrix, kept by column and by row: the entries of column j stand from ColumnStart[j] to
// ColumnStart[j+1], each with the number of its row, and those of rows likewise.
type Matrix struct {
	Rows, Columns int

	ColumnStart []int32
	ColumnIndex []int32
	ColumnValue []float64

	RowStart []int32
	RowIndex []int32
	RowValue []float64

	ints   []int32
	values []float64
}

// Allocate makes room, reusing storage that is large enough.
func (a *Matrix) Allocate(rows, columns, nonzeros int) {
	a.Rows, a.Columns = rows, columns
	a.ints = Resize(a.ints, rows+columns+2+2*nonzeros)
	ints := a.ints
	a.RowStart, ints = ints[:rows+1], ints[rows+1:]
	a.ColumnStart, ints = ints[:columns+1], ints[columns+1:]
	a.RowIndex, a.ColumnIndex = ints[:nonzeros], ints[nonzeros:]
	a.values = Resize(a.values, 2*nonzeros)
	a.RowValue, a.ColumnValue = a.values[:nonzeros], a.values[nonzeros:]
	a.RowStart[0] = 0
}

// Close ends rows that were filled with k entries, fewer than there is room for, and fills the column copy.
func (a *Matrix) Close(k int32) {
	a.RowIndex, a.RowValue = a.RowIndex[:k], a.RowValue[:k]
	a.ColumnIndex, a.ColumnValue = a.ColumnIndex[:k], a.ColumnValue[:k]
	a.ByColumn()
}

// ByColumn fills the column copy from the row copy.
func (a *Matrix) ByColumn() {
	clear(a.ColumnStart)
	for _, j := range a.RowIndex {
		a.ColumnStart[j+1]++
	}
	for j := 0; j < a.Columns; j++ {
		a.ColumnStart[j+1] += a.ColumnStart[j]
	}
	for i := range a.Rows {
		first, last := a.RowStart[i], a.RowStart[i+1]
		index := a.RowIndex[first:last]
		value := a.RowValue[first:last][:len(index)]
		for k, j := range index {
			at := a.ColumnStart[j]
			a.ColumnIndex[at], a.ColumnValue[at] = int32(i), value[k]
			a.ColumnStart[j] = at + 1
		}
	}
	for j := a.Columns; j > 0; j-- {
		a.ColumnStart[j] = a.ColumnStart[j-1]
	}
	a.ColumnStart[0] = 0
}
