package presolve

import (
	"math"

	"bittersum/solver/internal/lp"
)

// reduceRow tries the reductions that look at row i alone.
func (r *Reducer) reduceRow(i int32) {
	v := int32(r.n) + i
	lower, upper := r.lower[v], r.upper[v]
	if lower > upper {
		if lower-upper > room(lower) {
			r.Infeasible = true
			return
		}
		r.upper[v] = lower
	}
	switch {
	case r.count[v] == 0:
		if lower > room(lower) || upper < -room(upper) {
			r.Infeasible = true
			return
		}
		r.removeRow(i, Reduction{Kind: DropRow})
		return
	case math.IsInf(lower, -1) && math.IsInf(upper, 1):
		r.removeRow(i, Reduction{Kind: DropRow})
		return
	case r.count[v] == 1:
		r.rowToBound(i)
		return
	}
	least, most := r.activityRange(i)
	low, high := least >= lower-room(lower)*1e-3, most <= upper+room(upper)*1e-3
	switch {
	case least > upper+room(upper) || most < lower-room(lower):
		r.Infeasible = true
	case low && high:
		r.removeRow(i, Reduction{Kind: DropRow})
	case !math.IsInf(most, 1) && most <= lower:
		r.forceRow(i, true)
	case !math.IsInf(least, -1) && least >= upper:
		r.forceRow(i, false)
	}
}

// activityRange returns the least and largest value of row i over the column bounds.
func (r *Reducer) activityRange(i int32) (least, most float64) {
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		j := r.a.RowIndex[k]
		if !r.alive(j) {
			continue
		}
		a := r.a.RowValue[k]
		if a > 0 {
			least += a * r.lower[j]
			most += a * r.upper[j]
		} else {
			least += a * r.upper[j]
			most += a * r.lower[j]
		}
	}
	return least, most
}

// rowToBound turns a row with one column into bounds of that column.
func (r *Reducer) rowToBound(i int32) {
	v := int32(r.n) + i
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		j := r.a.RowIndex[k]
		if !r.alive(j) {
			continue
		}
		a := r.a.RowValue[k]
		if math.Abs(a) < 1e-7 {
			return
		}
		lower, upper := r.lower[v]/a, r.upper[v]/a
		if a < 0 {
			lower, upper = upper, lower
		}
		step := Reduction{Kind: RowToBound, column: j, a: a, lower: r.lower[j], upper: r.upper[j]}
		if lower > r.upper[j]+room(lower) || upper < r.lower[j]-room(upper) {
			r.Infeasible = true
			return
		}
		if lower > r.lower[j] {
			r.lower[j], step.low = min(lower, r.upper[j]), true
		}
		if upper < r.upper[j] {
			r.upper[j], step.high = max(upper, r.lower[j]), true
		}
		if r.upper[j]-r.lower[j] < 1e-13*(1+math.Abs(r.lower[j])) && r.upper[j] != r.lower[j] {
			// A span of rounding alone is none.
			if step.high {
				r.upper[j] = r.lower[j]
			} else {
				r.lower[j] = r.upper[j]
			}
		}
		r.removeRow(i, step)
		r.push(j)
		for e := r.a.ColumnStart[j]; e < r.a.ColumnStart[j+1]; e++ {
			r.push(int32(r.n) + r.a.ColumnIndex[e])
		}
		return
	}
}

// forceRow fixes every column of row i at the bound that lets the row just meet its lower (upper)
// limit.
func (r *Reducer) forceRow(i int32, atLower bool) {
	start := int32(len(r.members))
	step := int32(len(r.Steps))
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		if j := r.a.RowIndex[k]; r.alive(j) {
			r.members = append(r.members, j)
		}
	}
	place := lp.AtUpper
	if atLower {
		place = lp.AtLower
	}
	r.removeRow(i, Reduction{Kind: ForceRow, other: start, length: int32(len(r.members)) - start, place: place})
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		j := r.a.RowIndex[k]
		if !r.alive(j) {
			continue
		}
		r.gone[j] = step
		r.leave(j, r.restingValue(j, forcedPlace(r.a.RowValue[k], atLower)))
	}
}

// forcedPlace is the bound at which a forcing row holds a column with coefficient a.
func forcedPlace(a float64, atLower bool) lp.Place {
	if a > 0 == atLower {
		return lp.AtUpper
	}
	return lp.AtLower
}
