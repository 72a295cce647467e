package solver

import (
	"math"

	"bittersum/solver/internal/lu"
)

// scaling brings the coefficients of a matrix near one by powers of two, so that scaling and its
// undoing are free of rounding. The scaled variable v stands for unit[v] of the problem's own units:
// columns first, then the rows' logicals.
type scaling struct {
	unit []float64
	cost float64 // a scaled cost is the true one times unit times cost

	exponents []int16
}

// scalingRounds is how often rows and columns are brought to their geometric mean in turn; twice is
// enough for a small matrix.
func scalingRounds(a *lu.Matrix) int {
	if a.Rows < lu.HyperMin {
		return 2
	}
	return 3
}

// find chooses the units for a and scales it in place. Rows and columns are brought to the geometric
// mean of their smallest and largest magnitude in turn, then each column to a largest magnitude near
// one (Tomlin 1975, "On scaling linear programming problems").
func (s *scaling) find(a *lu.Matrix, cost []float64) {
	s.unit = lu.Resize(s.unit, a.Columns+a.Rows)
	for v := range s.unit {
		s.unit[v] = 1
	}
	s.exponents = lu.Resize(s.exponents, len(a.RowValue)+a.Rows+3*a.Columns)
	rest := s.exponents
	next := func(k int) []int16 {
		part := rest[:k:k]
		rest = rest[k:]
		return part
	}
	entry, row, column, low, high := next(len(a.RowValue)), next(a.Rows), next(a.Columns), next(a.Columns), next(a.Columns)
	clear(row)
	clear(column)
	least, most := int16(math.MaxInt16), int16(math.MinInt16)
	for k, v := range a.RowValue {
		e := exponent(v)
		entry[k] = e
		least, most = min(least, e), max(most, e)
	}
	if len(entry) > 0 && (most-least > 2 || most > 2 || least < -2) {
		for range scalingRounds(a) {
			scaleRows(a, entry, row, column)
			scaleColumns(a, entry, row, column, low, high, false)
		}
		scaleColumns(a, entry, row, column, low, high, true)
		for j, e := range column {
			s.unit[j] = power(e)
		}
		for i, e := range row {
			s.unit[a.Columns+i] = power(-e)
		}
		s.apply(a)
	}
	s.costScale(cost)
}

// power returns two to the power e, which is far from overflow.
func power(e int16) float64 { return math.Float64frombits(uint64(int64(e)+1023) << 52) }

// apply scales the values of a.
func (s *scaling) apply(a *lu.Matrix) {
	rows := s.unit[a.Columns:]
	for i, u := range rows {
		r := 1 / u
		index := a.RowIndex[a.RowStart[i]:a.RowStart[i+1]]
		value := a.RowValue[a.RowStart[i]:a.RowStart[i+1]][:len(index)]
		for k, j := range index {
			value[k] *= r * s.unit[j]
		}
	}
	a.ByColumn()
}

// costScale brings the largest scaled cost near one.
func (s *scaling) costScale(cost []float64) {
	largest := 0.0
	for j, c := range cost {
		largest = max(largest, math.Abs(c)*s.unit[j])
	}
	s.cost = 1
	if largest > 0 && !math.IsInf(largest, 0) {
		s.cost = power(-clampExponent(exponent(largest)))
	}
}

func scaleRows(a *lu.Matrix, entry, row, column []int16) {
	for i := range a.Rows {
		least, most := int16(math.MaxInt16), int16(math.MinInt16)
		for k := a.RowStart[i]; k < a.RowStart[i+1]; k++ {
			e := entry[k] + column[a.RowIndex[k]]
			least, most = min(least, e), max(most, e)
		}
		if least <= most {
			row[i] = clampExponent(-(least + most) / 2)
		}
	}
}

func scaleColumns(a *lu.Matrix, entry, row, column, low, high []int16, largest bool) {
	for j := range low {
		low[j], high[j] = math.MaxInt16, math.MinInt16
	}
	for i := range a.Rows {
		r := row[i]
		for k := a.RowStart[i]; k < a.RowStart[i+1]; k++ {
			j := a.RowIndex[k]
			e := entry[k] + r
			low[j], high[j] = min(low[j], e), max(high[j], e)
		}
	}
	for j := range low {
		switch {
		case low[j] > high[j]:
		case largest:
			column[j] = clampExponent(-high[j])
		default:
			column[j] = clampExponent(-(low[j] + high[j]) / 2)
		}
	}
}

// exponent returns the power of two at or below the magnitude of a number other than zero.
func exponent(v float64) int16 {
	return int16(math.Float64bits(v)>>52&0x7ff) - 1023
}

// clampExponent keeps scale factors far from overflow.
func clampExponent(e int16) int16 { return min(max(e, -60), 60) }
