package solver

// matrix is the constraint matrix, kept by column and by row.
type matrix struct {
	rows, columns int

	columnStart []int32
	columnIndex []int32
	columnValue []float64

	rowStart []int32
	rowIndex []int32
	rowValue []float64

	ints   []int32
	values []float64
}

// allocate makes room, reusing storage that is large enough.
func (a *matrix) allocate(rows, columns, nonzeros int) {
	a.rows, a.columns = rows, columns
	a.ints = resize(a.ints, rows+columns+2+2*nonzeros)
	ints := a.ints
	a.rowStart, ints = ints[:rows+1], ints[rows+1:]
	a.columnStart, ints = ints[:columns+1], ints[columns+1:]
	a.rowIndex, a.columnIndex = ints[:nonzeros], ints[nonzeros:]
	a.values = resize(a.values, 2*nonzeros)
	a.rowValue, a.columnValue = a.values[:nonzeros], a.values[nonzeros:]
	a.rowStart[0] = 0
}

// close ends rows that were filled with k entries, fewer than there is room for, and fills the column copy.
func (a *matrix) close(k int32) {
	a.rowIndex, a.rowValue = a.rowIndex[:k], a.rowValue[:k]
	a.columnIndex, a.columnValue = a.columnIndex[:k], a.columnValue[:k]
	a.byColumn()
}

// byColumn fills the column copy from the row copy.
func (a *matrix) byColumn() {
	clear(a.columnStart)
	for _, j := range a.rowIndex {
		a.columnStart[j+1]++
	}
	for j := 0; j < a.columns; j++ {
		a.columnStart[j+1] += a.columnStart[j]
	}
	for i := range a.rows {
		first, last := a.rowStart[i], a.rowStart[i+1]
		index := a.rowIndex[first:last]
		value := a.rowValue[first:last][:len(index)]
		for k, j := range index {
			at := a.columnStart[j]
			a.columnIndex[at], a.columnValue[at] = int32(i), value[k]
			a.columnStart[j] = at + 1
		}
	}
	for j := a.columns; j > 0; j-- {
		a.columnStart[j] = a.columnStart[j-1]
	}
	a.columnStart[0] = 0
}
