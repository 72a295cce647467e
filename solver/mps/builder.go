package mps

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"bittersum/solver"
)

// fileRow is one row as ROWS, RHS and RANGES state it.
type fileRow struct {
	name   string
	kind   byte // N, L, G or E
	rhs    figure
	spread figure
	hasRHS bool
	ranged bool
	terms  []solver.Term
	exact  []exactTerm // the terms whose decimal no float64 stands for
	last   int         // the last column that has a term here, counted from 1
}

// exactTerm is a coefficient of a column that no float64 stands for.
type exactTerm struct {
	column int
	value  *big.Rat
}

// fileColumn is what BOUNDS has stated for a column so far.
type fileColumn struct {
	marked                             bool // within an integer MARKER block
	hasLower, hasUpper, hasKind, bound bool
}

// builder gathers a program line by line.
type builder struct {
	problem       *solver.Problem
	seen          map[string]bool
	objectiveName string
	sensed        bool
	objective     int // index in rows

	rows       []fileRow
	rowIndex   map[string]int
	columns    []fileColumn
	colIndex   map[string]int
	inIntegers bool

	rhsSet, rangesSet, boundsSet *string
}

func newBuilder() *builder {
	return &builder{
		problem:   &solver.Problem{},
		seen:      map[string]bool{},
		objective: -1,
		rowIndex:  map[string]int{},
		colIndex:  map[string]int{},
	}
}

func (b *builder) row(r record) error {
	kind := strings.ToUpper(r.kind)
	if len(kind) != 1 || !strings.Contains("NLGE", kind) {
		return fmt.Errorf("row type %q is not N, L, G or E", r.kind)
	}
	if _, twice := b.rowIndex[r.name1]; twice {
		return fmt.Errorf("row %q stands twice", r.name1)
	}
	b.rowIndex[r.name1] = len(b.rows)
	b.rows = append(b.rows, fileRow{name: r.name1, kind: kind[0]})
	return nil
}

func (b *builder) chooseObjective() error {
	if b.objectiveName != "" {
		i, ok := b.rowIndex[b.objectiveName]
		if !ok || b.rows[i].kind != 'N' {
			return fmt.Errorf("OBJNAME names %q, which is no N row", b.objectiveName)
		}
		b.objective = i
		return nil
	}
	for i := range b.rows {
		if b.rows[i].kind == 'N' {
			b.objective = i
			return nil
		}
	}
	return fmt.Errorf("there is no N row to be the objective")
}

func (b *builder) column(r record) error {
	if r.marker != "" {
		switch r.marker {
		case "INTORG":
			b.inIntegers = true
		case "INTEND":
			b.inIntegers = false
		default:
			return fmt.Errorf("marker %q is not supported", r.marker)
		}
		return nil
	}
	j, known := b.colIndex[r.set]
	switch {
	case !known:
		j = len(b.columns)
		b.colIndex[r.set] = j
		column := solver.Column{Name: r.set, Upper: solver.Inf}
		if b.inIntegers {
			column.Kind = solver.Integer
		}
		b.problem.AddColumn(column)
		b.columns = append(b.columns, fileColumn{marked: b.inIntegers})
	case j != len(b.columns)-1:
		return fmt.Errorf("column %q goes on after another column began", r.set)
	}
	return r.eachPair(func(name, text string) error {
		i, ok := b.rowIndex[name]
		if !ok {
			return fmt.Errorf("there is no row %q", name)
		}
		read, err := number(text)
		if err != nil {
			return err
		}
		value := read.value
		if math.Abs(value) >= solver.Huge {
			return fmt.Errorf("coefficient %s of column %q in row %q is infinite", text, r.set, name)
		}
		row := &b.rows[i]
		if row.last == j+1 {
			return fmt.Errorf("column %q has two coefficients in row %q", r.set, name)
		}
		row.last = j + 1
		if i == b.objective {
			b.problem.Columns[j].Cost = value
			b.keep(read, func(f *solver.Figures) { f.Costs[j] = read.exact })
			return nil
		}
		row.terms = append(row.terms, solver.Term{Column: j, Value: value})
		if read.exact != nil {
			row.exact = append(row.exact, exactTerm{j, read.exact})
		}
		return nil
	})
}

// eachPair calls take for the one or two pairs of name and number.
func (r record) eachPair(take func(name, text string) error) error {
	if err := take(r.name1, r.text1); err != nil || r.name2 == "" {
		return err
	}
	return take(r.name2, r.text2)
}

