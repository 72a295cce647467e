package solver

import (
	"context"
	"errors"
	"fmt"
	"math/big"
)

// SingleRelaxation is the least change of one limit alone that makes an infeasible program feasible.
type SingleRelaxation struct {
	Bound Bound
	// Possible reports whether changing this limit alone can help; if not, nothing below is set.
	Possible bool
	// Now is the limit as it stands, To the nearest at which the program is feasible.
	Now, To float64
	// Status is Optimal or Unbounded, of the program with the limit at To.
	Status Status
	// Objective and X are its optimum (Optimal).
	Objective float64
	X         []float64
}

// SingleRelaxations tries each of the given limits of an infeasible program by itself. No limit can
// help alone that is not in every conflict, so the members of one conflict are all that need trying.
// The work is done in exact arithmetic, as Prove does it. An error means that p is malformed or more
// than linear, that a limit is none of its finite ones, or that the context ended.
func SingleRelaxations(ctx context.Context, p *Problem, s *Solution, limits []Bound) ([]SingleRelaxation, error) {
	d, r, err := feasibilityDictionary(ctx, p, s)
	if err != nil {
		return nil, err
	}
	if d.crossed() < 0 {
		switch end, _ := d.dual(r, false); end {
		case stopped:
			return nil, ctx.Err()
		case settled:
			return nil, errors.New("solver: the program to relax is feasible")
		}
	}
	results := make([]SingleRelaxation, len(limits))
	for k, limit := range limits {
		if err := p.checkSide(limit); err != nil {
			return nil, err
		}
		if results[k], err = d.relaxOne(r, p, limit); err != nil {
			return nil, err
		}
	}
	return results, ctx.Err()
}

// feasibilityDictionary returns a dictionary of p without costs, loaded with the basis of s.
func feasibilityDictionary(ctx context.Context, p *Problem, s *Solution) (*dictionary, *run, error) {
	if err := p.Check(); err != nil {
		return nil, nil, err
	}
	if !p.linear() {
		return nil, nil, errNotLinear
	}
	d := newExactProgram(p).dictionary(ctx)
	if s != nil && !d.load(ctx, s.Basis) {
		return nil, nil, ctx.Err()
	}
	d.setCosts(nil)
	return d, &run{ctx: ctx, pivots: -1}, nil
}

// checkSide returns an error unless the limit is a single finite side of p.
func (p *Problem) checkSide(limit Bound) error {
	lower, upper := p.bounds(limit.Variable)
	switch {
	case lower == nil:
		return fmt.Errorf("solver: there is no variable %+v", limit.Variable)
	case limit.Side == LowerSide && *lower > -Huge, limit.Side == UpperSide && *upper < Huge:
		return nil
	}
	return fmt.Errorf("solver: %+v has no %v limit", limit.Variable, limit.Side)
}

// relaxOne leaves out the limit, brings its variable as near to it as the others allow, and then
// optimises with the variable no further away.
func (d *dictionary) relaxOne(r *run, p *Problem, limit Bound) (SingleRelaxation, error) {
	e := d.program
	v := e.number(limit.Variable)
	result := SingleRelaxation{Bound: limit}
	lower, upper := p.bounds(limit.Variable)
	d = d.view()
	toward := big.NewRat(-1, 1) // the cost that draws the variable upward
	if result.Now = *lower; limit.Side == UpperSide {
		result.Now = *upper
		toward.SetInt64(1)
	}
	d.dropBound(v, limit.Side)
	if d.crossed() >= 0 {
		return result, nil
	}
	switch end, _ := d.dual(r, false); end {
	case stopped:
		return result, r.ctx.Err()
	case blocked:
		return result, nil
	}
	nearest := make([]*big.Rat, e.columns+e.rows)
	nearest[v] = toward
	d.setCosts(nearest)
	switch end, _ := d.primal(r); end {
	case stopped:
		return result, r.ctx.Err()
	case blocked:
		return result, errors.New("solver: a limit in the way of nothing can't be relaxed")
	}
	result.Possible = true
	result.To = float(d.worth(v))
	d.holdOptimum()
	d.setCosts(e.cost)
	switch end, _ := d.primal(r); end {
	case stopped:
		return result, r.ctx.Err()
	case blocked:
		result.Status = Unbounded
	default:
		result.Status = Optimal
		x := d.worths()[:e.columns]
		result.Objective, result.X = float(e.objective(x)), floats(x)
	}
	return result, nil
}

// holdOptimum narrows the bounds of an optimal dictionary to the set of all optimal points: a nonbasic
// variable with a reduced cost other than zero stays where it is.
func (d *dictionary) holdOptimum() {
	d.lower = append([]*big.Int(nil), d.lower...)
	d.upper = append([]*big.Int(nil), d.upper...)
	for j, v := range d.cobasis {
		if d.costSign(j) == 0 {
			continue
		}
		at := d.bound(v, d.place[v])
		d.lower[v], d.upper[v] = at, at
	}
}

