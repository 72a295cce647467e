package study_test

import (
	"bufio"
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/profiles"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// glpsol returns the optimum that GLPK finds of a program in MPS, and whether it finds any.
func glpsol(t *testing.T, text []byte) (optimum float64, ok bool) {
	t.Helper()
	dir := t.TempDir()
	program, solution := filepath.Join(dir, "p.mps"), filepath.Join(dir, "s.txt")
	require.NoError(t, os.WriteFile(program, text, 0o600))
	out, err := exec.Command("glpsol", "--freemps", program, "-w", solution).CombinedOutput()
	require.NoError(t, err, string(out))
	data, err := os.ReadFile(solution)
	require.NoError(t, err)
	lines := bufio.NewScanner(bytes.NewReader(data))
	for lines.Scan() {
		// s bas rows columns primal-status dual-status objective
		f := strings.Fields(lines.Text())
		if len(f) == 7 && f[0] == "s" {
			optimum, err = strconv.ParseFloat(f[6], 64)
			require.NoError(t, err)
			return optimum, f[4] == "f" && f[5] == "f"
		}
	}
	t.Fatal("glpsol wrote no solution")
	return 0, false
}

// Every brief of ours, exported as MPS, has the same least cost in GLPK, an independent solver.
func TestBriefsHaveTheSameLeastCostElsewhere(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Skip("glpsol is not installed (Debian: glpk-utils)")
	}
	lib, err := profile.Embedded()
	require.NoError(t, err)
	jobs := map[string]*brief.Job{}
	entries, err := profiles.FS.ReadDir("demo")
	require.NoError(t, err)
	for _, e := range entries {
		job, err := brief.OpenFS(profiles.FS, "demo/"+e.Name(), "demo:", lib)
		require.NoError(t, err)
		jobs[e.Name()] = job
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "blends", "*.toml"))
	require.NoError(t, err)
	for _, file := range files {
		job, err := brief.Open(file, lib)
		require.NoError(t, err)
		jobs[filepath.Base(file)] = job
	}
	require.GreaterOrEqual(t, len(jobs), 14)
	for name, job := range jobs {
		t.Run(name, func(t *testing.T) {
			a, err := study.Blend(context.Background(), job)
			require.NoError(t, err)
			var text bytes.Buffer
			require.NoError(t, mps.Write(&text, a.Formulation.Problem))
			optimum, ok := glpsol(t, text.Bytes())
			require.Equal(t, a.Conflict == nil, ok)
			if ok {
				assert.InEpsilon(t, optimum, a.LeastCost, 1e-7)
			}
		})
	}
}
