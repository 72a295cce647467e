package study_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const sour = `name = "sour"
markets = ["us", "eu"]
carbonated = true
carbon_dioxide_g_per_l = 6
use = ["water", "sugar", "citric-acid", "malic-acid", "tartaric-acid", "lemon-juice", "apple-juice", "trisodium-citrate", "quinine-hydrochloride"]
[targets.sugars]
min = 80
max = 95
[limits.lemon-juice]
min_g_per_l = 15
[limits.quinine-hydrochloride]
min_g_per_l = 0.04
[limits.trisodium-citrate]
max_g_per_l = 200
`

func openText(t require.TestingT, dir, text string) *brief.Job {
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(path, lib)
	require.NoError(t, err, text)
	return job
}

func blendText(t require.TestingT, dir, text string) *study.Answer {
	a, err := study.Blend(context.Background(), openText(t, dir, text))
	require.NoError(t, err, text)
	return a
}

// A recipe made for a pH has that pH when a limit of it binds, whichever side and whatever else is asked.
func TestReadingsAreWhatWasAsked(t *testing.T) {
	dir := t.TempDir()
	most := 0.0
	for _, pH := range []float64{2.2, 2.6, 3.0, 3.4, 4.2} {
		for _, extra := range []string{"", "[targets.acidity]\nmin = 4\nmax = 9\n", "throw = \"1+5\"\n"} {
			text := sour
			if strings.HasPrefix(extra, "throw") {
				text = extra + text
			} else {
				text += extra
			}
			for _, side := range []string{"max", "min"} {
				a := blendText(t, dir, text+fmt.Sprintf("[targets.ph]\n%s = %v\n", side, pH))
				require.Nil(t, a.Conflict)
				got := a.Assessment.Served.PH
				if side == "max" {
					require.LessOrEqual(t, got, pH+0.002)
				} else {
					require.GreaterOrEqual(t, got, pH-0.002)
				}
				for _, l := range a.Limits {
					if l.Name == "ph" && l.Binding {
						assert.InDelta(t, pH, got, 0.002, "%s %v %s", side, pH, extra)
						most = math.Max(most, math.Abs(pH-got))
					}
				}
			}
		}
	}
	t.Logf("largest miss of a binding pH: %.1e", most)
	require.Greater(t, most, 0.0, "some pH binds")

	for _, c := range []struct {
		target string
		want   float64
		got    func(*assess.Assessment) float64
	}{
		{"[targets.acidity]\nmin = 5.5\n", 5.5, func(a *assess.Assessment) float64 { return a.Served.Acidity }},
		{"[targets.acidity]\nmin = 5.5\nend_point = 7\n", 5.5, func(a *assess.Assessment) float64 { return a.Served.Acidity }},
		{"[targets.acidity]\nmin = 5.5\nas = \"tartaric\"\n", 5.5, func(a *assess.Assessment) float64 { return a.Served.Acidity }},
		{"[targets.brix]\nmin = 11\n", 11, func(a *assess.Assessment) float64 { return a.Served.Brix }},
		{"[targets.density]\nmin = 1.04\n", 1.04, func(a *assess.Assessment) float64 { return a.Served.Density }},
		{"[targets.acidity]\nmin = 4\n[ratios.brix-acid]\nof = \"brix\"\nover = \"acidity\"\nmax = 11\n", 11,
			func(a *assess.Assessment) float64 { return a.Ratios[0].Value }},
	} {
		text := strings.Replace(sour, "max = 95\n", "max = 125\n", 1)
		for _, throw := range []string{"", "throw = \"1+4\"\n"} {
			a := blendText(t, dir, throw+text+c.target)
			require.Nil(t, a.Conflict, c.target)
			assert.InEpsilon(t, c.want, c.got(a.Assessment), 1e-4, c.target+throw)
		}
	}
}

