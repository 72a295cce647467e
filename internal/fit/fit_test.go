package fit_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/fit"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func library(t testing.TB) *profile.Library {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	return lib
}

func demo(t testing.TB, name string) (*brief.Job, *brief.Recipe) {
	job, err := brief.OpenFS(profiles.FS, "demo/"+name+".toml", "demo:", library(t))
	require.NoError(t, err)
	answer, err := study.Cheapest(context.Background(), job)
	require.NoError(t, err)
	return job, answer.Assessment.Recipe
}

// made returns a batch of a recipe in which contents were really other ones, by factors of ingredient and attribute,
// as a kettle would have shown it.
func made(t testing.TB, name string, job *brief.Job, recipe *brief.Recipe, lots map[string]string, factors map[string]map[string]float64, measures ...string) fit.Batch {
	b := fit.Batch{Name: name, Job: job, Recipe: &brief.Recipe{Name: name, Batch: true}}
	really := &brief.Recipe{Name: name, Batch: true}
	for _, p := range recipe.Parts {
		b.Recipe.Parts = append(b.Recipe.Parts, brief.Part{Source: p.Source, Amount: 100 * p.Amount})
		b.Lots, b.Methods = append(b.Lots, lots[p.Source.Name]), append(b.Methods, "")
		really.Parts = append(really.Parts, brief.Part{Source: p.Source.Varied(factors[p.Source.Name]), Amount: 100 * p.Amount})
	}
	a, err := assess.Assess(job, really)
	require.NoError(t, err)
	for _, m := range measures {
		v := kettle.Foretell(a, m).Value
		b.Measured = append(b.Measured, fit.Measurement{Name: m, Value: v, Error: job.Instrument(m).Off(v)})
	}
	return b
}

func learned(t *testing.T, r *fit.Result, ingredient, attribute string) fit.Learned {
	for _, l := range r.Learned {
		if l.Ingredient == ingredient && l.Attribute == attribute {
			return l
		}
	}
	t.Fatalf("nothing is said of %s of %s", attribute, ingredient)
	return fit.Learned{}
}

// One measurement of one content: the posterior by the conjugate formula, worked out here. The quinine is
// pure; of gentian, peel and juice each can be off.
func TestOneMeasurementByHand(t *testing.T) {
	job, recipe := demo(t, "bitter-lemon")
	b := made(t, "B-1", job, recipe, map[string]string{"gentian-root": "G1"}, map[string]map[string]float64{"gentian-root": {"bitterness": 1.4}}, "bitterness")
	r, err := fit.Fit([]fit.Batch{b}, 0.3)
	require.NoError(t, err)
	l := learned(t, r, "gentian-root", "bitterness")

	a, err := assess.Assess(job, b.Recipe)
	require.NoError(t, err)
	root := job.Source("gentian-root")
	before := kettle.Foretell(a, "bitterness").Value
	value := b.Measured[0].Value
	variance, gentian, half := math.Pow(0.05*value, 2)+math.Pow(0.02*r.Rows[0].After, 2), 0.0, 0.0
	for _, p := range b.Recipe.Parts {
		content, _ := p.Source.Content("bitterness")
		if p.Source.Ingredient.Pure || content.PerGram == 0 {
			continue
		}
		slope := p.Source.Expected("bitterness") * p.Amount / a.Liquor / job.Dilution()
		cv, own := 0.3, 0.005
		if content.SD > 0 {
			cv = content.SD / content.PerGram
		}
		if content.Drawn() {
			own = math.Hypot(own, 0.1)
		}
		variance += slope * slope * (cv*cv + own*own)
		if p.Source == root {
			gentian, half = slope, cv*cv/2
		}
	}
	assert.InDelta(t, before+0.4*gentian, value, 1e-9)
	assert.InDelta(t, 1+half*gentian*(value-before)/variance, l.Factor, 1e-6)
	assert.InDelta(t, math.Sqrt(half-half*half*gentian*gentian/variance), l.FactorSD, 1e-6)
	assert.InDelta(t, root.Expected("bitterness"), l.Before, 1e-12)
	assert.InDelta(t, l.Before*l.Factor, l.After, 1e-12)
	assert.True(t, l.Told)
	assert.Equal(t, []string{"B-1"}, l.Batches)
	assert.GreaterOrEqual(t, l.LotSD, l.Before*math.Sqrt(half), "one lot says nothing of how lots vary")
	require.Len(t, r.Rows, 1)
	assert.InDelta(t, value, r.Rows[0].Value, 1e-9)
	assert.InDelta(t, before, r.Rows[0].Before, 1e-9)
	assert.InDelta(t, (value-before)/math.Sqrt(variance), r.Rows[0].Off, 1e-6)
}

