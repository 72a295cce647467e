package solver

import (
	"context"
	"math/big"
)

// fractions are integers over a positive common denominator.
type fractions struct {
	entries []big.Int
	over    *big.Int
}

func noFractions(n int) *fractions {
	return &fractions{make([]big.Int, n), big.NewInt(1)}
}

// exactTable is the body of a dictionary: how the basic variables, one a row, depend on the nonbasic
// ones, one a column. What it returns must not be changed, and holds until the next exchange.
type exactTable interface {
	row(i int) *fractions
	column(j int) *fractions
	// combine returns the basic variables' values when nonbasic variable v has value x[v]; nil is zero.
	combine(x []*big.Int) *fractions
	// price returns the reduced costs of the nonbasic variables when variable v costs cost[v]; nil is
	// zero.
	price(cost []*big.Int) *fractions
	// exchange makes the variable of column q basic in the place of that of row r, and returns the
	// table to go on with. It also pivots the given reduced costs, or returns false if they have to be
	// priced anew.
	exchange(r, q int, costs ...*fractions) (table exactTable, pivoted bool)
	// load makes the wished variables basic, as far as they are independent, and returns the table to
	// go on with, and false if the context ended before.
	load(ctx context.Context, wish []Place) (exactTable, bool)
	// order returns the variables of the rows and of the columns.
	order() (head, cobasis []int)
	// view returns a table whose exchanges leave this one as it is.
	view() exactTable
}

// wholeTable holds every entry, as integers over one denominator, the determinant of the basis, which
// keeps every pivot free of fractions (J. Edmonds, 1967; E. Bareiss, 1968).
type wholeTable struct {
	rows          [][]big.Int
	denominator   *big.Int
	head, cobasis []int
	shared        bool // the rows belong to another table as well
}

func newWholeTable(e *exactProgram) *wholeTable {
	t := &wholeTable{rows: make([][]big.Int, e.rows), denominator: big.NewInt(1)}
	for i := range t.rows {
		t.rows[i] = make([]big.Int, e.columns)
		for k := range e.terms[i] {
			term := &e.terms[i][k]
			t.rows[i][term.column].Set(&term.value)
		}
	}
	t.head, t.cobasis = e.logicalOrder()
	return t
}

// logicalOrder lists the logical variables as basic and the columns as nonbasic.
func (e *exactProgram) logicalOrder() (head, cobasis []int) {
	head, cobasis = make([]int, e.rows), make([]int, e.columns)
	for i := range head {
		head[i] = e.columns + i
	}
	for j := range cobasis {
		cobasis[j] = j
	}
	return head, cobasis
}

func (t *wholeTable) order() (head, cobasis []int) { return t.head, t.cobasis }

func (t *wholeTable) view() exactTable {
	t.shared = true
	return &wholeTable{
		rows: append([][]big.Int(nil), t.rows...), denominator: t.denominator,
		head: append([]int(nil), t.head...), cobasis: append([]int(nil), t.cobasis...), shared: true,
	}
}

func (t *wholeTable) row(i int) *fractions { return &fractions{t.rows[i], t.denominator} }

func (t *wholeTable) column(j int) *fractions {
	column := &fractions{make([]big.Int, len(t.rows)), t.denominator}
	for i := range t.rows {
		column.entries[i] = t.rows[i][j] // shares its digits, which no one changes
	}
	return column
}

func (t *wholeTable) combine(x []*big.Int) *fractions {
	values := &fractions{make([]big.Int, len(t.rows)), t.denominator}
	var product big.Int
	for j, v := range t.cobasis {
		if x[v] == nil || x[v].Sign() == 0 {
			continue
		}
		for i := range t.rows {
			if entry := &t.rows[i][j]; entry.Sign() != 0 {
				values.entries[i].Add(&values.entries[i], product.Mul(entry, x[v]))
			}
		}
	}
	return values
}

