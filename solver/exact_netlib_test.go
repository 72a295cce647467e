package solver_test

import (
	"context"
	"encoding/csv"
	"math/big"
	"os"
	"path/filepath"
	"testing"
	"time"

	"bittersum/solver"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/require"
)

// netlib returns the folder of the public Netlib programs, or skips the test.
func netlib(t *testing.T) string {
	t.Helper()
	folder := os.Getenv("BITTERSUM_NETLIB")
	if folder == "" {
		t.Skip("BITTERSUM_NETLIB names no folder with the Netlib programs")
	}
	return folder
}

func table(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for k, name := range lines[0] {
			row[name] = line[k]
		}
		rows = append(rows, row)
	}
	return rows
}

func proved(t *testing.T, file string) (*solver.Solution, *solver.Proof) {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	p, err := mps.Read(f)
	require.NoError(t, err)
	s, err := solver.Solve(context.Background(), p, solver.Options{})
	require.NoError(t, err)
	begun := time.Now()
	proof, err := solver.Prove(context.Background(), p, s, solver.Options{Time: 20 * time.Second})
	require.NoError(t, err)
	t.Logf("%d rows, %d columns: %v %s, %d exact pivots, %v", len(p.Rows), len(p.Columns), proof.Status, proof.Reason,
		proof.Pivots, time.Since(begun).Round(time.Millisecond))
	return s, proof
}

// largestProved is the size of file, in bytes, up to which the Netlib programs are proved in a test.
const largestProved = "150000"

// Proofs agree with the exact solver QSopt_ex to all the digits of its value that are on record.
func TestProveNetlib(t *testing.T) {
	folder := netlib(t)
	for _, row := range table(t, filepath.Join(folder, "optima.csv")) {
		if !smaller(t, row["bytes"], largestProved) || row["exact_qsopt_ex"] == "" {
			continue
		}
		t.Run(row["name"], func(t *testing.T) {
			_, proof := proved(t, filepath.Join(folder, row["name"]+".mps"))
			require.Equal(t, solver.Optimal, proof.Status, proof.Reason)
			want, ok := new(big.Rat).SetString(row["exact_qsopt_ex"])
			require.True(t, ok)
			if fraction := row["exact_fraction_if_short"]; fraction != "" {
				want, ok = new(big.Rat).SetString(fraction)
				require.True(t, ok)
				require.Equal(t, want.RatString(), proof.Objective.RatString())
				return
			}
			off := new(big.Rat).Sub(want, proof.Objective)
			off.Abs(off.Quo(off, want))
			require.Negative(t, off.Cmp(big.NewRat(1, 1e18)), "%s against %s", proof.Objective.FloatString(20), row["exact_qsopt_ex"])
		})
	}
}

// The infeasible Netlib programs are proved infeasible.
func TestProveNetlibInfeasible(t *testing.T) {
	folder := filepath.Join(netlib(t), "infeas")
	for _, row := range table(t, filepath.Join(folder, "infeasible.csv")) {
		file := filepath.Join(folder, row["name"]+".mps")
		if _, err := os.Stat(file); err != nil || !smaller(t, row["bytes"], largestProved) {
			continue
		}
		t.Run(row["name"], func(t *testing.T) {
			_, proof := proved(t, file)
			require.Equal(t, solver.Infeasible, proof.Status, proof.Reason)
			require.NotEmpty(t, proof.Farkas)
		})
	}
}

func smaller(t *testing.T, a, b string) bool {
	t.Helper()
	x, ok := new(big.Int).SetString(a, 10)
	y, okay := new(big.Int).SetString(b, 10)
	require.True(t, ok && okay)
	return x.Cmp(y) < 0
}

// Conflicts of the infeasible Netlib programs are found and pass their own exact check. Their sizes need
// not be those that other solvers find, since a program may have many.
func TestFindConflictNetlib(t *testing.T) {
	folder := filepath.Join(netlib(t), "infeas")
	for _, row := range table(t, filepath.Join(folder, "infeasible.csv")) {
		file := filepath.Join(folder, row["name"]+".mps")
		if _, err := os.Stat(file); err != nil || !smaller(t, row["bytes"], largestProved) {
			continue
		}
		t.Run(row["name"], func(t *testing.T) {
			f, err := os.Open(file)
			require.NoError(t, err)
			defer f.Close()
			p, err := mps.Read(f)
			require.NoError(t, err)
			ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
			defer cancel()
			begun := time.Now()
			c, err := solver.FindConflict(ctx, p, solver.ConflictOptions{})
			require.NoError(t, err)
			require.False(t, c.Feasible)
			rows := 0
			for _, b := range c.Members {
				if b.Row {
					rows++
				}
			}
			require.Positive(t, len(c.Members))
			t.Logf("%d rows and %d bounds, %v; on record: %s rows and %s bounds", rows, len(c.Members)-rows,
				time.Since(begun).Round(time.Millisecond), row["iis_rows"], row["iis_bounds"])
		})
	}
}
