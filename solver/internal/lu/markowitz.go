package lu

import "math"

// core is the part of the basis that neither column nor row singletons reach, with the lists that
// Markowitz's pivot search needs.
type core struct {
	// The active rows with values, each in a stretch of the storage it may outgrow.
	rowStart, rowEnd, rowRoom []int32
	rowIndex                  []int32
	rowValue                  []float64
	rowMax                    []float64 // largest magnitude, negative if unknown
	// The active columns as row numbers.
	slotStart, slotEnd, slotRoom []int32
	slotIndex                    []int32

	rowLists, slotLists counted
	scatter             []float64
	marked              []bool
}

// counted keeps items in doubly linked lists by count.
type counted struct {
	first, next, previous, count []int32
}

func (c *counted) reset(items, counts int) {
	c.first = Resize(c.first, counts+1)
	c.next = Resize(c.next, items)
	c.previous = Resize(c.previous, items)
	c.count = Resize(c.count, items)
	for i := range c.first {
		c.first[i] = -1
	}
	for i := range c.count {
		c.count[i] = -1
	}
}

func (c *counted) insert(item, count int32) {
	c.count[item] = count
	head := c.first[count]
	c.next[item], c.previous[item] = head, -1
	if head >= 0 {
		c.previous[head] = item
	}
	c.first[count] = item
}

func (c *counted) remove(item int32) {
	if c.count[item] < 0 {
		return
	}
	next, previous := c.next[item], c.previous[item]
	if previous >= 0 {
		c.next[previous] = next
	} else {
		c.first[c.count[item]] = next
	}
	if next >= 0 {
		c.previous[next] = previous
	}
	c.count[item] = -1
}

// markowitz eliminates the core by threshold pivoting on entries of small Markowitz count (Markowitz
// 1957; the search in few rows and columns follows Duff, Erisman and Reid 1986, section 9.2).
func (f *Factor) markowitz(a *Matrix) {
	b, c := &f.build, &f.build.core
	c.load(b, f.m)
	for step := 0; ; step++ {
		if step%64 == 63 && f.Stop != nil && f.Stop() {
			return
		}
		row, slot := c.choose(f.Threshold)
		if row < 0 {
			return
		}
		f.eliminate(row, slot)
	}
}

// load copies the active part of the basis.
func (c *core) load(b *builder, m int) {
	slots := len(b.variable)
	c.rowStart, c.rowEnd, c.rowRoom = Resize(c.rowStart, m), Resize(c.rowEnd, m), Resize(c.rowRoom, m)
	c.rowMax = Resize(c.rowMax, m)
	c.rowIndex, c.rowValue = c.rowIndex[:0], c.rowValue[:0]
	c.slotStart, c.slotEnd, c.slotRoom = Resize(c.slotStart, slots), Resize(c.slotEnd, slots), Resize(c.slotRoom, slots)
	c.slotIndex = c.slotIndex[:0]
	c.scatter = Resize(c.scatter, slots)
	c.marked = Resize(c.marked, slots)
	clear(c.scatter)
	clear(c.marked)
	c.rowLists.reset(m, slots)
	c.slotLists.reset(slots, m)
	at := int32(0)
	for s, r := range b.slotRow {
		c.slotStart[s], c.slotEnd[s] = at, at
		if r < 0 {
			at += b.slotCount[s]
		}
		c.slotRoom[s] = at
	}
	c.slotIndex = Resize(c.slotIndex, int(at))
	for i := range m {
		if b.rowSlot[i] != -1 {
			continue
		}
		c.rowStart[i] = int32(len(c.rowIndex))
		for k := b.start[i]; k < b.start[i+1]; k++ {
			s := b.index[k]
			if b.slotRow[s] >= 0 {
				continue
			}
			c.rowIndex = append(c.rowIndex, s)
			c.rowValue = append(c.rowValue, b.value[k])
			c.slotIndex[c.slotEnd[s]] = int32(i)
			c.slotEnd[s]++
		}
		c.rowEnd[i] = int32(len(c.rowIndex))
		c.rowRoom[i] = c.rowEnd[i]
		c.rowMax[i] = -1
		if n := c.rowEnd[i] - c.rowStart[i]; n > 0 {
			c.rowLists.insert(int32(i), n)
		}
	}
	for s := slots - 1; s >= 0; s-- {
		if n := c.slotEnd[s] - c.slotStart[s]; b.slotRow[s] < 0 && n > 0 {
			c.slotLists.insert(int32(s), n)
		}
	}
}