// Many batches of many lots, with the errors that instruments and lots have: what is learned lies about the truth as
// often as its deviation says, and never by many of them.
func TestManyBatchesFindTheTruth(t *testing.T) {
	job, recipe := demo(t, "bitter-lemon")
	random := rand.New(rand.NewPCG(8, 9))
	off := 0.0
	const trials = 6
	for trial := range trials {
		truth := 1 + 0.21*random.NormFloat64()
		var batches []fit.Batch
		for k := range 10 {
			lot := truth * (1 + 0.21*random.NormFloat64())
			b := made(t, fmt.Sprintf("T%d-%d", trial, k), job, recipe, map[string]string{"gentian-root": fmt.Sprint("G", k)},
				map[string]map[string]float64{"gentian-root": {"bitterness": math.Max(0.1, lot)}}, "bitterness")
			b.Measured[0].Value *= 1 + 0.05*random.NormFloat64()
			batches = append(batches, b)
		}
		r, err := fit.Fit(batches, 0.3)
		require.NoError(t, err)
		l := learned(t, r, "gentian-root", "bitterness")
		assert.Less(t, l.FactorSD, 0.12)
		assert.Less(t, math.Abs(l.Factor-truth), 4*l.FactorSD)
		off += math.Pow((l.Factor-truth)/l.FactorSD, 2) / trials
		assert.Len(t, l.Batches, 10)
	}
	assert.Less(t, off, 2.8, "mean square in deviations")
}

// pH, acidity and °Bx are no linear readings: what they tell settles where the foretold values meet the measured.
func TestNonLinearReadings(t *testing.T) {
	job, recipe := demo(t, "bitter-lemon")
	var batches []fit.Batch
	for k := range 4 {
		batches = append(batches, made(t, fmt.Sprint("N", k), job, recipe, map[string]string{"lemon-juice": "LJ"},
			map[string]map[string]float64{"lemon-juice": {brief.Acidity: 1.5, brief.Solids: 1.3}}, "ph", "acidity_g_per_l", "brix", "density_kg_per_l", "litres"))
	}
	r, err := fit.Fit(batches, 0.3)
	require.NoError(t, err)
	acids, solids := learned(t, r, "lemon-juice", brief.Acidity), learned(t, r, "lemon-juice", brief.Solids)
	assert.Greater(t, acids.Factor, 1.1)
	assert.True(t, acids.Told)
	assert.Greater(t, solids.Factor, 1.0)
	assert.Greater(t, r.Rounds, 1)
	for _, row := range r.Rows {
		before, after := math.Abs(row.Value-row.Before), math.Abs(row.Value-row.After)
		assert.LessOrEqual(t, after, before*1.05+1e-9, "%s", row.Name)
	}
	assert.Contains(t, r.Unused, "litres of N0")
}

// A slip of the pen lies apart from what the others say, and is named; a content far from the profile too.
func TestOutliersAndConflicts(t *testing.T) {
	job, recipe := demo(t, "bitter-lemon")
	var batches []fit.Batch
	for k := range 6 {
		batches = append(batches, made(t, fmt.Sprint("O", k), job, recipe, map[string]string{"gentian-root": "G"}, nil, "bitterness"))
	}
	batches[3].Measured[0].Value *= 2
	r, err := fit.Fit(batches, 0.3)
	require.NoError(t, err)
	require.Len(t, r.Outliers(), 1)
	assert.Equal(t, "O3", r.Outliers()[0].Batch)

	for k := range batches {
		batches[k] = made(t, fmt.Sprint("C", k), job, recipe, map[string]string{"gentian-root": fmt.Sprint(k)},
			map[string]map[string]float64{"gentian-root": {"bitterness": 4}}, "bitterness")
	}
	r, err = fit.Fit(batches, 0.3)
	require.NoError(t, err)
	assert.True(t, learned(t, r, "gentian-root", "bitterness").Conflict)
}

