package solver

import (
	"context"
	"math/big"
	"slices"
)

// dictionary is a simplex dictionary in exact arithmetic (V. Chvátal, Linear Programming, 1983,
// chapter 2): every basic variable and the objective as linear forms of the nonbasic variables. All
// entries are integers over one common denominator, the determinant of the basis, which keeps every
// pivot free of fractions (J. Edmonds, 1967; E. Bareiss, 1968).
//
// Bounds and costs may drift: a bound is then a + ε·b with an infinitely small ε > 0, and every
// comparison is lexicographic. A dictionary that is optimal in that sense is optimal for all small
// enough ε, which is what one-sided derivatives and parametric steps ask for.
type dictionary struct {
	program *exactProgram
	head    []int   // the basic variable of each row
	cobasis []int   // the nonbasic variable of each column
	place   []Place // of every variable

	// table holds the rows, then the reduced costs and then their drift.
	table       [][]big.Int
	denominator big.Int

	// The bounds of every variable, over boundUnit; nil is infinite.
	lower, upper []*big.Int
	boundUnit    *big.Int
	// The drift of the bounds, over driftUnit; nil means that no bound drifts.
	lowerDrift, upperDrift []*big.Int
	driftUnit              *big.Int
	// Costs are table entries over denominator·costUnit, their drift over denominator·costDriftUnit.
	costUnit, costDriftUnit *big.Int

	// The basic values, over denominator·boundUnit, and their drift, over denominator·driftUnit.
	value, drift []big.Int

	shared bool // the table belongs to another dictionary as well
	pivots int
}

// dictionary returns the program's dictionary at its all-logical basis, with the program's own bounds
// and costs and every column at a finite bound if it has one.
func (e *exactProgram) dictionary() *dictionary {
	m, n := e.rows, e.columns
	d := &dictionary{
		program: e,
		head:    make([]int, m), cobasis: make([]int, n), place: make([]Place, n+m),
		table: make([][]big.Int, m+2),
		value: make([]big.Int, m), drift: make([]big.Int, m),
		costUnit: big.NewInt(1), costDriftUnit: big.NewInt(1),
	}
	d.denominator.SetInt64(1)
	for i := range d.table {
		d.table[i] = make([]big.Int, n)
	}
	for i := range m {
		d.head[i] = n + i
		d.place[n+i] = Basic
		for k := range e.terms[i] {
			t := &e.terms[i][k]
			d.table[i][t.column].Set(&t.value)
		}
	}
	for j := range n {
		d.cobasis[j] = j
	}
	d.setBounds(e.lower, e.upper)
	d.setCosts(e.cost)
	for j := range n {
		d.place[j] = d.rest(j, AtLower)
	}
	d.refresh()
	return d
}

// rest returns where a nonbasic variable can rest, as near to the wish as its bounds allow.
func (d *dictionary) rest(v int, wish Place) Place {
	switch {
	case d.lower[v] == nil && d.upper[v] == nil:
		return Zero
	case d.lower[v] == nil, wish == AtUpper && d.upper[v] != nil:
		return AtUpper
	}
	return AtLower
}

// setBounds replaces the bounds; refresh must follow.
func (d *dictionary) setBounds(lower, upper []*big.Rat) {
	unit, scaled := d.program.integers(lower, upper)
	d.boundUnit, d.lower, d.upper = unit, scaled[0], scaled[1]
}

// setBoundDrift replaces the drift of the bounds, which nil vectors take away; refresh must follow.
func (d *dictionary) setBoundDrift(lower, upper []*big.Rat) {
	d.lowerDrift, d.upperDrift, d.driftUnit = nil, nil, nil
	if lower != nil {
		unit, scaled := d.program.integers(lower, upper)
		d.driftUnit, d.lowerDrift, d.upperDrift = unit, scaled[0], scaled[1]
	}
}

// setCosts replaces the costs of the columns, of a minimisation; nil means none.
func (d *dictionary) setCosts(cost []*big.Rat) {
	d.table[len(d.head)], d.costUnit = d.price(cost)
}

// setCostDrift replaces the drift of the costs; nil means none.
func (d *dictionary) setCostDrift(cost []*big.Rat) {
	d.table[len(d.head)+1], d.costDriftUnit = d.price(cost)
}

