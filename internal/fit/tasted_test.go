package fit_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"bittersum/internal/fit"
	"bittersum/internal/sensory"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// panel marks exactly 10·√strength; two cups of peel hold 8 and 18 points a litre.
func panel(t *testing.T) *sensory.PanelResult {
	l := &sensory.LineScale{Attribute: "aroma-citrus", Scale: 100, Tasters: []string{"Ada", "Ben"}}
	for _, s := range []struct {
		sensory.LineSample
		strength float64
	}{
		{sensory.LineSample{Name: "R1", Strength: 1}, 1}, {sensory.LineSample{Name: "R4", Strength: 4}, 4}, {sensory.LineSample{Name: "R25", Strength: 25}, 25},
		{sensory.LineSample{Name: "a", Ingredient: "orange-peel", GramsPerLitre: 1}, 8.2}, {sensory.LineSample{Name: "b", Ingredient: "orange-peel", GramsPerLitre: 2}, 15.8},
		{sensory.LineSample{Name: "drink"}, 3},
	} {
		mark := 10 * math.Sqrt(s.strength)
		l.Samples = append(l.Samples, s.LineSample)
		l.Scores = append(l.Scores, [][]float64{{mark + 0.1}, {mark - 0.1}})
	}
	r, err := l.Judge()
	require.NoError(t, err)
	return r
}

// Two samples of one peel make one figure between both, with the deviation of lots beside the panel's own; the
// overlay puts it in place of the library's and leaves the recovery.
func TestWhatAPanelTasted(t *testing.T) {
	lib := library(t)
	r := panel(t)
	tasted, err := fit.OfPanel(r, lib)
	require.NoError(t, err)
	require.Len(t, tasted, 1)
	x := tasted[0]
	assert.Equal(t, []string{"a", "b"}, x.Samples)
	assert.Greater(t, x.PerGram, 7.8)
	assert.Less(t, x.PerGram, 8.25)
	assert.InDelta(t, math.Hypot(x.PanelSD, 0.3*x.PerGram), x.LotSD, 1e-9, "the library knows no deviation of lots")
	assert.Less(t, x.PanelSD, math.Min(r.Found[3].PerGramSD, r.Found[4].PerGramSD))
	assert.False(t, x.Beyond())
	assert.False(t, x.Unknown())

	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "measured"), 0o755))
	data := fit.PanelOverlay(r, tasted, "citrus.toml", time.Time{})
	assert.True(t, fit.OwnTasted(data))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "measured", "p.toml"), data, 0o600))
	own, err := lib.Overlay(dir)
	require.NoError(t, err, string(data))
	was, is := lib.Ingredients["orange-peel"].Contents["aroma-citrus"], own.Ingredients["orange-peel"].Contents["aroma-citrus"]
	assert.InEpsilon(t, x.PerGram, is.PerGram*is.Recovery, 1e-3)
	assert.Equal(t, was.Recovery, is.Recovery)
	assert.Equal(t, "a panel of 2 tasters, citrus.toml", is.Source)

	r.Samples[3].Ingredient = "orange-pel"
	_, err = fit.OfPanel(r, lib)
	require.ErrorContains(t, err, `there is no ingredient "orange-pel", tasted as a`)
	r.Attribute = "zest"
	_, err = fit.OfPanel(r, lib)
	require.ErrorContains(t, err, `there is no attribute "zest"`)
	assert.Nil(t, fit.PanelOverlay(r, nil, "x", time.Time{}))
}

// A drink's points seem what the house's scale says of them.
func TestHowADrinkSeems(t *testing.T) {
	job, _ := demo(t, "bitter-orange")
	answer, err := study.Cheapest(context.Background(), job)
	require.NoError(t, err)
	s, err := fit.SeemsOf(panel(t), answer.Assessment)
	require.NoError(t, err)
	assert.InDelta(t, 20, s.Strength, 0.1, "the brief asks for at least 20")
	assert.InEpsilon(t, 10*math.Sqrt(s.Strength), s.Score, 0.01)
	assert.False(t, s.Beyond)
	r := panel(t)
	r.Attribute = "aroma-smoky"
	s, err = fit.SeemsOf(r, answer.Assessment)
	require.NoError(t, err)
	assert.Zero(t, s.Strength)
}

func TestWhatTastersNotice(t *testing.T) {
	lib := library(t)
	answers := []sensory.Answers{
		{Test: sensory.Paired, Of: 200, Right: 152, Attribute: "bitterness", Base: 40, Changed: 50},
		{Test: sensory.Triangle, Of: 24, Right: 16, A: "today", B: "swap"},
		{Test: sensory.Paired, Of: 10, Right: 10, Attribute: "tannin", Base: 40, Changed: 50},
	}
	a, err := fit.OfAnswers("answers.toml", answers, lib)
	require.NoError(t, err)
	require.Len(t, a.Found, 1)
	assert.InDelta(t, 0.25, a.Found[0].JND, 0.002, "152 of 200 are 76 %: d' 1")
	assert.Equal(t, lib.Attributes["bitterness"].JNDShare, a.Before[0])
	require.Len(t, a.Untold, 1)
	assert.Contains(t, a.Untold[0], "tannin: ")
	assert.Len(t, a.Tests, 3)
	assert.True(t, a.Tests[1].Score.Different)

	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "measured"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "measured", "n.toml"), fit.NoticedOverlay(a.Found, "answers.toml", time.Time{}), 0o600))
	own, err := lib.Overlay(dir)
	require.NoError(t, err)
	assert.InDelta(t, 0.25, own.Attributes["bitterness"].JNDShare, 0.002)
	assert.Equal(t, "1 difference tests, 200 answers, answers.toml", own.Attributes["bitterness"].Source)
	assert.Nil(t, fit.NoticedOverlay(nil, "x", time.Time{}))

	answers[0].Attribute = "bitternes"
	_, err = fit.OfAnswers("answers.toml", answers, lib)
	require.ErrorContains(t, err, `there is no attribute "bitternes" (did you mean "bitterness"?)`)
}
