package lu

// Vector is a sparse vector in dense storage: Value holds every entry, Index lists each position that
// may be other than zero exactly once.
type Vector struct {
	Value []float64
	Index []int32
}

// Reset makes v the zero vector of length n.
func (v *Vector) Reset(n int) {
	v.Value = Resize(v.Value, n)
	clear(v.Value)
	v.Index = Resize(v.Index, n)[:0]
}

// Add adds t to entry i and lists it.
func (v *Vector) Add(i int32, t float64) {
	old := v.Value[i]
	if old == 0 {
		v.Index = append(v.Index, i)
	}
	if v.Value[i] = old + t; v.Value[i] == 0 {
		v.Value[i] = vanishing
	}
}

// vanishing stands for zero in an entry that is already listed.
const vanishing = 1e-100

// Clear sets every entry to zero.
func (v *Vector) Clear() {
	if 4*len(v.Index) > len(v.Value) {
		clear(v.Value)
	} else {
		for _, i := range v.Index {
			v.Value[i] = 0
		}
	}
	v.Index = v.Index[:0]
}

// List rebuilds the index from the values and drops entries too small to be more than rounding.
func (v *Vector) List() {
	index := v.Index[:len(v.Value)]
	count := 0
	for i, x := range v.Value {
		if x > Negligible || x < -Negligible {
			index[count] = int32(i)
			count++
		} else if x != 0 {
			v.Value[i] = 0
		}
	}
	v.Index = index[:count]
}

// Negligible is the magnitude below which an entry of a solved vector counts as rounding.
const Negligible = 1e-14

// packed is a sparse vector as pairs.
type packed struct {
	index []int32
	value []float64
}

func (p *packed) take(v *Vector) {
	p.index, p.value = p.index[:0], p.value[:0]
	for _, i := range v.Index {
		if x := v.Value[i]; x != 0 {
			p.index = append(p.index, i)
			p.value = append(p.value, x)
		}
	}
}

// takeAll packs v without trusting its index.
func (p *packed) takeAll(v *Vector) {
	n := len(v.Value)
	p.index, p.value = Resize(p.index, n), Resize(p.value, n)
	count := 0
	for i, x := range v.Value {
		if x != 0 {
			p.index[count], p.value[count] = int32(i), x
			count++
		}
	}
	p.index, p.value = p.index[:count], p.value[:count]
}
