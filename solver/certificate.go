package solver

import "math"

// assessment is a certificate with the room that rounding and tolerances must be given.
type assessment struct {
	Certificate
	// primalExcess, dualExcess and gapExcess are the residuals over what is allowed.
	primalExcess, dualExcess, gapExcess float64
}

// Rounding of a sum is allowed for by these shares of the sum of its terms' magnitudes.
const (
	primalRounding = 1e-10
	dualRounding   = 1e-8
	// A wrong sign counts from this share of the largest cost, for a row per unit of its largest
	// coefficient.
	wrongSignAllowed = 1e-9
	gapAllowed       = 1e-8
)

// assess measures an optimal solution against p, from p and the vectors alone. scratch has room for a
// number per column, twice.
func assess(p *Problem, s *Solution, feasibility float64, scratch []float64) assessment {
	var a assessment
	sign := 1.0
	if p.Sense == Maximize {
		sign = -1
	}
	n := len(p.Columns)
	z, size := scratch[:n], scratch[n:2*n]
	dearest := 0.0
	for j := range p.Columns {
		z[j] = p.Columns[j].Cost
		size[j] = math.Abs(z[j])
		dearest = max(dearest, size[j])
	}
	dualValue, magnitude := p.Offset, math.Abs(p.Offset)
	// price adds a variable's part of the dual objective and judges the sign of its price d.
	price := func(d, room, lower, upper float64, place Place) {
		wrong := 0.0
		up := sign * d
		switch {
		case lower == upper:
		case place == Basic || place == Zero:
			wrong = math.Abs(d)
		case place == AtLower:
			wrong = max(-up, 0)
		case place == AtUpper:
			wrong = max(up, 0)
		}
		a.DualResidual = max(a.DualResidual, wrong)
		a.dualExcess = max(a.dualExcess, wrong/room)
		bound := lower
		if up < 0 {
			bound = upper
		}
		if d != 0 && bound > -Huge && bound < Huge {
			dualValue += d * bound
			magnitude += math.Abs(d * bound)
		}
	}
	for i := range p.Rows {
		row := &p.Rows[i]
		y := s.Dual[i]
		activity, terms, steepest := 0.0, 0.0, 0.0
		for _, t := range row.Terms {
			part := t.Value * s.X[t.Column]
			activity += part
			steepest = max(steepest, math.Abs(t.Value))
			terms += math.Abs(part)
			part = t.Value * y
			z[t.Column] -= part
			size[t.Column] += math.Abs(part)
		}
		a.primal(activity, row.Lower, row.Upper, feasibility, terms)
		price(y, wrongSignAllowed*dearest/max(steepest, 1e-30)+1e-30, row.Lower, row.Upper, s.Basis.Rows[i])
	}
	value := p.Offset
	for j := range p.Columns {
		c := &p.Columns[j]
		a.primal(s.X[j], c.Lower, c.Upper, feasibility, math.Abs(s.X[j]))
		price(z[j], dualRounding*size[j]+wrongSignAllowed*dearest+1e-30, c.Lower, c.Upper, s.Basis.Columns[j])
		value += c.Cost * s.X[j]
		magnitude += math.Abs(c.Cost * s.X[j])
	}
	a.Gap = math.Abs(value - dualValue)
	a.gapExcess = a.Gap / (gapAllowed*(1+math.Abs(value)) + 1e-12*magnitude)
	return a
}

// primal judges one value against its bounds.
func (a *assessment) primal(value, lower, upper, feasibility, terms float64) {
	excess, bound := 0.0, 0.0
	switch {
	case value < lower && lower > -Huge:
		excess, bound = lower-value, lower
	case value > upper && upper < Huge:
		excess, bound = value-upper, upper
	default:
		return
	}
	a.PrimalResidual = max(a.PrimalResidual, excess)
	a.primalExcess = max(a.primalExcess, excess/(feasibility*(1+math.Abs(bound))+primalRounding*terms))
}

// proofRounding is the share of a combination's magnitude that counts as zero.
const proofRounding = 1e-9

// provesInfeasible checks row multipliers y against p: the least value of y·A x over the column bounds
// must exceed the greatest value of y·s over the row bounds (Farkas 1902). Multipliers that point to an
// infinite bound by no more than rounding are set to zero.
func provesInfeasible(p *Problem, y []float64) bool {
	largest := 0.0
	for i := range p.Rows {
		largest = max(largest, math.Abs(y[i]))
	}
	if largest == 0 || math.IsInf(largest, 0) || math.IsNaN(largest) {
		return false
	}
	n := len(p.Columns)
	z, size := make([]float64, n), make([]float64, n)
	greatest, magnitude := 0.0, 0.0
	for i := range p.Rows {
		row := &p.Rows[i]
		bound := row.Upper
		if y[i] < 0 {
			bound = row.Lower
		}
		if y[i] == 0 {
			continue
		}
		if bound >= Huge || bound <= -Huge {
			if math.Abs(y[i]) > proofRounding*largest {
				return false
			}
			y[i] = 0
			continue
		}
		greatest += y[i] * bound
		magnitude += math.Abs(y[i] * bound)
		for _, t := range row.Terms {
			z[t.Column] += t.Value * y[i]
			size[t.Column] += math.Abs(t.Value * y[i])
		}
	}
	least := 0.0
	for j := range p.Columns {
		if z[j] == 0 {
			continue
		}
		bound := p.Columns[j].Lower
		if z[j] < 0 {
			bound = p.Columns[j].Upper
		}
		if bound >= Huge || bound <= -Huge {
			if math.Abs(z[j]) > proofRounding*size[j] {
				return false
			}
			continue
		}
		least += z[j] * bound
		magnitude += math.Abs(z[j] * bound)
	}
	return least-greatest > 1e-11*magnitude
}

// provesUnbounded checks a direction against p: it must keep every row and column within its bounds
// for ever and improve the objective.
func provesUnbounded(p *Problem, ray []float64) bool {
	within := func(slope, size, lower, upper float64) bool {
		room := proofRounding * size
		return (slope >= -room || lower <= -Huge) && (slope <= room || upper >= Huge)
	}
	gain, size := 0.0, 0.0
	for j, c := range p.Columns {
		if !within(ray[j], 0, c.Lower, c.Upper) {
			return false
		}
		gain -= c.Cost * ray[j]
		size += math.Abs(c.Cost * ray[j])
	}
	if p.Sense == Maximize {
		gain = -gain
	}
	if gain <= proofRounding*size {
		return false
	}
	for i := range p.Rows {
		slope, size := 0.0, 0.0
		for _, t := range p.Rows[i].Terms {
			slope += t.Value * ray[t.Column]
			size += math.Abs(t.Value * ray[t.Column])
		}
		if !within(slope, size, p.Rows[i].Lower, p.Rows[i].Upper) {
			return false
		}
	}
	return true
}
