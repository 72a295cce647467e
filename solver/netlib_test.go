package solver_test

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"bittersum/solver"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// netlibVariable names the environment variable that holds the folder of the Netlib programs: MPS files
// by name, the infeasible ones in a folder infeas, and optima.csv with the published optima.
const netlibVariable = "BITTERSUM_NETLIB"

// netlibTime caps the time for one program, and netlibShort the size of those that a short test solves.
const (
	netlibTime  = 2 * time.Minute
	netlibShort = 300 << 10
)

func netlibFolder(t testing.TB) string {
	folder := os.Getenv(netlibVariable)
	if folder == "" {
		t.Skipf("%s does not name the folder of the Netlib programs", netlibVariable)
	}
	return folder
}

// netlibOptima returns the optimum of each program as the Netlib index (lp/data/readme) publishes it: the
// CPLEX figure where the MINOS figure is known to be off. For standgub, which has none, it is that of
// standata, of which standgub is a copy.
func netlibOptima(t testing.TB, folder string) map[string]float64 {
	file, err := os.Open(filepath.Join(folder, "optima.csv"))
	require.NoError(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	at := map[string]int{}
	for i, name := range lines[0] {
		at[name] = i
	}
	optima := map[string]float64{}
	for _, line := range lines[1:] {
		text := line[at["optimum_published_netlib"]]
		if alternative := line[at["optimum_published_alt_cplex"]]; alternative != "" {
			text = alternative
		}
		if text == "" {
			continue
		}
		value, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		optima[line[at["name"]]] = value
	}
	optima["standgub"] = optima["standata"]
	return optima
}

// tooLarge skips a large program in a short test.
func tooLarge(t testing.TB, path string) {
	info, err := os.Stat(path)
	require.NoError(t, err)
	if testing.Short() && info.Size() > netlibShort {
		t.Skip("large, in a short test")
	}
}

func TestNetlib(t *testing.T) {
	folder := netlibFolder(t)
	for name, want := range netlibOptima(t, folder) {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(folder, name+".mps")
			tooLarge(t, path)
			p := readFile(t, path)
			begin := time.Now()
			s, err := solver.Solve(context.Background(), p, solver.Options{Time: netlibTime})
			require.NoError(t, err)
			require.Equal(t, solver.Optimal, s.Status, s.Reason)
			assert.InEpsilon(t, want, s.Objective, 1e-7)
			t.Logf("%.0f ms, %d iterations, residuals %.1g, %.1g, gap %.1g", time.Since(begin).Seconds()*1e3, s.Iterations,
				s.Certificate.PrimalResidual, s.Certificate.DualResidual, s.Certificate.Gap)
		})
	}
}

func TestNetlibInfeasible(t *testing.T) {
	folder := netlibFolder(t)
	paths, err := filepath.Glob(filepath.Join(folder, "infeas", "*.mps"))
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".mps"), func(t *testing.T) {
			tooLarge(t, path)
			p := readFile(t, path)
			begin := time.Now()
			s, err := solver.Solve(context.Background(), p, solver.Options{Time: netlibTime})
			require.NoError(t, err)
			require.Equal(t, solver.Infeasible, s.Status, s.Reason)
			assertFarkas(t, p, s.Farkas)
			t.Logf("%.0f ms, %d iterations", time.Since(begin).Seconds()*1e3, s.Iterations)
		})
	}
}

// assertFarkas checks a proof of infeasibility: no x within the column bounds brings y·A x down to what
// the row bounds allow y·s to be.
func assertFarkas(t *testing.T, p *solver.Problem, y []float64) {
	t.Helper()
	require.Len(t, y, len(p.Rows))
	columns := make([]float64, len(p.Columns))
	sizes := make([]float64, len(p.Columns))
	most, size := 0.0, 0.0
	for i, row := range p.Rows {
		if y[i] == 0 {
			continue
		}
		limit := row.Upper
		if y[i] < 0 {
			limit = row.Lower
		}
		require.Less(t, math.Abs(limit), solver.Huge, "row %q has no such limit", row.Name)
		most += y[i] * limit
		size += math.Abs(y[i] * limit)
		for _, term := range row.Terms {
			columns[term.Column] += y[i] * term.Value
			sizes[term.Column] += math.Abs(y[i] * term.Value)
		}
	}
	least := 0.0
	for j, v := range columns {
		limit := p.Columns[j].Lower
		if v < 0 {
			limit = p.Columns[j].Upper
		}
		if math.Abs(limit) >= solver.Huge {
			require.LessOrEqual(t, math.Abs(v), 1e-9*sizes[j], "column %q has no such limit", p.Columns[j].Name)
			continue
		}
		least += v * limit
		size += math.Abs(v * limit)
	}
	assert.Greater(t, least-most, 1e-12*size, "the weighted rows do not contradict the bounds")
}
