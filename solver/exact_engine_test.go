package solver

import (
	"context"
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// requireSolveProved checks a floating-point outcome against the exact one of the same problem.
func requireSolveProved(t require.TestingT, p *Problem) {
	s, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	cold, err := Prove(context.Background(), p, nil, Options{})
	require.NoError(t, err)
	require.True(t, cold.Proved(), cold.Reason)
	warm, err := Prove(context.Background(), p, s, Options{})
	require.NoError(t, err)
	require.Equal(t, cold.Status, warm.Status, "%+v", p)
	require.Equal(t, cold.Status, s.Status, "%s: %+v", s.Reason, p)
	if cold.Status != Optimal {
		return
	}
	require.Zero(t, cold.Objective.Cmp(warm.Objective), "%+v", p)
	exact := float(cold.Objective)
	require.InDelta(t, exact, s.Objective, 1e-7*(1+math.Abs(exact)), "%+v", p)
}

// The engine and the exact simplex agree on small degenerate programs.
func TestSolveAgreesWithExact(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) { requireSolveProved(rt, tinyProblem().Draw(rt, "problem")) })
}

// FuzzExact compares the engine's status and objective with the exact ones on tiny programs read from
// the fuzzer's bytes.
func FuzzExact(f *testing.F) {
	f.Add([]byte{0, 2, 2, 1, 5, 7, 9, 3, 3, 4, 8, 1, 2, 6, 200, 31, 7})
	f.Add([]byte{1, 4, 3, 255, 254, 253, 1, 2, 3, 9, 9, 9, 9, 17, 80, 4, 4, 4, 4, 90, 6, 33, 12, 99, 7, 1})
	f.Add([]byte("a program read from a sentence is as good as any other, and mostly infeasible"))
	f.Fuzz(func(t *testing.T, data []byte) { requireSolveProved(t, fuzzedProblem(data)) })
}

// fuzzedProblem reads a program of at most 4 columns and 4 rows from bytes; when they run out the rest
// is zero.
func fuzzedProblem(data []byte) *Problem {
	next := func() int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b)
	}
	figures := [...]float64{0, 1, -1, 2, -2, 0.5, -3, 0.1, -0.1, 7, 10, 0.3, -0.7, 100, 1e-3, 1.7}
	figure := func() float64 { return figures[next()%len(figures)] }
	bounds := func() (lower, upper float64) {
		switch kind := next(); kind % 8 {
		case 0, 1:
			return 0, Inf
		case 2:
			return -Inf, Inf
		case 3:
			return -Inf, figure()
		case 4:
			return figure(), Inf
		case 5:
			v := figure()
			return v, v
		}
		a, b := figure(), figure()
		return math.Min(a, b), math.Max(a, b)
	}
	p := &Problem{Sense: Sense(next() % 2)}
	columns, rows := next()%5, next()%5
	for range columns {
		lower, upper := bounds()
		p.AddColumn(Column{Cost: figure(), Lower: lower, Upper: upper})
	}
	for range rows {
		lower, upper := bounds()
		row := Row{Lower: lower, Upper: upper}
		for j := range columns {
			if v := figure(); v != 0 {
				row.Terms = append(row.Terms, Term{j, v})
			}
		}
		p.AddRow(row)
	}
	return p
}

// TestFuzzedProblemIsWellFormed keeps the fuzz target from being skipped over by malformed programs.
func TestFuzzedProblemIsWellFormed(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		data := make([]byte, 0, 64)
		for range 8 {
			data = binary.LittleEndian.AppendUint64(data, rapid.Uint64().Draw(rt, "bytes"))
		}
		require.NoError(rt, fuzzedProblem(data).Check())
	})
}
