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
}

// newMatrix reads the coefficients of p, leaving out zeros.
func newMatrix(p *Problem) *matrix {
	a := &matrix{rows: len(p.Rows), columns: len(p.Columns)}
	nonzeros := 0
	for i := range p.Rows {
		nonzeros += len(p.Rows[i].Terms)
	}
	starts := make([]int32, a.rows+a.columns+2)
	a.rowStart, a.columnStart = starts[:a.rows+1], starts[a.rows+1:]
	indices := make([]int32, 2*nonzeros)
	a.rowIndex, a.columnIndex = indices[:nonzeros], indices[nonzeros:]
	values := make([]float64, 2*nonzeros)
	a.rowValue, a.columnValue = values[:nonzeros], values[nonzeros:]

	k := int32(0)
	for i := range p.Rows {
		for _, t := range p.Rows[i].Terms {
			if t.Value == 0 {
				continue
			}
			a.rowIndex[k], a.rowValue[k] = int32(t.Column), t.Value
			k++
		}
		a.rowStart[i+1] = k
	}
	a.rowIndex, a.rowValue = a.rowIndex[:k], a.rowValue[:k]
	a.columnIndex, a.columnValue = a.columnIndex[:k], a.columnValue[:k]
	a.byColumn()
	return a
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
	for i := 0; i < a.rows; i++ {
		for k := a.rowStart[i]; k < a.rowStart[i+1]; k++ {
			j := a.rowIndex[k]
			at := a.columnStart[j]
			a.columnIndex[at], a.columnValue[at] = int32(i), a.rowValue[k]
			a.columnStart[j]++
		}
	}
	for j := a.columns; j > 0; j-- {
		a.columnStart[j] = a.columnStart[j-1]
	}
	a.columnStart[0] = 0
}
