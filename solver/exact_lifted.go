package solver

import (
	"context"
	"math/big"

	"bittersum/solver/internal/modular"
)

// liftedTable computes its entries on demand by p-adic lifting of the basis, so that its size and work
// follow the program's coefficients and not rows × columns. When the context ends its answers are void.
type liftedTable struct {
	ctx           context.Context
	program       *exactProgram
	head, cobasis []int
	// The square part of the basis that takes solving: the basic columns in the rows whose logical
	// variables are nonbasic. The other rows only compute their activities.
	columns  []int // basic columns, by position
	rows     []int // rows with nonbasic logicals, by position
	position []int // of every column, -1 if nonbasic
	matrix   modular.Matrix
	turned   modular.Matrix // the matrix transposed
	factors  *modular.Factors
	// What was computed at this basis already.
	rowsSeen, columnsSeen map[int]*fractions
}

func newLiftedTable(ctx context.Context, e *exactProgram) *liftedTable {
	t := &liftedTable{ctx: ctx, program: e}
	t.head, t.cobasis = e.logicalOrder()
	t.factorise()
	return t
}

// factorise sets up the square system of the present basis. It returns false if it is singular.
func (t *liftedTable) factorise() bool {
	e := t.program
	t.columns, t.rows, t.position = nil, nil, make([]int, e.columns)
	for j := range t.position {
		t.position[j] = -1
	}
	for _, v := range t.head {
		if v < e.columns {
			t.position[v] = len(t.columns)
			t.columns = append(t.columns, v)
		}
	}
	for _, v := range t.cobasis {
		if v >= e.columns {
			t.rows = append(t.rows, v-e.columns)
		}
	}
	t.matrix = make(modular.Matrix, len(t.rows))
	for k, i := range t.rows {
		for n := range e.terms[i] {
			term := &e.terms[i][n]
			if at := t.position[term.column]; at >= 0 {
				t.matrix[k] = append(t.matrix[k], modular.Entry{Column: at, Value: &term.value})
			}
		}
	}
	t.turned = t.matrix.Transposed()
	t.rowsSeen, t.columnsSeen = map[int]*fractions{}, map[int]*fractions{}
	t.factors = modular.Factor(t.matrix.Residues())
	return t.factors != nil
}

func (t *liftedTable) order() (head, cobasis []int) { return t.head, t.cobasis }

func (t *liftedTable) view() exactTable {
	c := *t
	c.head = append([]int(nil), t.head...)
	c.cobasis = append([]int(nil), t.cobasis...)
	return &c
}

func (t *liftedTable) load(ctx context.Context, wish []Place) (exactTable, bool) {
	n := &liftedTable{ctx: t.ctx, program: t.program}
	for v, at := range wish {
		if at == Basic {
			n.head = append(n.head, v)
		} else {
			n.cobasis = append(n.cobasis, v)
		}
	}
	if len(n.head) == len(t.head) && n.factorise() {
		return n, ctx.Err() == nil
	}
	// A basis in need of repair is brought in pivot by pivot.
	return newWholeTable(t.program).load(ctx, wish)
}

func (t *liftedTable) exchange(r, q int, _ ...*fractions) (exactTable, bool) {
	t.head[r], t.cobasis[q] = t.cobasis[q], t.head[r]
	if !t.factorise() {
		// The determinant is a multiple of the modulus by chance; a whole table does not mind.
		wish := make([]Place, t.program.columns+t.program.rows)
		for _, v := range t.head {
			wish[v] = Basic
		}
		whole, _ := newWholeTable(t.program).load(t.ctx, wish)
		return whole, false
	}
	return t, false
}

