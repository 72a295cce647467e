package study_test

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/reference"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

func guarded(t testing.TB, j *brief.Job, risk float64, change func(*study.GuardOptions)) *study.GuardedRecipe {
	o := study.GuardOptions{StressOptions: study.StressOptions{Assumed: 0.3, Draws: 1 << 15, Seed: 1}, Risk: risk, Method: study.Independent, Counting: study.Sum}
	if change != nil {
		change(&o)
	}
	r, err := study.Guard(context.Background(), j, o)
	require.NoError(t, err)
	return r
}

// brokenBySampling is the share of sampled batches with too much of what a cap counts: contents lognormal about
// the profile's figures, sampled here with another generator than the program's.
func brokenBySampling(a *assess.Assessment, c assess.Cap, assumed float64) float64 {
	const batches = 100_000
	random := rand.New(rand.NewPCG(3, 4))
	basis := c.Guarded
	type carrier struct{ mean, mu, sigma float64 }
	var carriers []carrier
	guarded := 0.0
	for _, p := range a.Recipe.Parts {
		content, _ := p.Source.Content(c.Substance)
		if content.PerGram == 0 {
			continue
		}
		guarded += p.Amount * (content.PerGram + brief.Deviates(a.Job.Assurance)*content.SD) * content.CapRecovery
		cv := assumed
		if content.SD > 0 {
			cv = content.SD / content.PerGram
		} else if p.Source.Ingredient.Pure {
			cv = 0
		}
		square := (1 + cv*cv) * (1 + 0.005*0.005)
		carriers = append(carriers, carrier{p.Amount * content.PerGram * content.CapRecovery, -math.Log(square) / 2, math.Sqrt(math.Log(square))})
	}
	litresOrKilograms := guarded / basis // the assessment's own
	broken := 0
	for range batches {
		sum := 0.0
		for _, one := range carriers {
			sum += one.mean * math.Exp(one.mu+one.sigma*random.NormFloat64())
		}
		if sum/litresOrKilograms > c.Max {
			broken++
		}
	}
	return float64(broken) / batches
}

// Every guarded recipe keeps its caps as often as was asked, by batches that are sampled independently here, and
// passes the checks of blend; the surer, the dearer.
func TestGuardedRecipesKeepTheirCaps(t *testing.T) {
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		for _, method := range []study.GuardMethod{study.Independent, study.AnyShape, study.FewBad} {
			for _, counting := range []study.Counting{study.EachAlone, study.Drawn} {
				last := 0.0
				for _, risk := range []float64{0.5, 0.01, 0.0005} {
					r := guarded(t, demoJob(t, name), risk, func(o *study.GuardOptions) { o.Method, o.Counting = method, counting })
					require.NotNil(t, r.Assessment, "%s %s %s %g", name, method, counting, risk)
					assert.True(t, r.Assessment.KeepsCaps())
					assert.Empty(t, r.Assessment.Misses())
					assert.LessOrEqual(t, r.AtMost, risk)
					assert.Equal(t, len(r.Limits), r.Exactly, "caps are sums")
					assert.InDelta(t, r.Bound, r.Assessment.Cost.PerLitre, 1e-4*r.Bound)
					assert.GreaterOrEqual(t, r.Assessment.Cost.PerLitre, last*(1-1e-5), "%s %s %s %g", name, method, counting, risk)
					last = r.Assessment.Cost.PerLitre
					for _, c := range r.Assessment.Caps {
						if c.Guarded > 0 && len(c.Sum) == 0 {
							found := brokenBySampling(r.Assessment, c, 0.3)
							assert.LessOrEqual(t, found, risk+3*math.Sqrt(risk/100_000), "%s in %s", c.Substance, name)
						}
					}
				}
			}
		}
	}
}

// A cap that one plant brings has a lognormal tail in closed form: the recipe uses the risk it is given, no more
// and not much less, and is dearer for it.
func TestGuardUsesItsRisk(t *testing.T) {
	r := guarded(t, demoJob(t, "bitter-orange"), 0.001, func(o *study.GuardOptions) { o.Counting = study.EachAlone })
	var quassin *study.GuardedLimit
	for n := range r.Limits {
		if r.Limits[n].Name == "quassin" {
			quassin = &r.Limits[n]
		}
	}
	require.NotNil(t, quassin)
	assert.True(t, quassin.Binding)
	for _, p := range r.Assessment.Recipe.Parts {
		content, _ := p.Source.Content("quassin")
		if content.PerGram == 0 {
			continue
		}
		cv := content.SD / content.PerGram
		square := (1 + cv*cv) * (1 + 0.005*0.005)
		sigma := math.Sqrt(math.Log(square))
		expected := p.Amount * content.PerGram * content.CapRecovery / r.Assessment.CapBasis(profile.PerKilogram)
		tail := distuv.UnitNormal.Survival((math.Log(quassin.Value/expected) + sigma*sigma/2) / sigma)
		assert.LessOrEqual(t, tail, 0.001)
		assert.GreaterOrEqual(t, tail, 0.001*0.95)
	}
	assert.Greater(t, r.Dearer(), 0.0)
	plain := guarded(t, demoJob(t, "bitter-orange"), 0.5, nil)
	assert.InDelta(t, 0, plain.Dearer(), 1e-9, "what is sure enough costs no more")
}

