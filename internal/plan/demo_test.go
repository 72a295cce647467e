package plan

import (
	"context"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
	"bittersum/profiles"

	"github.com/stretchr/testify/require"
)

func demo(t testing.TB) *Plan {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	doc, err := tomlfile.Open("../../profiles/plan/canal-works.toml")
	require.NoError(t, err)
	p, err := Read(doc, func(name string) (*brief.Job, error) {
		n, _ := brief.IsDemo(name)
		return brief.OpenFS(profiles.FS, "demo/"+n+".toml", "demo:", lib)
	})
	require.NoError(t, err)
	return p
}

// TestDemo holds the plan of the demo to its bound and its ledger, and what it does before the increase in May.
func TestDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("plans a year")
	}
	a, err := Decide(context.Background(), demo(t))
	require.NoError(t, err)
	require.Nil(t, a.Lacks)
	require.Less(t, a.Bound, a.Cost)
	require.Less(t, a.Cost, 1.05*a.Bound)
	ahead, later := 0.0, 0.0
	for _, o := range a.Orders {
		if o.Offer.Item.Name == "gentian-root" {
			if o.Period < 4 {
				ahead += o.Amount
			} else {
				later += o.Amount
			}
		}
	}
	require.Greater(t, ahead, later, "most gentian is bought before its price rises")
}
