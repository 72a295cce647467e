package lu

import "math"

// builder holds the work space of a factorisation. Slots number the structural columns of the basis.
type builder struct {
	variable   []int32 // slot -> variable
	slotRow    []int32 // slot -> pivot row, -1 while active
	slotCount  []int32 // entries in active rows
	rowSlot    []int32 // row -> slot, -1 while active, -2 for a logical
	rowCount   []int32 // entries in active slots
	start      []int32 // the basis by rows
	index      []int32
	value      []float64
	slotQueue  []int32
	rowQueue   []int32
	newHead    []int32
	rejected   []int32
	lowerOrder []int32
	core       core
}

// TinyPivot is the magnitude below which an entry cannot be a pivot.
const TinyPivot = 1e-11

// Factorize computes the factors of the basis whose variables head lists. It reorders head so that
// each variable stands at its pivot row. If the basis is singular, the variables that found no pivot
// are replaced by the logicals of the rows that are left, and their numbers are returned.
func (f *Factor) Factorize(a *Matrix, head []int32) []int32 {
	b := &f.build
	b.begin(f.m, a, head)
	f.lower.reset()
	f.upperRows.reset()
	f.order = f.order[:0]
	b.lowerOrder = b.lowerOrder[:0]
	f.etaPivot, f.etaIndex, f.etaValue = f.etaPivot[:0], f.etaIndex[:0], f.etaValue[:0]
	f.etaStart = append(f.etaStart[:0], 0)
	f.Updates = 0

	for i := range f.m {
		if b.rowSlot[i] == -2 {
			f.pivot[i] = -1
			f.order = append(f.order, int32(i))
			f.keepRow(int32(i))
		}
	}
	f.singletons(a)
	if left := len(b.variable) + f.logicals() - len(f.order); left > 0 {
		f.markowitz(a)
	}
	f.repair(a)
	f.finish()
	copy(head, b.newHead)
	return b.rejected
}

func (f *Factor) logicals() int { return f.m - len(f.build.variable) }

// begin sorts the basis into logicals and slots and builds the copy by rows.
func (b *builder) begin(m int, a *Matrix, head []int32) {
	b.variable = b.variable[:0]
	b.rejected = b.rejected[:0]
	b.newHead = Resize(b.newHead, m)
	b.rowSlot = Resize(b.rowSlot, m)
	b.rowCount = Resize(b.rowCount, m)
	b.start = Resize(b.start, m+1)
	for i := range m {
		b.rowSlot[i] = -1
		b.rowCount[i] = 0
	}
	clear(b.start)
	total := 0
	for _, v := range head {
		if int(v) >= a.Columns {
			i := v - int32(a.Columns)
			b.rowSlot[i] = -2
			b.newHead[i] = v
			continue
		}
		b.variable = append(b.variable, v)
		first, last := a.ColumnStart[v], a.ColumnStart[v+1]
		total += int(last - first)
		for _, i := range a.ColumnIndex[first:last] {
			b.start[i+1]++
		}
	}
	for i := range m {
		b.start[i+1] += b.start[i]
	}
	b.index = Resize(b.index, total)
	b.value = Resize(b.value, total)
	slots := len(b.variable)
	b.slotRow = Resize(b.slotRow, slots)
	b.slotCount = Resize(b.slotCount, slots)
	for s, v := range b.variable {
		b.slotRow[s] = -1
		count := int32(0)
		for k := a.ColumnStart[v]; k < a.ColumnStart[v+1]; k++ {
			i := a.ColumnIndex[k]
			at := b.start[i]
			b.index[at], b.value[at] = int32(s), a.ColumnValue[k]
			b.start[i]++
			if b.rowSlot[i] == -1 {
				count++
				b.rowCount[i]++
			}
		}
		b.slotCount[s] = count
	}
	for i := m; i > 0; i-- {
		b.start[i] = b.start[i-1]
	}
	b.start[0] = 0
}

// keepRow copies the entries of row i that lie in active slots to U. Their indices are slots until
// finish.
func (f *Factor) keepRow(i int32) {
	b := &f.build
	f.upperRows.start[i] = int32(len(f.upperRows.index))
	for k := b.start[i]; k < b.start[i+1]; k++ {
		if b.slotRow[b.index[k]] < 0 {
			f.upperRows.add(b.index[k], b.value[k])
		}
	}
	f.upperRows.end[i] = int32(len(f.upperRows.index))
}

