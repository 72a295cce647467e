package study_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
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

// rooty asks for a drink of gentian root with more of it than is customary.
const rooty = `name = "Root water"
markets = ["eu"]
use = ["water", "sugar", "gentian-root", "citric-acid"]
[targets.sugars]
min = 70
max = 90
[targets.acidity]
min = 3
max = 5
[targets.bitterness]
min = 20
max = 40
[limits.gentian-root]
max_g_per_l = 100
`

// A road goes on to the most that drinks are made with, and beyond where the brief goes beyond custom. What the brief
// asks of bitterness holds in custom's place, and no change is proposed beyond sense.
func TestRoadsEndWhereDrinksDo(t *testing.T) {
	ctx := context.Background()
	job := openText(t, t.TempDir(), rooty)
	r, err := study.Reach(ctx, job, "bitterness", true, false)
	require.NoError(t, err)
	assert.True(t, r.High.Custom)
	assert.InDelta(t, 300, r.Stops[len(r.Stops)-1].Value, 1e-3)
	free, err := job.Changed(func(b *brief.Brief) { b.BeyondCustom = true })
	require.NoError(t, err)
	r, err = study.Reach(ctx, free, "bitterness", true, false)
	require.NoError(t, err)
	assert.False(t, r.High.Custom)
	assert.Greater(t, r.Stops[len(r.Stops)-1].Value, 3000.0)

	unasked := strings.Replace(strings.Replace(rooty, "[targets.bitterness]\nmin = 20\nmax = 40\n", "", 1), "max_g_per_l = 100", "min_g_per_l = 8", 1)
	answer, err := study.Cheapest(ctx, openText(t, t.TempDir(), unasked))
	require.NoError(t, err)
	require.NotNil(t, answer.Conflict)
	assert.True(t, slices.ContainsFunc(answer.Conflict.Members, func(l formulate.Limit) bool {
		return l.Name == "bitterness" && l.Line == brief.Custom && l.Value == 300
	}))
	asked, err := study.Cheapest(ctx, openText(t, t.TempDir(), strings.Replace(unasked, "[limits", "[targets.bitterness]\nmax = 900\n[limits", 1)))
	require.NoError(t, err)
	assert.Nil(t, asked.Conflict, "the brief itself says what it may be")
}

// No change is proposed to what nobody would drink: 450 g/L of sugar to make room for bitterness.
func TestNoChangeBeyondSense(t *testing.T) {
	job := demoJob(t, "bitter-orange")
	job, err := job.Changed(func(b *brief.Brief) { b.Ask("bitterness", brief.Range{Min: 290, Max: 300}) })
	require.NoError(t, err)
	answer, err := study.Cheapest(context.Background(), job)
	require.NoError(t, err)
	require.NotNil(t, answer.Conflict)
	require.NotEmpty(t, answer.Conflict.Relaxations)
	for _, r := range answer.Conflict.Relaxations {
		if a := job.Library.Attributes[r.Name]; r.Kind == formulate.Target && a.SensibleMax > 0 && r.Side == formulate.Max {
			assert.LessOrEqual(t, r.To, a.SensibleMax, r.Name)
		}
		if g := job.Library.Ingredients[r.Name]; r.Kind == formulate.Use && r.Side == formulate.Max && g.Customary > 0 {
			assert.LessOrEqual(t, r.To, 3*g.Customary, r.Name)
		}
	}
}
