package presolve

import (
	"math"

	"bittersum/solver/internal/lp"
)

// Postsolve undoes the steps of a reducer on places, values and dual values.
type Postsolve struct {
	*Reducer
	Place []lp.Place // by variable
	X     []float64  // by column
	Y     []float64  // by row
}

// Undo takes the basis, column values and dual values of the reduced form and returns those of the full one.
func (r *Reducer) Undo(kept []int32, place []lp.Place, x, y []float64) *Postsolve {
	p := &Postsolve{Reducer: r, Place: make([]lp.Place, r.n+r.m), X: make([]float64, r.n), Y: make([]float64, r.m)}
	columns := len(x)
	for k, v := range kept {
		p.Place[v] = place[k]
		if k < columns {
			p.X[v] = x[k]
		} else {
			p.Y[int(v)-r.n] = y[k-columns]
		}
	}
	for t := len(r.Steps) - 1; t >= 0; t-- {
		p.step(int32(t))
	}
	return p
}

func (p *Postsolve) step(t int32) {
	s := &p.Steps[t]
	row := int32(p.n) + s.row
	switch s.Kind {
	case DropRow:
		p.Place[row] = lp.Basic
	case FixColumn:
		p.Place[s.column] = s.place
		p.X[s.column] = p.restingValue(s.column, s.place)
	case RowToBound:
		p.rowToBound(s)
	case ForceRow:
		p.forceRow(s)
	case AbsorbSlack:
		p.AbsorbSlack(s, t)
	case SubstituteFree:
		p.Place[s.column] = lp.Basic
		p.Place[row] = s.place
		p.X[s.column] = (s.lower - p.activity(s.row, t)) / s.a
		p.undoCosts(s)
		p.Y[s.row] = s.cost / s.a
	case MergeRows:
		p.mergeRows(s)
	case MergeColumns:
		p.mergeColumns(s)
	}
}

// reducedCost is that of column j for the costs and dual values so far.
func (p *Postsolve) reducedCost(j int32) float64 {
	d := p.cost[j]
	for k := p.a.ColumnStart[j]; k < p.a.ColumnStart[j+1]; k++ {
		if y := p.Y[p.a.ColumnIndex[k]]; y != 0 {
			d -= p.a.ColumnValue[k] * y
		}
	}
	return d
}

// activity is the sum of row i over the columns that outlived step t.
func (p *Postsolve) activity(i, t int32) float64 {
	sum := 0.0
	for k := p.a.RowStart[i]; k < p.a.RowStart[i+1]; k++ {
		if j := p.a.RowIndex[k]; p.gone[j] > t {
			sum += p.a.RowValue[k] * p.X[j]
		}
	}
	return sum
}

// rowToBound: a column resting at a bound that came from the row is basic, and the row rests there.
func (p *Postsolve) rowToBound(s *Reduction) {
	j, row := s.column, int32(p.n)+s.row
	onLower := p.Place[j] == lp.AtLower && s.low
	onUpper := p.Place[j] == lp.AtUpper && s.high
	if p.Place[j] != lp.Basic && p.lower[j] == p.upper[j] {
		// Held on both sides: the sign of the reduced cost says by which.
		up := p.reducedCost(j) > 0
		onLower, onUpper = up && s.low, !up && s.high
		switch {
		case onLower || onUpper:
		case up && math.IsInf(s.lower, -1), up && s.lower != p.lower[j]:
			onUpper = s.high
		case !up && math.IsInf(s.upper, 1), !up && s.upper != p.upper[j]:
			onLower = s.low
		}
		if !onLower && !onUpper {
			if up {
				p.Place[j] = lp.AtLower
			} else {
				p.Place[j] = lp.AtUpper
			}
		}
	}
	if onLower || onUpper {
		if onLower == (s.a > 0) {
			p.Place[row] = lp.AtLower
		} else {
			p.Place[row] = lp.AtUpper
		}
		p.Place[j] = lp.Basic
		p.Y[s.row] = p.reducedCost(j) / s.a
	} else {
		p.Place[row] = lp.Basic
	}
	p.lower[j], p.upper[j] = s.lower, s.upper
}

// forceRow: the smallest dual value that gives every member's reduced cost the sign its bound asks for.
func (p *Postsolve) forceRow(s *Reduction) {
	atLower := s.place == lp.AtLower
	chosen, most := int32(-1), 0.0
	members := p.members[s.other : s.other+s.length]
	next := 0
	for k := p.a.RowStart[s.row]; k < p.a.RowStart[s.row+1] && next < len(members); k++ {
		j := p.a.RowIndex[k]
		if j != members[next] {
			continue
		}
		next++
		a := p.a.RowValue[k]
		p.Place[j] = forcedPlace(a, atLower)
		p.X[j] = p.restingValue(j, p.Place[j])
		y := p.reducedCost(j) / a
		if !atLower {
			y = -y
		}
		if y > most {
			most, chosen = y, j
		}
	}
	row := int32(p.n) + s.row
	if chosen < 0 {
		p.Place[row] = lp.Basic
		return
	}
	p.Place[row], p.Place[chosen] = s.place, lp.Basic
	if !atLower {
		most = -most
	}
	p.Y[s.row] = most
}

