package solver

import (
	"context"
	"math"
	"math/big"
)

// Ranging says how far each figure of a linear program can move before its part in the optimum changes.
// It belongs to the optimum, not to one of several bases that may describe it: at a degenerate vertex
// the derivatives upward and downward are found apart, each with the interval over which it holds.
type Ranging struct {
	// Costs has an entry per column, Rows per row, Columns per column's bounds.
	Costs   []CostRange
	Rows    []SideRanges
	Columns []SideRanges
	// Degenerate reports whether some dual value differs upward and downward.
	Degenerate bool
}

// CostRange is the interval of one column's cost over which X stays optimal, all else held.
type CostRange struct {
	Cost     float64
	From, To float64
	// Entry is the cost at which a column that rests at a bound would begin to leave it; infinite if
	// it never would. It is NaN for a column between its bounds or fixed.
	Entry float64
}

// SideRanges holds the ranges of the sides of a row, or of the bounds of a column. Both is set for an
// equality or fixed column, whose sides move together, and otherwise the sides that are finite.
type SideRanges struct {
	Lower, Upper, Both *LimitRange
}

// LimitRange says what moving one limit does to the optimal objective.
type LimitRange struct {
	Limit float64
	// Value is the present value of the row or column.
	Value    float64
	Up, Down Change
	// Degenerate reports whether the two duals differ.
	Degenerate bool
	// Opposite is the other side, infinite if absent or moving along. Up and Down take no notice of
	// it, unless it is the side at which Value rests: a limit that passes it makes the program
	// infeasible in truth.
	Opposite float64
}

// Change is the effect of moving a limit one way.
type Change struct {
	// Dual is the derivative of the objective with respect to the limit, as it moves this way. It is
	// infinite, with the sign of that derivative, if the least move makes the program infeasible.
	Dual float64
	// Until is the limit up to which Dual holds; infinite if for ever.
	Until float64
	// Infeasible reports whether there is no feasible point beyond Until. If not, another dual value
	// takes over there.
	Infeasible bool
}

// Range returns the ranging of p at its optimum, beginning from the basis of s, an outcome of Solve or
// nil. The work is done in exact arithmetic, as Prove does it. An error means that p is not a linear
// program with an optimum, or that the context ended.
//
// At a nondegenerate vertex these are the textbook ranges of the basis (V. Chvátal, Linear Programming,
// 1983, chapter 10). Where several optima or several dual solutions exist an interval can be longer
// than that of any one basis: it is found by parametric steps until X, or the derivative, changes.
func Range(ctx context.Context, p *Problem, s *Solution) (*Ranging, error) {
	d, r, err := settledDictionary(ctx, p, s)
	if err != nil {
		return nil, err
	}
	ranging := &Ranging{
		Costs:   make([]CostRange, len(p.Columns)),
		Rows:    make([]SideRanges, len(p.Rows)),
		Columns: make([]SideRanges, len(p.Columns)),
	}
	x := d.worths()
	for j := range p.Columns {
		if ranging.Costs[j], err = d.costRange(r, p, j, x[j]); err != nil {
			return nil, err
		}
		if ranging.Columns[j], err = d.sideRanges(r, p, ColumnVariable(j), x[j]); err != nil {
			return nil, err
		}
	}
	for i := range p.Rows {
		if ranging.Rows[i], err = d.sideRanges(r, p, RowVariable(i), x[len(p.Columns)+i]); err != nil {
			return nil, err
		}
	}
	for _, ranges := range [][]SideRanges{ranging.Rows, ranging.Columns} {
		for _, of := range ranges {
			for _, side := range []*LimitRange{of.Lower, of.Upper, of.Both} {
				ranging.Degenerate = ranging.Degenerate || side != nil && side.Degenerate
			}
		}
	}
	return ranging, ctx.Err()
}

// costRange finds how far the cost of column j moves before X has to.
func (d *dictionary) costRange(r *run, p *Problem, j int, x *big.Rat) (CostRange, error) {
	e := d.program
	cost := Decimal(p.Columns[j].Cost)
	result := CostRange{Cost: p.Columns[j].Cost, Entry: math.NaN()}
	for _, direction := range [...]int64{-1, 1} {
		rate := make([]*big.Rat, e.columns)
		rate[j] = e.minimized(big.NewRat(direction, 1))
		w := newCostWalk(d.view(), r, e.cost, rate)
		length, err := w.stay()
		if err != nil {
			return result, err
		}
		end := math.Inf(int(direction))
		if length != nil {
			end = float(length.Add(cost, length.Mul(length, big.NewRat(direction, 1))))
		}
		if direction < 0 {
			result.From = end
		} else {
			result.To = end
		}
	}
	low := e.lower[j] != nil && x.Cmp(e.lower[j]) == 0
	high := e.upper[j] != nil && x.Cmp(e.upper[j]) == 0
	if low != high {
		result.Entry = result.From
		if low == e.maximize {
			result.Entry = result.To
		}
	}
	return result, nil
}

