package chance

import (
	"math/bits"
	"math/rand/v2"
)

// dimensions is how many coordinates of a point are quasi-random; further ones are pseudo-random.
const dimensions = 64

// points yields the points of Sobol's sequence in Gray-code order (Antonov and Saleev 1979), each
// coordinate shifted by a random pattern of bits, so that every point is uniform and several shifts give
// the error of a mean over them.
type points struct {
	directions [][32]uint32
	at, shift  []uint32
	index      uint32
	rest       *rand.Rand
}

// newPoints returns the sequence in so many coordinates. The same seed and stream give the same points;
// a seed of zero leaves them unshifted.
func newPoints(coordinates int, seed, stream uint64) *points {
	random := rand.New(rand.NewPCG(seed, stream))
	p := &points{at: make([]uint32, coordinates), shift: make([]uint32, coordinates), rest: random}
	for c := range min(coordinates, dimensions) {
		p.directions = append(p.directions, directions(c))
		if seed != 0 {
			p.shift[c] = random.Uint32()
		}
	}
	return p
}

// directions returns the direction numbers of a coordinate, from the recurrence of its polynomial.
func directions(coordinate int) (v [32]uint32) {
	if coordinate == 0 {
		for i := range v {
			v[i] = 1 << (31 - i)
		}
		return v
	}
	numbers := directionNumbers[coordinate-1]
	s := int(numbers.degree)
	for i := range v {
		if i < s {
			v[i] = numbers.m[i] << (31 - i)
			continue
		}
		v[i] = v[i-s] ^ v[i-s]>>s
		for k := 1; k < s; k++ {
			if numbers.coefficients>>(s-1-k)&1 == 1 {
				v[i] ^= v[i-k]
			}
		}
	}
	return v
}

// next writes the next point, each coordinate strictly between 0 and 1.
func (p *points) next(u []float64) {
	for c := range u {
		if c < len(p.directions) {
			u[c] = (float64(p.at[c]^p.shift[c]) + 0.5) / (1 << 32)
		} else {
			u[c] = (float64(p.rest.Uint32()) + 0.5) / (1 << 32)
		}
	}
	flip := bits.TrailingZeros32(^p.index)
	for c := range p.directions {
		p.at[c] ^= p.directions[c][flip&31]
	}
	p.index++
}
