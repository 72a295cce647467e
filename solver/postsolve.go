package solver

import "math"

// postsolve undoes the steps of a reducer on places, values and dual values.
type postsolve struct {
	*reducer
	place []Place   // by variable
	x     []float64 // by column
	y     []float64 // by row
}

// undo takes the basis, column values and dual values of the reduced form and returns those of the full one.
func (r *reducer) undo(kept []int32, place []Place, x, y []float64) *postsolve {
	p := &postsolve{reducer: r, place: make([]Place, r.n+r.m), x: make([]float64, r.n), y: make([]float64, r.m)}
	columns := len(x)
	for k, v := range kept {
		p.place[v] = place[k]
		if k < columns {
			p.x[v] = x[k]
		} else {
			p.y[int(v)-r.n] = y[k-columns]
		}
	}
	for t := len(r.steps) - 1; t >= 0; t-- {
		p.step(int32(t))
	}
	return p
}

func (p *postsolve) step(t int32) {
	s := &p.steps[t]
	row := int32(p.n) + s.row
	switch s.kind {
	case dropRow:
		p.place[row] = Basic
	case fixColumn:
		p.place[s.column] = s.place
		p.x[s.column] = p.restingValue(s.column, s.place)
	case rowToBound:
		p.rowToBound(s)
	case forceRow:
		p.forceRow(s)
	case absorbSlack:
		p.absorbSlack(s, t)
	case substituteFree:
		p.place[s.column] = Basic
		p.place[row] = s.place
		p.x[s.column] = (s.lower - p.activity(s.row, t)) / s.a
		p.undoCosts(s)
		p.y[s.row] = s.cost / s.a
	case mergeRows:
		p.mergeRows(s)
	case mergeColumns:
		p.mergeColumns(s)
	}
}

// reducedCost is that of column j for the costs and dual values so far.
func (p *postsolve) reducedCost(j int32) float64 {
	d := p.cost[j]
	for k := p.a.ColumnStart[j]; k < p.a.ColumnStart[j+1]; k++ {
		if y := p.y[p.a.ColumnIndex[k]]; y != 0 {
			d -= p.a.ColumnValue[k] * y
		}
	}
	return d
}

// activity is the sum of row i over the columns that outlived step t.
func (p *postsolve) activity(i, t int32) float64 {
	sum := 0.0
	for k := p.a.RowStart[i]; k < p.a.RowStart[i+1]; k++ {
		if j := p.a.RowIndex[k]; p.gone[j] > t {
			sum += p.a.RowValue[k] * p.x[j]
		}
	}
	return sum
}

// rowToBound: a column resting at a bound that came from the row is basic, and the row rests there.
func (p *postsolve) rowToBound(s *reduction) {
	j, row := s.column, int32(p.n)+s.row
	onLower := p.place[j] == AtLower && s.low
	onUpper := p.place[j] == AtUpper && s.high
	if p.place[j] != Basic && p.lower[j] == p.upper[j] {
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
				p.place[j] = AtLower
			} else {
				p.place[j] = AtUpper
			}
		}
	}
	if onLower || onUpper {
		if onLower == (s.a > 0) {
			p.place[row] = AtLower
		} else {
			p.place[row] = AtUpper
		}
		p.place[j] = Basic
		p.y[s.row] = p.reducedCost(j) / s.a
	} else {
		p.place[row] = Basic
	}
	p.lower[j], p.upper[j] = s.lower, s.upper
}

// forceRow: the smallest dual value that gives every member's reduced cost the sign its bound asks for.
func (p *postsolve) forceRow(s *reduction) {
	atLower := s.place == AtLower
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
		p.place[j] = forcedPlace(a, atLower)
		p.x[j] = p.restingValue(j, p.place[j])
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
		p.place[row] = Basic
		return
	}
	p.place[row], p.place[chosen] = s.place, Basic
	if !atLower {
		most = -most
	}
	p.y[s.row] = most
}