// stay returns how far t can grow while the present X stays optimal; nil is infinite.
func (w *costWalk) stay() (*big.Rat, error) {
	for {
		stays, end := w.settleInPlace()
		switch {
		case end == stopped:
			return nil, w.run.ctx.Err()
		case !stays:
			return w.t, nil
		}
		length, column := w.reach()
		if length == nil {
			return nil, nil
		}
		direction := 1
		if w.d.costDriftSign(column) > 0 {
			direction = -1
		}
		if next := w.d.primalRatio(column, direction); next == nil || next.gap.Sign() > 0 {
			return length.Add(length, w.t), nil
		}
		w.move(length)
	}
}

func (d *dictionary) sideRanges(r *run, p *Problem, v Variable, x *big.Rat) (SideRanges, error) {
	var ranges SideRanges
	var err error
	lower, upper := p.bounds(v)
	one := func(side Side, limit, opposite float64) (*LimitRange, error) {
		result := &LimitRange{Limit: limit, Value: float(x), Opposite: opposite}
		if result.Down, err = d.change(r, v, side, limit, -1); err != nil {
			return nil, err
		}
		if result.Up, err = d.change(r, v, side, limit, 1); err != nil {
			return nil, err
		}
		result.Degenerate = result.Up.Dual != result.Down.Dual
		return result, nil
	}
	if *lower == *upper {
		ranges.Both, err = one(BothSides, *lower, Inf)
		return ranges, err
	}
	if *lower > -Huge {
		if ranges.Lower, err = one(LowerSide, *lower, *upper); err != nil {
			return ranges, err
		}
	}
	if *upper < Huge {
		ranges.Upper, err = one(UpperSide, *upper, *lower)
	}
	return ranges, err
}

// change follows the optimum as one limit moves up or down, until the derivative changes.
func (d *dictionary) change(r *run, v Variable, side Side, limit float64, direction int64) (Change, error) {
	e := d.program
	w := d.walkOne(r, e.number(v), side, direction)
	result := Change{Until: limit}
	switch w.settle() {
	case stopped:
		return result, r.ctx.Err()
	case blocked:
		// The objective of an infeasible program is the worst there is.
		result.Dual, result.Infeasible = math.Inf(int(direction)), true
		if e.maximize {
			result.Dual = -result.Dual
		}
		return result, nil
	}
	slope := w.slope()
	if result.Dual = float(e.minimized(slope)); direction < 0 && slope.Sign() != 0 {
		result.Dual = -result.Dual
	}
	for {
		next := w.reach()
		if next.length == nil {
			result.Until = math.Inf(int(direction))
			return result, nil
		}
		bends, infeasible, sure := w.bends(next)
		end := new(big.Rat).Add(w.t, next.length)
		if !bends || !sure {
			w.move(next.length)
			switch w.settle() {
			case stopped:
				return result, r.ctx.Err()
			case blocked:
				bends, infeasible = true, true
			default:
				bends = w.slope().Cmp(slope) != 0
			}
		}
		if bends {
			end.Mul(end, big.NewRat(direction, 1))
			result.Until = float(end.Add(end, Decimal(limit)))
			result.Infeasible = infeasible
			return result, nil
		}
	}
}

// walkOne returns a walk along which one limit moves and the other side of it is no obstacle.
func (d *dictionary) walkOne(r *run, v int, side Side, direction int64) *limitWalk {
	e := d.program
	view := d.view()
	lower, upper := e.lower, e.upper
	switch {
	case side == LowerSide && d.place[v] != AtUpper:
		upper, view.upper = without(upper, v), without(view.upper, v)
	case side == UpperSide && d.place[v] != AtLower:
		lower, view.lower = without(lower, v), without(view.lower, v)
	}
	rates := e.noRates()
	rates.add(v, side, big.NewRat(direction, 1))
	return newLimitWalk(view, r, lower, upper, rates)
}
