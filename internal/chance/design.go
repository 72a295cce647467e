package chance

import (
	"cmp"
	"math"
	"slices"
)

// mixture says about which scores points are laid: each centre gets a share of them. A nil mixture is the mean
// alone, with points of weight 1.
type mixture struct {
	centres [][]float64
	shares  []float64
	squares []float64 // half the squared distance of each centre from the mean
}

const (
	// aboutMean is the share of points laid about the mean, for what no design point foresees.
	aboutMean = 0.1
	// leastShare is the least that the weight of a centre counts, against that of the nearest.
	leastShare = 0.15
	// mostCentres bounds how many there are, and farther how much farther than the nearest they may be.
	mostCentres = 8
	farther     = 2.5
	// sameCentre is the distance below which two centres are one.
	sameCentre = 0.5
)

// mixture returns where to lay points, or nil where passing is no rare thing.
func (m *Model) mixture(o *Outcome, limit float64) *mixture {
	points := m.designPoints(o, limit)
	if len(points) == 0 || norm(points[0]) < 1 {
		return nil
	}
	nearest := norm(points[0])
	mix := &mixture{centres: [][]float64{make([]float64, len(m.Inputs))}, shares: []float64{aboutMean}, squares: []float64{0}}
	total := 0.0
	for _, p := range points {
		mix.centres = append(mix.centres, p)
		mix.squares = append(mix.squares, norm(p)*norm(p)/2)
		mix.shares = append(mix.shares, math.Max(leastShare, math.Exp((nearest*nearest-norm(p)*norm(p))/2)))
		total += mix.shares[len(mix.shares)-1]
	}
	for k := 1; k < len(mix.shares); k++ {
		mix.shares[k] *= (1 - aboutMean) / total
	}
	return mix
}

// at returns the centre of point n : they take turns, so that each centre gets its share of every stretch.
func (x *mixture) at(n int) []float64 {
	u := float64(n) * 0.6180339887498949 // evenly spread, and out of step with the points themselves
	u -= math.Floor(u)
	for k, share := range x.shares {
		if u < share {
			return x.centres[k]
		}
		u -= share
	}
	return x.centres[len(x.centres)-1]
}

// weight is what a point at scores y weighs: the density it has by nature over that by which points are laid.
func (x *mixture) weight(y []float64) float64 {
	if x == nil {
		return 1
	}
	sum := 0.0
	for k, c := range x.centres {
		dot := 0.0
		for i, s := range c {
			dot += s * y[i]
		}
		sum += x.shares[k] * math.Exp(dot-x.squares[k])
	}
	return 1 / sum
}

// farthest is how many deviations from the mean a design point may be.
const farthest = 9.0

// designPoints returns the independent scores nearest to the mean at which the outcome reaches the limit, the nearest
// first, from several starts: the mean, and for each input where it alone reaches the limit. They only steer where
// points are laid: an estimate about any is unbiased. There are none when the outcome passes at the mean already.
func (m *Model) designPoints(o *Outcome, limit float64) [][]float64 {
	n := len(m.Inputs)
	x, scratch := make([]float64, n), make([]float64, n)
	gap := func(y []float64) float64 { // above zero: short of the limit
		m.values(x, y, scratch)
		return limit - o.value(x)
	}
	mean := make([]float64, n)
	if !(gap(mean) > 0) {
		return nil
	}
	found := [][]float64{m.nearest(gap, mean)}
	for i := range n {
		for _, sign := range []float64{1, -1} {
			if alone := along(gap, n, i, sign); alone != nil {
				found = append(found, alone, m.nearest(gap, alone))
			}
		}
	}
	found = slices.DeleteFunc(found, func(y []float64) bool { return y == nil || norm(y) == 0 })
	slices.SortStableFunc(found, func(a, b []float64) int { return cmp.Compare(norm(a), norm(b)) })
	var points [][]float64
	for _, y := range found {
		known := slices.ContainsFunc(points, func(p []float64) bool {
			apart := 0.0
			for i := range p {
				apart = math.Hypot(apart, p[i]-y[i])
			}
			return apart < sameCentre
		})
		if !known && len(points) < mostCentres && (len(points) == 0 || norm(y) <= norm(points[0])+farther) {
			points = append(points, y)
		}
	}
	return points
}

// along returns the scores at which input i alone reaches the limit, to one side, or nil.
func along(gap func([]float64) float64, n, i int, sign float64) []float64 {
	y := make([]float64, n)
	y[i] = sign * farthest
	if gap(y) > 0 {
		return nil
	}
	short, passed := 0.0, farthest
	for range 40 {
		middle := (short + passed) / 2
		if y[i] = sign * middle; gap(y) > 0 {
			short = middle
		} else {
			passed = middle
		}
	}
	y[i] = sign * passed
	return y
}

// nearest moves from scores that may reach the limit to the nearest that do, by the iteration of Rackwitz and Fiessler
// (1978, Computers and Structures 9: 489); nil where the outcome moves with no input.
func (m *Model) nearest(gap func([]float64) float64, start []float64) []float64 {
	const step, rounds = 1e-4, 60
	y, gradient := slices.Clone(start), make([]float64, len(start))
	for range rounds {
		here := gap(y)
		square, along := 0.0, 0.0
		for i := range y {
			gradient[i] = 0
			if !m.Inputs[i].varies() && m.root == nil {
				continue
			}
			y[i] += step
			up := gap(y)
			y[i] -= 2 * step
			down := gap(y)
			y[i] += step
			gradient[i] = (up - down) / (2 * step)
			square += gradient[i] * gradient[i]
			along += gradient[i] * y[i]
		}
		if square == 0 || math.IsNaN(square) {
			return nil
		}
		change := 0.0
		next := make([]float64, len(y))
		for i := range next {
			next[i] = (along - here) / square * gradient[i]
			change = math.Max(change, math.Abs(next[i]-y[i]))
		}
		y = next
		if distance := norm(y); distance > farthest {
			for i := range y {
				y[i] *= farthest / distance
			}
		}
		if change < 1e-6 {
			break
		}
	}
	return y
}

func norm(y []float64) float64 {
	sum := 0.0
	for _, v := range y {
		sum += v * v
	}
	return math.Sqrt(sum)
}
