package study

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/profile"
	"bittersum/solver"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// only returns the program of the given limits alone, with what no one can change: that amounts are not
// negative, what lots hold, and the kettle.
func only(f *formulate.Formulation, members []formulate.Limit) *solver.Problem {
	p := f.Problem.Clone()
	drop := func(l formulate.Limit) {
		q := f.Without(l)
		if l.Row >= 0 {
			p.Rows[l.Row] = q.Rows[l.Row]
			return
		}
		if l.Side != formulate.Max {
			p.Columns[l.Column].Lower = q.Columns[l.Column].Lower
		}
		if l.Side != formulate.Min {
			p.Columns[l.Column].Upper = q.Columns[l.Column].Upper
		}
	}
	for _, l := range f.Limits {
		keep := l.Kind == formulate.Recovery || l.Kind == formulate.Volume || l.Kind == formulate.Liquor
		for _, m := range members {
			keep = keep || m.Same(l)
		}
		if !keep {
			drop(l)
		}
	}
	return p
}

// requireIrreducible solves the limits that are said to exclude each other, which must have no recipe, and
// again without each of them, which must have one.
func requireIrreducible(t *testing.T, a *Answer) {
	t.Helper()
	status := func(members []formulate.Limit) solver.Status {
		s, err := solver.Solve(t.Context(), only(a.Formulation, members), solver.Options{})
		require.NoError(t, err)
		proof, err := solver.Prove(t.Context(), only(a.Formulation, members), s, solver.Options{})
		require.NoError(t, err)
		return proof.Status
	}
	members := a.Conflict.Members
	require.NotEmpty(t, members)
	assert.Equal(t, solver.Infeasible, status(members), "the members exclude each other")
	for n, m := range members {
		if m.Kind == formulate.Recovery || m.Kind == formulate.Volume || m.Kind == formulate.Liquor {
			continue
		}
		rest := append(append([]formulate.Limit(nil), members[:n]...), members[n+1:]...)
		assert.Equal(t, solver.Optimal, status(rest), "%s %s %s %v is a bystander", m.Kind, m.Name, m.Side, m.Value)
	}
}

// A least amount that a conflict does not need is not named: bitterness beyond what the cap on quinine leaves
// is out of reach whether or not some lemon juice is asked for.
func TestConflictsNameNoBystanders(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, c := range []struct {
		bitterness, juice, acidity float64
		named                      bool
	}{
		{400, 5, 8, false}, {400, 50, 8, false}, {400, 0, 8, false}, {60, 400, 8, true}, {60, 60, 2.5, true},
	} {
		text := fmt.Sprintf(`name = "t"
markets = ["us"]
carbonated = true
use = ["water", "sugar", "citric-acid", "lemon-juice", "quinine-hydrochloride", "gentian-root"]
[targets.bitterness]
min = %v
[targets.sugars]
min = 70
max = 90
[targets.acidity]
min = 2
max = %v
[limits.lemon-juice]
min_g_per_l = %v
[limits.gentian-root]
max_g_per_l = 0.5
`, c.bitterness, c.acidity, c.juice)
		path := filepath.Join(t.TempDir(), "brief.toml")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		job, err := brief.Open(path, lib)
		require.NoError(t, err)
		a, err := Cheapest(t.Context(), job)
		require.NoError(t, err)
		require.NotNil(t, a.Conflict, "%+v", c)
		named := false
		for _, m := range a.Conflict.Members {
			named = named || m.Name == "lemon-juice"
		}
		assert.Equal(t, c.named, named, "%+v: %v", c, a.Conflict.Members)
		requireIrreducible(t, a)
	}
}
