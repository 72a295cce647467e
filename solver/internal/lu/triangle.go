package lu

// triangle is a permuted triangular matrix without its diagonal. Node k owns the entries
// start[k]..end[k]; solving visits the nodes in an order in which each is final before it is used,
// and subtracts each node's multiple from the entries it points to.
type triangle struct {
	start, end []int32
	index      []int32
	value      []float64
}

// reset empties every node.
func (t *triangle) reset() {
	clear(t.start)
	clear(t.end)
	t.index, t.value = t.index[:0], t.value[:0]
}

func (t *triangle) add(index int32, value float64) {
	t.index = append(t.index, index)
	t.value = append(t.value, value)
}

// transposeInto writes the transpose of t, taken over the given nodes, into u.
func (t *triangle) transposeInto(u *triangle, nodes []int32) {
	clear(u.end)
	total := int32(0)
	for _, k := range nodes {
		for _, i := range t.index[t.start[k]:t.end[k]] {
			u.end[i]++
			total++
		}
	}
	at := int32(0)
	for k := range u.start {
		u.start[k] = at
		at += u.end[k]
		u.end[k] = u.start[k]
	}
	u.index = Resize(u.index, int(total))
	u.value = Resize(u.value, int(total))
	for _, k := range nodes {
		for e := t.start[k]; e < t.end[k]; e++ {
			i := t.index[e]
			u.index[u.end[i]], u.value[u.end[i]] = k, t.value[e]
			u.end[i]++
		}
	}
}

// Resize returns s with length n, keeping its storage if that is large enough.
func Resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	return s[:n]
}

// forward solves through the nodes of order from first to last; diagonal may be nil for ones.
// Negative nodes are skipped. The index of v is not kept.
func (t *triangle) forward(x []float64, order []int32, diagonal []float64) {
	for _, k := range order {
		if k < 0 {
			continue
		}
		t.step(x, k, diagonal)
	}
}

// backward is forward from last to first.
func (t *triangle) backward(x []float64, order []int32, diagonal []float64) {
	for o := len(order) - 1; o >= 0; o-- {
		k := order[o]
		if k < 0 {
			continue
		}
		t.step(x, k, diagonal)
	}
}

// backwardListed is backward for an order that holds every node. It lists the results in index, which
// must have room, and drops those too small to be more than rounding.
func (t *triangle) backwardListed(x []float64, order []int32, diagonal []float64, index []int32) []int32 {
	index = index[:0]
	for o := len(order) - 1; o >= 0; o-- {
		k := order[o]
		if k < 0 || x[k] == 0 {
			continue
		}
		v := x[k]
		if v < Negligible && v > -Negligible {
			x[k] = 0
			continue
		}
		v /= diagonal[k]
		x[k] = v
		index = append(index, k)
		first, last := t.start[k], t.end[k]
		entries := t.index[first:last]
		value := t.value[first:last][:len(entries)]
		for e, i := range entries {
			x[i] -= value[e] * v
		}
	}
	return index
}

func (t *triangle) step(x []float64, k int32, diagonal []float64) {
	v := x[k]
	if v == 0 {
		return
	}
	if diagonal != nil {
		v /= diagonal[k]
		x[k] = v
	}
	first, last := t.start[k], t.end[k]
	index := t.index[first:last]
	value := t.value[first:last][:len(index)]
	for e, i := range index {
		x[i] -= value[e] * v
	}
}

// reacher finds the nodes that a sparse right-hand side touches.
type reacher struct {
	seen  []bool
	stack []int32
	next  []int32
	found []int32
}

func newReacher(n int) reacher {
	return reacher{
		seen:  make([]bool, n),
		stack: make([]int32, 0, n),
		next:  make([]int32, n),
		found: make([]int32, 0, n),
	}
}

// sparse solves for a right-hand side with few entries, visiting only the nodes it reaches
// (Gilbert and Peierls 1988, section 3). The index of v may hold repeats before; it is proper after.
func (t *triangle) sparse(v *Vector, diagonal []float64, r *reacher) {
	found := r.found[:0]
	for _, root := range v.Index {
		if r.seen[root] {
			continue
		}
		r.seen[root] = true
		stack := append(r.stack[:0], root)
		r.next[root] = t.start[root]
		for len(stack) > 0 {
			k := stack[len(stack)-1]
			e := r.next[k]
			if e == t.end[k] {
				stack = stack[:len(stack)-1]
				found = append(found, k)
				continue
			}
			r.next[k] = e + 1
			if i := t.index[e]; !r.seen[i] {
				r.seen[i] = true
				r.next[i] = t.start[i]
				stack = append(stack, i)
			}
		}
	}
	v.Index = v.Index[:0]
	for f := len(found) - 1; f >= 0; f-- {
		k := found[f]
		r.seen[k] = false
		x := v.Value[k]
		if x == 0 {
			continue
		}
		if x < Negligible && x > -Negligible {
			v.Value[k] = 0
			continue
		}
		t.step(v.Value, k, diagonal)
		v.Index = append(v.Index, k)
	}
	r.found = found
}