// Cantelli's inequality keeps √((1-p)/p) deviations free: 31.6 for one in a thousand (3√111 = 31.607).
func TestGuardOfAnyShape(t *testing.T) {
	r := guarded(t, demoJob(t, "bitter-orange"), 0.001, func(o *study.GuardOptions) { o.Method, o.Counting = study.AnyShape, study.EachAlone })
	for _, l := range r.Limits {
		if l.Binding {
			assert.InDelta(t, 3*math.Sqrt(111), l.Reach, 1e-3, l.Name)
		}
	}
	assert.Greater(t, r.Assessment.Cost.PerLitre, guarded(t, demoJob(t, "bitter-orange"), 0.001, nil).Assessment.Cost.PerLitre)
}

// More bad lots at once cost more.
func TestGuardAgainstBadLots(t *testing.T) {
	last := 0.0
	for _, bad := range []float64{0.5, 1, 3} {
		r := guarded(t, demoJob(t, "bitter-orange"), 0.4, func(o *study.GuardOptions) {
			o.Method, o.Bad, o.Targets, o.Counting = study.FewBad, bad, true, study.EachAlone
		})
		if r.Assessment == nil {
			require.NotZero(t, last)
			break
		}
		for _, l := range r.Limits {
			assert.Equal(t, bad, l.Most)
		}
		assert.Greater(t, r.Assessment.Cost.PerLitre, last)
		last = r.Assessment.Cost.PerLitre
	}
}

// With targets: each is missed as seldom as asked, by the stress run with other draws; and where no recipe can be
// so sure, the surest is shown with what stands in the way.
func TestGuardOfTargets(t *testing.T) {
	r := guarded(t, demoJob(t, "bitter-lemon"), 0.3, func(o *study.GuardOptions) { o.Targets, o.Counting = true, study.EachAlone })
	require.NotNil(t, r.Assessment)
	s, err := study.Stress(r.Assessment, study.StressOptions{Assumed: 0.3, Draws: 1 << 15, Seed: 77})
	require.NoError(t, err)
	for _, target := range s.Targets {
		assert.LessOrEqual(t, target.Below.Chance+target.Above.Chance, 0.3*1.05, target.Name)
	}
	never := guarded(t, demoJob(t, "gentian-cordial"), 0.01, func(o *study.GuardOptions) { o.Targets, o.Counting = true, study.EachAlone })
	require.Nil(t, never.Assessment)
	require.NotNil(t, never.Surest)
	assert.Greater(t, never.Surest.Options.Risk, 0.01)
	require.NotEmpty(t, never.Surest.InTheWay)
	assert.Equal(t, "bitterness", never.Surest.InTheWay[0].Name)
	assert.LessOrEqual(t, never.Surest.AtMost, never.Surest.Options.Risk)
}

// What any-of-them counts lies between the likeliest limit and the sum of all.
func TestDrawnLiesBetweenTheLikeliestAndTheSum(t *testing.T) {
	r := guarded(t, demoJob(t, "bitter-lemon"), 0.9, func(o *study.GuardOptions) { o.Targets, o.Counting = true, study.Drawn })
	require.NotNil(t, r.Assessment)
	plain := guarded(t, demoJob(t, "bitter-lemon"), 0.9999999, func(o *study.GuardOptions) { o.Targets, o.Counting = true, study.Drawn })
	assert.Greater(t, plain.AtMost, 0.9, "without a guard it would be missed more often")
	assert.Positive(t, r.Dearer())
	likeliest, sum := 0.0, 0.0
	for _, l := range r.Limits {
		likeliest = math.Max(likeliest, l.Broken.Chance)
		sum += l.Broken.Chance
	}
	assert.Greater(t, r.Any.Chance, likeliest*0.97)
	assert.Less(t, r.Any.Chance, sum)
	assert.LessOrEqual(t, r.AtMost, r.Options.Risk)
}

func TestGuardWithoutARecipe(t *testing.T) {
	j, err := demoJob(t, "bitter-orange").Changed(func(b *brief.Brief) { b.SetTarget("bitterness", brief.Range{Min: 5000, Max: 6000}) })
	require.NoError(t, err)
	r := guarded(t, j, 0.01, nil)
	assert.NotNil(t, r.Plain.Conflict)
	assert.Nil(t, r.Assessment)
	_, err = study.Guard(context.Background(), blendJob(t, "polly"), study.GuardOptions{Risk: 0.1})
	assert.ErrorIs(t, err, study.ErrBlend)
}

