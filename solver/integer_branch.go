package solver

import (
	"context"
	"math"
	"sort"
)

// branching is one way to part a node in two.
type branching struct {
	column   int     // the column that is branched on
	value    float64 // its value in the relaxation
	at       float64 // sign·objective of the parent
	down, up []boundChange
	// below and above are how far the value has to go in either child.
	below, above float64
	preferUp     bool
	dose         bool // the column says whether a dose is in, which is mostly taken where it is begun
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
			_, dose := l.indicatorOf[j]
			found = append(found, branching{column: j, value: v, below: v - down, above: down + 1 - v, preferUp: dose, dose: dose,
				down: []boundChange{{j, -Inf, down}}, up: []boundChange{{j, down + 1, Inf}}})
		case c.Kind == SemiContinuous && l.lower[j] == 0 && v > math.Max(integrality*c.Lower, 1e-9) && v < c.Lower*(1-integrality):
			found = append(found, branching{column: j, value: v, below: v, above: c.Lower - v, preferUp: 2*v > c.Lower,
				down: []boundChange{{j, 0, 0}}, up: []boundChange{{j, c.Lower, c.Upper}}})
		}
	}
	return found
}

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
		child, err := s.solveWhileHopeful(ctx)
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
		case Limit:
			if child.Reason == pastHope {
				values[side] = math.Max(b.at, s.sign*child.Bound)
				b.upward = side == 1
				s.costs.learn(b, values[side])
			}
		}
	}
	return values[0], values[1], nil
}
