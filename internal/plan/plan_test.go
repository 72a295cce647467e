package plan

import (
	"context"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"

	"github.com/stretchr/testify/require"
)

func opened(t *testing.T, path string) *Plan {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	doc, err := tomlfile.Open(path)
	require.NoError(t, err)
	p, err := Read(doc, func(name string) (*brief.Job, error) {
		return brief.Open(filepath.Join(filepath.Dir(path), name), lib)
	})
	require.NoError(t, err)
	return p
}

// H. P. Williams, Model Building in Mathematical Programming, 12.1: published profit 107842.59, exactly
// 2911750/27.
func TestFoodManufacture(t *testing.T) {
	a, err := Decide(context.Background(), opened(t, "../../testdata/plans/food-manufacture.toml"))
	require.NoError(t, err)
	require.InDelta(t, -2911750.0/27, a.Cost, 0.5)
	require.InDelta(t, -2911750.0/27, a.Bound, 0.01)
	t.Logf("%+v", a.Ledger.Total)
}
