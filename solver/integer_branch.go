package solver

import (
	"context"
	"math"
	"sort"
)

// branching is one way to part a node in two.
type branching struct {
	column   int     // the column that is branched on, -1 for a set
	value    float64 // its value in the relaxation
	at       float64 // sign·objective of the parent
	down, up []boundChange
	// below and above are how far the value has to go in either child.
	below, above float64
	preferUp     bool
	upward       bool // set in the guess of the child that goes up
}

// violations returns the ways to branch that x, the relaxation's point, calls for; none if x violates
// nothing that the relaxation leaves out.
func (l *relaxation) violations(x []float64) []branching {
	var found []branching
	for j, c := range l.p.Columns {
		switch v := x[j]; {
		case l.lower[j] == l.upper[j]:
		case c.Kind == Integer && math.Abs(v-math.Round(v)) > integrality:
			down := math.Floor(v)
			found = append(found, branching{column: j, value: v, below: v - down, above: down + 1 - v,
				down: []boundChange{{j, -Inf, down}}, up: []boundChange{{j, down + 1, Inf}}})
		case c.Kind == SemiContinuous && l.lower[j] == 0 && v > math.Max(integrality*c.Lower, 1e-9) && v < c.Lower*(1-integrality):
			found = append(found, branching{column: j, value: v, below: v, above: c.Lower - v, preferUp: 2*v > c.Lower,
				down: []boundChange{{j, 0, 0}}, up: []boundChange{{j, c.Lower, c.Upper}}})
		}
	}
	for _, set := range l.p.SOS1 {
		if b, ok := l.splitSet(set, x); ok {
			found = append(found, b)
		}
	}
	if len(found) > 0 {
		return found
	}
	for _, ind := range l.p.Indicators {
		j, at := ind.Column, float64(ind.Active)
		if l.lower[j] == l.upper[j] || math.Round(x[j]) != at {
			continue
		}
		activity, size := formAt(ind.Row.Terms, x), 1.0
		for _, t := range ind.Row.Terms {
			size = math.Max(size, math.Abs(t.Value*x[t.Column]))
		}
		if activity < ind.Row.Lower-integrality*size || activity > ind.Row.Upper+integrality*size {
			found = append(found, branching{column: j, value: x[j], below: 0.5, above: 0.5, preferUp: at == 1,
				down: []boundChange{{j, 0, 0}}, up: []boundChange{{j, 1, 1}}})
		}
	}
	return found
}

// splitSet parts a set near the centre of its values, so that either its tail or its head is zero.
func (l *relaxation) splitSet(set SOS1, x []float64) (branching, bool) {
	keep := largest(set.Columns, x)
	if keep < 0 {
		return branching{}, false
	}
	threshold := math.Max(integrality*math.Abs(x[set.Columns[keep]]), 1e-12)
	first, last, weight, sum := -1, -1, 0.0, 0.0
	for i, j := range set.Columns {
		if v := math.Abs(x[j]); v > threshold && !l.isZero(j) {
			if first < 0 {
				first = i
			}
			last = i
			weight += v
			sum += v * float64(i)
		}
	}
	if first == last {
		return branching{}, false
	}
	cut := min(max(int(sum/weight), first), last-1)
	b := branching{column: -1, value: 0.5}
	left := 0.0
	for i, j := range set.Columns {
		if zero := (boundChange{j, 0, 0}); i <= cut {
			b.up = append(b.up, zero)
			left += math.Abs(x[j])
		} else {
			b.down = append(b.down, zero)
		}
	}
	b.above, b.below = left/weight, 1-left/weight
	b.preferUp = left < weight/2
	return b, true
}

// isZero reports whether the bounds now set hold column j at zero. Its value may still be a hair off.
func (l *relaxation) isZero(j int) bool { return l.lower[j] == 0 && l.upper[j] == 0 }

// choice returns a way to branch that narrows any freedom left by the bounds now set, near x.
func (l *relaxation) choice(x []float64) (branching, bool) {
	for j, c := range l.p.Columns {
		lower, upper := l.lower[j], l.upper[j]
		switch {
		case c.Kind == Integer && lower < upper:
			middle := math.Min(math.Max(math.Round(x[j]), lower), upper-1)
			return branching{column: j, value: middle + 0.5, down: []boundChange{{j, lower, middle}}, up: []boundChange{{j, middle + 1, upper}},
				preferUp: x[j] > middle+0.5}, true
		case c.Kind == SemiContinuous && lower == 0 && upper > 0 && c.Lower > 0:
			return branching{column: j, down: []boundChange{{j, 0, 0}}, up: []boundChange{{j, c.Lower, upper}}, preferUp: 2*x[j] > c.Lower}, true
		}
	}
	for _, set := range l.p.SOS1 {
		keep := largest(set.Columns, x)
		b := branching{column: -1}
		for i, j := range set.Columns {
			switch {
			case l.isZero(j):
			case i == keep:
				b.up = []boundChange{{j, 0, 0}}
			default:
				b.down = append(b.down, boundChange{j, 0, 0})
			}
		}
		if len(b.up) == 0 && len(b.down) > 1 { // the largest is held at zero and only a hair off it
			b.up, b.down = b.down[:1], b.down[1:]
		}
		if len(b.up) > 0 && len(b.down) > 0 {
			return b, true
		}
	}
	return branching{}, false
}

