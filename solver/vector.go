package solver

// vector is a sparse vector in dense storage: value holds every entry, index lists each position that
// may be other than zero exactly once.
type vector struct {
	value []float64
	index []int32
}

// reset makes v the zero vector of length n.
func (v *vector) reset(n int) {
	v.value = resize(v.value, n)
	clear(v.value)
	v.index = resize(v.index, n)[:0]
}

// add adds t to entry i and lists it.
func (v *vector) add(i int32, t float64) {
	old := v.value[i]
	if old == 0 {
		v.index = append(v.index, i)
	}
	if v.value[i] = old + t; v.value[i] == 0 {
		v.value[i] = vanishing
	}
}

// vanishing stands for zero in an entry that is already listed.
const vanishing = 1e-100

// clear sets every entry to zero.
func (v *vector) clear() {
	if 4*len(v.index) > len(v.value) {
		clear(v.value)
	} else {
		for _, i := range v.index {
			v.value[i] = 0
		}
	}
	v.index = v.index[:0]
}

// list rebuilds the index from the values and drops entries too small to be more than rounding.
func (v *vector) list() {
	index := v.index[:len(v.value)]
	count := 0
	for i, x := range v.value {
		if x > negligible || x < -negligible {
			index[count] = int32(i)
			count++
		} else if x != 0 {
			v.value[i] = 0
		}
	}
	v.index = index[:count]
}

// negligible is the magnitude below which an entry of a solved vector counts as rounding.
const negligible = 1e-14

// packed is a sparse vector as pairs.
type packed struct {
	index []int32
	value []float64
}

func (p *packed) take(v *vector) {
	p.index, p.value = p.index[:0], p.value[:0]
	for _, i := range v.index {
		if x := v.value[i]; x != 0 {
			p.index = append(p.index, i)
			p.value = append(p.value, x)
		}
	}
}

// takeAll packs v without trusting its index.
func (p *packed) takeAll(v *vector) {
	n := len(v.value)
	p.index, p.value = resize(p.index, n), resize(p.value, n)
	count := 0
	for i, x := range v.value {
		if x != 0 {
			p.index[count], p.value[count] = int32(i), x
			count++
		}
	}
	p.index, p.value = p.index[:count], p.value[:count]
}
