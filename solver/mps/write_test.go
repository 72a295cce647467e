package mps

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bittersum/solver"
)

// assertRoundTrip writes p, reads it again and compares all but the names, which may have changed, and
// the sense and constant, which Write expresses otherwise.
func assertRoundTrip(t require.TestingT, p *solver.Problem) {
	var text bytes.Buffer
	require.NoError(t, Write(&text, p))
	q, err := Read(bytes.NewReader(text.Bytes()))
	require.NoError(t, err, text.String())
	sign := 1.0
	if p.Sense == solver.Maximize {
		sign = -1
	}
	n := len(p.Columns)
	if p.Offset != 0 {
		require.Len(t, q.Columns, n+1)
		require.Equal(t, sign*p.Offset, q.Columns[n].Cost)
		require.Equal(t, [2]float64{1, 1}, [2]float64{q.Columns[n].Lower, q.Columns[n].Upper})
	} else {
		require.Len(t, q.Columns, n)
	}
	names := map[string]bool{}
	for j, c := range p.Columns {
		got := q.Columns[j]
		names[got.Name] = true
		c.Name, c.Cost, c.Lower, c.Upper = got.Name, sign*c.Cost, infinite(c.Lower), infinite(c.Upper)
		require.Equal(t, c, got)
	}
	require.Len(t, names, n)
	i := 0
	for _, row := range p.Rows {
		lower, upper := infinite(row.Lower), infinite(row.Upper)
		got := q.Rows[i]
		if got.Lower != lower || got.Upper != upper {
			// One row holds the lower bound, the next one the upper bound.
			require.Equal(t, [2]float64{lower, solver.Inf}, [2]float64{got.Lower, got.Upper})
			i++
			require.Equal(t, [2]float64{-solver.Inf, upper}, [2]float64{q.Rows[i].Lower, q.Rows[i].Upper})
		}
		require.ElementsMatch(t, row.Terms, q.Rows[i].Terms)
		i++
	}
	require.Len(t, q.Rows, i)
}

// someProblem draws a program with every kind of bound, row and name.
func someProblem(t *rapid.T) *solver.Problem {
	value := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.Float64Range(-1e-9, 1e-9), rapid.Just(0.0), rapid.Float64Range(-1e29, 1e29))
	name := rapid.OneOf(rapid.StringN(0, 12, -1), rapid.SampledFrom([]string{"objective", "constant", "RHS", "a b", "a_b", "", strings.Repeat("n", 300), "'MARKER'", "*x"}))
	bounds := func(label string) (lower, upper float64) {
		a, b := value.Draw(t, label), value.Draw(t, label)
		switch rapid.IntRange(0, 5).Draw(t, label+" kind") {
		case 0:
			return -solver.Inf, solver.Inf
		case 1:
			return a, solver.Inf
		case 2:
			return -solver.Inf, a
		case 3:
			return a, a
		case 4:
			return a, b // crossed in half of the cases
		}
		return min(a, b), max(a, b)
	}
	p := &solver.Problem{Name: name.Draw(t, "name"), Sense: solver.Sense(rapid.IntRange(0, 1).Draw(t, "sense")), Offset: value.Draw(t, "offset")}
	for range rapid.IntRange(0, 6).Draw(t, "columns") {
		c := solver.Column{Name: name.Draw(t, "column"), Cost: value.Draw(t, "cost")}
		c.Lower, c.Upper = bounds("column bound")
		c.Kind = solver.Kind(rapid.IntRange(0, 2).Draw(t, "kind"))
		if c.Kind == solver.SemiContinuous {
			c.Lower, c.Upper = math.Abs(value.Draw(t, "lower")), math.Abs(value.Draw(t, "upper"))
		}
		p.AddColumn(c)
	}
	for range rapid.IntRange(0, 6).Draw(t, "rows") {
		r := solver.Row{Name: name.Draw(t, "row")}
		r.Lower, r.Upper = bounds("row bound")
		for j := range p.Columns {
			if rapid.Bool().Draw(t, "term") {
				r.Terms = append(r.Terms, solver.Term{Column: j, Value: value.Draw(t, "value")})
			}
		}
		p.AddRow(r)
	}
	return p
}

func TestWriteRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { assertRoundTrip(t, someProblem(t)) })
}

func TestWriteNames(t *testing.T) {
	p := &solver.Problem{Name: "two words", Sense: solver.Maximize, Offset: 2.5}
	for _, name := range []string{"peel", "bitter orange peel", "bitter_orange_peel", "peel", "", "Süße", "c5", "-1"} {
		p.AddColumn(solver.Column{Name: name, Cost: 1, Upper: 1})
	}
	p.AddRow(solver.Row{Name: "objective", Lower: 1, Upper: 0.5, Terms: []solver.Term{{Column: 0, Value: 1}}})
	p.AddRow(solver.Row{Name: "most", Lower: -solver.Inf, Upper: 0.1, Terms: []solver.Term{{Column: 1, Value: 1e-7}}})
	var text bytes.Buffer
	require.NoError(t, Write(&text, p))
	head, _, _ := strings.Cut(text.String(), "COLUMNS")
	assert.Equal(t, `* The program is a maximisation; here its objective is negated.
* Column constant is fixed at 1 and carries the constant of the objective.
* Column bitter_orange_peel_2 is "bitter orange peel".
* Column peel_2 is "peel".
* Column c5_2 is "".
* Column S__e is "Süße".
* Column _-1 is "-1".
NAME          two_words  FREE
ROWS
 N objective_2
 G objective
 L objective_upper
 L most
`, head)
}

func TestWriteRefusesMalformed(t *testing.T) {
	err := Write(&bytes.Buffer{}, &solver.Problem{Columns: []solver.Column{{Name: "x", Cost: math.NaN()}}})
	assert.EqualError(t, err, `mps: solver: column 0 "x": cost is NaN`)
	err = Write(&bytes.Buffer{}, &solver.Problem{Cones: []solver.Cone{{}}})
	assert.EqualError(t, err, "mps: cones have no form on which readers agree")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, assert.AnError }

func TestWritePassesOnFailure(t *testing.T) {
	require.ErrorIs(t, Write(full{}, &solver.Problem{}), assert.AnError)
}