// The curve never falls and its knee lies on it.
func TestAssuranceCurve(t *testing.T) {
	c, err := study.GuardCurve(context.Background(), demoJob(t, "bitter-orange"), study.GuardOptions{
		StressOptions: study.StressOptions{Assumed: 0.3, Draws: 1 << 13, Seed: 1}, Risk: 0.03, Method: study.Independent, Counting: study.Sum})
	require.NoError(t, err)
	require.Len(t, c.Levels, 13, "the risk that was asked for is among them")
	for n, l := range c.Levels {
		assert.LessOrEqual(t, l.AtMost, l.Risk)
		if n > 0 {
			assert.Less(t, l.Risk, c.Levels[n-1].Risk)
			assert.GreaterOrEqual(t, l.Cost, c.Levels[n-1].Cost*(1-1e-5))
		}
	}
	require.Positive(t, c.Knee)
	assert.InDelta(t, 0.005, c.Levels[c.Knee].Risk, 1e-9, "the cheapest recipe breaks its cap in 1 of 300 batches")
}

// What a measurement saves is the difference of two guarded recipes; quassin, which quassia alone brings, is all
// that holds the soda.
func TestWhichMeasurementNext(t *testing.T) {
	o := study.GuardOptions{StressOptions: study.StressOptions{Assumed: 0.3, Draws: 1 << 13, Seed: 1}, Risk: 0.001, Method: study.Independent, Counting: study.Sum}
	j := demoJob(t, "bitter-orange")
	m, err := study.NextMeasurements(context.Background(), j, o)
	require.NoError(t, err)
	require.True(t, m.Asked)
	require.Len(t, m.List, 1)
	one := m.List[0]
	assert.Equal(t, study.Figure{Source: "quassia-wood", Attribute: "quassin"}, one.Figure)
	o.Known = map[study.Figure]float64{one.Figure: study.MeasuredVariation}
	known, err := study.Guard(context.Background(), j, o)
	require.NoError(t, err)
	assert.InDelta(t, m.Base.Assessment.Cost.PerLitre-known.Assessment.Cost.PerLitre, one.Saves, 1e-12)
	assert.Positive(t, one.Saves)
	assert.Less(t, one.AtMost, 1e-6, "5 % of a content that keeps 4.7 deviations of 32 % free")
	content, _ := j.Source("quassia-wood").Content("quassin")
	assert.InEpsilon(t, content.SD/content.PerGram, one.CV, 0.01)

	m, err = study.NextMeasurements(context.Background(), demoJob(t, "gentian-cordial"), study.GuardOptions{
		StressOptions: study.StressOptions{Assumed: 0.3, Draws: 1 << 12, Seed: 1}, Risk: 0.05, Method: study.Independent, Counting: study.EachAlone, Targets: true})
	require.NoError(t, err)
	assert.False(t, m.Asked, "no recipe is so sure")
	require.NotEmpty(t, m.List)
	assert.Greater(t, m.List[0].Saves, 0.0)
	for n := 1; n < len(m.List); n++ {
		assert.False(t, m.List[n].Saves > math.Max(0, m.List[n-1].Saves), "in order")
	}
}

// Bertsimas and Sim's bound, as tabulated from its formula elsewhere (uncertainty/bertsimas_sim_bound.csv) and
// the budgets that bring it to 1 %: 8.152, 11.447 and 17.468 of 10, 20 and 50.
func TestBudgetBound(t *testing.T) {
	for _, c := range []struct {
		n    int
		most float64
	}{{10, 8.152}, {20, 11.447}, {50, 17.468}, {100, 24.219}, {200, 33.862}, {2000, 105.044}} {
		assert.InDelta(t, 0.01, study.BudgetBound(c.n, c.most), 1e-5, "%d", c.n)
	}
	assert.InDelta(t, 1.0/32, study.BudgetBound(5, 5), 1e-15)
	rows := reference.Open(t, "uncertainty", "bertsimas_sim_bound.csv").Rows
	require.Greater(t, len(rows), 19)
	for _, row := range rows {
		n := int(reference.Number(t, row[0]))
		most, want := reference.Number(t, row[1]), reference.Number(t, row[2])
		assert.InEpsilon(t, want, study.BudgetBound(n, most), 1e-9, "%v", row)
	}
}

