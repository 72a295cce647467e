package solver

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"bittersum/solver/internal/presolve"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// solvePlain solves p without presolving.
func solvePlain(p *Problem) *Solution {
	s := newSimplex(newForm(p))
	s.logicalStart()
	return s.solve(context.Background(), p, Options{})
}

// solveReduced solves p by way of its reduced form. It returns the number of iterations that were left
// for the full form, and reports whether anything was reduced.
func solveReduced(p *Problem) (solution *Solution, left int, reduced bool) {
	f := newForm(p)
	l := newLimits(context.Background(), Options{}, f.A.Rows+f.A.Columns)
	full, _ := presolved(f, l)
	var places []Place
	if full != nil {
		places = full.Place
	}
	if places == nil {
		return nil, 0, false
	}
	before := l.iterations
	s := newSimplex(f)
	if !s.loadPlaces(places) {
		panic("the basis that presolving leads to has the wrong number of basic variables")
	}
	solution = s.solveWithin(p, l)
	return solution, l.iterations - before, true
}

// requireSameOutcome compares status and objective. A program that is infeasible may also be reported
// unbounded only if it is; the two never stand for each other here.
func requireSameOutcome(t require.TestingT, want, got *Solution, of any) {
	require.Equal(t, want.Status, got.Status, "%+v: %s %s", of, want.Reason, got.Reason)
	if want.Status == Optimal {
		require.InDelta(t, want.Objective, got.Objective, 1e-7*(1+math.Abs(want.Objective)), "%+v", of)
	}
}

// TestPresolveRoundTrip solves whole-figure programs with and without presolving. The basis that the
// undoing arrives at must itself be optimal: no pivot may be left.
func TestPresolveRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		got, left, reduced := solveReduced(p)
		if !reduced {
			return
		}
		requireSameOutcome(t, solvePlain(p), got, p)
		if got.Status == Optimal {
			require.Zero(t, left, "%+v", p)
		}
	})
}

// sparseProgram draws a sparser and larger program with what presolving looks for: singleton rows and
// columns, parallel rows and columns, forcing and redundant rows. A hidden point keeps it feasible.
func sparseProgram(r *rand.Rand, n, m int) *Problem {
	p := &Problem{}
	point := make([]float64, n)
	for j := range n {
		c := Column{Cost: float64(r.IntN(19) - 4), Lower: 0, Upper: Inf}
		point[j] = float64(r.IntN(4))
		switch r.IntN(8) {
		case 0:
			c.Upper = point[j] + float64(r.IntN(5))
		case 1:
			c.Lower, c.Upper = -Inf, Inf
		case 2:
			c.Cost = 0
		}
		p.AddColumn(c)
	}
	for i := range m {
		row := Row{Lower: -Inf, Upper: Inf}
		if i > 0 && r.IntN(6) == 0 { // a multiple of the last row
			factor := float64(1 + r.IntN(3))
			for _, t := range p.Rows[i-1].Terms {
				row.Terms = append(row.Terms, Term{t.Column, factor * t.Value})
			}
		} else {
			for j := range n {
				if r.Float64() < 2/float64(n) {
					row.Terms = append(row.Terms, Term{j, float64(r.IntN(9) - 4)})
				}
			}
		}
		activity := formAt(row.Terms, point)
		switch r.IntN(4) {
		case 0:
			row.Lower, row.Upper = activity, activity
		case 1:
			row.Lower = activity - float64(r.IntN(3))
		case 2:
			row.Upper = activity + float64(r.IntN(3))
		default:
			row.Lower, row.Upper = activity-float64(r.IntN(3)), activity+float64(r.IntN(3))
		}
		p.AddRow(row)
	}
	for j := range n { // a column parallel to the one before
		if j > 0 && r.IntN(10) == 0 {
			p.Columns[j].Cost = p.Columns[j-1].Cost
			for i := range p.Rows {
				terms := p.Rows[i].Terms[:0]
				value := 0.0
				for _, t := range p.Rows[i].Terms {
					if t.Column == j-1 {
						value = t.Value
					}
					if t.Column != j {
						terms = append(terms, t)
					}
				}
				if value != 0 {
					terms = append(terms, Term{j, value})
				}
				p.Rows[i].Terms = terms
			}
		}
	}
	return p
}

func TestPresolveSparsePrograms(t *testing.T) {
	kinds := map[presolve.ReductionKind]int{}
	optimal := 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 11))
		p := sparseProgram(r, 5+r.IntN(40), 5+r.IntN(40))
		want := solvePlain(p)
		got, left, reduced := solveReduced(p)
		if !reduced {
			continue
		}
		requireSameOutcome(t, want, got, seed)
		if got.Status == Optimal {
			optimal++
			require.Zero(t, left, "program %d", seed)
		}
		reducer := presolve.NewReducer(newForm(p), func() bool { return false })
		reducer.Run()
		for _, s := range reducer.Steps {
			kinds[s.Kind]++
		}
	}
	require.Greater(t, optimal, 50)
	for kind := presolve.DropRow; kind <= presolve.MergeColumns; kind++ {
		require.Positive(t, kinds[kind], "reduction %d was never tried", kind)
	}
}
