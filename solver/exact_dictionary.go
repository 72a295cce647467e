package solver

import (
	"context"
	"math/big"
	"slices"
)

// dictionary is a simplex dictionary in exact arithmetic (V. Chvátal, Linear Programming, 1983,
// chapter 2): every basic variable and the objective as linear forms of the nonbasic variables.
//
// Bounds and costs may drift: a bound is then a + ε·b with an infinitely small ε > 0, and every
// comparison is lexicographic. A dictionary that is optimal in that sense is optimal for all small
// enough ε, which is what one-sided derivatives and parametric steps ask for.
type dictionary struct {
	program *exactProgram
	table   exactTable
	head    []int   // the basic variable of each row, in the table's order
	cobasis []int   // the nonbasic variable of each column, in the table's order
	place   []Place // of every variable

	// The bounds of every variable, over boundUnit; nil is infinite.
	lower, upper []*big.Int
	boundUnit    *big.Int
	// The drift of the bounds, over driftUnit; nil means that no bound drifts.
	lowerDrift, upperDrift []*big.Int
	driftUnit              *big.Int
	// The basic values by row, over boundUnit, and their drift, over driftUnit.
	value, drift *fractions

	cost, costDrift costRow

	pivots int
}

// costRow is an objective: a cost for every variable and what it makes of the nonbasic ones.
type costRow struct {
	cost []*big.Int // of every variable, over unit; nil is none at all
	unit *big.Int
	// reduced are the reduced costs by column, over unit.
	reduced *fractions
}

// wholeCells is the number of rows × columns up to which a table is best held whole by those who look at
// much of it.
const wholeCells = 6000

// dictionary returns the program's dictionary at its all-logical basis, with the program's own bounds
// and costs and every column at a finite bound if it has one.
func (e *exactProgram) dictionary(ctx context.Context) *dictionary {
	if e.rows*e.columns <= wholeCells {
		return e.dictionaryOf(newWholeTable(e))
	}
	return e.liftedDictionary(ctx)
}

// liftedDictionary is dictionary for those who look at little of it.
func (e *exactProgram) liftedDictionary(ctx context.Context) *dictionary {
	return e.dictionaryOf(newLiftedTable(ctx, e))
}

func (e *exactProgram) dictionaryOf(table exactTable) *dictionary {
	d := &dictionary{program: e, table: table, place: make([]Place, e.columns+e.rows)}
	d.head, d.cobasis = table.order()
	d.drift = noFractions(e.rows)
	d.setBounds(e.lower, e.upper)
	d.setCosts(e.cost)
	d.setCostDrift(nil)
	for _, v := range d.head {
		d.place[v] = Basic
	}
	for _, v := range d.cobasis {
		d.place[v] = d.rest(v, AtLower)
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

// setCosts replaces the costs of a minimisation, columns first; nil means none.
func (d *dictionary) setCosts(cost []*big.Rat) { d.cost = d.priced(cost) }

// setCostDrift replaces the drift of the costs; nil means none.
func (d *dictionary) setCostDrift(cost []*big.Rat) { d.costDrift = d.priced(cost) }

func (d *dictionary) priced(cost []*big.Rat) costRow {
	row := costRow{unit: big.NewInt(1)}
	scaled := make([]*big.Rat, len(cost))
	for v, c := range cost {
		if c != nil && c.Sign() != 0 {
			scaled[v] = new(big.Rat).Mul(c, d.program.unit[v])
			raise(row.unit, scaled[v].Denom())
			row.cost = make([]*big.Int, len(d.place))
		}
	}
	for v, c := range scaled {
		if c != nil {
			row.cost[v] = multiplied(c, row.unit)
		}
	}
	row.price(d.table, len(d.cobasis))
	return row
}

// price computes the reduced costs.
func (c *costRow) price(table exactTable, columns int) {
	if c.cost == nil {
		c.reduced = noFractions(columns)
		return
	}
	c.reduced = table.price(c.cost)
}

// refresh computes the basic values from the places of the nonbasic variables.
func (d *dictionary) refresh() {
	x := make([]*big.Int, len(d.place))
	for _, v := range d.cobasis {
		x[v] = d.bound(v, d.place[v])
	}
	d.value = d.table.combine(x)
	d.refreshDrift()
}

func (d *dictionary) refreshDrift() {
	if d.lowerDrift == nil {
		d.drift = noFractions(len(d.head))
		return
	}
	x := make([]*big.Int, len(d.place))
	for _, v := range d.cobasis {
		x[v] = d.boundDrift(v, d.place[v])
	}
	d.drift = d.table.combine(x)
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
	d.place[d.cobasis[q]] = Basic
	table, pivoted := d.table.exchange(r, q, d.cost.reduced, d.costDrift.reduced)
	d.table = table
	d.head, d.cobasis = table.order()
	if !pivoted {
		d.cost.price(table, len(d.cobasis))
		d.costDrift.price(table, len(d.cobasis))
	}
	d.pivots++
}

// load goes to the given basis, and returns false if the context ended before. Variables that would
// make the basis singular stay out, and logical variables in their stead.
func (d *dictionary) load(ctx context.Context, basis *Basis) bool {
	n, m := d.program.columns, d.program.rows
	if basis == nil || len(basis.Columns) != n || len(basis.Rows) != m {
		return true
	}
	wish := append(append([]Place(nil), basis.Columns...), basis.Rows...)
	table, ok := d.table.load(ctx, wish)
	if !ok {
		return false
	}
	d.table = table
	d.head, d.cobasis = table.order()
	for _, v := range d.head {
		d.place[v] = Basic
	}
	for _, v := range d.cobasis {
		d.place[v] = d.rest(v, wish[v])
	}
	d.cost.price(table, n)
	d.costDrift.price(table, n)
	d.refresh()
	return true
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
	unit := new(big.Int).Mul(d.value.over, d.boundUnit)
	for i, v := range d.head {
		x[v] = d.measured(v, &d.value.entries[i], unit)
	}
	for _, v := range d.cobasis {
		x[v] = d.measured(v, orZero(d.bound(v, d.place[v])), d.boundUnit)
	}
	return x
}

// prices returns per variable the reduced cost in the problem's own sense and unit: for a logical
// variable that is its row's dual value.
func (d *dictionary) prices() []*big.Rat { return d.pricesOf(&d.cost) }

// priceDrift returns the drift of prices.
func (d *dictionary) priceDrift() []*big.Rat { return d.pricesOf(&d.costDrift) }

func (d *dictionary) pricesOf(row *costRow) []*big.Rat {
	prices := zeros(len(d.place))
	over := new(big.Int).Mul(row.reduced.over, row.unit)
	for j, v := range d.cobasis {
		if reduced := &row.reduced.entries[j]; reduced.Sign() != 0 {
			prices[v].SetFrac(reduced, over)
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

// view returns a copy whose bounds, costs, places and pivots leave d as it is.
func (d *dictionary) view() *dictionary {
	c := *d
	c.table = d.table.view()
	c.head, c.cobasis = c.table.order()
	c.place = slices.Clone(d.place)
	c.cost.reduced, c.costDrift.reduced = d.cost.reduced.clone(), d.costDrift.reduced.clone()
	return &c
}

func (f *fractions) clone() *fractions { return &fractions{copied(f.entries), f.over} }
