package solver

import (
	"context"
	"math"
)

// relaxation is the linear program that a search solves again and again: the problem without its
// integers and cones.
type relaxation struct {
	p       *Problem
	linear  *Problem
	opt     Options
	session *Session
	keeper  *coneKeeper
	// rootLower and rootUpper hold for the whole search; lower and upper are those now in the session.
	rootLower, rootUpper []float64
	lower, upper         []float64
	crossed              bool // some bounds leave no value
	// indicators are held in columns of their own; indicatorOf finds one by its x or z, and the rows that they make
	// needless are left out.
	indicators  []indicator
	indicatorOf map[int]int
	needless    map[int]bool
	// costRow is the row of the session that holds the costs, without limits but while doses are tightened.
	costRow int
}

// searchUpdates is Options.updates of a search.
const searchUpdates = 20

func newRelaxation(p *Problem, opt Options) (*relaxation, error) {
	l := &relaxation{p: p, linear: p.Clone(), opt: opt}
	l.opt.Start, l.opt.Progress, l.opt.Time = nil, nil, 0
	l.opt.updates = searchUpdates
	l.linear.Cones = nil
	for j := range l.linear.Columns {
		c := &l.linear.Columns[j]
		l.crossed = l.crossed || c.Lower > c.Upper && c.Kind != SemiContinuous
		switch c.Kind {
		case Integer:
			c.Lower = math.Ceil(c.Lower - 1e-9*(1+math.Abs(c.Lower)))
			c.Upper = math.Floor(c.Upper + 1e-9*(1+math.Abs(c.Upper)))
			l.crossed = l.crossed || c.Lower > c.Upper
		case SemiContinuous:
			if c.Lower > c.Upper {
				c.Upper = 0
			}
			c.Lower = 0
		}
		c.Kind = Continuous
		l.rootLower = append(l.rootLower, c.Lower)
		l.rootUpper = append(l.rootUpper, c.Upper)
	}
	l.keeper = newConeKeeper(p.Cones, l.linear)
	l.indicators, l.needless = findIndicators(p, l.rootLower, l.rootUpper)
	l.indicatorOf = map[int]int{}
	for n, f := range l.indicators {
		l.indicatorOf[f.x], l.indicatorOf[f.z] = n, n
	}
	return l, l.open()
}

// open makes the session from the linear program as it stands.
func (l *relaxation) open() error {
	reduced := l.linear
	if len(l.indicators) > 0 {
		reduced = &Problem{Name: l.linear.Name, Sense: l.linear.Sense, Offset: l.linear.Offset, Columns: append([]Column(nil), l.linear.Columns...)}
		for _, f := range l.indicators {
			reduced.AddColumn(Column{Upper: 1, Cost: f.most*l.linear.Columns[f.x].Cost + l.linear.Columns[f.z].Cost})
		}
		costs := Row{Lower: -Inf, Upper: Inf}
		for j, c := range l.linear.Columns {
			if c.Cost != 0 {
				costs.Terms = append(costs.Terms, Term{j, c.Cost})
			}
		}
		l.costRow = reduced.AddRow(l.lift(costs))
		for i, row := range l.linear.Rows {
			if !l.needless[i] {
				reduced.AddRow(l.lift(row))
			}
		}
	}
	session, err := NewSession(reduced, l.opt)
	if err != nil {
		return err
	}
	l.session = session
	l.lower = append([]float64(nil), l.rootLower...)
	l.upper = append([]float64(nil), l.rootUpper...)
	for j, c := range l.linear.Columns {
		l.lower[j], l.upper[j] = c.Lower, c.Upper
	}
	for n := range l.indicators {
		l.place(&l.indicators[n], l.lower, l.upper)
	}
	return nil
}

// set puts bounds for all columns into the session.
func (l *relaxation) set(lower, upper []float64) {
	var moved []int
	for j := range lower {
		if lower[j] != l.lower[j] || upper[j] != l.upper[j] {
			l.lower[j], l.upper[j] = lower[j], upper[j]
			if n, ok := l.indicatorOf[j]; ok {
				moved = append(moved, n)
			} else {
				l.session.SetColumnBounds(j, lower[j], upper[j])
			}
		}
	}
	for _, n := range moved {
		l.place(&l.indicators[n], l.lower, l.upper)
	}
}