// singletons pivots on columns and rows with one active entry until none is left. This permutes to
// triangular form all that can be (Suhl and Suhl 1990, section 2).
func (f *Factor) singletons(a *Matrix) {
	b := &f.build
	b.slotQueue, b.rowQueue = b.slotQueue[:0], b.rowQueue[:0]
	for s, c := range b.slotCount {
		if c == 1 {
			b.slotQueue = append(b.slotQueue, int32(s))
		}
	}
	for i, c := range b.rowCount {
		if c == 1 && b.rowSlot[i] == -1 {
			b.rowQueue = append(b.rowQueue, int32(i))
		}
	}
	for nextSlot, nextRow := 0, 0; ; {
		if nextSlot < len(b.slotQueue) {
			s := b.slotQueue[nextSlot]
			nextSlot++
			if b.slotRow[s] >= 0 || b.slotCount[s] != 1 {
				continue
			}
			v := b.variable[s]
			for k := a.ColumnStart[v]; k < a.ColumnStart[v+1]; k++ {
				if i := a.ColumnIndex[k]; b.rowSlot[i] == -1 {
					if math.Abs(a.ColumnValue[k]) >= singletonPivot {
						f.pivotColumnSingleton(i, s, a.ColumnValue[k])
					}
					break
				}
			}
			continue
		}
		if nextRow == len(b.rowQueue) {
			return
		}
		i := b.rowQueue[nextRow]
		nextRow++
		if b.rowSlot[i] != -1 || b.rowCount[i] != 1 {
			continue
		}
		for k := b.start[i]; k < b.start[i+1]; k++ {
			if s := b.index[k]; b.slotRow[s] < 0 {
				if math.Abs(b.value[k]) >= singletonPivot {
					f.pivotRowSingleton(a, i, s, b.value[k])
				}
				break
			}
		}
	}
}

// singletonPivot is the smallest magnitude of a pivot taken for sparsity alone.
const singletonPivot = 1e-7

func (f *Factor) pivotColumnSingleton(i, s int32, value float64) {
	b := &f.build
	b.rowSlot[i], b.slotRow[s] = s, i
	f.pivot[i] = value
	f.order = append(f.order, i)
	f.keepRow(i)
	for k := b.start[i]; k < b.start[i+1]; k++ {
		if t := b.index[k]; b.slotRow[t] < 0 {
			b.slotCount[t]--
			if b.slotCount[t] == 1 {
				b.slotQueue = append(b.slotQueue, t)
			}
		}
	}
}

func (f *Factor) pivotRowSingleton(a *Matrix, i, s int32, value float64) {
	b := &f.build
	b.rowSlot[i], b.slotRow[s] = s, i
	f.pivot[i] = value
	f.order = append(f.order, i)
	f.upperRows.start[i] = int32(len(f.upperRows.index))
	f.upperRows.end[i] = f.upperRows.start[i]
	f.lower.start[i] = int32(len(f.lower.index))
	v := b.variable[s]
	for k := a.ColumnStart[v]; k < a.ColumnStart[v+1]; k++ {
		r := a.ColumnIndex[k]
		if b.rowSlot[r] != -1 {
			continue
		}
		f.lower.add(r, a.ColumnValue[k]/value)
		b.rowCount[r]--
		if b.rowCount[r] == 1 {
			b.rowQueue = append(b.rowQueue, r)
		}
	}
	f.lower.end[i] = int32(len(f.lower.index))
	if f.lower.end[i] > f.lower.start[i] {
		b.lowerOrder = append(b.lowerOrder, i)
	}
}

// repair gives each row without a pivot its logical and lists the variables that found none.
func (f *Factor) repair(a *Matrix) {
	b := &f.build
	for s, r := range b.slotRow {
		if r < 0 {
			b.rejected = append(b.rejected, b.variable[s])
		} else {
			b.newHead[r] = b.variable[s]
		}
	}
	if len(b.rejected) == 0 {
		return
	}
	for i := range f.m {
		if b.rowSlot[i] == -1 {
			b.newHead[i] = int32(a.Columns + i)
			f.pivot[i] = -1
			f.order = append(f.order, int32(i))
			f.upperRows.start[i], f.upperRows.end[i] = 0, 0
		}
	}
}

// finish turns slots into positions in U and makes the second copies of L and U.
func (f *Factor) finish() {
	b := &f.build
	t := &f.upperRows
	for p, k := range f.order {
		f.at[k] = int32(p)
		end := t.start[k]
		for e := t.start[k]; e < t.end[k]; e++ {
			if r := b.slotRow[t.index[e]]; r >= 0 {
				t.index[end], t.value[end] = r, t.value[e]
				end++
			}
		}
		t.end[k] = end
		f.room[k] = end
	}
	f.upperRows.transposeInto(&f.upper, f.order)
	f.lowerOrder = append(f.lowerOrder[:0], b.lowerOrder...)
	f.rowsOrder = f.rowsOrder[:0]
	if len(f.lowerOrder) > 0 {
		f.lower.transposeInto(&f.lowerRows, f.lowerOrder)
		for _, k := range f.order {
			if f.lowerRows.end[k] > f.lowerRows.start[k] {
				f.rowsOrder = append(f.rowsOrder, k)
			}
		}
	} else {
		f.lowerRows.reset()
	}
	f.size = len(f.lower.index) + len(f.upper.index)
	f.growth = 0
}