// largest returns the largest magnitude in row i.
func (c *core) largest(i int32) float64 {
	if c.rowMax[i] < 0 {
		most := 0.0
		for _, v := range c.rowValue[c.rowStart[i]:c.rowEnd[i]] {
			most = max(most, math.Abs(v))
		}
		c.rowMax[i] = most
	}
	return c.rowMax[i]
}

// find returns where row i keeps the entry of slot s.
func (c *core) find(i, s int32) int32 {
	k := c.rowStart[i]
	for c.rowIndex[k] != s {
		k++
	}
	return k
}

// choose returns the next pivot, or -1 if none is left that is large enough. A slot with no eligible
// entry leaves the lists until an elimination changes it.
func (c *core) choose(threshold float64) (row, slot int32) {
	const enough = 4
	row, slot = -1, -1
	best := math.Inf(1)
	examined := 0
	most := max(len(c.rowLists.first), len(c.slotLists.first))
	for n := int32(1); int(n) < most; n++ {
		if best <= float64(n-1)*float64(n-1) {
			return row, slot
		}
		if int(n) < len(c.slotLists.first) {
			for s := c.slotLists.first[n]; s >= 0; {
				following := c.slotLists.next[s]
				found := false
				for _, i := range c.slotIndex[c.slotStart[s]:c.slotEnd[s]] {
					merit := float64(n-1) * float64(c.rowEnd[i]-c.rowStart[i]-1)
					if found && merit >= best {
						continue
					}
					v := math.Abs(c.rowValue[c.find(i, s)])
					if v < TinyPivot || v < threshold*c.largest(i) {
						continue
					}
					found = true
					if merit < best {
						best, row, slot = merit, i, s
					}
				}
				if found {
					if examined++; examined >= enough {
						return row, slot
					}
				} else {
					c.slotLists.remove(s)
				}
				s = following
			}
		}
		if best <= float64(n)*float64(n-1) {
			return row, slot
		}
		if int(n) < len(c.rowLists.first) {
			for i := c.rowLists.first[n]; i >= 0; i = c.rowLists.next[i] {
				least := max(threshold*c.largest(i), TinyPivot)
				found := false
				for k := c.rowStart[i]; k < c.rowEnd[i]; k++ {
					if math.Abs(c.rowValue[k]) < least {
						continue
					}
					s := c.rowIndex[k]
					merit := float64(n-1) * float64(c.slotEnd[s]-c.slotStart[s]-1)
					found = true
					if merit < best {
						best, row, slot = merit, i, s
					}
				}
				if found {
					if examined++; examined >= enough {
						return row, slot
					}
				}
			}
		}
	}
	return row, slot
}

// eliminate pivots on (p, s): row p goes to U, the multipliers to L.
func (f *Factor) eliminate(p, s int32) {
	b, c := &f.build, &f.build.core
	c.rowLists.remove(p)
	c.slotLists.remove(s)
	b.rowSlot[p], b.slotRow[s] = s, p
	f.order = append(f.order, p)
	f.upperRows.start[p] = int32(len(f.upperRows.index))
	first, last := c.rowStart[p], c.rowEnd[p]
	pivot := 0.0
	for k := first; k < last; k++ {
		t := c.rowIndex[k]
		if t == s {
			pivot = c.rowValue[k]
			continue
		}
		f.upperRows.add(t, c.rowValue[k])
		c.scatter[t] = c.rowValue[k]
		c.dropRow(t, p)
	}
	f.upperRows.end[p] = int32(len(f.upperRows.index))
	f.pivot[p] = pivot
	f.lower.start[p] = int32(len(f.lower.index))
	pattern := f.upperRows.index[f.upperRows.start[p]:]
	for k := c.slotStart[s]; k < c.slotEnd[s]; k++ {
		i := c.slotIndex[k]
		if i == p {
			continue
		}
		at := c.find(i, s)
		multiplier := c.rowValue[at] / pivot
		end := c.rowEnd[i] - 1
		c.rowIndex[at], c.rowValue[at] = c.rowIndex[end], c.rowValue[end]
		c.rowEnd[i] = end
		f.lower.add(i, multiplier)
		c.subtract(i, multiplier, pattern)
		c.rowMax[i] = -1
		c.rowLists.remove(i)
		if n := c.rowEnd[i] - c.rowStart[i]; n > 0 {
			c.rowLists.insert(i, n)
		}
	}
	f.lower.end[p] = int32(len(f.lower.index))
	if f.lower.end[p] > f.lower.start[p] {
		b.lowerOrder = append(b.lowerOrder, p)
	}
	c.slotEnd[s] = c.slotStart[s]
	c.rowEnd[p] = c.rowStart[p]
	for _, t := range pattern {
		c.scatter[t] = 0
		c.slotLists.remove(t)
		if n := c.slotEnd[t] - c.slotStart[t]; n > 0 {
			c.slotLists.insert(t, n)
		}
	}
}