// What two plants always bring together is told of neither alone, and said so; what no measurement speaks of is
// not fitted at all.
func TestWhatTheDataDoNotTell(t *testing.T) {
	job, recipe := demo(t, "gentian-cordial")
	recipe.Parts = append(recipe.Parts, brief.Part{Source: job.Source("bogbean-leaf"), Amount: 0.1})
	b := made(t, "U", job, recipe, map[string]string{"gentian-root": "G", "bogbean-leaf": "B"}, nil, "bitterness")
	b.Measured[0].Error = 1e-3
	r, err := fit.Fit([]fit.Batch{b, b}, 0.3)
	require.NoError(t, err)
	for _, l := range r.Learned {
		assert.Equal(t, "bitterness", l.Attribute)
	}
	assert.False(t, learned(t, r, "bogbean-leaf", "bitterness").Told, "it brings little of it")
	_, err = fit.Fit([]fit.Batch{made(t, "L", job, recipe, nil, nil, "litres", "marc_kg")}, 0.3)
	require.ErrorIs(t, err, fit.ErrNothing)
}

// Two plants that bring as much bitterness each, always together and measured well: only their sum is told. One by
// itself tells them apart.
func TestPlantsThatGoTogether(t *testing.T) {
	job, _ := demo(t, "gentian-cordial")
	gentian, centaury, water := job.Source("gentian-root"), job.Source("centaury"), job.Source("water")
	mix := func(a, b float64) *brief.Recipe {
		r := &brief.Recipe{Parts: []brief.Part{{Source: water, Amount: 1000}}}
		for _, p := range []brief.Part{{Source: gentian, Amount: a / gentian.Expected("bitterness")}, {Source: centaury, Amount: b / centaury.Expected("bitterness")}} {
			if p.Amount > 0 {
				r.Parts = append(r.Parts, p)
			}
		}
		return r
	}
	lots := map[string]string{"gentian-root": "G", "centaury": "C"}
	both := made(t, "both", job, mix(50, 50), lots, nil, "bitterness")
	both.Measured[0].Error = 0.1
	r, err := fit.Fit([]fit.Batch{both, both, both, both, both, both}, 1)
	require.NoError(t, err)
	require.NotEmpty(t, r.Together)
	assert.Less(t, r.Together[0].Correlation, -0.8)
	assert.ElementsMatch(t, []string{"gentian-root", "centaury"}, []string{r.Together[0].A.Ingredient, r.Together[0].B.Ingredient})
	for _, l := range r.Learned {
		assert.False(t, l.Conflict, "as the profile has it")
		assert.InDelta(t, l.Before, l.After, 0.02*l.Before)
	}
}

// A lot with a certificate is learned of by itself, and nothing is written of it.
func TestCertifiedLotsStand(t *testing.T) {
	job, recipe := demo(t, "bitter-lemon")
	root := *job.Source("gentian-root")
	root.Lot = &brief.Lot{Number: "G-9", Ingredient: "gentian-root", Contents: map[string]profile.Content{"bitterness": {PerGram: 80, SD: 8, Recovery: 0.85, CapRecovery: 1}}}
	for n, p := range recipe.Parts {
		if p.Source.Name == "gentian-root" {
			recipe.Parts[n].Source = &root
		}
	}
	b := made(t, "K", job, recipe, map[string]string{"gentian-root": "G-9"}, map[string]map[string]float64{"gentian-root": {"bitterness": 1.2}}, "bitterness")
	r, err := fit.Fit([]fit.Batch{b}, 0.3)
	require.NoError(t, err)
	l := learned(t, r, "gentian-root", "bitterness")
	assert.Equal(t, "G-9", l.Lot)
	assert.InDelta(t, 0.1*l.Before, l.BeforeSD, 1e-9, "the certificate's error")
	assert.InDelta(t, l.AfterSD, l.LotSD, 1e-9, "of itself")
	assert.False(t, l.Written())
}