// Price is what it costs to move a limit outward by one of its own units.
type Price struct {
	Bound Bound
	Price float64
}

// Shift is a limit moved outward from Now to To.
type Shift struct {
	Bound   Bound
	Now, To float64
	// Cost is the price paid for the shift.
	Cost float64
}

// Relaxation is the cheapest way to make a program feasible by moving limits outward.
type Relaxation struct {
	// Status is Infeasible if moving the priced limits can't help, and else that of the program with
	// the limits moved: Optimal or Unbounded.
	Status Status
	// Cost is the least total price, and Shifts the limits moved for it.
	Cost   float64
	Shifts []Shift
	// Objective and X are the optimum of the program at that total price (Optimal).
	Objective float64
	X         []float64
}

// LeastRelaxation finds the cheapest way to make p feasible by moving the priced limits outward, and
// among the cheapest ways the one that leaves the best objective. Prices are positive. The work is done
// in exact arithmetic, as Prove does it. An error means that p is malformed or more than linear, that a
// price or limit is no good, or that the context ended.
func LeastRelaxation(ctx context.Context, p *Problem, prices []Price) (*Relaxation, error) {
	for _, price := range prices {
		if err := p.checkSide(price.Bound); err != nil {
			return nil, err
		}
		if price.Price <= 0 || Decimal(price.Price) == nil {
			return nil, fmt.Errorf("solver: the price of a relaxation is %v", price.Price)
		}
	}
	elastic, cost := p.elastic(prices)
	d, r, err := feasibilityDictionary(ctx, elastic, nil)
	if err != nil {
		return nil, err
	}
	if d.crossed() >= 0 {
		return &Relaxation{Status: Infeasible}, nil
	}
	e := d.program
	d.setCosts(cost)
	end, row, column := d.solve(r)
	switch {
	case end == stopped:
		return nil, ctx.Err()
	case row >= 0:
		return &Relaxation{Status: Infeasible}, nil
	case column >= 0:
		return nil, errors.New("solver: the prices of a relaxation have no least total")
	}
	d.holdOptimum()
	d.setCosts(e.cost)
	result := &Relaxation{Status: Optimal}
	switch end, _ := d.primal(r); end {
	case stopped:
		return nil, ctx.Err()
	case blocked:
		result.Status = Unbounded
	}
	x := d.worths()
	total := new(big.Rat)
	for k, price := range prices {
		by := x[len(p.Columns)+k]
		if by.Sign() == 0 {
			continue
		}
		total.Add(total, new(big.Rat).Mul(by, cost[len(p.Columns)+k]))
		result.Shifts = append(result.Shifts, p.shift(price, by))
	}
	result.Cost = float(total)
	if result.Status == Optimal {
		result.Objective, result.X = float(e.objective(x[:e.columns])), floats(x[:len(p.Columns)])
	}
	return result, ctx.Err()
}

func (p *Problem) shift(price Price, by *big.Rat) Shift {
	lower, upper := p.bounds(price.Bound.Variable)
	s := Shift{Bound: price.Bound, Cost: price.Price * float(by), Now: *upper}
	sign := big.NewRat(1, 1)
	if price.Bound.Side == LowerSide {
		s.Now = *lower
		sign.SetInt64(-1)
	}
	to := new(big.Rat).Mul(sign, by)
	s.To = float(to.Add(to, Decimal(s.Now)))
	return s
}

// elastic returns p with one more column per price, by which its limit may be overstepped, and the
// price of every column. A priced column bound becomes a row, after those of p.
func (p *Problem) elastic(prices []Price) (*Problem, []*big.Rat) {
	q := p.Clone()
	cost := make([]*big.Rat, len(p.Columns), len(p.Columns)+len(prices))
	rowOf := map[int]int{} // by column: the row that its priced bounds became
	for _, price := range prices {
		cost = append(cost, Decimal(price.Price))
		elastic := q.AddColumn(Column{Upper: Inf})
		i := price.Bound.Index
		if !price.Bound.Row {
			j := i
			if _, ok := rowOf[j]; !ok {
				rowOf[j] = q.AddRow(Row{Lower: -Inf, Upper: Inf, Terms: []Term{{Column: j, Value: 1}}})
			}
			i = rowOf[j]
			if c := &q.Columns[j]; price.Bound.Side == LowerSide {
				q.Rows[i].Lower, c.Lower = c.Lower, -Inf
			} else {
				q.Rows[i].Upper, c.Upper = c.Upper, Inf
			}
		}
		value := 1.0
		if price.Bound.Side == UpperSide {
			value = -1
		}
		q.Rows[i].Terms = append(q.Rows[i].Terms, Term{Column: elastic, Value: value})
	}
	return q, cost
}
