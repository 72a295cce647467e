package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestSessionAgreesWithFreshSolve changes a random program step by step and compares each re-solve
// with a solve from scratch of the same program.
func TestSessionAgreesWithFreshSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		session, err := NewSession(p, Options{})
		require.NoError(t, err)
		for range rapid.IntRange(1, 6).Draw(t, "changes") {
			changeSession(t, session)
			warm, err := session.Solve(context.Background())
			require.NoError(t, err)
			fresh, err := Solve(context.Background(), session.Problem(), Options{})
			require.NoError(t, err)
			if warm.Status == Infeasible && fresh.Status == Unbounded || warm.Status == Unbounded && fresh.Status == Infeasible {
				t.Fatalf("warm %v, fresh %v", warm.Status, fresh.Status)
			}
			require.Equal(t, fresh.Status, warm.Status, "%+v: %s", p, warm.Reason)
			if fresh.Status == Optimal {
				require.InDelta(t, fresh.Objective, warm.Objective, 1e-7*(1+math.Abs(fresh.Objective)))
			}
		}
	})
}

func changeSession(t *rapid.T, session *Session) {
	p := session.Problem()
	n, m := len(p.Columns), len(p.Rows)
	switch rapid.IntRange(0, 4).Draw(t, "change") {
	case 0:
		if n > 0 {
			session.SetCost(rapid.IntRange(0, n-1).Draw(t, "column"), float64(rapid.IntRange(-9, 9).Draw(t, "cost")))
		}
	case 1:
		if n > 0 {
			lower, upper := drawBounds(t)
			session.SetColumnBounds(rapid.IntRange(0, n-1).Draw(t, "column"), lower, upper)
		}
	case 2:
		if m > 0 {
			lower, upper := drawBounds(t)
			session.SetRowBounds(rapid.IntRange(0, m-1).Draw(t, "row"), lower, upper)
		}
	case 3:
		_, err := session.AddRow(drawRow(t, n))
		require.NoError(t, err)
	case 4:
		lower, upper := drawBounds(t)
		var terms []RowTerm
		for i := range m {
			if v := rapid.IntRange(-3, 3).Draw(t, "value"); v != 0 {
				terms = append(terms, RowTerm{Row: i, Value: float64(v)})
			}
		}
		_, err := session.AddColumn(Column{Cost: float64(rapid.IntRange(-9, 9).Draw(t, "cost")), Lower: lower, Upper: upper}, terms)
		require.NoError(t, err)
	}
}

// drawProblem draws a small program with whole figures: degenerate, with free and fixed columns, free
// rows and equalities, often infeasible or unbounded.
func drawProblem(t *rapid.T) *Problem {
	p := &Problem{}
	if rapid.Bool().Draw(t, "maximize") {
		p.Sense = Maximize
	}
	n := rapid.IntRange(0, 7).Draw(t, "columns")
	for range n {
		lower, upper := drawBounds(t)
		p.AddColumn(Column{Cost: float64(rapid.IntRange(-9, 9).Draw(t, "cost")), Lower: lower, Upper: upper})
	}
	for range rapid.IntRange(0, 7).Draw(t, "rows") {
		p.AddRow(drawRow(t, n))
	}
	return p
}

func drawRow(t *rapid.T, n int) Row {
	r := Row{}
	r.Lower, r.Upper = drawBounds(t)
	for j := range n {
		if v := rapid.IntRange(-3, 3).Draw(t, "value"); v != 0 {
			r.Terms = append(r.Terms, Term{Column: j, Value: float64(v)})
		}
	}
	return r
}

func drawBounds(t *rapid.T) (lower, upper float64) {
	switch rapid.IntRange(0, 9).Draw(t, "bounds") {
	case 0:
		return -Inf, Inf
	case 1:
		v := float64(rapid.IntRange(-5, 5).Draw(t, "fixed"))
		return v, v
	case 2, 3:
		return -Inf, float64(rapid.IntRange(-5, 9).Draw(t, "upper"))
	case 4, 5, 6:
		return float64(rapid.IntRange(-5, 5).Draw(t, "lower")), Inf
	}
	l := rapid.IntRange(-5, 5).Draw(t, "lower")
	return float64(l), float64(l + rapid.IntRange(0, 8).Draw(t, "span"))
}

// TestSolveMatchesExactProof compares status and objective of small programs with the proof in
// rational arithmetic, which starts from no basis of ours.
func TestSolveMatchesExactProof(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		s, err := Solve(context.Background(), p, Options{})
		require.NoError(t, err)
		proof, err := Prove(context.Background(), p, nil, Options{})
		require.NoError(t, err)
		require.Equal(t, proof.Status, s.Status, "%+v: %s", p, s.Reason)
		if s.Status == Optimal {
			exact, _ := proof.Objective.Float64()
			require.InDelta(t, exact, s.Objective, 1e-9*(1+math.Abs(exact)))
		}
	})
}

func TestSessionRefusesWhatIsMalformed(t *testing.T) {
	session, err := NewSession(&Problem{Columns: []Column{{Name: "x", Upper: 1}}, Rows: []Row{{Name: "r", Upper: 1}}}, Options{})
	require.NoError(t, err)
	_, err = session.AddRow(Row{Name: "bad", Terms: []Term{{Column: 3, Value: 1}}})
	assert.EqualError(t, err, `solver: row "bad": there is no column 3`)
	_, err = session.AddColumn(Column{Name: "y", Upper: 1}, []RowTerm{{Row: 7, Value: 1}})
	assert.EqualError(t, err, `solver: column "y": there is no row 7`)
	_, err = session.AddColumn(Column{Name: "y", Upper: 1}, []RowTerm{{Row: 0, Value: 1}, {Row: 0, Value: 2}})
	assert.EqualError(t, err, `solver: column "y": row 0 stands twice`)
	s, err := session.Solve(context.Background())
	require.NoError(t, err)
	assert.Equal(t, Optimal, s.Status, "what was refused left no trace")
	assert.Len(t, s.X, 1)
}
