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
	if err := p.Check(); err != nil {
		return nil, err
	}
	if p.linear() && s != nil && p.pricesEverything(s) {
		return onlyOptimum(s.X), nil
	}
	d, r, err := settledDictionary(ctx, p, s)
	if err != nil {
		return nil, err
	}
	return d.alternatives(r)
}

func onlyOptimum(x []float64) *Alternatives {
	return &Alternatives{
		Unique: true,
		Low:    slices.Clone(x), High: slices.Clone(x),
		Vertices: [][]float64{slices.Clone(x)},
	}
}

// priceRounding is the share of the terms of a reduced cost that counts as zero, with much to spare.
const priceRounding = 1e-6

// pricesEverything reports whether moving any nonbasic variable of an optimal s would clearly cost
// something, so that there is no other optimum.
func (p *Problem) pricesEverything(s *Solution) bool {
	b := s.Basis
	if s.Status != Optimal || b == nil || len(b.Columns) != len(p.Columns) || len(b.Rows) != len(p.Rows) ||
		len(s.Dual) != len(p.Rows) || len(s.ReducedCost) != len(p.Columns) {
		return false
	}
	size := make([]float64, len(p.Columns))
	for j, c := range p.Columns {
		size[j] = math.Abs(c.Cost)
	}
	largest := make([]float64, len(p.Rows)) // what a row's price is compared with
	for i, row := range p.Rows {
		for _, t := range row.Terms {
			size[t.Column] += math.Abs(t.Value * s.Dual[i])
		}
	}
	for i, row := range p.Rows {
		for _, t := range row.Terms {
			if t.Value != 0 {
				largest[i] = math.Max(largest[i], size[t.Column]/math.Abs(t.Value))
			}
		}
	}
	clear := func(price, size, lower, upper float64, at Place) bool {
		return at == Basic || lower == upper || math.Abs(price) > priceRounding*size
	}
	for j, c := range p.Columns {
		if !clear(s.ReducedCost[j], size[j], c.Lower, c.Upper, b.Columns[j]) {
			return false
		}
	}
	for i, row := range p.Rows {
		if !clear(s.Dual[i], largest[i], row.Lower, row.Upper, b.Rows[i]) {
			return false
		}
	}
	return true
}

func (d *dictionary) alternatives(r *run) (*Alternatives, error) {
	n := d.program.columns
	face := d.view()
	face.holdOptimum()
	vertex := face.worths()[:n]
	result := onlyOptimum(floats(vertex))
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
	return result, r.ctx.Err()
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

// holdOptimum narrows the bounds of an optimal dictionary to the set of all optimal points: a nonbasic
// variable with a reduced cost other than zero stays where it is.
func (d *dictionary) holdOptimum() {
	d.lower = append([]*big.Int(nil), d.lower...)
	d.upper = append([]*big.Int(nil), d.upper...)
	for j, v := range d.cobasis {
		if d.costSign(j) == 0 {
			continue
		}
		at := d.bound(v, d.place[v])
		d.lower[v], d.upper[v] = at, at
	}
}
