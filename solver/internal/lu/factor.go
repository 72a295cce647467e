// Package lu keeps a sparse basis matrix as triangular factors, updates them as columns change, and solves with
// them.
package lu

import "math"

// Factor holds the triangular factors of the basis matrix, L·R⁻¹·U, and solves with them.
//
// Each basis position carries the number of its pivot row, so that no column permutation is kept: U
// has its diagonal in pivot and runs in the order of order; L is a product of column etas, one per
// node with entries; R is the product of the row etas that the updates of Forrest and Tomlin leave
// behind ("Updated triangular factors of the basis to maintain sparsity in the product form simplex
// method", Mathematical Programming 2, 1972).
type Factor struct {
	m int

	lower      triangle // by column
	lowerRows  triangle // by row
	lowerOrder []int32  // columns of L with entries, first to last
	rowsOrder  []int32  // rows of L with entries, first to last

	upper     triangle // by column
	upperRows triangle // by row
	place     []int32  // work space of find
	room      []int32  // end of the storage that a row of U owns
	pivot     []float64
	order     []int32 // positions of U, first to last; -1 where an update moved one to the end
	at        []int32 // where a position stands in order

	etaPivot []int32
	etaStart []int32
	etaIndex []int32
	etaValue []float64

	// spike is the entering column after L and R; partial the leaving unit row after U.
	spike, partial packed

	// Updates is the number of updates since the basis was factorised.
	Updates int
	// Ready says that the factors belong to the basis, but for updates.
	Ready bool
	// size is the number of entries of L and U just after factorising.
	size, growth int

	ints  []int32
	reach reacher
	// Threshold is the share of its row's largest entry that a pivot must reach, between 0 and 1.
	Threshold float64
	build     builder
	// density is the running share of nonzeros in results: forward, backward.
	forwardDensity, backwardDensity float64

	// Stop, if set, is polled during long factorisations.
	Stop func() bool
}

// HyperMin is the number of rows from which solves look for few nonzeros at all.
const HyperMin = 100

// Reset makes f ready for bases of m rows.
func (f *Factor) Reset(m int) {
	f.m, f.Ready, f.Updates = m, false, 0
	f.Threshold = 0.1
	f.forwardDensity, f.backwardDensity = 0, 0
	f.ints = Resize(f.ints, 14*m+maxUpdates)
	rest := f.ints
	next := func(k int) []int32 {
		part := rest[:k:k]
		rest = rest[k:]
		return part
	}
	for _, t := range [...]*triangle{&f.lower, &f.lowerRows, &f.upper, &f.upperRows} {
		t.start, t.end = next(m), next(m)
	}
	f.lowerOrder, f.rowsOrder = next(m)[:0], next(m)[:0]
	f.room, f.at, f.place = next(m), next(m), next(m)
	clear(f.place)
	f.order = next(m + maxUpdates)[:0]
	f.pivot = Resize(f.pivot, m)
	if m >= HyperMin {
		f.reach = newReacher(m)
	}
}

// sparseEnough reports whether a solve whose right-hand side is v should search for its nonzeros.
func (f *Factor) sparseEnough(v *Vector, density float64) bool {
	return f.m >= HyperMin && density < 0.1 && 20*len(v.Index) < f.m
}

// Solve overwrites v with B⁻¹ v (FTRAN). If entering is set, the column is kept for update.
func (f *Factor) Solve(v *Vector, entering bool) {
	sparse := f.sparseEnough(v, f.forwardDensity)
	x := v.Value
	switch {
	case !sparse:
		f.lower.forward(x, f.lowerOrder, nil)
	case len(f.lowerOrder) > 0:
		f.lower.sparse(v, nil, &f.reach)
	}
	for k, p := range f.etaPivot {
		first, last := f.etaStart[k], f.etaStart[k+1]
		index := f.etaIndex[first:last]
		value := f.etaValue[first:last][:len(index)]
		sum := 0.0
		for e, i := range index {
			sum += value[e] * x[i]
		}
		if sum == 0 {
			continue
		}
		if sparse && x[p] == 0 {
			v.Index = append(v.Index, p)
		}
		x[p] -= sum
	}
	if sparse && 10*len(v.Index) < f.m {
		if entering {
			f.spike.takeOnce(v, f.reach.seen)
		}
		f.upper.sparse(v, f.pivot, &f.reach)
	} else {
		if entering {
			f.spike.takeAll(v)
		}
		v.Index = f.upper.backwardListed(x, f.order, f.pivot, v.Index)
	}
	f.forwardDensity = 0.9*f.forwardDensity + 0.1*float64(len(v.Index))/float64(f.m+1)
}

// SolveTransposed overwrites v with B⁻ᵀ v (BTRAN). If leaving is set, the part after U is kept for
// update.
func (f *Factor) SolveTransposed(v *Vector, leaving bool) {
	sparse := f.sparseEnough(v, f.backwardDensity)
	x := v.Value
	if sparse {
		f.upperRows.sparse(v, f.pivot, &f.reach)
	} else {
		order := f.order
		if leaving && len(v.Index) == 1 {
			order = order[f.at[v.Index[0]]:]
		}
		f.upperRows.forward(x, order, f.pivot)
	}
	if leaving {
		if sparse {
			f.partial.take(v)
		} else {
			f.partial.takeAll(v)
		}
	}
	for k := len(f.etaPivot) - 1; k >= 0; k-- {
		y := x[f.etaPivot[k]]
		if y == 0 {
			continue
		}
		first, last := f.etaStart[k], f.etaStart[k+1]
		index := f.etaIndex[first:last]
		value := f.etaValue[first:last][:len(index)]
		for e, i := range index {
			if sparse && x[i] == 0 {
				v.Index = append(v.Index, i)
			}
			x[i] -= value[e] * y
		}
	}
	if sparse && 10*len(v.Index) < f.m {
		f.lowerRows.sparse(v, nil, &f.reach)
	} else {
		f.lowerRows.backward(x, f.rowsOrder, nil)
		v.List()
	}
	f.backwardDensity = 0.9*f.backwardDensity + 0.1*float64(len(v.Index))/float64(f.m+1)
}

