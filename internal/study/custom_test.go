package study_test

import (
	"context"
	"math"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const dense = `name = "dense"
markets = ["eu"]
use = ["water", "sugar", "citric-acid", "salt", "glycerol", "magnesium-sulfate"]
[targets.density]
min = 1.06
[targets.sugars]
max = 60
`

// Salt, glycerol and Epsom salt are no ballast: a density that only they could give is a conflict that names
// what is customary, and no change far beyond it is proposed.
func TestNothingIsTakenBeyondCustom(t *testing.T) {
	job := openText(t, t.TempDir(), dense)
	answer, err := study.Cheapest(context.Background(), job)
	require.NoError(t, err)
	require.NotNil(t, answer.Conflict)
	customary := 0
	for _, l := range answer.Conflict.Members {
		if l.Line == brief.Custom {
			customary++
		}
	}
	assert.GreaterOrEqual(t, customary, 3)
	for _, r := range answer.Conflict.Relaxations {
		assert.False(t, r.Line == brief.Custom && r.To > 3*r.Value, "%s to %g", r.Name, r.To)
	}
}

// What the brief itself allows, or goes beyond custom for, holds in custom's place, and is said.
func TestABriefMayGoBeyondCustom(t *testing.T) {
	dir := t.TempDir()
	own := openText(t, dir, dense+"[limits.salt]\nmax_g_per_l = 60\n")
	assert.True(t, math.IsInf(own.Customary("salt"), 1))
	assert.Equal(t, 10.0, own.Customary("glycerol"))
	answer, err := study.Cheapest(context.Background(), own)
	require.NoError(t, err)
	require.Nil(t, answer.Conflict)
	assert.Greater(t, answer.Assessment.Recipe.Amount("salt"), 10.0)
	assert.Contains(t, cautionsOf(answer.Assessment), "g/L of salt is more than the 0.5 g/L at most that drinks are customarily made with.")

	beyond, err := openText(t, dir, dense).Changed(func(b *brief.Brief) { b.BeyondCustom = true })
	require.NoError(t, err)
	answer, err = study.Cheapest(context.Background(), beyond)
	require.NoError(t, err)
	assert.Nil(t, answer.Conflict)
}

// On a syrup the customary amount counts on the drink that it makes: six times as much at 1+5.
func TestCustomCountsOnTheDrinkAsServed(t *testing.T) {
	job := openText(t, t.TempDir(), "throw = \"1+5\"\n"+dense)
	assert.InDelta(t, 3.0, job.Customary("salt"), 1e-12)
}

// A tighter custom never makes a drink cheaper: the cheapest recipe with custom costs at least that without.
func TestCustomNeverLowersTheCost(t *testing.T) {
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		job := demoJob(t, name)
		with, err := study.Cheapest(context.Background(), job)
		require.NoError(t, err)
		free, err := job.Changed(func(b *brief.Brief) { b.BeyondCustom = true })
		require.NoError(t, err)
		without, err := study.Cheapest(context.Background(), free)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, with.LeastCost, without.LeastCost*(1-1e-9), name)
	}
}

func cautionsOf(a *assess.Assessment) string {
	text := ""
	for _, c := range a.Cautions {
		text += c.Text + "\n"
	}
	return text
}
