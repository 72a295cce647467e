package solver

import "math/big"

// Figures are the exact values of those figures of a problem for which the float64 in it is only the nearest
// one: a decimal of more digits than a float64 holds, or the sum of two decimals. What is exact reads them;
// what works in floating point reads the float64. A figure counts for as long as the problem holds the
// float64 nearest to it, so that a figure that is changed later means what it says. Nothing may change a
// figure itself: copies of a problem share them.
type Figures struct {
	Offset *big.Rat
	// Costs are by column.
	Costs map[int]*big.Rat
	// Terms are by row and column.
	Terms map[Entry]*big.Rat
	// Lower and Upper are the bounds of columns and rows.
	Lower, Upper map[Variable]*big.Rat
}

// Entry is a place in the matrix of a problem.
type Entry struct{ Row, Column int }

// exactly returns the exact figure that v stands for, given what Figures hold for it, if anything. The result is
// the caller's own.
func exactly(v float64, figure *big.Rat) *big.Rat {
	if figure != nil && float(figure) == v {
		return new(big.Rat).Set(figure)
	}
	return Decimal(v)
}

// ExactOffset returns the constant of the objective in exact arithmetic.
func (p *Problem) ExactOffset() *big.Rat {
	if p.Figures == nil {
		return Decimal(p.Offset)
	}
	return exactly(p.Offset, p.Figures.Offset)
}

// ExactCost returns the cost of column j in exact arithmetic.
func (p *Problem) ExactCost(j int) *big.Rat {
	if p.Figures == nil {
		return Decimal(p.Columns[j].Cost)
	}
	return exactly(p.Columns[j].Cost, p.Figures.Costs[j])
}

// ExactTerm returns the coefficient of term k of row i in exact arithmetic.
func (p *Problem) ExactTerm(i, k int) *big.Rat {
	t := p.Rows[i].Terms[k]
	if p.Figures == nil {
		return Decimal(t.Value)
	}
	return exactly(t.Value, p.Figures.Terms[Entry{i, t.Column}])
}

// ExactBounds returns the bounds of a column or row in exact arithmetic; nil is an infinite one.
func (p *Problem) ExactBounds(v Variable) (lower, upper *big.Rat) {
	from, to := p.bounds(v)
	return p.exactBound(v, LowerSide, *from), p.exactBound(v, UpperSide, *to)
}

func (p *Problem) exactBound(v Variable, side Side, value float64) *big.Rat {
	switch {
	case value >= Huge || value <= -Huge:
		return nil
	case p.Figures == nil:
		return Decimal(value)
	case side == LowerSide:
		return exactly(value, p.Figures.Lower[v])
	}
	return exactly(value, p.Figures.Upper[v])
}

// takeFigures gives variable v of p the figures that variable from of another problem has.
func (p *Problem) takeFigures(q *Problem, v, from Variable) {
	if q.Figures == nil {
		return
	}
	if p.Figures == nil {
		p.Figures = &Figures{Terms: map[Entry]*big.Rat{}, Lower: map[Variable]*big.Rat{}, Upper: map[Variable]*big.Rat{}}
	}
	p.Figures.Lower[v], p.Figures.Upper[v] = q.Figures.Lower[from], q.Figures.Upper[from]
	if v.Row {
		for _, t := range p.Rows[v.Index].Terms {
			p.Figures.Terms[Entry{v.Index, t.Column}] = q.Figures.Terms[Entry{from.Index, t.Column}]
		}
	}
}
