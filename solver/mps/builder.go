package mps

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bittersum/solver"
)

// fileRow is one row as ROWS, RHS and RANGES state it.
type fileRow struct {
	name   string
	kind   byte // N, L, G or E
	rhs    float64
	spread float64
	hasRHS bool
	ranged bool
	terms  []solver.Term
	last   int // the last column that has a term here, counted from 1
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
		value, err := number(text)
		if err != nil {
			return err
		}
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
		} else {
			row.terms = append(row.terms, solver.Term{Column: j, Value: value})
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

func (b *builder) vector(r record, first **string, apply func(row *fileRow, value float64) error) error {
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

func (b *builder) rhs(row *fileRow, value float64) error {
	if row.hasRHS {
		return fmt.Errorf("row %q has two right-hand sides", row.name)
	}
	row.hasRHS, row.rhs = true, value
	return nil
}

func (b *builder) ranges(row *fileRow, value float64) error {
	switch {
	case row.ranged:
		return fmt.Errorf("row %q has two ranges", row.name)
	case row.kind == 'N':
		return fmt.Errorf("free row %q cannot have a range", row.name)
	}
	row.ranged, row.spread = true, value
	return nil
}

// limits returns the bounds of a row.
func (row *fileRow) limits() (lower, upper float64) {
	switch row.kind {
	case 'N':
		return -solver.Inf, solver.Inf
	case 'L':
		lower, upper = -solver.Inf, row.rhs
		if row.ranged {
			lower = row.rhs - math.Abs(row.spread)
		}
	case 'G':
		lower, upper = row.rhs, solver.Inf
		if row.ranged {
			upper = row.rhs + math.Abs(row.spread)
		}
	default:
		lower, upper = row.rhs+min(row.spread, 0), row.rhs+max(row.spread, 0)
	}
	return infinite(lower), infinite(upper)
}

// infinite turns what MPS files write for infinity into it.
func infinite(v float64) float64 {
	if math.Abs(v) >= solver.Huge {
		return math.Copysign(solver.Inf, v)
	}
	return v
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
			b.problem.Offset = -row.rhs
			if row.rhs == 0 {
				b.problem.Offset = 0
			}
			continue
		}
		lower, upper := row.limits()
		b.problem.AddRow(solver.Row{Name: row.name, Lower: lower, Upper: upper, Terms: row.terms})
	}
	for j := range b.columns {
		if b.columns[j].marked && !b.columns[j].bound {
			b.problem.Columns[j].Upper = 1
		}
	}
	return b.problem, nil
}

// isNumber reports whether word is a decimal number.
func isNumber(word string) bool {
	_, err := number(word)
	return err == nil
}

// fortran turns the exponent mark of Fortran's double precision into the common one.
var fortran = strings.NewReplacer("d", "e", "D", "e")

// number reads a decimal number; a D may mark the exponent as Fortran writes it.
func number(word string) (float64, error) {
	switch strings.ToLower(strings.TrimLeft(word, "+-")) {
	case "inf", "infinity":
	default:
		if strings.Trim(word, "0123456789.eEdD+-") != "" {
			return 0, fmt.Errorf("%q is not a number", word)
		}
		word = fortran.Replace(word)
	}
	value, err := strconv.ParseFloat(word, 64)
	if err != nil && !math.IsInf(value, 0) {
		return 0, fmt.Errorf("%q is not a number", word)
	}
	return value, nil
}
