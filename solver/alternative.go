package solver

import (
	"context"
	"math"
	"math/big"
	"slices"
)

// Alternatives describes the set of all optimal X of a linear program.
type Alternatives struct {
	// Unique reports that there is one optimal X.
	Unique bool
	// Low and High are the least and greatest values of each column over all optimal X; infinite where
	// there is no least or greatest.
	Low, High []float64
	// Vertices are optimal X, the one that was explained first: those met on the way to every column's
	// least and greatest value. They are some, not all, of the vertices of the optimal set.
	Vertices [][]float64
}

// AlternativeOptima finds how far X may change at no loss, beginning from the basis of s, an outcome of
// Solve or nil. The work is done in exact arithmetic, as Prove does it. An error means that p is not a
// linear program with an optimum, or that the context ended.
func AlternativeOptima(ctx context.Context, p *Problem, s *Solution) (*Alternatives, error) {
	d, r, err := settledDictionary(ctx, p, s)
	if err != nil {
		return nil, err
	}
	return d.alternatives(r)
}

func (d *dictionary) alternatives(r *run) (*Alternatives, error) {
	n := d.program.columns
	face := d.view()
	face.holdOptimum()
	vertex := face.worths()[:n]
	result := &Alternatives{
		Unique: true,
		Low:    floats(vertex), High: floats(vertex),
		Vertices: [][]float64{floats(vertex)},
	}
	if face.rigid() {
		return result, nil
	}
	vertices := [][]*big.Rat{vertex}
	for j := range n {
		for _, direction := range [...]int64{1, -1} { // minimise, then maximise
			cost := make([]*big.Rat, n)
			cost[j] = big.NewRat(direction, 1)
			face.setCosts(cost)
			end, _ := face.primal(r)
			if end == stopped {
				return nil, r.ctx.Err()
			}
			vertex := face.worths()[:n]
			extreme := float(vertex[j])
			if end == blocked {
				extreme = math.Inf(-int(direction))
				result.Unique = false
			}
			if direction > 0 {
				result.Low[j] = extreme
			} else {
				result.High[j] = extreme
			}
			same := func(other []*big.Rat) bool {
				return slices.EqualFunc(vertex, other, func(a, b *big.Rat) bool { return a.Cmp(b) == 0 })
			}
			if !slices.ContainsFunc(vertices, same) {
				vertices = append(vertices, vertex)
				result.Vertices = append(result.Vertices, floats(vertex))
				result.Unique = false
			}
		}
	}
	return result, nil
}

// rigid reports whether no nonbasic variable can move.
func (d *dictionary) rigid() bool {
	for _, v := range d.cobasis {
		if !d.fixed(v) {
			return false
		}
	}
	return true
}
