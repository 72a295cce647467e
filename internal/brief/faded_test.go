package brief

import (
	"testing"

	"bittersum/internal/chem"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/require"
)

// TestFadedLowersNoCap: what has faded brings less to the drink, and counts toward caps as it came; the acid that
// ascorbic acid is goes with it, the others stay.
func TestFadedLowersNoCap(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := Open("../../profiles/demo/bitter-lemon.toml", lib)
	require.NoError(t, err)
	juice := job.Source("lemon-juice")
	left := map[string]float64{}
	for name := range job.Library.Attributes {
		left[name] = 0.5 // more than a plan lets fade
	}
	delete(left, Acidity)
	faded := juice.Faded("lemon-juice@2", left)
	require.Equal(t, "lemon-juice", juice.Name)
	require.Equal(t, "lemon-juice@2", faded.Name)
	for name := range left {
		require.InDelta(t, juice.Expected(name)/2, faded.Expected(name), 1e-12, name)
		require.InDelta(t, job.Guarded(juice, name), job.Guarded(faded, name), 0, name)
	}
	before, _ := juice.Solutes()
	after, _ := faded.Solutes()
	require.Positive(t, before[chem.Ascorbic])
	require.InDelta(t, before[chem.Ascorbic]/2, after[chem.Ascorbic], 1e-12)
	require.InDelta(t, before[chem.Citric], after[chem.Citric], 0)
	for _, c := range job.Caps {
		require.InDelta(t, job.GuardedBy(juice, c.Cap), job.GuardedBy(faded, c.Cap), 0)
	}
}

func TestWhatMayFade(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := Open("../../profiles/demo/bitter-lemon.toml", lib)
	require.NoError(t, err)
	for attribute, may := range map[string]bool{
		"bitterness": true, "aroma-citrus": true, "colour-red": true, "ascorbic-acid": true,
		"acidity": false, "sugars": false, "quinine": false, "thujone": false, "sulphites": false, "benzoic-acid": false,
		"soluble-solids": false, "alcohol": false, "sodium": false, "sucralose": false, "no-such": false,
	} {
		require.Equal(t, may, job.MayFade(attribute), attribute)
	}
}
