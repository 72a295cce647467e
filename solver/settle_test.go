package solver_test

import (
	"context"
	"testing"

	"bittersum/solver"
	"bittersum/solver/internal/generate"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Programs scaled over twelve decades whose small prices matter as much as the large ones, or whose
// infeasibility shows in rounding alone: the outcome is that of rational arithmetic.
func TestSolveSettlesBadlyScaledPrograms(t *testing.T) {
	for _, number := range []uint64{1100, 7004, 7172, 7412, 7532, 11564, 18236} {
		kind, p := generate.Small(number)
		require.Equal(t, "twelve decades", kind)
		s, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		proof, err := solver.Prove(context.Background(), p, nil, solver.Options{})
		require.NoError(t, err)
		require.Equal(t, proof.Status, s.Status, "program %d: %s", number, s.Reason)
		if s.Status == solver.Optimal {
			exact, _ := proof.Objective.Float64()
			assert.InDelta(t, exact, s.Objective, 1e-7*size(p, s.X), "program %d", number)
		}
	}
}
