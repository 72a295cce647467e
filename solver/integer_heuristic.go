package solver

import (
	"context"
	"math"
)

// round brings x to whole values, solves for the rest, and keeps the answer if it is the best. It
// reports whether there was any.
func (s *search) round(ctx context.Context, x []float64) (bool, error) {
	lower, upper := s.lp.copyBounds()
	held, holding := append([]float64(nil), s.lp.rootLower...), append([]float64(nil), s.lp.rootUpper...)
	s.lp.hold(x, held, holding)
	s.lp.set(held, holding)
	r, err := s.lp.solve(ctx)
	s.lp.set(lower, upper)
	if err != nil {
		return false, err
	}
	s.iterations += r.Iterations
	if r.Status != Optimal {
		return false, nil
	}
	answer := append([]float64(nil), r.X...)
	for j := range answer {
		answer[j] = math.Min(math.Max(answer[j], held[j]), holding[j]) + 0 // no negative zero
	}
	if s.p.breaksWholeRow(answer) {
		return false, nil
	}
	if value := s.sign * s.p.Value(answer); value < s.bestValue {
		s.best, s.bestValue, s.bestSize = answer, value, objectiveSize(s.p, answer)
		s.tighten()
	}
	return true, nil
}

// breaksWholeRow reports whether x, whole where it must be, oversteps a row all of whose columns are whole by
// more than the sum's rounding. Such a row knows no tolerance: there is nothing to move a little.
func (p *Problem) breaksWholeRow(x []float64) bool {
	for i := range p.Rows {
		row := &p.Rows[i]
		sum, size := 0.0, 0.0
		for _, t := range row.Terms {
			if p.Columns[t.Column].Kind != Integer {
				sum = math.NaN()
				break
			}
			part := t.Value * math.Round(x[t.Column])
			sum += part
			size += math.Abs(part)
		}
		if room := 1e-14*size + 1e-12; sum < row.Lower-room || sum > row.Upper+room {
			return true
		}
	}
	return false
}

// tighten narrows the root bounds of integer columns by their reduced costs at the root: moving such a
// column further would cost more than the best answer leaves room for.
func (s *search) tighten() {
	room := s.bestValue - s.rootBound
	if s.rootCosts == nil || math.IsInf(room, 0) || room < 0 {
		return
	}
	for j, c := range s.p.Columns {
		d := s.rootCosts[j]
		if c.Kind != Integer || math.Abs(d) < 1e-7*(1+math.Abs(c.Cost)) {
			continue
		}
		steps := math.Floor(room/math.Abs(d) + 1e-6)
		if from := s.lp.rootLower[j]; d > 0 && s.lp.linear.Columns[j].Lower == from {
			s.lp.rootUpper[j] = math.Min(s.lp.rootUpper[j], from+steps)
		}
		if from := s.lp.rootUpper[j]; d < 0 && s.lp.linear.Columns[j].Upper == from {
			s.lp.rootLower[j] = math.Max(s.lp.rootLower[j], from-steps)
		}
	}
}

// fixed returns the bounds that the reduced costs of a solved node allow its integers: moving one further would cost
// more than the best answer leaves room for. Those of the root are in force already.
func (s *search) fixed(r *Solution) []boundChange {
	room := s.bestValue - s.sign*r.Objective
	if len(r.ReducedCost) == 0 || math.IsInf(room, 0) || room < 0 {
		return nil
	}
	var changes []boundChange
	for j, c := range s.p.Columns {
		lower, upper := s.lp.lower[j], s.lp.upper[j]
		d := s.sign * r.ReducedCost[j]
		if c.Kind != Integer || lower == upper || math.Abs(d) < 1e-7*(1+math.Abs(c.Cost)) {
			continue
		}
		steps := math.Floor(room/math.Abs(d) + 1e-6)
		if x := r.X[j]; d > 0 && x <= lower+integrality && lower+steps < upper {
			changes = append(changes, boundChange{j, -Inf, lower + steps})
		} else if d < 0 && x >= upper-integrality && upper-steps > lower {
			changes = append(changes, boundChange{j, upper - steps, Inf})
		}
	}
	return changes
}

// dive goes down from node n by fixing, again and again, the violation that is nearest to a whole
// value, and turns to the other side once where that leaves no point. Every point that violates nothing
// is a candidate for the best answer.
func (s *search) dive(ctx context.Context, n *node, x []float64) error {
	s.lp.enter(n, true)
	lower, upper := s.lp.copyBounds()
	for range 2 * len(s.p.Columns) {
		ways := s.lp.violations(x)
		if len(ways) == 0 {
			_, err := s.round(ctx, x)
			return err
		}
		nearest, up := nearestWay(ways)
		r, err := s.descend(ctx, lower, upper, ways[nearest], up)
		if err == nil && r.Status == Infeasible {
			r, err = s.descend(ctx, lower, upper, ways[nearest], !up)
		}
		if err != nil || r.Status != Optimal || s.hopeless(s.sign*r.Objective) {
			return err
		}
		x = r.X
	}
	return nil
}

// nearestWay returns the way whose value has the least distance to go, and to which side.
func nearestWay(ways []branching) (nearest int, up bool) {
	least := Inf
	for i, b := range ways {
		if b.below < least && !b.dose {
			least, nearest, up = b.below, i, false
		}
		if b.above < least {
			least, nearest, up = b.above, i, true
		}
	}
	return nearest, up
}

// descend narrows the bounds by one side of b and solves; lower and upper are narrowed if a point is left.
func (s *search) descend(ctx context.Context, lower, upper []float64, b branching, up bool) (*Solution, error) {
	changes := b.down
	if up {
		changes = b.up
	}
	newLower, newUpper := append([]float64(nil), lower...), append([]float64(nil), upper...)
	narrow(newLower, newUpper, changes)
	s.lp.set(newLower, newUpper)
	r, err := s.solveWhileHopeful(ctx)
	if err != nil {
		return nil, err
	}
	s.iterations += r.Iterations
	if r.Status == Optimal {
		copy(lower, newLower)
		copy(upper, newUpper)
	}
	return r, nil
}

// objectiveStep returns a number of which the objectives of any two answers differ by a multiple, or
// zero if there is none: all costs belong to integer columns and are decimals with few digits.
func objectiveStep(p *Problem) float64 {
	for digits := range 7 {
		unit, common := math.Pow(10, float64(digits)), 0.0
		for _, c := range p.Columns {
			if c.Cost == 0 {
				continue
			}
			whole := math.Round(c.Cost * unit)
			if c.Kind != Integer {
				return 0
			}
			if math.Abs(c.Cost*unit-whole) > 1e-9*math.Abs(whole) || math.Abs(whole) > 1e12 {
				common = -1
				break
			}
			for a := math.Abs(whole); a != 0; {
				common, a = a, math.Mod(common, a)
			}
		}
		if common > 0 {
			return common / unit
		}
	}
	return 0
}