// inUse reports whether the set of r is the first one of its section, which it becomes if none was.
func inUse(r record, first **string) bool {
	if *first == nil {
		*first = &r.set
	}
	return **first == r.set
}

func (b *builder) vector(r record, first **string, apply func(row *fileRow, value figure) error) error {
	use := inUse(r, first)
	return r.eachPair(func(name, text string) error {
		i, ok := b.rowIndex[name]
		if !ok {
			return fmt.Errorf("there is no row %q", name)
		}
		value, err := number(text)
		if err != nil || !use {
			return err
		}
		return apply(&b.rows[i], value)
	})
}

func (b *builder) rhs(row *fileRow, value figure) error {
	if row.hasRHS {
		return fmt.Errorf("row %q has two right-hand sides", row.name)
	}
	row.hasRHS, row.rhs = true, value
	return nil
}

func (b *builder) ranges(row *fileRow, value figure) error {
	if row.ranged {
		return fmt.Errorf("row %q has two ranges", row.name)
	}
	row.ranged, row.spread = true, value
	return nil
}

// limits returns the bounds of a row, or what is wrong with them.
func (row *fileRow) limits() (lower, upper figure, err error) {
	least, most := figure{value: -solver.Inf}, figure{value: solver.Inf}
	rhs, spread := row.rhs.infinite(), row.spread.magnitude().infinite()
	if math.IsInf(rhs.value, 0) && (row.kind == 'E' || row.kind == 'G' && rhs.value > 0 || row.kind == 'L' && rhs.value < 0) {
		return least, most, fmt.Errorf("row %q of type %c has the right-hand side %g, which counts as infinite and which nothing meets", row.name, row.kind, row.rhs.value)
	}
	switch {
	case row.kind == 'N':
		return least, most, nil
	case row.kind == 'L' && row.ranged:
		return rhs.plus(spread.negative()).infinite(), rhs, nil
	case row.kind == 'L':
		return least, rhs, nil
	case row.kind == 'G' && row.ranged:
		return rhs, rhs.plus(spread).infinite(), nil
	case row.kind == 'G':
		return rhs, most, nil
	case row.spread.value < 0:
		return rhs.plus(spread.negative()).infinite(), rhs, nil
	}
	return rhs, rhs.plus(spread).infinite(), nil
}

func (b *builder) finish() (*solver.Problem, error) {
	if b.seen["OBJSENSE"] && !b.sensed {
		return nil, fmt.Errorf("section OBJSENSE says neither MAX nor MIN")
	}
	if b.inIntegers {
		return nil, fmt.Errorf("the marker INTORG is never closed by INTEND")
	}
	for i := range b.rows {
		row := &b.rows[i]
		if i == b.objective {
			offset := row.rhs.negative()
			if math.Abs(offset.value) >= solver.Huge {
				return nil, fmt.Errorf("the constant of the objective is %g, which counts as infinite", offset.value)
			}
			b.problem.Offset = offset.value
			b.keep(offset, func(f *solver.Figures) { f.Offset = offset.exact })
			continue
		}
		lower, upper, err := row.limits()
		if err != nil {
			return nil, err
		}
		at := b.problem.AddRow(solver.Row{Name: row.name, Lower: lower.value, Upper: upper.value, Terms: row.terms})
		b.keepBounds(solver.RowVariable(at), lower, upper)
		for _, t := range row.exact {
			b.keep(figure{exact: t.value}, func(f *solver.Figures) { f.Terms[solver.Entry{Row: at, Column: t.column}] = t.value })
		}
	}
	for j := range b.columns {
		if b.columns[j].marked && !b.columns[j].bound {
			b.problem.Columns[j].Upper = 1
		}
	}
	return b.problem, nil
}

// keep notes a figure that no float64 stands for.
func (b *builder) keep(f figure, at func(*solver.Figures)) {
	if f.exact == nil {
		return
	}
	if b.problem.Figures == nil {
		b.problem.Figures = &solver.Figures{
			Costs: map[int]*big.Rat{}, Terms: map[solver.Entry]*big.Rat{},
			Lower: map[solver.Variable]*big.Rat{}, Upper: map[solver.Variable]*big.Rat{},
		}
	}
	at(b.problem.Figures)
}

func (b *builder) keepBounds(v solver.Variable, lower, upper figure) {
	b.keep(lower, func(f *solver.Figures) { f.Lower[v] = lower.exact })
	b.keep(upper, func(f *solver.Figures) { f.Upper[v] = upper.exact })
}
