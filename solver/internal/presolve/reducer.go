// Package presolve makes a program smaller before it is solved, and a solution of what is left one of the whole.
package presolve

import (
	"math"

	"bittersum/solver/internal/lp"
	"bittersum/solver/internal/lu"
)

// Reducer shrinks a form by reductions that each have an exact undoing of basis, values and dual
// values (Andersen and Andersen 1995, "Presolving in linear programming"). No reduction adds a
// coefficient.
type Reducer struct {
	form         *lp.Form
	n, m         int
	a            *lu.Matrix
	cost         []float64
	lower, upper []float64 // columns, then rows; those of rows have fixed columns taken out
	gone         []int32   // by variable: the step that removed it, or stays
	count        []int32   // by variable: coefficients left
	Steps        []Reduction
	members      []int32 // columns of forcing rows, in stretches
	queue        []int32
	queued       []bool
	Infeasible   bool
	stop         func() bool
}

// stays marks a variable that no step removed.
const stays = math.MaxInt32

// ReductionKind names a reduction.
type ReductionKind int8

const (
	DropRow        ReductionKind = iota // the row never binds
	FixColumn                           // the column rests at a known value
	RowToBound                          // a row with one column became that column's bounds
	ForceRow                            // the row holds all its columns at bounds
	AbsorbSlack                         // a column of one row became part of that row's bounds
	SubstituteFree                      // a column whose bounds never bind was solved for from its only row
	MergeRows                           // a row is a multiple of another
	MergeColumns                        // a column is a multiple of another
)

// Reduction is one step, with what its undoing needs.
type Reduction struct {
	Kind         ReductionKind
	row, column  int32
	other        int32   // the row or column that stays (merges); start of the members (ForceRow)
	length       int32   // number of members
	a            float64 // coefficient or ratio
	cost         float64
	lower, upper float64 // bounds before the step
	place        lp.Place
	low, high    bool // which bounds of the remaining part came from the removed one
}

// NewReducer returns a reducer of f, which it leaves as it is; stop is polled.
func NewReducer(f *lp.Form, stop func() bool) *Reducer {
	n, m := f.A.Columns, f.A.Rows
	r := &Reducer{form: f, n: n, m: m, a: &f.A, stop: stop}
	r.cost = append([]float64(nil), f.Cost...)
	r.lower = append([]float64(nil), f.Lower...)
	r.upper = append([]float64(nil), f.Upper...)
	r.gone = make([]int32, n+m)
	r.count = make([]int32, n+m)
	r.queued = make([]bool, n+m)
	for v := range r.gone {
		r.gone[v] = stays
	}
	for j := range n {
		r.count[j] = f.A.ColumnStart[j+1] - f.A.ColumnStart[j]
	}
	for i := range m {
		r.count[n+i] = f.A.RowStart[i+1] - f.A.RowStart[i]
	}
	return r
}

// passes caps how often the dearer reductions are tried.
const passes = 8

// Run reduces until nothing changes much. It reports false if the form is not worth solving reduced:
// it looks infeasible or unbounded, or nothing was removed.
func (r *Reducer) Run() bool {
	for v := range r.n + r.m {
		r.push(int32(v))
	}
	for range passes {
		before := len(r.Steps)
		r.drain()
		if r.Infeasible || r.stop() {
			return false
		}
		r.dominatedColumns()
		r.drain()
		if r.Infeasible || r.stop() {
			return false
		}
		r.duplicateRows()
		r.duplicateColumns()
		r.drain()
		if r.Infeasible || r.stop() {
			return false
		}
		if len(r.Steps)-before <= (r.n+r.m)/1000 {
			break
		}
	}
	return len(r.Steps) > 0
}

func (r *Reducer) alive(v int32) bool { return r.gone[v] == stays }

func (r *Reducer) push(v int32) {
	if !r.queued[v] && r.alive(v) {
		r.queued[v] = true
		r.queue = append(r.queue, v)
	}
}

// drain applies the cheap reductions to every variable whose surroundings changed.
func (r *Reducer) drain() {
	for k := 0; k < len(r.queue) && !r.Infeasible; k++ {
		if k%1024 == 1023 && r.stop() {
			break
		}
		v := r.queue[k]
		r.queued[v] = false
		if !r.alive(v) {
			continue
		}
		if int(v) < r.n {
			r.reduceColumn(v)
		} else {
			r.reduceRow(v - int32(r.n))
		}
	}
	for _, v := range r.queue {
		r.queued[v] = false
	}
	r.queue = r.queue[:0]
}

// removeRow takes row i out.
func (r *Reducer) removeRow(i int32, step Reduction) {
	step.row = i
	r.gone[int32(r.n)+i] = int32(len(r.Steps))
	r.Steps = append(r.Steps, step)
	for k := r.a.RowStart[i]; k < r.a.RowStart[i+1]; k++ {
		if j := r.a.RowIndex[k]; r.alive(j) {
			r.count[j]--
			r.push(j)
		}
	}
}

// leave takes column j out of its rows, holding it at x.
func (r *Reducer) leave(j int32, x float64) {
	for k := r.a.ColumnStart[j]; k < r.a.ColumnStart[j+1]; k++ {
		v := int32(r.n) + r.a.ColumnIndex[k]
		if !r.alive(v) {
			continue
		}
		r.count[v]--
		if x != 0 {
			r.lower[v] -= r.a.ColumnValue[k] * x
			r.upper[v] -= r.a.ColumnValue[k] * x
		}
		r.push(v)
	}
}

// fix removes column j, resting at place.
func (r *Reducer) fix(j int32, place lp.Place) {
	r.gone[j] = int32(len(r.Steps))
	r.Steps = append(r.Steps, Reduction{Kind: FixColumn, column: j, place: place})
	r.leave(j, r.restingValue(j, place))
}

func (r *Reducer) restingValue(j int32, place lp.Place) float64 {
	switch place {
	case lp.AtLower:
		return r.lower[j]
	case lp.AtUpper:
		return r.upper[j]
	}
	return 0
}

// room is the rounding allowed to a bound.
func room(bound float64) float64 { return 1e-9 * (1 + math.Abs(bound)) }

// Reduced returns the form that is left and the numbers of its variables.
func (r *Reducer) Reduced() (*lp.Form, []int32) {
	var kept []int32
	number := make([]int32, r.n)
	columns, rows, entries := 0, 0, 0
	for j := range int32(r.n) {
		if r.alive(j) {
			number[j] = int32(columns)
			kept = append(kept, j)
			columns++
		}
	}
	for i := range int32(r.m) {
		if v := int32(r.n) + i; r.alive(v) {
			kept = append(kept, v)
			rows++
			entries += int(r.count[v])
		}
	}
	f := new(lp.Form)
	f.Allocate(columns, rows)
	a := &f.A
	a.Allocate(rows, columns, entries)
	next := int32(0)
	for k, v := range kept {
		f.Lower[k], f.Upper[k] = r.lower[v], r.upper[v]
		if int(v) < r.n {
			f.Cost[k] = r.cost[v]
			continue
		}
		i := v - int32(r.n)
		for e := r.a.RowStart[i]; e < r.a.RowStart[i+1]; e++ {
			if j := r.a.RowIndex[e]; r.alive(j) {
				a.RowIndex[next], a.RowValue[next] = number[j], r.a.RowValue[e]
				next++
			}
		}
		a.RowStart[k-columns+1] = next
	}
	a.ByColumn()
	return f, kept
}
