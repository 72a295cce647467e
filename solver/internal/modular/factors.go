package modular

import (
	"math/big"
	"math/bits"
)

// modulus is the Mersenne prime 2^61 - 1, by which products reduce with a shift.
const modulus = 1<<61 - 1

// reduce returns hi·2^64 + lo modulo the modulus, for hi < 2^58.
func reduce(hi, lo uint64) uint64 {
	sum := lo&modulus + (hi<<3 | lo>>61)
	if sum >= modulus {
		sum -= modulus
	}
	return sum
}

func mulMod(a, b uint64) uint64 { return reduce(bits.Mul64(a, b)) }

func subMod(a, b uint64) uint64 {
	if a < b {
		a += modulus
	}
	return a - b
}

func powMod(a, n uint64) uint64 {
	result := uint64(1)
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			result = mulMod(result, a)
		}
		a = mulMod(a, a)
	}
	return result
}

// inverseMod follows from Fermat's little theorem.
func inverseMod(a uint64) uint64 { return powMod(a, modulus-2) }

// residue returns x modulo the modulus.
func residue(x, scratch *big.Int) uint64 {
	if x.IsInt64() {
		r := x.Int64() % modulus
		if r < 0 {
			r += modulus
		}
		return uint64(r)
	}
	return scratch.Mod(x, bigModulus).Uint64()
}

var bigModulus = big.NewInt(modulus)

// cell is an entry of a sparse row.
type cell struct {
	column int
	value  uint64
}

// Factors are sparse LU factors of a square matrix modulo the modulus. Any nonzero pivot is as
// good as another, so pivots are chosen for sparsity alone.
type Factors struct {
	size    int
	steps   []modularStep
	updates []modularUpdate
	// work vectors
	left, right []uint64
}

// modularStep is one pivot: the row of U without its pivot.
type modularStep struct {
	row, column int
	inverse     uint64
	rest        []cell
}

// modularUpdate subtracted factor times row from row target.
type modularUpdate struct {
	row, target int
	factor      uint64
}

// Factor factorises the matrix of the given rows, which it uses up. It returns nil if the matrix
// is singular modulo the modulus.
func Factor(rows [][]cell) *Factors {
	n := len(rows)
	f := &Factors{size: n, left: make([]uint64, n), right: make([]uint64, n)}
	e := newElimination(rows)
	for range n {
		row, column, pivot := e.pivot()
		if row < 0 {
			return nil
		}
		step := modularStep{row: row, column: column, inverse: inverseMod(pivot)}
		for _, entry := range e.rows[row] {
			if entry.column != column {
				step.rest = append(step.rest, entry)
			}
		}
		for _, target := range e.below(row, column) {
			factor := mulMod(e.at(target, column), step.inverse)
			e.subtract(target, column, factor, step.rest)
			f.updates = append(f.updates, modularUpdate{row, target, factor})
		}
		e.retire(row, column)
		f.steps = append(f.steps, step)
	}
	return f
}

// Solve returns x with B x = b, which it uses up. The result is valid until the next call.
func (f *Factors) Solve(b []uint64) []uint64 {
	for _, u := range f.updates {
		if v := b[u.row]; v != 0 {
			b[u.target] = subMod(b[u.target], mulMod(u.factor, v))
		}
	}
	x := f.left
	for k := f.size - 1; k >= 0; k-- {
		s := &f.steps[k]
		v := b[s.row]
		for _, entry := range s.rest {
			v = subMod(v, mulMod(entry.value, x[entry.column]))
		}
		x[s.column] = mulMod(v, s.inverse)
	}
	return x
}

// SolveTransposed returns y with Bᵀ y = b, which it uses up. The result is valid until the next call.
func (f *Factors) SolveTransposed(b []uint64) []uint64 {
	y := f.right
	for k := range f.steps {
		s := &f.steps[k]
		v := mulMod(b[s.column], s.inverse)
		y[s.row] = v
		if v == 0 {
			continue
		}
		for _, entry := range s.rest {
			b[entry.column] = subMod(b[entry.column], mulMod(entry.value, v))
		}
	}
	for k := len(f.updates) - 1; k >= 0; k-- {
		u := f.updates[k]
		if v := y[u.target]; v != 0 {
			y[u.row] = subMod(y[u.row], mulMod(u.factor, v))
		}
	}
	return y
}

// elimination is the part of a matrix that is still to be factorised.
type elimination struct {
	rows    [][]cell
	holders [][]int // per column: rows that may hold an entry in it
	count   []int   // per column: entries in rows still open
	open    []bool  // per row
	columns []int   // open columns
	slot    []int   // scratch: where a column stands in the row at hand, plus one
}

func newElimination(rows [][]cell) *elimination {
	n := len(rows)
	e := &elimination{
		rows: rows, holders: make([][]int, n), count: make([]int, n),
		open: make([]bool, n), columns: make([]int, n), slot: make([]int, n),
	}
	for i, row := range rows {
		e.open[i] = true
		e.columns[i] = i
		for _, entry := range row {
			e.holders[entry.column] = append(e.holders[entry.column], i)
			e.count[entry.column]++
		}
	}
	return e
}

// pivot returns the shortest row among those of the sparsest column (H. Markowitz, 1957, with the
// search cut short), or -1 if the matrix is singular.
func (e *elimination) pivot() (row, column int, value uint64) {
	column = e.columns[0]
	for _, c := range e.columns {
		if e.count[c] < e.count[column] {
			if column = c; e.count[c] <= 1 {
				break
			}
		}
	}
	row = -1
	for _, i := range e.holders[column] {
		if e.open[i] && (row < 0 || len(e.rows[i]) < len(e.rows[row])) {
			if v := e.at(i, column); v != 0 {
				row, value = i, v
			}
		}
	}
	return row, column, value
}

func (e *elimination) at(row, column int) uint64 {
	for _, entry := range e.rows[row] {
		if entry.column == column {
			return entry.value
		}
	}
	return 0
}

// below returns the other open rows with an entry in the column.
func (e *elimination) below(row, column int) []int {
	var found []int
	for _, i := range e.holders[column] {
		if i != row && e.open[i] && e.at(i, column) != 0 {
			found = append(found, i)
		}
	}
	return found
}

// subtract takes factor times the rest of the pivot row from row target and strikes out its entry in
// the pivot's column.
func (e *elimination) subtract(target, column int, factor uint64, rest []cell) {
	row := e.rows[target]
	for k, entry := range row {
		e.slot[entry.column] = k + 1
	}
	for _, entry := range rest {
		change := mulMod(factor, entry.value)
		if k := e.slot[entry.column]; k > 0 {
			row[k-1].value = subMod(row[k-1].value, change)
			continue
		}
		row = append(row, cell{entry.column, subMod(0, change)})
		e.holders[entry.column] = append(e.holders[entry.column], target)
		e.count[entry.column]++
	}
	for _, entry := range e.rows[target] {
		e.slot[entry.column] = 0
	}
	kept := row[:0]
	for _, entry := range row {
		if entry.column == column || entry.value == 0 {
			e.count[entry.column]--
			continue
		}
		kept = append(kept, entry)
	}
	e.rows[target] = kept
}

// retire closes a row and a column.
func (e *elimination) retire(row, column int) {
	e.open[row] = false
	for _, entry := range e.rows[row] {
		e.count[entry.column]--
	}
	for k, c := range e.columns {
		if c == column {
			last := len(e.columns) - 1
			e.columns[k] = e.columns[last]
			e.columns = e.columns[:last]
			break
		}
	}
}
