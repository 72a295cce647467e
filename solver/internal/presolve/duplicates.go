package presolve

import (
	"math"
	"slices"

	"bittersum/solver/internal/lp"
)

// signature is a line of the matrix by its pattern and its values over the first one.
type signature struct {
	hash uint64
	line int32
}

// mix folds a number into a hash (the finaliser of splitmix64, Steele, Lea and Flood 2014).
func mix(h, x uint64) uint64 {
	h ^= x + 0x9e3779b97f4a7c15
	h ^= h >> 30
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 27
	h *= 0x94d049bb133111eb
	return h ^ h>>31
}

// duplicateRows merges rows that are multiples of each other.
func (r *Reducer) duplicateRows() {
	r.duplicates(int32(r.n), r.m, r.a.RowStart, r.a.RowIndex, r.a.RowValue, 0, r.mergeRows)
}

// duplicateColumns merges columns that are multiples of each other, costs included.
func (r *Reducer) duplicateColumns() {
	r.duplicates(0, r.n, r.a.ColumnStart, r.a.ColumnIndex, r.a.ColumnValue, int32(r.n), r.mergeColumns)
}

// duplicates calls merge(keep, drop, ratio) for lines of the matrix with drop = ratio·keep. Lines are
// variables from first on; their entries point to variables from across on.
func (r *Reducer) duplicates(first int32, lines int, start, index []int32, value []float64, across int32, merge func(keep, drop int32, ratio float64) bool) {
	// A line's entries keep their order in both copies of the matrix, so equal patterns are equal
	// sequences.
	var signatures []signature
	for line := range int32(lines) {
		if line%1024 == 1023 && r.stop() {
			return
		}
		if !r.alive(first+line) || r.count[first+line] < 2 {
			continue
		}
		h, scale := uint64(0), 0.0
		for k := start[line]; k < start[line+1]; k++ {
			if !r.alive(across + index[k]) {
				continue
			}
			if scale == 0 {
				scale = value[k]
			}
			h = mix(h, uint64(index[k]))
			// Half precision leaves rounding of the ratio out.
			h = mix(h, uint64(math.Float32bits(float32(value[k]/scale))))
		}
		signatures = append(signatures, signature{h, line})
	}
	slices.SortFunc(signatures, func(a, b signature) int {
		switch {
		case a.hash < b.hash:
			return -1
		case a.hash > b.hash:
			return 1
		}
		return int(a.line - b.line)
	})
	for k := 0; k < len(signatures); {
		end := k + 1
		for end < len(signatures) && signatures[end].hash == signatures[k].hash {
			end++
		}
		for keep := k; keep < end && !r.Infeasible; keep++ {
			for drop := keep + 1; drop < end && r.alive(first+signatures[keep].line); drop++ {
				if !r.alive(first + signatures[drop].line) {
					continue
				}
				ratio := r.ratio(signatures[keep].line, signatures[drop].line, start, index, value, across)
				if ratio != 0 && !merge(signatures[keep].line, signatures[drop].line, ratio) {
					break
				}
			}
		}
		k = end
	}
}

// ratio returns the number that makes line b a multiple of line a, or zero.
func (r *Reducer) ratio(a, b int32, start, index []int32, value []float64, across int32) float64 {
	i, j := start[a], start[b]
	ratio := 0.0
	for {
		for i < start[a+1] && !r.alive(across+index[i]) {
			i++
		}
		for j < start[b+1] && !r.alive(across+index[j]) {
			j++
		}
		if i == start[a+1] || j == start[b+1] {
			if i == start[a+1] && j == start[b+1] {
				return ratio
			}
			return 0
		}
		if index[i] != index[j] {
			return 0
		}
		q := value[j] / value[i]
		if ratio == 0 {
			ratio = q
		}
		if math.Abs(q-ratio) > 1e-14*math.Abs(ratio) {
			return 0
		}
		i++
		j++
	}
}

// mergeRows lets row keep carry the limits of row drop = ratio·keep.
func (r *Reducer) mergeRows(keep, drop int32, ratio float64) bool {
	k, d := int32(r.n)+keep, int32(r.n)+drop
	lower, upper := r.lower[d]/ratio, r.upper[d]/ratio
	if ratio < 0 {
		lower, upper = upper, lower
	}
	step := Reduction{Kind: MergeRows, other: keep, a: ratio}
	if lower > r.upper[k]+room(lower) || upper < r.lower[k]-room(upper) {
		r.Infeasible = true
		return false
	}
	if lower > r.lower[k] {
		r.lower[k], step.low = min(lower, r.upper[k]), true
	}
	if upper < r.upper[k] {
		r.upper[k], step.high = max(upper, r.lower[k]), true
	}
	r.removeRow(drop, step)
	r.push(k)
	return true
}

// mergeColumns lets column keep stand for keep + ratio·drop, if their costs agree; if not, the dearer
// one may be dominated.
func (r *Reducer) mergeColumns(keep, drop int32, ratio float64) bool {
	dearer := r.cost[drop] - ratio*r.cost[keep]
	if math.Abs(dearer) > 1e-14*(math.Abs(r.cost[drop])+math.Abs(ratio*r.cost[keep])) {
		r.fixDearer(keep, drop, ratio, dearer)
		return r.alive(keep)
	}
	step := Reduction{Kind: MergeColumns, column: drop, other: keep, a: ratio, lower: r.lower[keep], upper: r.upper[keep]}
	low, high := ratio*r.lower[drop], ratio*r.upper[drop]
	if ratio < 0 {
		low, high = high, low
	}
	r.lower[keep] += low
	r.upper[keep] += high
	r.gone[drop] = int32(len(r.Steps))
	r.Steps = append(r.Steps, step)
	for k := r.a.ColumnStart[drop]; k < r.a.ColumnStart[drop+1]; k++ {
		v := int32(r.n) + r.a.ColumnIndex[k]
		if r.alive(v) {
			r.count[v]--
			r.push(v)
		}
	}
	r.push(keep)
	return true
}

// fixDearer fixes one of two parallel columns whose reduced costs differ by dearer = d_drop -
// ratio·d_keep, if an endless bound of the other settles the sign.
func (r *Reducer) fixDearer(keep, drop int32, ratio, dearer float64) {
	endlessUp := func(v int32) bool { return math.IsInf(r.upper[v], 1) }
	endlessDown := func(v int32) bool { return math.IsInf(r.lower[v], -1) }
	// Sign of ratio·d_keep where keep is endless: d_keep >= 0 if endless up, <= 0 if endless down.
	keepUp := endlessUp(keep) && ratio > 0 || endlessDown(keep) && ratio < 0
	keepDown := endlessDown(keep) && ratio > 0 || endlessUp(keep) && ratio < 0
	if dearer > 0 && keepUp && !endlessDown(drop) {
		r.fix(drop, lp.AtLower)
		return
	}
	if dearer < 0 && keepDown && !endlessUp(drop) {
		r.fix(drop, lp.AtUpper)
		return
	}
	// d_keep = (d_drop - dearer)/ratio.
	shift := -dearer / ratio
	dropUp := endlessUp(drop) && ratio > 0 || endlessDown(drop) && ratio < 0
	dropDown := endlessDown(drop) && ratio > 0 || endlessUp(drop) && ratio < 0
	if shift > 0 && dropUp && !endlessDown(keep) {
		r.fix(keep, lp.AtLower)
	} else if shift < 0 && dropDown && !endlessUp(keep) {
		r.fix(keep, lp.AtUpper)
	}
}
