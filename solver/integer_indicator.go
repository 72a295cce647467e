package solver

import (
	"context"
	"math"
)

// indicator is a column x that is nothing or a dose: z, whole and 0 or 1, says which, by the rows x <= most·z and
// x >= least·z; taking it gains nothing by itself, and wherever else z stands a smaller one does no harm. Then
// z = x/most is as good as any in the relaxation, and both are one column y = x/most there, without the two rows. A
// node that sets z takes x and z themselves instead, by bounds alone.
type indicator struct {
	x, z, y     int // y is a column of the relaxation
	least, most float64
	upperRow    int
}

// findIndicators returns the indicators of p and marks the rows that they make needless.
func findIndicators(p *Problem, lower, upper []float64) (found []indicator, needless map[int]bool) {
	needless = map[int]bool{}
	if len(p.Cones) > 0 {
		return nil, needless
	}
	at := map[int]int{} // by z: its place in found, or -1 where it is none
	taken := map[int]bool{}
	for i := range p.Rows {
		x, z, ratio, ok := dose(p, &p.Rows[i], lower, upper, true)
		if !ok || !(ratio > 0) {
			continue
		}
		if _, twice := at[z]; twice || taken[x] {
			at[z] = -1
			continue
		}
		at[z], taken[x] = len(found), true
		found = append(found, indicator{x: x, z: z, most: math.Min(ratio, upper[x]), upperRow: i})
	}
	rest := make([]bool, len(p.Rows)) // rows that are no link
	leastRow := map[int]int{}
	for i := range p.Rows {
		if x, z, _, ok := dose(p, &p.Rows[i], lower, upper, true); ok && linked(at, found, x, z) {
			continue
		}
		if x, z, ratio, ok := dose(p, &p.Rows[i], lower, upper, false); ok {
			if linked(at, found, x, z) && found[at[z]].least == 0 && ratio > 0 {
				found[at[z]].least = ratio
				leastRow[z] = i
				continue
			}
		}
		rest[i] = true
	}
	bad := map[int]bool{}
	for i := range p.Rows {
		row := &p.Rows[i]
		for _, t := range row.Terms {
			harms := t.Value > 0 && row.Lower > -Huge || t.Value < 0 && row.Upper < Huge
			if n, known := at[t.Column]; rest[i] && known && n >= 0 && harms {
				bad[t.Column] = true
			}
		}
	}
	kept := found[:0]
	for _, f := range found {
		if at[f.z] < 0 || bad[f.z] || p.Columns[f.z].Cost*senseSign(p) < 0 || f.least > f.most || !(f.most > 0) || math.IsInf(f.most, 0) {
			continue
		}
		needless[f.upperRow] = true
		if i, ok := leastRow[f.z]; ok {
			needless[i] = true
		}
		f.y = len(p.Columns) + len(kept)
		kept = append(kept, f)
	}
	return kept, needless
}

// linked reports whether z is known to say whether x is in.
func linked(at map[int]int, found []indicator, x, z int) bool {
	n, known := at[z]
	return known && n >= 0 && found[n].x == x
}

// dose reads a row x <= ratio·z (upward) or x >= ratio·z, of a continuous x from zero on and a z of 0 or 1.
func dose(p *Problem, row *Row, lower, upper []float64, upward bool) (x, z int, ratio float64, ok bool) {
	if len(row.Terms) != 2 {
		return 0, 0, 0, false
	}
	a, b := row.Terms[0], row.Terms[1]
	if p.Columns[a.Column].Kind == Integer {
		a, b = b, a
	}
	if p.Columns[a.Column].Kind != Continuous || p.Columns[b.Column].Kind != Integer || a.Value == 0 || a.Column == b.Column ||
		lower[a.Column] != 0 || lower[b.Column] < 0 || upper[b.Column] > 1 {
		return 0, 0, 0, false
	}
	// With a positive coefficient of x the row is x <= ratio·z where its upper limit is nothing and the lower none.
	less := row.Upper == 0 && row.Lower <= -Huge
	more := row.Lower == 0 && row.Upper >= Huge
	if a.Value < 0 {
		less, more = more, less
	}
	if upward && !less || !upward && !more {
		return 0, 0, 0, false
	}
	return a.Column, b.Column, -b.Value / a.Value, true
}

// lift returns the terms of a row over the columns of the problem as one of the relaxation.
func (l *relaxation) lift(row Row) Row {
	if len(l.indicators) == 0 {
		return row
	}
	both := map[int]float64{}
	terms := append([]Term(nil), row.Terms...)
	var order []int
	for _, t := range row.Terms {
		n, ok := l.indicatorOf[t.Column]
		if !ok || t.Value == 0 {
			continue
		}
		f, value := &l.indicators[n], t.Value
		if t.Column == f.x {
			value *= f.most
		}
		if _, known := both[f.y]; !known {
			order = append(order, f.y)
		}
		both[f.y] += value
	}
	for _, y := range order {
		if both[y] != 0 {
			terms = append(terms, Term{y, both[y]})
		}
	}
	row.Terms = terms
	return row
}

// liftsWell reports whether a cut holds where z is taken to be x/most: no larger z may help to keep it.
func (l *relaxation) liftsWell(cut Row) bool {
	for _, t := range cut.Terms {
		if n, ok := l.indicatorOf[t.Column]; ok && t.Column == l.indicators[n].z && t.Value < 0 {
			return false
		}
	}
	return true
}