// complete returns the basic variables' values, by variable, when the nonbasic ones have the given
// values; nil is zero.
func (t *liftedTable) complete(x []*big.Int) (values []big.Int, over *big.Int) {
	e := t.program
	values = make([]big.Int, e.columns+e.rows)
	right := make([]big.Int, len(t.rows))
	var product big.Int
	for k, i := range t.rows {
		if v := x[e.columns+i]; v != nil {
			right[k].Set(v)
		}
		for n := range e.terms[i] {
			term := &e.terms[i][n]
			if v := x[term.column]; v != nil && t.position[term.column] < 0 {
				right[k].Sub(&right[k], product.Mul(&term.value, v))
			}
		}
	}
	numerator, over, ok := t.matrix.Lift(t.ctx, t.factors.Solve, right)
	if !ok {
		return values, big.NewInt(1)
	}
	for k, j := range t.columns {
		values[j].Set(&numerator[k])
	}
	for _, v := range t.head {
		if v < e.columns {
			continue
		}
		sum := &values[v]
		for n := range e.terms[v-e.columns] {
			term := &e.terms[v-e.columns][n]
			if at := t.position[term.column]; at >= 0 {
				sum.Add(sum, product.Mul(&term.value, &numerator[at]))
			} else if by := x[term.column]; by != nil && by.Sign() != 0 {
				product.Mul(&term.value, by)
				sum.Add(sum, product.Mul(&product, over))
			}
		}
	}
	return values, over
}

func (t *liftedTable) combine(x []*big.Int) *fractions {
	if j := t.single(x); j >= 0 {
		// One variable alone takes no solving if its column is known.
		column := t.column(j)
		result := &fractions{make([]big.Int, len(t.head)), column.over}
		for i := range result.entries {
			result.entries[i].Mul(&column.entries[i], x[t.cobasis[j]])
		}
		return result
	}
	return t.solved(x)
}

// single returns the column of the only nonbasic variable with a value other than zero, or -1.
func (t *liftedTable) single(x []*big.Int) int {
	found := -1
	for j, v := range t.cobasis {
		if x[v] != nil && x[v].Sign() != 0 {
			if found >= 0 {
				return -1
			}
			found = j
		}
	}
	return found
}

func (t *liftedTable) solved(x []*big.Int) *fractions {
	values, over := t.complete(x)
	result := &fractions{make([]big.Int, len(t.head)), over}
	for i, v := range t.head {
		result.entries[i].Set(&values[v])
	}
	return result
}

func (t *liftedTable) column(j int) *fractions {
	if t.columnsSeen[j] == nil {
		x := make([]*big.Int, t.program.columns+t.program.rows)
		x[t.cobasis[j]] = big.NewInt(1)
		t.columnsSeen[j] = t.solved(x)
	}
	return t.columnsSeen[j]
}

func (t *liftedTable) row(i int) *fractions {
	if t.rowsSeen[i] == nil {
		cost := make([]*big.Int, t.program.columns+t.program.rows)
		cost[t.head[i]] = big.NewInt(1)
		t.rowsSeen[i] = t.price(cost)
	}
	return t.rowsSeen[i]
}

func (t *liftedTable) price(cost []*big.Int) *fractions {
	e := t.program
	var product big.Int
	// The cost of a basic logical variable is one on its row's columns.
	direct := make([]big.Int, e.columns)
	for j := range direct {
		if cost[j] != nil {
			direct[j].Set(cost[j])
		}
	}
	for _, v := range t.head {
		if v < e.columns || cost[v] == nil || cost[v].Sign() == 0 {
			continue
		}
		for n := range e.terms[v-e.columns] {
			term := &e.terms[v-e.columns][n]
			direct[term.column].Add(&direct[term.column], product.Mul(&term.value, cost[v]))
		}
	}
	right := make([]big.Int, len(t.columns))
	for k, j := range t.columns {
		right[k].Set(&direct[j])
	}
	prices := noFractions(len(t.cobasis))
	y, over, ok := t.turned.Lift(t.ctx, t.factors.SolveTransposed, right)
	if !ok {
		return prices
	}
	prices.over = over
	for j := range direct {
		direct[j].Mul(&direct[j], over)
	}
	rowPrice := make(map[int]*big.Int, len(t.rows))
	for k, i := range t.rows {
		rowPrice[e.columns+i] = &y[k]
		if y[k].Sign() == 0 {
			continue
		}
		for n := range e.terms[i] {
			term := &e.terms[i][n]
			direct[term.column].Sub(&direct[term.column], product.Mul(&term.value, &y[k]))
		}
	}
	for j, v := range t.cobasis {
		if v < e.columns {
			prices.entries[j].Set(&direct[v])
			continue
		}
		prices.entries[j].Set(rowPrice[v])
		if cost[v] != nil {
			prices.entries[j].Add(&prices.entries[j], product.Mul(cost[v], over))
		}
	}
	return prices
}