// The cost of a pH is the slope of the least cost, on both sides, and its range ends where the basis does.
func TestCostOfAPHIsThatOfSolvingAgain(t *testing.T) {
	dir := t.TempDir()
	text := func(side string, pH float64) string {
		return sour + fmt.Sprintf("[targets.acidity]\nmin = 4\nmax = 9\n[targets.ph]\n%s = %v\n", side, pH)
	}
	checked := 0
	for _, side := range []string{"min", "max"} {
		for _, pH := range []float64{2.3, 2.7, 2.9, 3.2} {
			a := blendText(t, dir, text(side, pH))
			for _, l := range a.Limits {
				if l.Name != "ph" || !l.Binding || a.Conflict != nil {
					continue
				}
				const step = 1e-3
				up, down := blendText(t, dir, text(side, pH+step)), blendText(t, dir, text(side, pH-step))
				slope := (up.LeastCost - down.LeastCost) / (2 * step)
				assert.InEpsilon(t, slope, l.Up.Cost, 0.01, "%s %v", side, pH)
				assert.InEpsilon(t, slope, l.Down.Cost, 0.01, "%s %v", side, pH)
				assert.Less(t, l.Down.To, pH)
				assert.Greater(t, l.Up.To, pH)
				checked++
			}
		}
	}
	require.Greater(t, checked, 3)
}

// A pH out of reach is in the conflict, and the pH that it has to move to is one that can be had.
func TestAPHOutOfReach(t *testing.T) {
	dir := t.TempDir()
	text := sour + "[targets.acidity]\nmax = 2\n[targets.ph]\nmax = 2.2\n"
	a := blendText(t, dir, text)
	require.NotNil(t, a.Conflict)
	found := false
	for _, r := range a.Conflict.Relaxations {
		if r.Name != "ph" {
			continue
		}
		found = true
		assert.Greater(t, r.To, 2.2)
		b := blendText(t, dir, strings.Replace(text, "max = 2.2", fmt.Sprintf("max = %v", r.To), 1))
		require.Nil(t, b.Conflict)
		assert.InEpsilon(t, r.Cost, b.LeastCost, 5e-3) // its activities and pairs are those of the drink that misses the brief by least
		c := blendText(t, dir, strings.Replace(text, "max = 2.2", fmt.Sprintf("max = %v", r.To-0.003), 1))
		assert.NotNil(t, c.Conflict)
	}
	require.True(t, found)
}

// A syrup thrown with soda is, in the glass, the ready drink of the same amounts.
func TestAThrownSyrupIsTheDrink(t *testing.T) {
	dir := t.TempDir()
	const wants = "[targets.acidity]\nmin = 4\nmax = 5\n[targets.ph]\nmax = 3\n"
	syrup := blendText(t, dir, "throw = \"1+5\"\n"+sour+wants).Assessment
	ready := openText(t, dir, sour+wants)
	recipe := &brief.Recipe{Name: "ready"}
	for _, p := range syrup.Recipe.Parts {
		amount := p.Amount / 6
		if p.Source.Water() {
			amount += 5.0 / 6 * 998.2
		}
		recipe.Parts = append(recipe.Parts, brief.Part{Source: ready.Source(p.Source.Name), Amount: amount})
	}
	drink, err := assess.Assess(ready, recipe)
	require.NoError(t, err)
	// Mixing shrinks the volume by what the solids of the syrup took up: 0.1 %.
	assert.InDelta(t, drink.Served.PH, syrup.Served.PH, 0.002)
	assert.InEpsilon(t, drink.Served.Acidity, syrup.Served.Acidity, 0.002)
	assert.InEpsilon(t, drink.Served.Density, syrup.Served.Density, 0.002)
	assert.InEpsilon(t, drink.Served.Brix, syrup.Served.Brix, 1e-5) // amounts have five digits
	for n, c := range drink.Caps {
		assert.InDelta(t, c.Guarded, syrup.Caps[n].Guarded, 1e-5*(1+c.Guarded), "%s per mass", c.Substance)
	}
	assert.Less(t, syrup.Syrup.PH, syrup.Served.PH)
	assert.Greater(t, syrup.Syrup.Brix, 5*syrup.Served.Brix)
}