// price returns the reduced costs that belong to the given costs, over denominator·unit.
func (d *dictionary) price(cost []*big.Rat) (row []big.Int, unit *big.Int) {
	row, unit = make([]big.Int, len(d.cobasis)), big.NewInt(1)
	if cost == nil {
		return row, unit
	}
	scaled := make([]*big.Rat, len(cost))
	for j, c := range cost {
		if c != nil && c.Sign() != 0 {
			scaled[j] = new(big.Rat).Mul(c, d.program.unit[j])
			raise(unit, scaled[j].Denom())
		}
	}
	for j, v := range d.cobasis {
		if v < len(cost) && scaled[v] != nil {
			row[j].Mul(multiplied(scaled[v], unit), &d.denominator)
		}
	}
	var product big.Int
	for i, v := range d.head {
		if v >= len(cost) || scaled[v] == nil {
			continue
		}
		c := multiplied(scaled[v], unit)
		for j := range row {
			if d.table[i][j].Sign() != 0 {
				row[j].Add(&row[j], product.Mul(c, &d.table[i][j]))
			}
		}
	}
	return row, unit
}

// refresh computes the basic values from the places of the nonbasic variables.
func (d *dictionary) refresh() {
	for i := range d.value {
		d.value[i].SetInt64(0)
	}
	for j, v := range d.cobasis {
		d.shift(d.value, j, d.bound(v, d.place[v]))
	}
	d.refreshDrift()
}

func (d *dictionary) refreshDrift() {
	for i := range d.drift {
		d.drift[i].SetInt64(0)
	}
	if d.lowerDrift == nil {
		return
	}
	for j, v := range d.cobasis {
		d.shift(d.drift, j, d.boundDrift(v, d.place[v]))
	}
}

// shift adds to the values of the basic variables what the nonbasic variable of column j contributes
// when it moves by the given amount; nil is none.
func (d *dictionary) shift(values []big.Int, j int, by *big.Int) {
	if by == nil || by.Sign() == 0 {
		return
	}
	var product big.Int
	for i := range values {
		if entry := &d.table[i][j]; entry.Sign() != 0 {
			values[i].Add(&values[i], product.Mul(entry, by))
		}
	}
}

// bound returns the bound that a place stands for; nil is infinite, or the zero of a free variable.
func (d *dictionary) bound(v int, at Place) *big.Int {
	switch at {
	case AtLower:
		return d.lower[v]
	case AtUpper:
		return d.upper[v]
	}
	return nil
}

// boundDrift returns the drift of the bound that a place stands for; nil is zero.
func (d *dictionary) boundDrift(v int, at Place) *big.Int {
	switch {
	case d.lowerDrift == nil:
		return nil
	case at == AtLower:
		return d.lowerDrift[v]
	case at == AtUpper:
		return d.upperDrift[v]
	}
	return nil
}

// pivot exchanges the basic variable of row r with the nonbasic variable of column q. The caller gives
// the leaving variable its place and then calls refresh.
func (d *dictionary) pivot(r, q int) {
	if d.shared {
		for i, row := range d.table {
			d.table[i] = copied(row)
		}
		d.shared = false
	}
	var p, a, b, remainder big.Int
	p.Set(&d.table[r][q])
	flip := p.Sign() < 0
	one := isOne(&d.denominator)
	unchanged := p.Cmp(&d.denominator) == 0
	pivotRow := d.table[r]
	for i, row := range d.table {
		factor := &row[q]
		if i == r || factor.Sign() == 0 && unchanged {
			continue
		}
		for j := range row {
			entry := &row[j]
			cross := factor.Sign() != 0 && pivotRow[j].Sign() != 0
			if j == q || !cross && entry.Sign() == 0 {
				continue
			}
			a.Mul(entry, &p)
			if cross {
				a.Sub(&a, b.Mul(factor, &pivotRow[j]))
			}
			if !one {
				entry.QuoRem(&a, &d.denominator, &remainder)
			} else {
				entry.Set(&a)
			}
			if flip {
				entry.Neg(entry)
			}
		}
		if flip {
			factor.Neg(factor)
		}
	}
	for j := range pivotRow {
		if !flip {
			pivotRow[j].Neg(&pivotRow[j])
		}
	}
	pivotRow[q].Set(&d.denominator)
	if flip {
		pivotRow[q].Neg(&pivotRow[q])
	}
	d.denominator.Abs(&p)
	d.place[d.cobasis[q]] = Basic
	d.head[r], d.cobasis[q] = d.cobasis[q], d.head[r]
	d.pivots++
}

// load pivots from the all-logical basis to the given one, and returns false if the context ended
// before. Variables that would make the basis singular stay out, and logical variables in their stead.
func (d *dictionary) load(ctx context.Context, basis *Basis) bool {
	n, m := d.program.columns, d.program.rows
	if basis == nil || len(basis.Columns) != n || len(basis.Rows) != m {
		return true
	}
	wish := append(append([]Place(nil), basis.Columns...), basis.Rows...)
	for {
		r, q := d.loadingPivot(wish)
		if r < 0 {
			break
		}
		if ctx.Err() != nil {
			return false
		}
		d.place[d.head[r]] = AtLower
		d.pivot(r, q)
	}
	for _, v := range d.cobasis {
		d.place[v] = d.rest(v, wish[v])
	}
	d.pivots = 0
	d.refresh()
	return true
}