func (t *wholeTable) price(cost []*big.Int) *fractions {
	prices := &fractions{make([]big.Int, len(t.cobasis)), t.denominator}
	for j, v := range t.cobasis {
		if cost[v] != nil {
			prices.entries[j].Mul(cost[v], t.denominator)
		}
	}
	var product big.Int
	for i, v := range t.head {
		if cost[v] == nil || cost[v].Sign() == 0 {
			continue
		}
		for j := range t.cobasis {
			if entry := &t.rows[i][j]; entry.Sign() != 0 {
				prices.entries[j].Add(&prices.entries[j], product.Mul(cost[v], entry))
			}
		}
	}
	return prices
}

func (t *wholeTable) exchange(r, q int, costs ...*fractions) (exactTable, bool) {
	if t.shared {
		for i, row := range t.rows {
			t.rows[i] = copied(row)
		}
		t.shared = false
	}
	pivotRow := t.rows[r]
	p := new(big.Int).Set(&pivotRow[q])
	for i, row := range t.rows {
		if i != r {
			t.eliminate(row, pivotRow, p, q)
		}
	}
	for _, c := range costs {
		t.eliminate(c.entries, pivotRow, p, q)
	}
	flip := p.Sign() < 0
	for j := range pivotRow {
		if !flip {
			pivotRow[j].Neg(&pivotRow[j])
		}
	}
	pivotRow[q].Set(t.denominator)
	if flip {
		pivotRow[q].Neg(&pivotRow[q])
	}
	t.denominator = p.Abs(p)
	for _, c := range costs {
		c.over = t.denominator
	}
	t.head[r], t.cobasis[q] = t.cobasis[q], t.head[r]
	return t, true
}

// eliminate replaces, in a row, the variable of column q by what the pivot row says of it; p is the
// pivot. Every division is exact.
func (t *wholeTable) eliminate(row, pivotRow []big.Int, p *big.Int, q int) {
	factor := &row[q]
	if factor.Sign() == 0 && p.Cmp(t.denominator) == 0 {
		return
	}
	flip, one := p.Sign() < 0, isOne(t.denominator)
	var a, b, remainder big.Int
	for j := range row {
		entry := &row[j]
		cross := factor.Sign() != 0 && pivotRow[j].Sign() != 0
		if j == q || !cross && entry.Sign() == 0 {
			continue
		}
		a.Mul(entry, p)
		if cross {
			a.Sub(&a, b.Mul(factor, &pivotRow[j]))
		}
		if one {
			entry.Set(&a)
		} else {
			entry.QuoRem(&a, t.denominator, &remainder)
		}
		if flip {
			entry.Neg(entry)
		}
	}
	if flip {
		factor.Neg(factor)
	}
}

func (t *wholeTable) load(ctx context.Context, wish []Place) (exactTable, bool) {
	for {
		r, q := t.loadingPivot(wish)
		if r < 0 {
			return t, true
		}
		if ctx.Err() != nil {
			return t, false
		}
		t.exchange(r, q)
	}
}

// loadingPivot returns the next pivot towards the wished basis: the one that fills in least (H.
// Markowitz, 1957) among the rows to leave and the columns to enter, or -1.
func (t *wholeTable) loadingPivot(wish []Place) (row, column int) {
	var rows, columns []int
	for i, v := range t.head {
		if wish[v] != Basic {
			rows = append(rows, i)
		}
	}
	for j, v := range t.cobasis {
		if wish[v] == Basic {
			columns = append(columns, j)
		}
	}
	inRow, inColumn := make([]int, len(rows)), make([]int, len(columns))
	for a, i := range rows {
		for b, j := range columns {
			if t.rows[i][j].Sign() != 0 {
				inRow[a]++
				inColumn[b]++
			}
		}
	}
	row, column = -1, -1
	var least, bits int
	for a, i := range rows {
		for b, j := range columns {
			entry := &t.rows[i][j]
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

func copied(x []big.Int) []big.Int {
	y := make([]big.Int, len(x))
	for i := range x {
		y[i].Set(&x[i])
	}
	return y
}