// A sum of proportions varies with each substance in it: a third of the cap each of two preservatives breaks it
// now and then.
func TestStressOfASumOfProportions(t *testing.T) {
	j, err := jobOf(t, `name = "preserved"
markets = ["au-nz"]
use = ["water", "sugar", "citric-acid", "house-sorbate", "house-benzoate"]
[targets.sorbic-acid]
min = 140
max = 140
[targets.benzoic-acid]
min = 140
max = 140
[targets.sugars]
min = 50
max = 60
[[ingredient]]
name = "house-sorbate"
pure = true
category = "preservative"
price_per_kg = 9
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { sorbic-acid = { per_g = 745, sd = 150 } }
[[ingredient]]
name = "house-benzoate"
pure = true
category = "preservative"
price_per_kg = 9
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { benzoic-acid = { per_g = 845, sd = 170 } }
`)
	require.NoError(t, err)
	answer, err := study.Cheapest(context.Background(), j)
	require.NoError(t, err)
	if answer.Conflict != nil {
		t.Fatalf("%v", answer.Conflict.Members)
	}
	tested := false
	for _, c := range stressed(t, answer.Assessment, 0.3).Caps {
		if len(c.Sum) == 0 {
			continue
		}
		tested = true
		assert.Positive(t, c.Broken.Chance, c.Substance)
		assert.InEpsilon(t, c.Cap.Expected, c.Spread.Expected, 0.01)
		assert.Len(t, c.Shares, 2)
	}
	assert.True(t, tested)
}

// houseBlend is two preservatives in one ingredient; how its contents go together is to follow.
const houseBlend = `[[ingredient]]
name = "house-blend"
pure = true
category = "preservative"
price_per_kg = 9
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.6
contents = { sorbic-acid = { per_g = 372.5, sd = 75 }, benzoic-acid = { per_g = 422.5, sd = 85 } }
`

// preserved is a drink whose two preservatives come from one source, with contents that go together as said.
func preserved(t *testing.T, correlations string) *brief.Job {
	j, err := jobOf(t, `name = "preserved"
markets = ["au-nz"]
use = ["water", "sugar", "citric-acid", "house-blend"]
[targets.sugars]
min = 50
max = 60
[limits.house-blend]
fixed_g_per_l = 0.35
`+houseBlend+correlations)
	require.NoError(t, err)
	return j
}

// Contents that rise and fall together make a sum vary most: with a correlation near 1 it is as good as lognormal,
// worked out here; independent ones keep the cap more often, and opposite ones nearly always.
func TestContentsThatGoTogether(t *testing.T) {
	broken := func(correlations string) (chance, expected, most float64, drawn float64) {
		answer, err := study.Cheapest(context.Background(), preserved(t, correlations))
		require.NoError(t, err)
		require.Nil(t, answer.Conflict)
		s, err := study.Stress(answer.Assessment, study.StressOptions{Assumed: 0.3, Draws: 1 << 16, Seed: 1})
		require.NoError(t, err)
		for _, c := range s.Caps {
			if len(c.Sum) > 0 {
				return c.Broken.Chance, c.Cap.Expected, c.Max, s.Markets[0].Drawn.Chance
			}
		}
		t.Fatal("no cap on a sum")
		return 0, 0, 0, 0
	}
	table := "[ingredient.correlations]\nbasis = \"measured\"\nsorbic-acid = { benzoic-acid = %s }\n"
	with := func(r string) string { return strings.Replace(table, "%s", r, 1) }
	alone, expected, most, _ := broken("")
	close, _, _, drawn := broken(with("0.9999"))
	opposite, _, _, _ := broken(with("-0.9"))
	cv := math.Sqrt((1+75/372.5*75/372.5)*(1+0.005*0.005) - 1)
	sigma := math.Sqrt(math.Log1p(cv * cv))
	want := distuv.UnitNormal.Survival((math.Log(most/expected) + sigma*sigma/2) / sigma)
	assert.InEpsilon(t, want, close, 0.05)
	assert.Less(t, alone, close)
	assert.Less(t, opposite, alone)
	assert.GreaterOrEqual(t, drawn, close*0.9, "the market's caps together")

	guard := func(correlations string) float64 {
		r := guarded(t, preserved(t, correlations), 0.5, nil)
		require.NotNil(t, r.Assessment)
		for n, s := range r.Job.Sources {
			if s.Name == "house-blend" {
				for _, l := range r.Limits {
					if len(l.Cap.Sum) > 0 {
						return l.CV[n]
					}
				}
			}
		}
		t.Fatal("no limit")
		return 0
	}
	assert.InEpsilon(t, cv, guard(with("0.9999")), 0.01)
	assert.InEpsilon(t, cv/math.Sqrt2, guard(""), 0.01, "half of the cap each")
}

func BenchmarkGuard(b *testing.B) {
	j := demoJob(b, "bitter-orange")
	for b.Loop() {
		guarded(b, j, 0.001, nil)
	}
}
