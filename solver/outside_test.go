package solver_test

import (
	"context"
	"math"
	"os"
	"strconv"
	"testing"

	"bittersum/solver"
	"bittersum/solver/internal/generate"
	"bittersum/solver/internal/peer"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// programsVariable names the environment variable that says how many random programs to compare.
// 20 000 take about ten minutes:
//
//	BITTERSUM_PROGRAMS=20000 go test -run TestRandomProgramsAgainstPeers -timeout 60m ./solver
const programsVariable = "BITTERSUM_PROGRAMS"

// programs returns how many random programs to compare.
func programs(t *testing.T, usual int) int {
	text := os.Getenv(programsVariable)
	if text == "" {
		if testing.Short() {
			return usual / 5
		}
		return usual
	}
	count, err := strconv.Atoi(text)
	require.NoError(t, err, programsVariable)
	return count
}

// agree reports whether two outcomes have the same status and, if optimal, the same objective to 1e-7,
// relative to its magnitude or to the size of its terms where these cancel out.
func agree(a, b solver.Status, objectiveA, objectiveB, size float64) bool {
	return a == b && (a != solver.Optimal || math.Abs(objectiveA-objectiveB) <= 1e-7*math.Max(math.Abs(objectiveB), size))
}

// size returns the sum of the terms of the objective at x in magnitude.
func size(p *solver.Problem, x []float64) float64 {
	sum := math.Abs(p.Offset)
	for j, v := range x {
		sum += math.Abs(p.Columns[j].Cost * v)
	}
	return math.Max(sum, 1e-6)
}

// Random programs of every kind have the status and the objective that GLPK and CLP find. Where these
// two disagree with the answer, or with each other, rational arithmetic decides: QSopt_ex if it is
// installed, else the proof of this package.
func TestRandomProgramsAgainstPeers(t *testing.T) {
	if !peer.Glpsol.Present() || !peer.Clp.Present() {
		t.Skip("glpsol and clp are not both installed")
	}
	folder := t.TempDir()
	settled, kinds := 0, map[string]int{}
	for number := range uint64(programs(t, 560)) {
		kind, p := generate.Small(number)
		s, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		kinds[kind+", "+s.Status.String()]++
		glpk, err := peer.Glpsol.Solve(folder, p)
		require.NoError(t, err)
		clp, err := peer.Clp.Solve(folder, p)
		require.NoError(t, err)
		scale := size(p, s.X)
		if agree(s.Status, glpk.Status, s.Objective, glpk.Objective, scale) && agree(s.Status, clp.Status, s.Objective, clp.Objective, scale) {
			continue
		}
		settled++
		status, objective := exactly(t, folder, p, s)
		if !assert.Truef(t, agree(s.Status, status, s.Objective, objective, scale),
			"program %d, %s: %v %v (%s), but exactly %v %v", number, kind, s.Status, s.Objective, s.Reason, status, objective) {
			t.Logf("glpsol: %v %v, clp: %v %v", glpk.Status, glpk.Objective, clp.Status, clp.Objective)
		}
	}
	t.Logf("outcomes: %v; %d settled exactly", kinds, settled)
}

// exactly returns the outcome in rational arithmetic.
func exactly(t *testing.T, folder string, p *solver.Problem, s *solver.Solution) (solver.Status, float64) {
	t.Helper()
	if peer.Esolver.Present() {
		// QSopt_ex refuses programs without rows.
		if answer, err := peer.Esolver.Solve(folder, p); err == nil && answer.Status != solver.Unproved {
			return answer.Status, answer.Objective
		}
	}
	proof, err := solver.Prove(context.Background(), p, s, solver.Options{})
	require.NoError(t, err)
	if proof.Objective == nil {
		return proof.Status, 0
	}
	objective, _ := proof.Objective.Float64()
	return proof.Status, objective
}

// overstep returns the largest amount by which x oversteps a bound, a row or a whole number.
func overstep(p *solver.Problem, x []float64) float64 {
	worst := 0.0
	for j, c := range p.Columns {
		worst = max(worst, c.Lower-x[j], x[j]-c.Upper)
		if c.Kind == solver.Integer {
			worst = max(worst, math.Abs(x[j]-math.Round(x[j])))
		}
	}
	for _, row := range p.Rows {
		activity := 0.0
		for _, term := range row.Terms {
			activity += term.Value * x[term.Column]
		}
		worst = max(worst, row.Lower-activity, activity-row.Upper)
	}
	return worst
}

// Random mixed-integer programs have the status and the objective that GLPK and CBC find. CBC misses the
// optimum now and then; then GLPK must agree, and the better point must hold.
func TestRandomMixedIntegersAgainstPeers(t *testing.T) {
	if !peer.Glpsol.Present() || !peer.Cbc.Present() {
		t.Skip("glpsol and cbc are not both installed")
	}
	folder := t.TempDir()
	kinds := map[string]int{}
	for number := range uint64(min(programs(t, 60), 4000)) {
		kind, p := generate.Mixed(number)
		s, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		kinds[kind+", "+s.Status.String()]++
		if s.Status == solver.Optimal {
			require.InDelta(t, s.Objective, s.Bound, 1e-7*size(p, s.X), "program %d, %s", number, kind)
		}
		scale := size(p, s.X)
		for _, program := range []peer.Program{peer.Glpsol, peer.Cbc} {
			answer, err := program.Solve(folder, p)
			require.NoError(t, err)
			worse := answer.Objective > s.Objective
			if p.Sense == solver.Maximize {
				worse = answer.Objective < s.Objective
			}
			if program.Name == "cbc" && answer.Status == s.Status && s.Status == solver.Optimal && worse && overstep(p, s.X) <= 1e-9 {
				continue
			}
			assert.Truef(t, agree(s.Status, answer.Status, s.Objective, answer.Objective, scale), "program %d, %s: %v %v (%s), but %s says %v %v",
				number, kind, s.Status, s.Objective, s.Reason, program.Name, answer.Status, answer.Objective)
		}
	}
	t.Logf("outcomes: %v", kinds)
}