// absorbSlack: the logical of the shrunken row stands for the column and the row's own logical.
func (p *postsolve) absorbSlack(s *reduction, t int32) {
	j, row := s.column, int32(p.n)+s.row
	lower, upper := p.lower[j], p.upper[j]
	rest := p.activity(s.row, t)
	p.undoCosts(s)
	p.y[s.row] += s.cost / s.a
	// The bound of j at which its part of the row is largest, and the other.
	largest, smallest := AtUpper, AtLower
	if s.a < 0 {
		largest, smallest = AtLower, AtUpper
	}
	switch p.place[row] {
	case AtLower:
		p.place[j] = largest
	case AtUpper:
		p.place[j] = smallest
	case Zero:
		p.place[j] = Zero
	default:
		within := func(x float64) bool {
			s0 := rest + s.a*x
			return s0 >= s.lower-room(s.lower) && s0 <= s.upper+room(s.upper)
		}
		switch {
		case s.lower == s.upper:
			p.place[row], p.place[j] = AtLower, Basic
		case !math.IsInf(lower, -1) && within(lower):
			p.place[j] = AtLower
		case !math.IsInf(upper, 1) && within(upper):
			p.place[j] = AtUpper
		case math.IsInf(s.lower, -1):
			p.place[row], p.place[j] = AtUpper, Basic
		default:
			p.place[row], p.place[j] = AtLower, Basic
		}
	}
	switch {
	case p.place[j] == Basic && p.place[row] == AtUpper:
		p.x[j] = (s.upper - rest) / s.a
	case p.place[j] == Basic:
		p.x[j] = (s.lower - rest) / s.a
	default:
		p.x[j] = p.restingValue(j, p.place[j])
	}
}

// restingPlace is a place for a nonbasic column.
func (p *postsolve) restingPlace(j int32) Place {
	switch {
	case !math.IsInf(p.lower[j], -1):
		return AtLower
	case !math.IsInf(p.upper[j], 1):
		return AtUpper
	}
	return Zero
}

// undoCosts gives the column its cost back.
func (p *postsolve) undoCosts(s *reduction) {
	if s.cost != 0 {
		p.shiftCosts(s.row, s.cost/s.a)
		p.cost[s.column] = s.cost
	}
}

// mergeRows: a limit that came from the dropped row binds there.
func (p *postsolve) mergeRows(s *reduction) {
	keep, drop := int32(p.n)+s.other, int32(p.n)+s.row
	p.place[drop] = Basic
	onLower := p.place[keep] == AtLower
	if p.place[keep] != Basic && p.lower[keep] == p.upper[keep] {
		onLower = p.y[s.other] > 0
	}
	if p.place[keep] == Basic || onLower && !s.low || !onLower && !s.high {
		return
	}
	if onLower == (s.a > 0) {
		p.place[drop] = AtLower
	} else {
		p.place[drop] = AtUpper
	}
	p.place[keep] = Basic
	p.y[s.row] = p.y[s.other] / s.a
	p.y[s.other] = 0
}

// mergeColumns splits a value between two parallel columns, one of which rests at a bound.
func (p *postsolve) mergeColumns(s *reduction) {
	keep, drop := s.other, s.column
	z := p.x[keep]
	p.lower[keep], p.upper[keep] = s.lower, s.upper
	low, high := AtLower, AtUpper
	if s.a < 0 {
		low, high = high, low
	}
	switch p.place[keep] {
	case AtLower:
		p.place[drop] = low
	case AtUpper:
		p.place[drop] = high
	case Zero:
		// A nonbasic sum without bounds: each part rests as best it can.
		p.place[drop], p.place[keep] = p.restingPlace(drop), p.restingPlace(keep)
	default:
		for _, place := range [2]Place{AtLower, AtUpper} {
			x := p.restingValue(drop, place)
			if rest := z - s.a*x; !math.IsInf(x, 0) && rest >= s.lower-room(s.lower) && rest <= s.upper+room(s.upper) {
				p.place[drop], p.x[drop] = place, x
				p.place[keep], p.x[keep] = Basic, rest
				return
			}
		}
		for _, place := range [2]Place{AtLower, AtUpper} {
			x := p.restingValue(keep, place)
			if !math.IsInf(x, 0) {
				rest := (z - x) / s.a
				if rest >= p.lower[drop]-room(p.lower[drop]) && rest <= p.upper[drop]+room(p.upper[drop]) {
					p.place[keep], p.x[keep] = place, x
					p.place[drop], p.x[drop] = Basic, rest
					return
				}
			}
		}
		p.place[drop], p.x[drop] = Zero, 0
		return
	}
	p.x[drop] = p.restingValue(drop, p.place[drop])
	p.x[keep] = p.restingValue(keep, p.place[keep])
}
