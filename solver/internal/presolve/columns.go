package presolve

import (
	"math"

	"bittersum/solver/internal/lp"
)

// reduceColumn tries the reductions that look at column j alone.
func (r *Reducer) reduceColumn(j int32) {
	lower, upper := r.lower[j], r.upper[j]
	switch {
	case lower > upper:
		r.Infeasible = true
	case lower == upper:
		r.fix(j, lp.AtLower)
	case r.count[j] == 0:
		r.emptyColumn(j)
	case r.count[j] == 1:
		r.singletonColumn(j)
	}
}

// emptyColumn fixes a column without coefficients where it costs least, if there is such a place.
func (r *Reducer) emptyColumn(j int32) {
	lower, upper := !math.IsInf(r.lower[j], -1), !math.IsInf(r.upper[j], 1)
	switch {
	case r.cost[j] > 0 && lower:
		r.fix(j, lp.AtLower)
	case r.cost[j] < 0 && upper:
		r.fix(j, lp.AtUpper)
	case r.cost[j] != 0:
	case lower && (!upper || math.Abs(r.lower[j]) <= math.Abs(r.upper[j])):
		r.fix(j, lp.AtLower)
	case upper:
		r.fix(j, lp.AtUpper)
	default:
		r.fix(j, lp.Zero)
	}
}

// singletonColumn removes a column that stands in one row, where it acts as that row's slack.
func (r *Reducer) singletonColumn(j int32) {
	var i int32
	a := 0.0
	for k := r.a.ColumnStart[j]; k < r.a.ColumnStart[j+1]; k++ {
		if r.alive(int32(r.n) + r.a.ColumnIndex[k]) {
			i, a = r.a.ColumnIndex[k], r.a.ColumnValue[k]
		}
	}
	v := int32(r.n) + i
	if r.count[v] < 2 || math.Abs(a) < 1e-3*r.largestInRow(i) {
		return
	}
	equality := r.lower[v] == r.upper[v]
	if r.cost[j] != 0 && !equality {
		r.substituteOneSided(i, j, a)
		return
	}
	least, most := r.activityWithout(i, j)
	step := Reduction{Kind: AbsorbSlack, row: i, column: j, a: a, cost: r.cost[j], lower: r.lower[v], upper: r.upper[v]}
	if equality && r.freeWithin((r.lower[v]-most)/a, (r.lower[v]-least)/a, j) {
		r.takeOutOfCosts(i, j, a)
		r.substitute(i, j, step, lp.AtLower)
		return
	}
	r.takeOutOfCosts(i, j, a)
	low, high := a*r.lower[j], a*r.upper[j]
	if a < 0 {
		low, high = high, low
	}
	r.lower[v] -= high
	r.upper[v] -= low
	r.gone[j] = int32(len(r.Steps))
	r.Steps = append(r.Steps, step)
	r.count[v]--
	r.push(v)
}

// substituteOneSided removes a costly column of one inequality if, at the limit that the cost drives
// the row to, the column's bounds never bind.
func (r *Reducer) substituteOneSided(i, j int32, a float64) {
	v := int32(r.n) + i
	limit, place := r.lower[v], lp.AtLower
	if r.cost[j]/a < 0 {
		limit, place = r.upper[v], lp.AtUpper
	}
	if math.IsInf(limit, 0) {
		return
	}
	least, most := r.activityWithout(i, j)
	if !r.freeWithin((limit-most)/a, (limit-least)/a, j) {
		return
	}
	step := Reduction{Kind: AbsorbSlack, row: i, column: j, a: a, cost: r.cost[j], lower: limit, upper: limit}
	r.takeOutOfCosts(i, j, a)
	r.substitute(i, j, step, place)
}

// freeWithin reports whether values between x and y, in either order, all respect the bounds of j.
func (r *Reducer) freeWithin(x, y float64, j int32) bool {
	if x > y {
		x, y = y, x
	}
	return x >= r.lower[j] && y <= r.upper[j]
}

// substitute removes column j and row i together.
func (r *Reducer) substitute(i, j int32, step Reduction, place lp.Place) {
	step.Kind, step.place = SubstituteFree, place
	r.gone[j] = int32(len(r.Steps))
	r.removeRow(i, step)
}

// takeOutOfCosts replaces column j in the objective by means of row i.
func (r *Reducer) takeOutOfCosts(i, j int32, a float64) {
	if r.cost[j] == 0 {
		return
	}
	r.shiftCosts(i, -r.cost[j]/a)
	r.cost[j] = 0
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		r.push(r.a.RowIndex[k])
	}
}