// pseudoCosts are the average changes of the objective per unit that a column was moved by branching
// (Benichou et al., "Experiments in mixed-integer linear programming", Mathematical Programming 1
// (1971), 76-94).
type pseudoCosts struct {
	sum   [2][]float64 // downward, upward
	count [2][]int
	total [2]float64
	tries [2]int
}

func newPseudoCosts(columns int) pseudoCosts {
	var c pseudoCosts
	for side := range c.sum {
		c.sum[side], c.count[side] = make([]float64, columns), make([]int, columns)
	}
	return c
}

// learn takes in the objective of a child that was made by b.
func (c *pseudoCosts) learn(b branching, value float64) {
	side, distance := 0, b.below
	if b.upward {
		side, distance = 1, b.above
	}
	if b.column < 0 || distance <= 0 {
		return
	}
	rate := math.Max(0, value-b.at) / distance
	c.sum[side][b.column] += rate
	c.count[side][b.column]++
	c.total[side] += rate
	c.tries[side]++
}

// rate returns the expected change per unit on one side.
func (c *pseudoCosts) rate(column, side int) float64 {
	switch {
	case column >= 0 && c.count[side][column] > 0:
		return c.sum[side][column] / float64(c.count[side][column])
	case c.tries[side] > 0:
		return c.total[side] / float64(c.tries[side])
	}
	return 1
}

// score is large where both children are expected to cost more.
func (c *pseudoCosts) score(b branching) float64 {
	return productOf(c.rate(b.column, 0)*b.below, c.rate(b.column, 1)*b.above)
}

func productOf(down, up float64) float64 { return math.Max(down, 1e-9) * math.Max(up, 1e-9) }

// reliable is how often a column must have been branched on, either way, before its pseudo-costs are
// believed; until then its children are solved for trial (reliability branching: Achterberg, Koch and
// Martin, "Branching rules revisited", Operations Research Letters 33 (2005), 42-54).
const reliable = 2

// trials caps the trials at one node.
const trials = 8

func (c *pseudoCosts) known(column int) bool {
	return column < 0 || (c.count[0][column] >= reliable && c.count[1][column] >= reliable)
}

// branch parts node n, solved by r, and returns the child to go on with.
func (s *search) branch(ctx context.Context, n *node, r *Solution, ways []branching) (*node, error) {
	value := s.sign * r.Objective
	scores := make([]float64, len(ways))
	order := make([]int, len(ways))
	for i := range ways {
		ways[i].at = value
		scores[i] = s.costs.score(ways[i])
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return scores[order[a]] > scores[order[b]] })
	chosen := order[0]
	tried := 0
	for _, i := range order {
		b := ways[i]
		if s.costs.known(b.column) || tried == trials {
			continue
		}
		tried++
		down, up, err := s.trial(ctx, r, b)
		if err != nil {
			return nil, err
		}
		switch {
		case s.hopeless(down) && s.hopeless(up), math.IsInf(down, 1) && math.IsInf(up, 1):
			return nil, nil
		case s.hopeless(down) || math.IsInf(down, 1):
			return &node{parent: n, changes: b.up, bound: math.Max(n.bound, up), guess: branching{column: -1}, basis: r.Basis, depth: n.depth + 1}, nil
		case s.hopeless(up) || math.IsInf(up, 1):
			return &node{parent: n, changes: b.down, bound: math.Max(n.bound, down), guess: branching{column: -1}, basis: r.Basis, depth: n.depth + 1}, nil
		}
		scores[i] = productOf(down-value, up-value)
		if scores[i] > scores[chosen] || !s.costs.known(ways[chosen].column) && chosen == order[0] && i == chosen {
			chosen = i
		}
	}
	if tried > 0 {
		s.lp.session.SetBasis(r.Basis)
	}
	return s.split(n, r, ways[chosen]), nil
}

// trial solves both children of b and returns their values, infinite where there is no answer.
func (s *search) trial(ctx context.Context, r *Solution, b branching) (down, up float64, err error) {
	values := [2]float64{}
	for side, changes := range [][]boundChange{b.down, b.up} {
		lower, upper := s.lp.copyBounds()
		narrowed, widened := append([]float64(nil), lower...), append([]float64(nil), upper...)
		narrow(narrowed, widened, changes)
		s.lp.set(narrowed, widened)
		s.lp.session.SetBasis(r.Basis)
		child, err := s.lp.solve(ctx)
		s.lp.set(lower, upper)
		if err != nil {
			return 0, 0, err
		}
		s.iterations += child.Iterations
		values[side] = b.at
		switch child.Status {
		case Optimal:
			values[side] = math.Max(b.at, s.sign*child.Objective)
			b.upward = side == 1
			s.costs.learn(b, values[side])
		case Infeasible:
			values[side] = Inf
		}
	}
	return values[0], values[1], nil
}
