package solver

// vector is a sparse vector in dense storage: value holds every entry, index lists each position that
// may be other than zero exactly once.
type vector struct {
	value []float64
	index []int32
}

func newVector(n int) vector {
	return vector{value: make([]float64, n), index: make([]int32, 0, n)}
}

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
	v.index = v.index[:0]
	for i, x := range v.value {
		if x == 0 {
			continue
		}
		if x < negligible && x > -negligible {
			v.value[i] = 0
			continue
		}
		v.index = append(v.index, int32(i))
	}
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
	p.index, p.value = p.index[:0], p.value[:0]
	for i, x := range v.value {
		if x != 0 {
			p.index = append(p.index, int32(i))
			p.value = append(p.value, x)
		}
	}
}