// shiftCosts adds t times row i to the costs, rounding of cancelled ones taken as zero.
func (r *Reducer) shiftCosts(i int32, t float64) {
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		j := r.a.RowIndex[k]
		old := r.cost[j]
		part := t * r.a.RowValue[k]
		r.cost[j] = old + part
		if math.Abs(r.cost[j]) < 1e-14*(math.Abs(old)+math.Abs(part)) {
			r.cost[j] = 0
		}
	}
}

func (r *Reducer) largestInRow(i int32) float64 {
	most := 0.0
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		if r.alive(r.a.RowIndex[k]) {
			most = max(most, math.Abs(r.a.RowValue[k]))
		}
	}
	return most
}

// activityWithout is activityRange with column j left out.
func (r *Reducer) activityWithout(i, j int32) (least, most float64) {
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		c := r.a.RowIndex[k]
		if c == j || !r.alive(c) {
			continue
		}
		a := r.a.RowValue[k]
		if a > 0 {
			least += a * r.lower[c]
			most += a * r.upper[c]
		} else {
			least += a * r.upper[c]
			most += a * r.lower[c]
		}
	}
	return least, most
}

// dominatedColumns fixes columns whose reduced cost has one sign for every dual value that the rows and
// the singleton columns allow.
func (r *Reducer) dominatedColumns() {
	low, high := make([]float64, r.m), make([]float64, r.m)
	for i := range r.m {
		low[i], high[i] = math.Inf(-1), math.Inf(1)
		v := r.n + i
		if math.IsInf(r.upper[v], 1) {
			low[i] = 0
		}
		if math.IsInf(r.lower[v], -1) {
			high[i] = 0
		}
	}
	bySign := func(j int32) (least, most float64) { return r.reducedCostRange(j, low, high) }
	for j := range int32(r.n) {
		if j%1024 == 1023 && r.stop() {
			return
		}
		if !r.alive(j) || r.count[j] == 0 {
			continue
		}
		// Signs of dual values alone: moving the column to its bound can only help.
		least, most := bySign(j)
		switch {
		case least >= 0 && !math.IsInf(r.lower[j], -1):
			r.fix(j, lp.AtLower)
		case most <= 0 && !math.IsInf(r.upper[j], 1):
			r.fix(j, lp.AtUpper)
		}
	}
	r.boundDuals(low, high)
	for j := range int32(r.n) {
		if j%1024 == 1023 && r.stop() {
			return
		}
		if !r.alive(j) || r.count[j] == 0 {
			continue
		}
		least, most := bySign(j)
		margin := 1e-9 * (1 + math.Abs(r.cost[j]))
		switch {
		case least > margin && !math.IsInf(r.lower[j], -1):
			r.fix(j, lp.AtLower)
		case most < -margin && !math.IsInf(r.upper[j], 1):
			r.fix(j, lp.AtUpper)
		}
	}
}

// boundDuals tightens the ranges of dual values by what columns of one row, endless to one side, imply.
func (r *Reducer) boundDuals(low, high []float64) {
	for j := range int32(r.n) {
		if !r.alive(j) || r.count[j] != 1 {
			continue
		}
		for k := r.a.ColumnStart[j]; k < r.a.ColumnStart[j+1]; k++ {
			i := r.a.ColumnIndex[k]
			if !r.alive(int32(r.n) + i) {
				continue
			}
			a := r.a.ColumnValue[k]
			y := r.cost[j] / a
			if math.IsInf(r.upper[j], 1) { // cost - a·y >= 0
				if a > 0 {
					high[i] = min(high[i], y)
				} else {
					low[i] = max(low[i], y)
				}
			}
			if math.IsInf(r.lower[j], -1) {
				if a > 0 {
					low[i] = max(low[i], y)
				} else {
					high[i] = min(high[i], y)
				}
			}
		}
	}
}

// reducedCostRange returns the least and largest reduced cost of j over the ranges of dual values.
func (r *Reducer) reducedCostRange(j int32, low, high []float64) (least, most float64) {
	least, most = r.cost[j], r.cost[j]
	for k := r.a.ColumnStart[j]; k < r.a.ColumnStart[j+1]; k++ {
		i := r.a.ColumnIndex[k]
		if !r.alive(int32(r.n) + i) {
			continue
		}
		a := r.a.ColumnValue[k]
		if a > 0 {
			least -= a * high[i]
			most -= a * low[i]
		} else {
			least -= a * low[i]
			most -= a * high[i]
		}
	}
	return least, most
}
