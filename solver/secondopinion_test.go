package solver_test

import (
	"context"
	"math"
	"testing"
	"time"

	"bittersum/solver"
	"bittersum/solver/internal/generate"
	"bittersum/solver/internal/peer"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSecondOpinionKnownAnswers(t *testing.T) {
	inf := solver.Inf
	column := func(cost, lower, upper float64) solver.Column {
		return solver.Column{Cost: cost, Lower: lower, Upper: upper}
	}
	for name, c := range map[string]struct {
		p      solver.Problem
		status solver.Status
		value  float64
		reason string
	}{
		// Hillier and Lieberman, Introduction to Operations Research, section 3.1: 36 at (2, 6).
		"Wyndor Glass": {solver.Problem{Sense: solver.Maximize, Offset: 1,
			Columns: []solver.Column{column(3, 0, inf), column(5, 0, inf)},
			Rows: []solver.Row{
				{Lower: -inf, Upper: 4, Terms: []solver.Term{{Column: 0, Value: 1}}},
				{Lower: -inf, Upper: 12, Terms: []solver.Term{{Column: 1, Value: 2}}},
				{Lower: -inf, Upper: 18, Terms: []solver.Term{{Column: 0, Value: 3}, {Column: 1, Value: 2}}},
			}}, solver.Optimal, 37, ""},
		"no rows":           {solver.Problem{Columns: []solver.Column{column(1, -2, 5), column(-1, -2, 5), column(0, -inf, 5)}}, solver.Optimal, -7, ""},
		"nothing":           {solver.Problem{Offset: 3}, solver.Optimal, 3, ""},
		"no rows, no limit": {solver.Problem{Columns: []solver.Column{column(1, -inf, 5)}}, solver.Unbounded, 0, ""},
		"no limit beside a row": {solver.Problem{Columns: []solver.Column{column(1, -inf, 5), column(0, 0, 1)},
			Rows: []solver.Row{{Lower: 0.5, Upper: 2, Terms: []solver.Term{{Column: 1, Value: 1}}}}}, solver.Unbounded, 0, ""},
		"no limit but no point": {solver.Problem{Columns: []solver.Column{column(1, -inf, 5), column(0, 0, 1)},
			Rows: []solver.Row{{Lower: 1.5, Upper: 2, Terms: []solver.Term{{Column: 1, Value: 1}}}}}, solver.Infeasible, 0, ""},
		"crossed bounds":       {solver.Problem{Columns: []solver.Column{column(1, 2, 1)}}, solver.Infeasible, 0, ""},
		"crossed row":          {solver.Problem{Rows: []solver.Row{{Lower: 2, Upper: 1}}}, solver.Infeasible, 0, ""},
		"row of fixed columns": {solver.Problem{Columns: []solver.Column{column(1, 2, 2)}, Rows: []solver.Row{{Lower: 3, Upper: 4, Terms: []solver.Term{{Column: 0, Value: 1}}}}}, solver.Infeasible, 0, ""},
		"integers": {solver.Problem{Columns: []solver.Column{{Upper: 1, Kind: solver.Integer}}},
			solver.Unproved, 0, "the problem is more than linear"},
	} {
		t.Run(name, func(t *testing.T) {
			opinion, err := solver.SecondOpinion(context.Background(), &c.p)
			require.NoError(t, err)
			assert.Equal(t, c.status, opinion.Status)
			assert.Equal(t, c.reason, opinion.Reason)
			if c.status == solver.Optimal {
				assert.InDelta(t, c.value, opinion.Objective, 1e-9)
				assert.InDelta(t, c.value, c.p.Value(opinion.X), 1e-9)
			}
		})
	}
}

func TestSecondOpinionEndsWithTheContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	opinion, err := solver.SecondOpinion(ctx, generate.Recipe(40, 20, 1, false))
	require.NoError(t, err)
	assert.Equal(t, solver.Opinion{Reason: "no answer in time"}, opinion)
}

func TestSecondOpinionRefusesMalformed(t *testing.T) {
	_, err := solver.SecondOpinion(context.Background(), &solver.Problem{Offset: math.NaN()})
	require.Error(t, err)
}

// Where the second opinion answers at all, GLPK gives the same answer.
func TestSecondOpinionAgreesWithGlpsol(t *testing.T) {
	if !peer.Glpsol.Present() {
		t.Skip("glpsol is not installed")
	}
	answered := 0
	folder := t.TempDir()
	for number := range uint64(80) {
		kind, p := generate.Small(number)
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		opinion, err := solver.SecondOpinion(ctx, p)
		cancel()
		require.NoError(t, err)
		if opinion.Status == solver.Unproved {
			continue
		}
		answered++
		answer, err := peer.Glpsol.Solve(folder, p)
		require.NoError(t, err)
		require.Equal(t, answer.Status, opinion.Status, "program %d, %s", number, kind)
		if answer.Status == solver.Optimal {
			require.InDelta(t, answer.Objective, opinion.Objective, 1e-7*(1+math.Abs(answer.Objective)), "program %d, %s", number, kind)
		}
	}
	assert.Greater(t, answered, 70)
}
