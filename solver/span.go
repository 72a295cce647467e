package solver

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// rate returns the slope of the objective with respect to δ at δ = 0.
func (v *vertex) rate(d Direction) float64 {
	if v.slack(d) {
		return 0
	}
	if d.Row < 0 {
		return v.reduced[d.Column] * d.Limit
	}
	return v.dual[d.Row] * (v.form(d.Terms) + d.Limit)
}

// moving returns the variable whose bounds or row move.
func (v *vertex) moving(d Direction) int {
	if d.Row < 0 {
		return d.Column
	}
	return len(v.p.Columns) + d.Row
}

// slack reports whether the limit that moves does not hold the vertex: its variable is basic, or rests
// at the other bound.
func (v *vertex) slack(d Direction) bool {
	k := v.moving(d)
	lower, upper := v.bounds(k)
	switch v.place(k) {
	case Basic, Zero:
		return true
	case AtLower:
		return d.Side == UpperSide && lower < upper && len(d.Terms) == 0
	}
	return d.Side == LowerSide && lower < upper && len(d.Terms) == 0
}

func (v *vertex) form(terms []Term) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t.Value * v.value[t.Column]
	}
	return sum
}

// span returns the interval of δ around zero on which the basis stays optimal.
func (v *vertex) span(d Direction) basisSpan {
	span := basisSpan{math.Inf(-1), math.Inf(1), v.rate(d)}
	m := len(v.p.Rows)
	if v.slack(d) {
		return v.slackSpan(d, span)
	}
	v.clipCrossing(d, &span)
	if m == 0 {
		return span
	}
	motion, err := v.motion(d)
	if err != nil {
		return basisSpan{0, 0, span.rate}
	}
	unit, gain, kappa, weights := motion.unit, motion.gain, motion.kappa, motion.weights
	// δ as a function of θ; the branch through zero ends where 1 - δκ would vanish.
	delta := func(theta float64) float64 {
		if math.IsInf(theta, 0) {
			if kappa*theta*gain > 0 {
				return 1 / kappa
			}
			return math.Inf(1) * math.Copysign(1, theta*gain)
		}
		below := gain + theta*kappa
		if below*gain <= 0 {
			return math.Inf(1) * math.Copysign(1, theta*gain)
		}
		return theta / below
	}
	clip := func(at float64) {
		if at >= 0 {
			span.to = math.Min(span.to, at)
		}
		if at <= 0 {
			span.from = math.Max(span.from, at)
		}
	}
	limit := func(theta float64) {
		if gain != 0 {
			clip(delta(theta))
		}
	}
	for at, k := range v.head {
		rate := unit.AtVec(at)
		if math.Abs(rate) < 1e-11 {
			continue
		}
		lower, upper := v.bounds(k)
		for side, bound := range []float64{lower, upper} {
			if math.Abs(bound) >= Huge {
				continue
			}
			room := bound - v.value[k]
			if math.Abs(room) < 1e-9*(1+math.Abs(bound)) {
				room = 0
			}
			switch {
			case gain == 0:
			case room != 0:
				limit(room / rate)
			case (side == 0) == (rate*gain > 0): // leaves the bound inward as δ grows
				span.from = math.Max(span.from, 0)
			default:
				span.to = math.Min(span.to, 0)
			}
		}
	}
	if len(d.Terms) > 0 && v.dual[d.Row] != 0 {
		v.clipPrices(d, weights, kappa, clip, &span)
	}
	if kappa > 0 {
		span.to = math.Min(span.to, 1/kappa)
	} else if kappa < 0 {
		span.from = math.Max(span.from, 1/kappa)
	}
	return span
}

// motion is how a vertex moves with δ: the basic values by unit·θ, θ = δ·gain/(1-δκ), as in Sensitivity.
type motion struct {
	unit        *mat.VecDense
	gain, kappa float64
	weights     []float64 // d.Terms by variable
}