// takeOnce packs v, whose index may hold repeats, and makes that index proper.
func (p *packed) takeOnce(v *Vector, seen []bool) {
	p.index, p.value = p.index[:0], p.value[:0]
	kept := v.Index[:0]
	for _, i := range v.Index {
		x := v.Value[i]
		if x == 0 || seen[i] {
			continue
		}
		seen[i] = true
		kept = append(kept, i)
		p.index = append(p.index, i)
		p.value = append(p.value, x)
	}
	for _, i := range kept {
		seen[i] = false
	}
	v.Index = kept
}

// maxUpdates is the number of updates after which the basis is always factorised anew.
const maxUpdates = 100

// Full reports whether factorising anew is likely cheaper than carrying on.
func (f *Factor) Full() bool {
	return f.Updates >= maxUpdates || f.Updates >= 20 && f.growth > f.size+3*f.m+1000
}

// Update replaces the column at position p by the one last solved as entering, whose entry at p was
// alpha; the row p must have been the one last solved as leaving. It reports false, leaving the
// factors unusable, if the new diagonal disagrees with alpha or is too small.
func (f *Factor) Update(p int32, alpha float64) bool {
	old := f.pivot[p]
	// Row eta: minus the partial row over its own entry, the entry at p left out.
	own := 0.0
	for e, i := range f.partial.index {
		if i == p {
			own = f.partial.value[e]
			break
		}
	}
	if own == 0 {
		return false
	}
	first := len(f.etaIndex)
	for e, i := range f.partial.index {
		if i != p {
			f.etaIndex = append(f.etaIndex, i)
			f.etaValue = append(f.etaValue, -f.partial.value[e]/own)
		}
	}
	// Column p leaves U.
	for e := f.upper.start[p]; e < f.upper.end[p]; e++ {
		f.upperRows.drop(f.upper.index[e], p)
	}
	// Row p leaves U.
	for e := f.upperRows.start[p]; e < f.upperRows.end[p]; e++ {
		f.upper.drop(f.upperRows.index[e], p)
	}
	f.growth -= int(f.upper.end[p] - f.upper.start[p] + f.upperRows.end[p] - f.upperRows.start[p])
	f.upperRows.end[p] = f.upperRows.start[p]
	// The spike enters at the end.
	f.upper.start[p] = int32(len(f.upper.index))
	diagonal := 0.0
	for e, i := range f.spike.index {
		v := f.spike.value[e]
		if i == p {
			diagonal = v
			continue
		}
		if v < Negligible && v > -Negligible {
			continue
		}
		f.upper.add(i, v)
		f.insertRow(i, p, v)
	}
	f.upper.end[p] = int32(len(f.upper.index))
	// The new diagonal follows from alpha; the spike gives it a second time.
	if len(f.etaIndex) > first {
		position := f.find(f.spike.index)
		for e := first; e < len(f.etaIndex); e++ {
			if s := position[f.etaIndex[e]]; s > 0 {
				diagonal -= f.etaValue[e] * f.spike.value[s-1]
			}
		}
		for _, i := range f.spike.index {
			position[i] = 0
		}
		f.etaPivot = append(f.etaPivot, p)
		f.etaStart = append(f.etaStart, int32(len(f.etaIndex)))
	}
	expected := alpha * old
	f.pivot[p] = diagonal
	f.order[f.at[p]] = -1
	f.at[p] = int32(len(f.order))
	f.order = append(f.order, p)
	f.growth += int(f.upper.end[p]-f.upper.start[p]) + len(f.etaIndex) - first
	f.Updates++
	if math.Abs(diagonal) < 1e-12 {
		return false
	}
	return math.Abs(diagonal-expected) <= 1e-6*math.Max(math.Abs(expected), math.Abs(diagonal))
}

// find returns an array that holds 1 + the place of each listed position, zero elsewhere. The caller
// sets the listed entries back to zero.
func (f *Factor) find(index []int32) []int32 {
	for e, i := range index {
		f.place[i] = int32(e) + 1
	}
	return f.place
}

// drop removes the entry of node k that points to i.
func (t *triangle) drop(k, i int32) {
	last := t.end[k] - 1
	for e := t.start[k]; e <= last; e++ {
		if t.index[e] == i {
			t.index[e], t.value[e] = t.index[last], t.value[last]
			t.end[k] = last
			return
		}
	}
}

// insertRow adds an entry to row k of U, moving the row to the end of the storage if it has no room.
func (f *Factor) insertRow(k, i int32, v float64) {
	t := &f.upperRows
	if t.end[k] == f.room[k] {
		length := t.end[k] - t.start[k]
		start := int32(len(t.index))
		t.index = append(t.index, t.index[t.start[k]:t.end[k]]...)
		t.value = append(t.value, t.value[t.start[k]:t.end[k]]...)
		for spare := length + 4; spare > 0; spare-- {
			t.index = append(t.index, 0)
			t.value = append(t.value, 0)
		}
		t.start[k], t.end[k], f.room[k] = start, start+length, int32(len(t.index))
	}
	t.index[t.end[k]], t.value[t.end[k]] = i, v
	t.end[k]++
}
