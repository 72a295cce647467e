package study_test

import (
	"context"
	"math"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

func stressed(t *testing.T, a *assess.Assessment, assumed float64) *study.Stressed {
	s, err := study.Stress(a, study.StressOptions{Assumed: assumed, Draws: 1 << 14, Seed: 1})
	require.NoError(t, err)
	return s
}

func cheapest(t *testing.T, name string) *assess.Assessment {
	answer, err := study.Cheapest(context.Background(), demoJob(t, name))
	require.NoError(t, err)
	require.Nil(t, answer.Conflict)
	return answer.Assessment
}

// A cap that one plant alone brings has a lognormal tail, worked out here from the profile's figures.
func TestStressOfACapThatOnePlantBrings(t *testing.T) {
	a := cheapest(t, "bitter-orange")
	s := stressed(t, a, 0.3)
	tested := 0
	for _, c := range s.Caps {
		var carrier *brief.Part
		carriers := 0
		for n, p := range a.Recipe.Parts {
			if content, _ := p.Source.Content(c.Substance); content.PerGram > 0 {
				carrier = &a.Recipe.Parts[n]
				carriers++
			}
		}
		if carriers != 1 || len(c.Accepted) > 0 {
			continue
		}
		content, _ := carrier.Source.Content(c.Substance)
		deviation := content.SD / content.PerGram
		if content.SD == 0 {
			deviation = 0.3
		}
		deviation = math.Sqrt((1+deviation*deviation)*(1+0.005*0.005) - 1) // weighing
		sigma := math.Sqrt(math.Log1p(deviation * deviation))
		expected := c.Guarded * content.PerGram / (content.PerGram + brief.Deviates(a.Job.Assurance)*content.SD)
		want := distuv.UnitNormal.Survival((math.Log(c.Max/expected) + sigma*sigma/2) / sigma)
		assert.Equal(t, chance.Exact, c.Broken.Method)
		assert.InEpsilon(t, want, c.Broken.Chance, 1e-6, c.Substance)
		assert.Equal(t, carrier.Source.Name, c.Shares[0].Source)
		assert.InDelta(t, 1, c.Shares[0].Total, 1e-9)
		assert.InEpsilon(t, expected, c.Spread.Expected, 0.01)
		assert.Less(t, c.Low, c.Middle)
		assert.Less(t, c.Middle, c.High)
		tested++
	}
	assert.Positive(t, tested)
}

// A market's bounds: at least its likeliest cap, at most the sum; and what can be sold costs more by the
// share thrown away.
func TestStressBoundsOfAMarket(t *testing.T) {
	a := cheapest(t, "bitter-orange")
	s := stressed(t, a, 0.3)
	most := 0.0
	for _, m := range s.Markets {
		least, sum := 0.0, 0.0
		for _, c := range s.Caps {
			if c.Market == m.Market {
				least = math.Max(least, c.Broken.Chance)
				sum += c.Broken.AtMost
			}
		}
		assert.Equal(t, least, m.AtLeast, m.Market.Name)
		assert.InDelta(t, math.Min(1, sum), m.AtMost, 1e-12, m.Market.Name)
		most += m.AtMost
	}
	assert.Positive(t, most)
	assert.Equal(t, []string{"methyleugenol", "sulphites"}, s.Markets[1].Unknown, "the brief accepts them unknown")
	assert.InDelta(t, a.Cost.PerLitre/(1-math.Min(1, most)), s.Saleable[1], 1e-9)
	assert.GreaterOrEqual(t, s.Saleable[1], s.Saleable[0])
}

// The expected values of a stress run are those of the assessment, its quantiles hold them between them, and
// half or more of all batches miss a target that the cheapest recipe just meets.
func TestStressAgreesWithTheAssessment(t *testing.T) {
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		a := cheapest(t, name)
		for _, target := range stressed(t, a, 0.3).Targets {
			value := math.NaN()
			for _, v := range a.Attributes {
				if v.Name == target.Name {
					value = v.Value
				}
			}
			for _, r := range a.Readings {
				if string(r.Reading) == target.Name {
					value = r.Value
				}
			}
			assert.InEpsilon(t, value, target.Spread.Expected, 0.01, "%s: %s", name, target.Name)
			assert.True(t, target.Low <= value && value <= target.High, "%s: %s", name, target.Name)
			if math.Abs(value-target.Min) < 1e-4*value && target.High > 1.01*target.Low {
				assert.Greater(t, target.Below.Chance, 0.4, "%s: %s", name, target.Name)
			}
		}
	}
}

// The more contents are taken to vary, the wider every attribute spreads; what has no deviation at all is
// certain but for weighing and recoveries.
func TestStressWidensWithTheAssumption(t *testing.T) {
	a := cheapest(t, "bitter-lemon")
	narrow, wide := stressed(t, a, 0), stressed(t, a, 0.5)
	for n := range narrow.Targets {
		low, high := narrow.Targets[n], wide.Targets[n]
		assert.GreaterOrEqual(t, (high.High-high.Low)*(1+1e-9), low.High-low.Low, low.Name)
	}
	assert.NotEmpty(t, wide.Assumed)
}

func TestStressIsForDrinks(t *testing.T) {
	answer, err := study.Cheapest(context.Background(), blendJob(t, "polly"))
	require.NoError(t, err)
	_, err = study.Stress(answer.Assessment, study.StressOptions{Draws: 1000, Seed: 1})
	assert.ErrorIs(t, err, study.ErrBlend)
}

// A content's shape between lots decides how far out its tail goes: worked out here for 240 mg/L of sorbic acid under
// 300 with a deviation of 100/745 and that of weighing. A uniform one ends at 295.8.
func TestStressByTheShapeOfAContent(t *testing.T) {
	broken := func(shape string) float64 {
		j, err := jobOf(t, `name = "kept"
markets = ["eu"]
use = ["water", "sugar", "citric-acid", "house-sorbate"]
[targets.sorbic-acid]
min = 240
max = 240
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
contents = { sorbic-acid = { per_g = 745, sd = 100`+shape+` } }
`)
		require.NoError(t, err)
		answer, err := study.Cheapest(context.Background(), j)
		require.NoError(t, err)
		require.Nil(t, answer.Conflict)
		for _, c := range stressed(t, answer.Assessment, 0.3).Caps {
			if c.Substance == "sorbic-acid" {
				assert.Equal(t, chance.Exact, c.Broken.Method)
				return c.Broken.Chance
			}
		}
		t.Fatal("no cap")
		return 0
	}
	cv := math.Sqrt((1+math.Pow(100.0/745, 2))*(1+0.005*0.005) - 1)
	sigma := math.Sqrt(math.Log1p(cv * cv))
	assert.InEpsilon(t, distuv.UnitNormal.Survival((math.Log(300.0/240)+sigma*sigma/2)/sigma), broken(""), 0.01)
	assert.InEpsilon(t, distuv.UnitNormal.Survival(60/(240*cv)), broken(`, shape = "normal"`), 0.02)
	assert.Zero(t, broken(`, shape = "uniform"`))
	half := math.Sqrt(6) * 240 * cv // of a triangle's base
	assert.InEpsilon(t, math.Pow(240+half-300, 2)/(2*half*half), broken(`, shape = "triangular"`), 0.02)
}