// The overlay reads back as the profile it stands over, marked measured; the share that caps are judged with and the
// deviation of an extracted content stay.
func TestOverlayReadsBack(t *testing.T) {
	job, recipe := demo(t, "bitter-lemon")
	var batches []fit.Batch
	for k := range 3 {
		batches = append(batches, made(t, fmt.Sprint("W-", k), job, recipe, map[string]string{"gentian-root": "G", "lemon-juice": "L"},
			map[string]map[string]float64{"gentian-root": {"bitterness": 1.3}, "lemon-juice": {brief.Acidity: 1.2}}, "bitterness", "acidity_g_per_l"))
	}
	r, err := fit.Fit(batches, 0.3)
	require.NoError(t, err)
	lib := library(t)
	data := fit.Overlay(r, job, time.Date(2026, 11, 27, 0, 0, 0, 0, time.UTC))
	require.NotEmpty(t, data)
	assert.True(t, fit.OwnOverlay(data))
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "measured"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "measured", "fit.toml"), data, 0o600))
	own, err := lib.Overlay(dir)
	require.NoError(t, err, string(data))
	was, is := lib.Ingredients["gentian-root"].Contents["bitterness"], own.Ingredients["gentian-root"].Contents["bitterness"]
	l := learned(t, r, "gentian-root", "bitterness")
	assert.InEpsilon(t, l.Factor*was.PerGram*was.Recovery, is.PerGram*is.Recovery, 1e-3)
	assert.Equal(t, profile.Measured, is.Basis)
	assert.Equal(t, "fit to W-0, W-1, W-2", is.Source)
	assert.Equal(t, was.CapRecovery, is.CapRecovery)
	assert.GreaterOrEqual(t, is.PerGram, was.PerGram*(1-1e-3))
	assert.InEpsilon(t, l.LotSD/l.After, is.SD/is.PerGram, 1e-3, "no cap counts bitterness: lots vary as much as is known now")
	juice := own.Ingredients["lemon-juice"]
	assert.InEpsilon(t, learned(t, r, "lemon-juice", brief.Acidity).Factor*lib.Ingredients["lemon-juice"].Solutes["citric"], juice.Solutes["citric"], 1e-3)

	job2, err := brief.OpenFS(profiles.FS, "demo/bitter-lemon.toml", "demo:", own)
	require.NoError(t, err)
	again := batches[:1]
	again[0].Recipe.Parts = nil
	for _, p := range recipe.Parts {
		again[0].Recipe.Parts = append(again[0].Recipe.Parts, brief.Part{Source: job2.Source(p.Source.Name), Amount: p.Amount})
	}
	assert.NotEmpty(t, fit.CountedTwice(again), "the figure rests on this batch already")
	again[0].Name = "W-01"
	assert.Empty(t, fit.CountedTwice(again), "another batch whose name begins alike")
}

// What some market caps keeps its content and deviation when a kettle draws little of it, and rises when it draws
// more than the profile's whole.
func TestCappedContentsNeverFall(t *testing.T) {
	job, recipe := demo(t, "bitter-orange")
	was := job.Library.Ingredients["quassia-wood"].Contents["quassin"]
	for _, c := range []struct{ factor float64 }{{0.3}, {1.5}, {3}} {
		var batches []fit.Batch
		for k := range 4 {
			batches = append(batches, made(t, fmt.Sprint("Q", k), job, recipe, map[string]string{"quassia-wood": "Q"}, map[string]map[string]float64{"quassia-wood": {"quassin": c.factor}}, "quassin"))
		}
		r, err := fit.Fit(batches, 0.3)
		require.NoError(t, err)
		l := learned(t, r, "quassia-wood", "quassin")
		perGram, sd, recovery := l.Content(job.Library.Ingredients["quassia-wood"], true)
		if was.Recovery < 1 {
			assert.GreaterOrEqual(t, perGram, was.PerGram)
			assert.GreaterOrEqual(t, sd, was.SD)
			assert.InEpsilon(t, l.Factor*was.PerGram*was.Recovery, perGram*recovery, 1e-9)
		} else {
			assert.InEpsilon(t, l.Factor*was.PerGram, perGram, 1e-9)
			assert.GreaterOrEqual(t, sd/was.PerGram, was.SD/was.PerGram/math.Sqrt2)
		}
	}
}

func BenchmarkFit(b *testing.B) {
	job, recipe := demo(b, "bitter-lemon")
	var batches []fit.Batch
	for k := range 10 {
		batches = append(batches, made(b, fmt.Sprint("B", k), job, recipe, nil, nil, "bitterness", "ph", "acidity_g_per_l", "brix"))
	}
	for b.Loop() {
		if _, err := fit.Fit(batches, 0.3); err != nil {
			b.Fatal(err)
		}
	}
}