// place sets the bounds of the columns of an indicator for those of x and z.
func (l *relaxation) place(f *indicator, lower, upper []float64) {
	set := l.session.SetColumnBounds
	switch {
	case upper[f.z] < 0.5 || upper[f.x] <= 0:
		set(f.x, 0, 0)
		set(f.z, 0, 0)
		set(f.y, 0, 0)
	case lower[f.z] > 0.5:
		set(f.x, math.Max(f.least, lower[f.x]), math.Min(f.most, upper[f.x]))
		set(f.z, 1, 1)
		set(f.y, 0, 0)
	default:
		set(f.x, 0, 0)
		set(f.z, 0, 0)
		set(f.y, 0, math.Min(1, upper[f.x]/f.most))
	}
}

// blocked reports whether the bounds of an indicator leave no value.
func (f *indicator) blocked(lower, upper []float64) bool {
	return lower[f.z] > 0.5 && (upper[f.z] < 0.5 || math.Min(f.most, upper[f.x]) < math.Max(f.least, lower[f.x]))
}

// inColumns turns a solution of the relaxation into one over the columns of the problem. The reduced cost of a z that
// is free and 0 is what z = 1 costs at least, with x between its doses; of one that is free and 1 that of y.
func (l *relaxation) inColumns(r *Solution) *Solution {
	if len(l.indicators) == 0 || r.X == nil {
		return r
	}
	columns := len(l.p.Columns)
	sign := senseSign(l.p)
	for n := range l.indicators {
		f := &l.indicators[n]
		y := r.X[f.y]
		r.X[f.x] += f.most * y
		r.X[f.z] += y
		if l.lower[f.z] > 0.5 || l.upper[f.z] < 0.5 || len(r.ReducedCost) == 0 {
			continue
		}
		switch d := sign * r.ReducedCost[f.x]; {
		case r.Basis == nil || r.Basis.Columns[f.y] == Basic:
			r.ReducedCost[f.z] = 0
		case y <= 0:
			r.ReducedCost[f.z] += sign * math.Min(f.least*d, f.most*d)
			if sign*r.ReducedCost[f.z] < 0 {
				r.ReducedCost[f.z] = 0
			}
		default:
			r.ReducedCost[f.z] = r.ReducedCost[f.y]
			if y < 1 || sign*r.ReducedCost[f.z] > 0 {
				r.ReducedCost[f.z] = 0
			}
		}
		r.ReducedCost[f.x] = 0
	}
	r.X = r.X[:columns]
	if len(r.ReducedCost) > columns {
		r.ReducedCost = r.ReducedCost[:columns]
	}
	if len(r.Ray) > columns {
		r.Ray = r.Ray[:columns]
	}
	return r
}

// tightenDoses lowers the most of each indicator to what the relaxation lets x be where its dose is in, which lets less
// of a dose count for a whole one, and reports whether any was lowered. z is held at 0 where the dose cannot be in, or
// not even the least of it. Answers that cost more than cutoff, in the problem's own sense and without its offset, are
// left aside; it is infinite for none.
func (l *relaxation) tightenDoses(ctx context.Context, cutoff float64) (bool, error) {
	if l.p.Sense == Maximize {
		l.session.SetRowBounds(l.costRow, cutoff, Inf)
	} else {
		l.session.SetRowBounds(l.costRow, -Inf, cutoff)
	}
	costs := make([]float64, len(l.session.Problem().Columns))
	for j, c := range l.session.Problem().Columns {
		costs[j] = c.Cost
		l.session.SetCost(j, 0)
	}
	upward := -senseSign(l.p)
	lowered := false
	most := make([]float64, len(l.indicators))
	for n := range l.indicators {
		f := &l.indicators[n]
		most[n] = f.most
		if l.upper[f.z] < 0.5 || l.lower[f.z] > 0.5 {
			continue
		}
		l.lower[f.z] = 1
		l.place(f, l.lower, l.upper)
		l.session.SetCost(f.x, upward)
		r, err := l.session.Solve(ctx)
		l.session.SetCost(f.x, 0)
		l.lower[f.z] = 0
		l.place(f, l.lower, l.upper)
		if err != nil {
			return false, err
		}
		if ctx.Err() != nil {
			break
		}
		switch r.Status {
		case Infeasible:
			most[n], lowered = -1, true
		case Optimal:
			// The point found is an optimum by its certificate, to within the tolerances that the margin is above.
			if m := r.X[f.x]*(1+1e-6) + 1e-6*math.Min(1, f.most); m < 0.999*f.most {
				most[n], lowered = m, true
			}
		}
	}
	for j, c := range costs {
		l.session.SetCost(j, c)
	}
	l.session.SetRowBounds(l.costRow, -Inf, Inf)
	if !lowered {
		return false, nil
	}
	for n := range l.indicators {
		l.lowerMost(n, most[n])
	}
	return true, l.open()
}

// lowerMost lets x of an indicator be at most so much.
func (l *relaxation) lowerMost(n int, most float64) {
	f := &l.indicators[n]
	if most < f.least*(1-1e-9) {
		l.rootUpper[f.z], l.linear.Columns[f.z].Upper = 0, 0
		return
	}
	f.most = math.Min(f.most, math.Max(most, f.least))
	terms := append([]Term(nil), l.linear.Rows[f.upperRow].Terms...)
	for k := range terms {
		if terms[k].Column == f.z {
			for _, t := range terms {
				if t.Column == f.x {
					terms[k].Value = -f.most * t.Value
				}
			}
		}
	}
	l.linear.Rows[f.upperRow].Terms = terms
}

// senseSign is 1 where less is better and -1 where more is.
func senseSign(p *Problem) float64 {
	if p.Sense == Maximize {
		return -1
	}
	return 1
}