// copyBounds returns the bounds now in the session, to be changed and set.
func (l *relaxation) copyBounds() (lower, upper []float64) {
	return append([]float64(nil), l.lower...), append([]float64(nil), l.upper...)
}

// enter sets the bounds of node n, which is nil for the root; warm keeps the session's basis instead of
// that of the node.
func (l *relaxation) enter(n *node, warm bool) {
	lower := append([]float64(nil), l.rootLower...)
	upper := append([]float64(nil), l.rootUpper...)
	for at := n; at != nil; at = at.parent {
		narrow(lower, upper, at.changes)
	}
	l.set(lower, upper)
	if !warm && n != nil && n.basis != nil {
		l.session.SetBasis(n.basis)
	}
}

func narrow(lower, upper []float64, changes []boundChange) {
	for _, c := range changes {
		lower[c.column] = math.Max(lower[c.column], c.lower)
		upper[c.column] = math.Min(upper[c.column], c.upper)
	}
}

// solve solves the relaxation under the bounds now set.
func (l *relaxation) solve(ctx context.Context) (*Solution, error) {
	for j := range l.lower {
		if l.lower[j] > l.upper[j] {
			return &Solution{Status: Infeasible}, nil
		}
	}
	for n := range l.indicators {
		if l.indicators[n].blocked(l.lower, l.upper) {
			return &Solution{Status: Infeasible}, nil
		}
	}
	r, err := l.keeper.solve(ctx, l.session)
	if err != nil {
		return nil, err
	}
	return l.inColumns(r), nil
}

// solveUnless is solve, which may end at a bound that is hopeless.
func (l *relaxation) solveUnless(ctx context.Context, hopeless func(bound float64) bool) (*Solution, error) {
	opt := l.opt
	opt.hopeless = hopeless
	l.session.SetOptions(opt)
	defer func() { l.session.SetOptions(l.opt) }()
	return l.solve(ctx)
}

// restart makes the next solve begin from the basis of all logical variables.
func (l *relaxation) restart() {
	p := l.session.Problem()
	basis := &Basis{Columns: make([]Place, len(p.Columns)), Rows: make([]Place, len(p.Rows))}
	for i := range basis.Rows {
		basis.Rows[i] = Basic
	}
	l.session.SetBasis(basis)
}

// hold narrows bounds so that x, brought to whole values, is all that the integers may be: integers to
// the nearest value, semi-continuous columns to zero or their range.
func (l *relaxation) hold(x, lower, upper []float64) {
	for j, c := range l.p.Columns {
		switch c.Kind {
		case Integer:
			v := math.Min(math.Max(math.Round(x[j]), l.rootLower[j]), l.rootUpper[j])
			lower[j], upper[j] = v, v
		case SemiContinuous:
			lower[j], upper[j] = 0, 0
			if c.Lower <= c.Upper && x[j] >= c.Lower/2 {
				lower[j], upper[j] = c.Lower, c.Upper
			}
		}
	}
}

// residual returns the largest amount by which x oversteps any limit of p, whole values included.
func (p *Problem) residual(x []float64) float64 {
	worst := p.coneResidual(x)
	over := func(v, lower, upper float64) { worst = math.Max(worst, math.Max(lower-v, v-upper)) }
	for j, c := range p.Columns {
		switch {
		case c.Kind == SemiContinuous && math.Abs(x[j]) < math.Max(c.Lower-x[j], x[j]-c.Upper):
			over(x[j], 0, 0)
		default:
			over(x[j], c.Lower, c.Upper)
		}
		if c.Kind == Integer {
			over(x[j], math.Round(x[j]), math.Round(x[j]))
		}
	}
	for i, v := range p.Activity(x) {
		over(v, p.Rows[i].Lower, p.Rows[i].Upper)
	}
	return worst
}
