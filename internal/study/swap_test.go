package study_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A swap with nothing withheld is the incumbent.
func TestSwapOfNothing(t *testing.T) {
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		job := demoJob(t, name)
		for _, o := range []study.SwapOptions{{Within: math.Inf(1)}, {Within: 0.5}, {Within: math.Inf(1), Closest: true}} {
			s, err := study.Swap(context.Background(), job, o)
			require.NoError(t, err)
			require.Nil(t, s.Answer.Conflict)
			assert.InDelta(t, 0, s.Drift.Total, 1e-3)
			assert.InDelta(t, 0, s.Cost(), 1e-6)
			assert.Empty(t, s.Lost)
			for _, p := range s.Before.Recipe.Parts {
				assert.InEpsilon(t, p.Amount, s.Answer.Assessment.Recipe.Amount(p.Source.Name), 1e-3, p.Source.Name)
			}
		}
	}
}

// What is withheld is not in the mix; the closer the mix has to be, the more it costs; and the drift asked
// for is kept, as counted anew from the assessments.
func TestSwapTradesClosenessForCost(t *testing.T) {
	job := demoJob(t, "bitter-orange")
	short := []study.Shortage{{Name: "gentian-root"}, {Name: "quassia-wood", Most: 0.1}}
	free, err := study.Swap(context.Background(), job, study.SwapOptions{Short: short, Within: math.Inf(1)})
	require.NoError(t, err)
	close, err := study.Swap(context.Background(), job, study.SwapOptions{Short: short, Within: math.Inf(1), Closest: true})
	require.NoError(t, err)
	middle := (free.Drift.Total + close.Drift.Total) / 2
	between, err := study.Swap(context.Background(), job, study.SwapOptions{Short: short, Within: middle})
	require.NoError(t, err)
	require.Less(t, close.Drift.Total, free.Drift.Total)
	assert.LessOrEqual(t, between.Drift.Total, middle*(1+1e-3))
	assert.LessOrEqual(t, free.Answer.LeastCost, between.Answer.LeastCost)
	assert.LessOrEqual(t, between.Answer.LeastCost, close.Answer.LeastCost*(1+1e-4))
	for _, s := range []*study.Swapped{free, between, close} {
		assert.Positive(t, s.Cost(), "scarcity costs")
		assert.Zero(t, s.Answer.Assessment.Recipe.Amount("gentian-root"))
		assert.LessOrEqual(t, s.Answer.Assessment.Recipe.Amount("quassia-wood"), 0.1*(1+1e-4))
		assert.True(t, s.Answer.Assessment.KeepsCaps())
		assert.Empty(t, s.Answer.Assessment.Misses())
		assert.True(t, s.Answer.Proof.Proved())
	}
	for k := 1; k < len(free.Trade); k++ {
		assert.GreaterOrEqual(t, free.Trade[k].Drift, free.Trade[k-1].Drift)
		assert.LessOrEqual(t, free.Trade[k].Cost, free.Trade[k-1].Cost*(1+1e-9))
	}
	// The curve's figure at the middle is that of the mix found there, but for the liquor's own state.
	for k := 1; k < len(free.Trade); k++ {
		a, b := free.Trade[k-1], free.Trade[k]
		if a.Drift <= middle && middle <= b.Drift {
			share := (middle - a.Drift) / (b.Drift - a.Drift)
			assert.InEpsilon(t, a.Cost+share*(b.Cost-a.Cost), between.Answer.LeastCost, 2e-3)
		}
	}
}

// Where nothing else is bitter enough the answer is the conflict, with the least that would do; and a note
// that only the missing ingredient carries is told as lost.
func TestSwapThatLeavesNothing(t *testing.T) {
	job := demoJob(t, "bitter-lemon")
	s, err := study.Swap(context.Background(), job, study.SwapOptions{Short: []study.Shortage{{Name: "lemon-juice"}, {Name: "citric-acid"}}, Within: math.Inf(1)})
	require.NoError(t, err)
	require.NotNil(t, s.Answer.Conflict)
	require.NotEmpty(t, s.Answer.Conflict.Relaxations)
	for _, r := range s.Answer.Conflict.Relaxations {
		assert.False(t, math.IsNaN(r.To))
	}
	s, err = study.Swap(context.Background(), job, study.SwapOptions{Short: []study.Shortage{{Name: "gum-arabic", Most: 0}}, Within: 0})
	require.NoError(t, err)
	require.NotNil(t, s.Answer.Conflict, "nothing else carries gum arabic")
}

func TestSwapRefuses(t *testing.T) {
	for _, c := range []struct {
		short []study.Shortage
		want  string
	}{
		{[]study.Shortage{{Name: "gentian-rot"}}, `demo:bitter-orange.toml: there is no ingredient in use called "gentian-rot" (did you mean "gentian-root"?)`},
		{[]study.Shortage{{Name: "quassia-wood"}, {Name: "quassia-wood", Most: 1}}, `demo:bitter-orange.toml: "quassia-wood" is said to be short twice`},
	} {
		_, err := study.Swap(context.Background(), demoJob(t, "bitter-orange"), study.SwapOptions{Short: c.short})
		require.EqualError(t, err, c.want)
	}
}

// A lot of which little may be used keeps what batches took of it, and the limit counts what is weighed in,
// once trimmed.
func TestAShortLotCountsWhatIsWeighedIn(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lots.toml"), []byte(`[[lot]]
number = "A"
ingredient = "own-peel"
quantity_kg = 9
price_per_kg = 1
[[draw]]
lot = "A"
batch = "before"
kg = 5
`), 0o600))
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(`name = "short"
kind = "drink"
markets = ["us"]
batch_l = 100
lots = "lots.toml"
use = ["water", "own-peel"]
[attributes.strength]
unit = "mg"
per = "litre"
[targets.strength]
min = 20
[[ingredient]]
name = "own-peel"
basis = "invented"
price_per_kg = 5
trimming_loss = 0.2
soluble_share = 1
specific_volume_ml_per_g = 0.62
pure = true
[ingredient.contents.strength]
per_g = 1
`), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(path, lib)
	require.NoError(t, err)
	s, err := study.Swap(context.Background(), job, study.SwapOptions{Short: []study.Shortage{{Name: "own-peel/A", Most: 12}}, Within: math.Inf(1)})
	require.NoError(t, err)
	require.Nil(t, s.Answer.Conflict)
	assert.InDelta(t, 12, s.Answer.Assessment.Recipe.Amount("own-peel/A"), 1e-3)
	assert.InDelta(t, 8, s.Answer.Assessment.Recipe.Amount("own-peel"), 1e-3)
}

// Today's recipe need not meet the brief: here it is plain water.
func TestSwapFromARecipeOutsideTheBrief(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(`name = "strong"
markets = ["us"]
use = ["water", "sugar", "citric-acid"]
[targets.brix]
min = 40
max = 40
[targets.acidity]
min = 5
max = 8
`), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(path, lib)
	require.NoError(t, err)
	today := &brief.Recipe{Parts: []brief.Part{{Source: job.Source("water"), Amount: 998.2}}}
	s, err := study.Swap(context.Background(), job, study.SwapOptions{Within: math.Inf(1), Today: today})
	require.NoError(t, err)
	require.Nil(t, s.Answer.Conflict)
	assert.Empty(t, s.Answer.Assessment.Misses())
}
