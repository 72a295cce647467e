package solver

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// enumerate finds the least objective by trying every whole value of every integer column, either range
// of every semi-continuous one, with a linear solve for the rest.
func enumerate(t *testing.T, p *Problem) (best float64, found bool) {
	t.Helper()
	best = Inf
	if p.Sense == Maximize {
		best = -Inf
	}
	var visit func(q *Problem, j int)
	visit = func(q *Problem, j int) {
		if j < len(p.Columns) {
			c := p.Columns[j]
			switch c.Kind {
			case Integer:
				for v := math.Ceil(c.Lower); v <= c.Upper; v++ {
					next := q.Clone()
					next.Columns[j].Kind, next.Columns[j].Lower, next.Columns[j].Upper = Continuous, v, v
					visit(next, j+1)
				}
			case SemiContinuous:
				for _, b := range [][2]float64{{0, 0}, {c.Lower, c.Upper}} {
					next := q.Clone()
					next.Columns[j].Kind, next.Columns[j].Lower, next.Columns[j].Upper = Continuous, b[0], b[1]
					visit(next, j+1)
				}
			default:
				visit(q, j+1)
			}
			return
		}
		last := q.Clone()
		s, err := Solve(context.Background(), last, Options{})
		require.NoError(t, err)
		if s.Status == Optimal {
			found = true
			if p.Sense == Maximize {
				best = math.Max(best, s.Objective)
			} else {
				best = math.Min(best, s.Objective)
			}
		}
	}
	visit(p, 0)
	return best, found
}

// tinyMixed draws a program with a few integers and semi-continuous columns.
func tinyMixed(r *rand.Rand) *Problem {
	p := &Problem{Sense: Sense(r.IntN(2)), Offset: float64(r.IntN(3))}
	n := 3 + r.IntN(4)
	for j := range n {
		c := Column{Name: fmt.Sprint("x", j), Cost: float64(r.IntN(21)-10) / 2, Upper: float64(1 + r.IntN(4))}
		switch r.IntN(5) {
		case 0, 1:
			c.Kind = Integer
			c.Lower = float64(-r.IntN(3))
		case 2:
			c.Kind = SemiContinuous
			c.Lower = c.Upper * r.Float64() * 0.9
		}
		p.AddColumn(c)
	}
	form := func() []Term {
		var terms []Term
		for j := range n {
			if v := float64(r.IntN(9) - 4); v != 0 && r.IntN(4) > 0 {
				terms = append(terms, Term{j, v})
			}
		}
		return terms
	}
	for range 1 + r.IntN(4) {
		row := Row{Lower: -Inf, Upper: float64(r.IntN(16)) / 2, Terms: form()}
		switch r.IntN(4) {
		case 0:
			row.Lower = row.Upper - float64(r.IntN(6))
		case 1:
			row.Lower, row.Upper = -row.Upper, Inf
		}
		p.AddRow(row)
	}
	if r.IntN(2) == 0 {
		z := p.AddColumn(Column{Name: "z", Cost: float64(r.IntN(7) - 3), Upper: 1, Kind: Integer})
		p.AddRow(Row{Lower: -Inf, Upper: float64(r.IntN(5)), Terms: append(form(), Term{z, float64(-r.IntN(9))})})
	}
	if r.IntN(4) == 0 { // a free column
		j := r.IntN(n)
		if p.Columns[j].Kind == Continuous {
			p.Columns[j].Lower, p.Columns[j].Upper, p.Columns[j].Cost = -Inf, Inf, 0
		}
	}
	return p
}

// requireEnumerated compares the outcome of the search on a tiny program with enumeration, and reports
// whether there is an optimum.
func requireEnumerated(t *testing.T, seed uint64) bool {
	t.Helper()
	p := tinyMixed(rand.New(rand.NewPCG(seed, 7)))
	require.NoError(t, p.Check())
	s := solveWell(t, p)
	want, found := enumerate(t, p)
	if !found {
		require.Equal(t, Infeasible, s.Status, "seed %d: %s", seed, s.Reason)
		return false
	}
	require.Equal(t, Optimal, s.Status, "seed %d: %s", seed, s.Reason)
	require.InDelta(t, want, s.Objective, 1e-7, "seed %d", seed)
	if p.HasIntegers() {
		require.InDelta(t, s.Objective, s.Bound, 1e-7, "seed %d", seed)
	}
	require.LessOrEqual(t, s.Certificate.PrimalResidual, 1e-7, "seed %d", seed)
	return true
}

func TestIntegerAgreesWithEnumeration(t *testing.T) {
	answers := 0
	for seed := range uint64(150) {
		if requireEnumerated(t, seed) {
			answers++
		}
	}
	assert.Greater(t, answers, 60)
}

func FuzzInteger(f *testing.F) {
	f.Add(uint64(33))
	f.Add(uint64(178))
	f.Fuzz(func(t *testing.T, seed uint64) { requireEnumerated(t, seed) })
}

func TestObjectiveStep(t *testing.T) {
	whole := func(costs ...float64) *Problem {
		p := &Problem{}
		for _, c := range costs {
			p.AddColumn(Column{Cost: c, Upper: 9, Kind: Integer})
		}
		return p
	}
	assert.InDelta(t, 0.5, objectiveStep(whole(36, 8.5, -14)), 1e-12)
	assert.InDelta(t, 4, objectiveStep(whole(8, 12, 0)), 1e-12)
	assert.Zero(t, objectiveStep(whole(1, math.Pi)))
	assert.Zero(t, objectiveStep(&Problem{Columns: []Column{{Cost: 1}}}))
}
