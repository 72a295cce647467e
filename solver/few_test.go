package solver_test

import (
	"context"
	"fmt"
	"testing"

	"bittersum/solver"
	"bittersum/solver/internal/generate"
	"bittersum/solver/internal/peer"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Blends of at most k of n ingredients with least doses come to what other solvers find, those without an answer too.
func TestFewAgainstPeers(t *testing.T) {
	checked := 0
	for _, other := range []peer.Program{peer.Glpsol, peer.Cbc} {
		if !other.Present() {
			t.Logf("%v is not installed", other)
			continue
		}
		for _, number := range []uint64{0, 5, 9, 12, 16, 19, 24, 27, 29, 34, 39, 49, 59} { // those that end in 9 may have no answer
			p := generate.Few(number)
			want, err := other.Solve(t.TempDir(), p)
			require.NoError(t, err)
			got, err := solver.Solve(context.Background(), p, solver.Options{})
			require.NoError(t, err)
			require.Equal(t, want.Status, got.Status, "%s", p.Name)
			if want.Status == solver.Optimal {
				assert.InEpsilon(t, want.Objective, got.Objective, 1e-6, "%s", p.Name)
			}
			checked++
		}
	}
	if checked == 0 {
		t.Skip("no other solver is installed")
	}
}

// Doses that cost something to take at all are held in one column too; other solvers come to the same costs.
func TestFewWithSetUpCostsAgainstPeers(t *testing.T) {
	if !peer.Glpsol.Present() {
		t.Skip("glpsol is not installed")
	}
	for number := range uint64(16) {
		p := generate.Few(number)
		for j := range p.Columns {
			if p.Columns[j].Kind == solver.Integer {
				p.Columns[j].Cost = float64(5 + 7*j%50)
			}
		}
		want, err := peer.Glpsol.Solve(t.TempDir(), p)
		require.NoError(t, err)
		got, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		require.Equal(t, want.Status, got.Status, "%s", p.Name)
		if want.Status == solver.Optimal {
			assert.InEpsilon(t, want.Objective, got.Objective, 1e-6, "%s", p.Name)
		}
	}
}

// What the search leaves aside by doses that it tightens is no better: one node limit or another, the bound holds.
func TestFewBoundsHold(t *testing.T) {
	for number := range uint64(20) {
		p := generate.Few(number)
		best, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		for _, nodes := range []int{1, 16, 70} {
			s, err := solver.Solve(context.Background(), p, solver.Options{Nodes: nodes})
			require.NoError(t, err)
			if best.Status != solver.Optimal {
				assert.NotEqual(t, solver.Optimal, s.Status, fmt.Sprint(p.Name, nodes))
				continue
			}
			assert.LessOrEqual(t, s.Bound, best.Objective*(1+1e-9), "%s after %d nodes", p.Name, nodes)
			if s.X != nil {
				assert.GreaterOrEqual(t, s.Objective, best.Objective*(1-1e-9), "%s after %d nodes", p.Name, nodes)
			}
		}
	}
}

// The same blend asked for as a maximum, with rows turned round and a constant, has the same answer turned round.
func TestFewTurnedRound(t *testing.T) {
	for number := range uint64(25) {
		p := generate.Few(number)
		best, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		turned := p.Clone()
		turned.Sense, turned.Offset = solver.Maximize, 17
		for j := range turned.Columns {
			turned.Columns[j].Cost *= -1
		}
		for i := range turned.Rows {
			row := &turned.Rows[i]
			row.Lower, row.Upper = -row.Upper, -row.Lower
			for k := range row.Terms {
				row.Terms[k].Value *= -1
			}
		}
		s, err := solver.Solve(context.Background(), turned, solver.Options{})
		require.NoError(t, err)
		require.Equal(t, best.Status, s.Status, p.Name)
		if best.Status == solver.Optimal {
			assert.InEpsilon(t, 17-best.Objective, s.Objective, 1e-9, p.Name)
		}
	}
}