// motion returns how the vertex moves while d holds it.
func (v *vertex) motion(d Direction) (motion, error) {
	n, m := len(v.p.Columns), len(v.p.Rows)
	column := mat.NewVecDense(m, nil)
	if d.Row >= 0 {
		column.SetVec(d.Row, 1)
	} else {
		for i, row := range v.p.Rows {
			for _, t := range row.Terms {
				if t.Column == d.Column {
					column.SetVec(i, -t.Value)
				}
			}
		}
	}
	unit, err := v.solve(false, column)
	if err != nil {
		return motion{}, err
	}
	largest := 0.0
	for _, k := range v.head {
		largest = math.Max(largest, math.Abs(v.value[k]))
	}
	mo := motion{unit: unit, gain: d.Limit, weights: make([]float64, n+m)}
	size := math.Abs(d.Limit)
	for _, t := range d.Terms {
		mo.weights[t.Column] = t.Value
		mo.gain += t.Value * v.value[t.Column]
		size += math.Abs(t.Value) * largest
	}
	if math.Abs(mo.gain) <= 1e-14*size {
		mo.gain = 0 // but for rounding: the vertex stands still
	}
	for at, k := range v.head {
		mo.kappa += mo.weights[k] * unit.AtVec(at)
	}
	return mo, nil
}

// slackSpan is the span when the limit does not hold the optimum: it ends where the limit reaches it.
func (v *vertex) slackSpan(d Direction, span basisSpan) basisSpan {
	// The value of the moving variable falls by δ·form; its bounds rise by δ·Limit where they move.
	k, form := v.moving(d), v.form(d.Terms)
	lower, upper := v.bounds(k)
	reach := func(room, closing float64) { // room - δ·closing >= 0
		switch {
		case closing > 0:
			span.to = math.Min(span.to, math.Max(0, room/closing))
		case closing < 0:
			span.from = math.Max(span.from, math.Min(0, room/closing))
		}
	}
	moves := func(side Side) float64 {
		if d.Side == BothSides || d.Side == side {
			return d.Limit
		}
		return 0
	}
	if lower > -Huge {
		reach(v.value[k]-lower, form+moves(LowerSide))
	}
	if upper < Huge {
		reach(upper-v.value[k], -form-moves(UpperSide))
	}
	return span
}

// clipCrossing ends the span where the moving bound would pass the one that stays.
func (v *vertex) clipCrossing(d Direction, span *basisSpan) {
	lower, upper := v.bounds(v.moving(d))
	if upper-lower >= Huge || d.Limit <= 0 {
		return
	}
	switch d.Side {
	case UpperSide:
		span.from = math.Max(span.from, (lower-upper)/d.Limit)
	case LowerSide:
		span.to = math.Min(span.to, (upper-lower)/d.Limit)
	}
}

// clipPrices shortens the span to where a reduced cost d_j(1-δκ) + δ·y_i·r_j changes sign.
func (v *vertex) clipPrices(d Direction, weights []float64, kappa float64, clip func(float64), span *basisSpan) {
	n, m := len(v.p.Columns), len(v.p.Rows)
	basicWeights := mat.NewVecDense(m, nil)
	for at, k := range v.head {
		basicWeights.SetVec(at, weights[k])
	}
	w, err := v.solve(true, basicWeights)
	if err != nil {
		span.from, span.to = 0, 0
		return
	}
	form := append([]float64(nil), weights...) // r_j = g_j - w·A_j; for a logical, w_i
	for i, row := range v.p.Rows {
		form[n+i] = w.AtVec(i)
		for _, t := range row.Terms {
			form[t.Column] -= w.AtVec(i) * t.Value
		}
	}
	for k := range n + m {
		lower, upper := v.bounds(k)
		if v.place(k) == Basic || lower == upper {
			continue
		}
		slope := v.dual[d.Row]*form[k] - v.reduced[k]*kappa
		if math.Abs(slope) < 1e-12 {
			continue
		}
		if math.Abs(v.reduced[k]) < 1e-11 {
			wrong := slope < 0 // a minimum needs reduced costs >= 0 at a lower bound
			if (v.place(k) == AtUpper) != (v.p.Sense == Maximize) {
				wrong = !wrong
			}
			if wrong {
				span.to = math.Min(span.to, 0)
			} else {
				span.from = math.Max(span.from, 0)
			}
			continue
		}
		clip(-v.reduced[k] / slope)
	}
}
