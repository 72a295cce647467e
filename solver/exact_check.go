package solver

import "math/big"

// The checks below judge a proof by the program's figures alone. Each returns what is wrong, or "".

// faultOfPoint checks the bounds of every column and row, and the activities.
func (e *exactProgram) faultOfPoint(proof *Proof) string {
	n := e.columns
	unit, scaled := e.integers(append(proof.X[:n:n], proof.Activity...))
	x := scaled[0]
	var sum, product big.Int
	for i := range e.rows {
		sum.SetInt64(0)
		for k := range e.terms[i] {
			if t := &e.terms[i][k]; x[t.column].Sign() != 0 {
				sum.Add(&sum, product.Mul(&t.value, x[t.column]))
			}
		}
		if sum.Cmp(x[n+i]) != 0 {
			return "a row's activity is not that of the point"
		}
	}
	lower, upper := e.bounds(unit)
	for v := range x {
		if lower[v] != nil && lower[v].Cmp(scaleRat(x[v])) > 0 || upper[v] != nil && upper[v].Cmp(scaleRat(x[v])) < 0 {
			return "the point lies outside a bound"
		}
	}
	return ""
}

// bounds returns the bounds in the variables' units, multiplied by unit.
func (e *exactProgram) bounds(unit *big.Int) (lower, upper []*big.Rat) {
	factor := new(big.Rat).SetInt(unit)
	scale := func(bounds []*big.Rat) []*big.Rat {
		scaled := make([]*big.Rat, len(bounds))
		for v, b := range bounds {
			if b != nil {
				scaled[v] = new(big.Rat).Quo(b, e.unit[v])
				scaled[v].Mul(scaled[v], factor)
			}
		}
		return scaled
	}
	return scale(e.lower), scale(e.upper)
}

func scaleRat(x *big.Int) *big.Rat { return new(big.Rat).SetInt(x) }

// faultOfOptimum checks the point, that the reduced costs are those of the dual values, and that every
// price other than zero belongs to a variable at the bound which the price's sign asks for. Together
// these prove the optimum (complementary slackness; Chvátal 1983, chapter 5).
func (e *exactProgram) faultOfOptimum(proof *Proof) string {
	if fault := e.faultOfPoint(proof); fault != "" {
		return fault
	}
	return e.faultOfPrices(proof)
}

// faultOfPrices is the part of faultOfOptimum that follows faultOfPoint.
func (e *exactProgram) faultOfPrices(proof *Proof) string {
	combined := e.combination(proof.Dual)
	for j, c := range e.cost {
		d := new(big.Rat).Sub(e.minimized(c), combined[j])
		if d.Cmp(proof.ReducedCost[j]) != 0 {
			return "a reduced cost does not follow from the dual values"
		}
	}
	at := func(x, bound *big.Rat) bool { return bound != nil && x.Cmp(bound) == 0 }
	holds := func(v int, x, price *big.Rat) bool {
		switch e.minimized(price).Sign() {
		case 1:
			return at(x, e.lower[v])
		case -1:
			return at(x, e.upper[v])
		}
		return true
	}
	for j := range e.columns {
		if !holds(j, proof.X[j], proof.ReducedCost[j]) {
			return "a reduced cost has the wrong sign"
		}
	}
	for i := range e.rows {
		if !holds(e.columns+i, proof.Activity[i], proof.Dual[i]) {
			return "a dual value has the wrong sign"
		}
	}
	return ""
}

// combination returns Σ y_i a_ij per column, in the problem's own units.
func (e *exactProgram) combination(y []*big.Rat) []*big.Rat {
	scaled := make([]*big.Rat, e.rows)
	denominator := big.NewInt(1)
	for i := range y {
		scaled[i] = new(big.Rat).Mul(y[i], e.unit[e.columns+i])
		raise(denominator, scaled[i].Denom())
	}
	sums := make([]big.Int, e.columns)
	var product big.Int
	for i := range y {
		multiplier := multiplied(scaled[i], denominator)
		if multiplier.Sign() == 0 {
			continue
		}
		for k := range e.terms[i] {
			t := &e.terms[i][k]
			sums[t.column].Add(&sums[t.column], product.Mul(multiplier, &t.value))
		}
	}
	combined := make([]*big.Rat, e.columns)
	for j := range sums {
		combined[j] = new(big.Rat)
		if sums[j].Sign() != 0 {
			combined[j].SetFrac(&sums[j], denominator)
			combined[j].Quo(combined[j], e.unit[j])
		}
	}
	return combined
}

// faultOfFarkas checks that the row combination cannot be met: its smallest value within the column
// bounds exceeds the largest that the row bounds allow.
func (e *exactProgram) faultOfFarkas(y []*big.Rat) string {
	gap, product := new(big.Rat), new(big.Rat)
	for j, t := range e.combination(y) {
		bound := e.lower[j]
		if t.Sign() < 0 {
			bound = e.upper[j]
		}
		if t.Sign() == 0 {
			continue
		}
		if bound == nil {
			return "the multipliers leave a column without a bound"
		}
		gap.Add(gap, product.Mul(t, bound))
	}
	for i := range y {
		bound := e.upper[e.columns+i]
		if y[i].Sign() < 0 {
			bound = e.lower[e.columns+i]
		}
		if y[i].Sign() == 0 {
			continue
		}
		if bound == nil {
			return "a multiplier stands on an absent side of a row"
		}
		gap.Sub(gap, product.Mul(y[i], bound))
	}
	if gap.Sign() <= 0 {
		return "the multipliers do not contradict"
	}
	return ""
}

// faultOfRay checks the point, and that one can go from it along the ray for ever, improving.
func (e *exactProgram) faultOfRay(proof *Proof) string {
	if fault := e.faultOfPoint(proof); fault != "" {
		return fault
	}
	move := append([]*big.Rat(nil), proof.Ray...)
	unit, scaled := e.integers(proof.Ray)
	var sum, product big.Int
	for i := range e.rows {
		sum.SetInt64(0)
		for k := range e.terms[i] {
			t := &e.terms[i][k]
			sum.Add(&sum, product.Mul(&t.value, scaled[0][t.column]))
		}
		move = append(move, new(big.Rat).SetFrac(&sum, unit))
	}
	for v, by := range move {
		if by.Sign() > 0 && e.upper[v] != nil || by.Sign() < 0 && e.lower[v] != nil {
			return "the ray runs into a bound"
		}
	}
	gain := new(big.Rat)
	for j, c := range e.cost {
		gain.Add(gain, new(big.Rat).Mul(c, proof.Ray[j]))
	}
	if gain.Sign() >= 0 {
		return "the ray does not improve the objective"
	}
	return ""
}