// More acid never raises the pH, more alkali never lowers it, and water moves it toward neutral.
func TestPropertiesOfReadings(t *testing.T) {
	dir := t.TempDir()
	still := strings.NewReplacer("carbonated = true\ncarbon_dioxide_g_per_l = 6\n", "", `, "quinine-hydrochloride"`, "").Replace(sour)
	still = still[:strings.Index(still, "[limits.quinine")]
	job := openText(t, dir, still+"[targets.ph]\nmax = 4\n")
	rapid.Check(t, func(t *rapid.T) {
		grams := func(name string, most float64) float64 {
			return float64(rapid.IntRange(0, 1000).Draw(t, name)) / 1000 * most
		}
		amounts := map[string]float64{"water": 900, "sugar": grams("sugar", 200), "citric-acid": grams("citric", 12), "malic-acid": grams("malic", 6),
			"lemon-juice": grams("lemon", 80), "trisodium-citrate": grams("citrate", 4)}
		judge := func(more string, by float64) *assess.Assessment {
			r := &brief.Recipe{}
			for _, s := range job.Sources {
				x := amounts[s.Name]
				if s.Name == more {
					x += by
				}
				r.Parts = append(r.Parts, brief.Part{Source: s, Amount: x})
			}
			a, err := assess.Assess(job, r)
			require.NoError(t, err)
			return a
		}
		base := judge("", 0).Served
		require.LessOrEqual(t, judge("citric-acid", 0.5).Served.PH, base.PH)
		require.GreaterOrEqual(t, judge("trisodium-citrate", 0.5).Served.PH, base.PH)
		wet := judge("water", 100).Served
		// Diluting a buffer of salts raises its pH a little by the activities alone, on either side of 7.
		require.LessOrEqual(t, math.Abs(wet.PH-7), math.Abs(base.PH-7)+0.02)
		require.LessOrEqual(t, wet.Brix, base.Brix)
		require.GreaterOrEqual(t, judge("sugar", 10).Served.Density, base.Density)
	})
}

func BenchmarkBlendWithPH(b *testing.B) {
	job := openText(b, b.TempDir(), sour+"[targets.acidity]\nmin = 4\nmax = 9\n[targets.ph]\nmin = 2.7\n")
	for b.Loop() {
		if _, err := study.Blend(context.Background(), job); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAssess(b *testing.B) {
	job := openText(b, b.TempDir(), sour+"[targets.acidity]\nmin = 4\nmax = 9\n[targets.ph]\nmin = 2.7\n")
	a, err := study.Blend(context.Background(), job)
	require.NoError(b, err)
	for b.Loop() {
		if _, err := assess.Assess(job, a.Assessment.Recipe); err != nil {
			b.Fatal(err)
		}
	}
}

// A highest pH holds although a plant's minerals bind acid: the recipe of a brief with ten grams of tea has
// more acid than the same brief would need without them.
func TestHighestPHHoldsWithMinerals(t *testing.T) {
	acid := map[string]float64{}
	for _, tea := range []string{"0", "10"} {
		path := filepath.Join(t.TempDir(), "brief.toml")
		require.NoError(t, os.WriteFile(path, []byte(`name = "tea"
markets = ["us"]
use = ["water", "sugar", "citric-acid", "black-tea"]
[targets.ph]
max = 3.1
[targets.sugars]
min = 60
[limits.black-tea]
min_g_per_l = `+tea+`
`), 0o600))
		lib, err := profile.Embedded()
		require.NoError(t, err)
		job, err := brief.Open(path, lib)
		require.NoError(t, err)
		answer, err := study.Cheapest(context.Background(), job)
		require.NoError(t, err)
		require.Nil(t, answer.Conflict)
		assert.InDelta(t, 3.1, answer.Assessment.Served.HighestPH, 0.003, "the limit binds")
		acid[tea] = answer.Assessment.Recipe.Amount("citric-acid")
	}
	// About 5 mmol/L of base take up that much of citric acid's first proton, of which about half is given off at
	// pH 3.1, beside what the tea's volume displaces.
	assert.Greater(t, acid["10"], acid["0"]+0.5)
}