// loadingPivot returns the next pivot towards the wished basis: the one that fills in least (H.
// Markowitz, 1957) among the rows to leave and the columns to enter, or -1.
func (d *dictionary) loadingPivot(wish []Place) (row, column int) {
	var rows, columns []int
	for i, v := range d.head {
		if wish[v] != Basic {
			rows = append(rows, i)
		}
	}
	for j, v := range d.cobasis {
		if wish[v] == Basic {
			columns = append(columns, j)
		}
	}
	inRow, inColumn := make([]int, len(rows)), make([]int, len(columns))
	for a, i := range rows {
		for b, j := range columns {
			if d.table[i][j].Sign() != 0 {
				inRow[a]++
				inColumn[b]++
			}
		}
	}
	row, column = -1, -1
	var least, bits int
	for a, i := range rows {
		for b, j := range columns {
			entry := &d.table[i][j]
			if entry.Sign() == 0 {
				continue
			}
			fill, length := (inRow[a]-1)*(inColumn[b]-1), entry.BitLen()
			if row < 0 || fill < least || fill == least && length < bits {
				row, column, least, bits = i, j, fill, length
			}
		}
	}
	return row, column
}

// worth returns the exact value of variable v in the problem's own unit.
func (d *dictionary) worth(v int) *big.Rat {
	if d.place[v] == Basic {
		for i, b := range d.head {
			if b == v {
				return d.measured(v, &d.value[i], new(big.Int).Mul(&d.denominator, d.boundUnit))
			}
		}
	}
	return d.measured(v, orZero(d.bound(v, d.place[v])), d.boundUnit)
}

// measured returns amount / unit, a value of variable v, in the problem's own unit.
func (d *dictionary) measured(v int, amount, unit *big.Int) *big.Rat {
	r := new(big.Rat)
	if amount.Sign() == 0 {
		return r
	}
	return r.Mul(r.SetFrac(amount, unit), d.program.unit[v])
}

// worths returns worth for every variable.
func (d *dictionary) worths() []*big.Rat {
	x := make([]*big.Rat, len(d.place))
	unit := new(big.Int).Mul(&d.denominator, d.boundUnit)
	for i, v := range d.head {
		x[v] = d.measured(v, &d.value[i], unit)
	}
	for _, v := range d.cobasis {
		x[v] = d.measured(v, orZero(d.bound(v, d.place[v])), d.boundUnit)
	}
	return x
}

// prices returns per variable the reduced cost in the problem's own sense and unit: for a logical
// variable that is its row's dual value.
func (d *dictionary) prices() []*big.Rat {
	return d.priced(d.table[len(d.head)], d.costUnit)
}

// priceDrift returns the drift of prices.
func (d *dictionary) priceDrift() []*big.Rat {
	return d.priced(d.table[len(d.head)+1], d.costDriftUnit)
}

func (d *dictionary) priced(row []big.Int, unit *big.Int) []*big.Rat {
	prices := zeros(len(d.place))
	over := new(big.Int).Mul(&d.denominator, unit)
	for j, v := range d.cobasis {
		if row[j].Sign() != 0 {
			prices[v].SetFrac(&row[j], over)
			prices[v].Quo(prices[v], d.program.unit[v])
			prices[v] = d.program.minimized(prices[v])
		}
	}
	return prices
}

// basis returns the places as a Basis.
func (d *dictionary) basis() *Basis {
	n := d.program.columns
	return &Basis{
		Columns: append([]Place(nil), d.place[:n]...),
		Rows:    append([]Place(nil), d.place[n:]...),
	}
}

// view returns a copy whose bounds, costs, places and pivots leave d as it is. The table is shared
// until the first pivot.
func (d *dictionary) view() *dictionary {
	c := *d
	c.head = slices.Clone(d.head)
	c.cobasis = slices.Clone(d.cobasis)
	c.place = slices.Clone(d.place)
	c.table = slices.Clone(d.table)
	c.denominator = big.Int{}
	c.denominator.Set(&d.denominator)
	c.value, c.drift = copied(d.value), copied(d.drift)
	c.shared = true
	return &c
}

func copied(x []big.Int) []big.Int {
	y := make([]big.Int, len(x))
	for i := range x {
		y[i].Set(&x[i])
	}
	return y
}