// dropRow removes row i from the pattern of slot s.
func (c *core) dropRow(s, i int32) {
	last := c.slotEnd[s] - 1
	for k := c.slotStart[s]; k <= last; k++ {
		if c.slotIndex[k] == i {
			c.slotIndex[k] = c.slotIndex[last]
			c.slotEnd[s] = last
			return
		}
	}
}

// subtract takes multiplier times the scattered pivot row from row i.
func (c *core) subtract(i int32, multiplier float64, pattern []int32) {
	end := c.rowEnd[i]
	for k := c.rowStart[i]; k < end; {
		t := c.rowIndex[k]
		w := c.scatter[t]
		if w == 0 {
			k++
			continue
		}
		c.marked[t] = true
		v := c.rowValue[k] - multiplier*w
		if math.Abs(v) < Negligible {
			end--
			c.rowIndex[k], c.rowValue[k] = c.rowIndex[end], c.rowValue[end]
			c.dropRow(t, i)
			continue
		}
		c.rowValue[k] = v
		k++
	}
	c.rowEnd[i] = end
	for _, t := range pattern {
		if c.marked[t] {
			c.marked[t] = false
			continue
		}
		v := -multiplier * c.scatter[t]
		if math.Abs(v) < Negligible {
			continue
		}
		c.appendRow(i, t, v)
		c.appendSlot(t, i)
	}
}

func (c *core) appendRow(i, s int32, v float64) {
	if c.rowEnd[i] == c.rowRoom[i] {
		if int(c.rowEnd[i]) == len(c.rowIndex) {
			c.rowIndex = append(c.rowIndex, 0)
			c.rowValue = append(c.rowValue, 0)
		} else {
			length := c.rowEnd[i] - c.rowStart[i]
			start := int32(len(c.rowIndex))
			c.rowIndex = append(c.rowIndex, c.rowIndex[c.rowStart[i]:c.rowEnd[i]]...)
			c.rowValue = append(c.rowValue, c.rowValue[c.rowStart[i]:c.rowEnd[i]]...)
			for spare := length + 4; spare > 0; spare-- {
				c.rowIndex = append(c.rowIndex, 0)
				c.rowValue = append(c.rowValue, 0)
			}
			c.rowStart[i], c.rowEnd[i] = start, start+length
		}
		c.rowRoom[i] = int32(len(c.rowIndex))
	}
	c.rowIndex[c.rowEnd[i]], c.rowValue[c.rowEnd[i]] = s, v
	c.rowEnd[i]++
}

func (c *core) appendSlot(s, i int32) {
	if c.slotEnd[s] == c.slotRoom[s] {
		length := c.slotEnd[s] - c.slotStart[s]
		start := int32(len(c.slotIndex))
		c.slotIndex = append(c.slotIndex, c.slotIndex[c.slotStart[s]:c.slotEnd[s]]...)
		for spare := length + 4; spare > 0; spare-- {
			c.slotIndex = append(c.slotIndex, 0)
		}
		c.slotStart[s], c.slotEnd[s], c.slotRoom[s] = start, start+length, int32(len(c.slotIndex))
	}
	c.slotIndex[c.slotEnd[s]] = i
	c.slotEnd[s]++
}