// AbsorbSlack: the logical of the shrunken row stands for the column and the row's own logical.
func (p *Postsolve) AbsorbSlack(s *Reduction, t int32) {
	j, row := s.column, int32(p.n)+s.row
	lower, upper := p.lower[j], p.upper[j]
	rest := p.activity(s.row, t)
	p.undoCosts(s)
	p.Y[s.row] += s.cost / s.a
	// The bound of j at which its part of the row is largest, and the other.
	largest, smallest := lp.AtUpper, lp.AtLower
	if s.a < 0 {
		largest, smallest = lp.AtLower, lp.AtUpper
	}
	switch p.Place[row] {
	case lp.AtLower:
		p.Place[j] = largest
	case lp.AtUpper:
		p.Place[j] = smallest
	case lp.Zero:
		p.Place[j] = lp.Zero
	default:
		within := func(x float64) bool {
			s0 := rest + s.a*x
			return s0 >= s.lower-room(s.lower) && s0 <= s.upper+room(s.upper)
		}
		switch {
		case s.lower == s.upper:
			p.Place[row], p.Place[j] = lp.AtLower, lp.Basic
		case !math.IsInf(lower, -1) && within(lower):
			p.Place[j] = lp.AtLower
		case !math.IsInf(upper, 1) && within(upper):
			p.Place[j] = lp.AtUpper
		case math.IsInf(s.lower, -1):
			p.Place[row], p.Place[j] = lp.AtUpper, lp.Basic
		default:
			p.Place[row], p.Place[j] = lp.AtLower, lp.Basic
		}
	}
	switch {
	case p.Place[j] == lp.Basic && p.Place[row] == lp.AtUpper:
		p.X[j] = (s.upper - rest) / s.a
	case p.Place[j] == lp.Basic:
		p.X[j] = (s.lower - rest) / s.a
	default:
		p.X[j] = p.restingValue(j, p.Place[j])
	}
}

// restingPlace is a place for a nonbasic column.
func (p *Postsolve) restingPlace(j int32) lp.Place {
	switch {
	case !math.IsInf(p.lower[j], -1):
		return lp.AtLower
	case !math.IsInf(p.upper[j], 1):
		return lp.AtUpper
	}
	return lp.Zero
}

// undoCosts gives the column its cost back.
func (p *Postsolve) undoCosts(s *Reduction) {
	if s.cost != 0 {
		p.shiftCosts(s.row, s.cost/s.a)
		p.cost[s.column] = s.cost
	}
}

// mergeRows: a limit that came from the dropped row binds there.
func (p *Postsolve) mergeRows(s *Reduction) {
	keep, drop := int32(p.n)+s.other, int32(p.n)+s.row
	p.Place[drop] = lp.Basic
	onLower := p.Place[keep] == lp.AtLower
	if p.Place[keep] != lp.Basic && p.lower[keep] == p.upper[keep] {
		onLower = p.Y[s.other] > 0
	}
	if p.Place[keep] == lp.Basic || onLower && !s.low || !onLower && !s.high {
		return
	}
	if onLower == (s.a > 0) {
		p.Place[drop] = lp.AtLower
	} else {
		p.Place[drop] = lp.AtUpper
	}
	p.Place[keep] = lp.Basic
	p.Y[s.row] = p.Y[s.other] / s.a
	p.Y[s.other] = 0
}

// mergeColumns splits a value between two parallel columns, one of which rests at a bound.
func (p *Postsolve) mergeColumns(s *Reduction) {
	keep, drop := s.other, s.column
	z := p.X[keep]
	p.lower[keep], p.upper[keep] = s.lower, s.upper
	low, high := lp.AtLower, lp.AtUpper
	if s.a < 0 {
		low, high = high, low
	}
	switch p.Place[keep] {
	case lp.AtLower:
		p.Place[drop] = low
	case lp.AtUpper:
		p.Place[drop] = high
	case lp.Zero:
		// A nonbasic sum without bounds: each part rests as best it can.
		p.Place[drop], p.Place[keep] = p.restingPlace(drop), p.restingPlace(keep)
	default:
		for _, place := range [2]lp.Place{lp.AtLower, lp.AtUpper} {
			x := p.restingValue(drop, place)
			if rest := z - s.a*x; !math.IsInf(x, 0) && rest >= s.lower-room(s.lower) && rest <= s.upper+room(s.upper) {
				p.Place[drop], p.X[drop] = place, x
				p.Place[keep], p.X[keep] = lp.Basic, rest
				return
			}
		}
		for _, place := range [2]lp.Place{lp.AtLower, lp.AtUpper} {
			x := p.restingValue(keep, place)
			if !math.IsInf(x, 0) {
				rest := (z - x) / s.a
				if rest >= p.lower[drop]-room(p.lower[drop]) && rest <= p.upper[drop]+room(p.upper[drop]) {
					p.Place[keep], p.X[keep] = place, x
					p.Place[drop], p.X[drop] = lp.Basic, rest
					return
				}
			}
		}
		p.Place[drop], p.X[drop] = lp.Zero, 0
		return
	}
	p.X[drop] = p.restingValue(drop, p.Place[drop])
	p.X[keep] = p.restingValue(keep, p.Place[keep])
}
