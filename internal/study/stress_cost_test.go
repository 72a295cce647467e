package study_test

import (
	"fmt"
	"math"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func costed(t require.TestingT, losses, prices string) *assess.Assessment {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.OpenText("costed.toml", `name = "costed"
markets = ["us"]
use = ["water", "sugar", "citric-acid"]
[losses]
`+losses+"\n"+prices, lib)
	require.NoError(t, err)
	a, err := assess.Assess(j, &brief.Recipe{Parts: []brief.Part{
		{Source: j.Source("water"), Amount: 950}, {Source: j.Source("sugar"), Amount: 90}, {Source: j.Source("citric-acid"), Amount: 5}}})
	require.NoError(t, err)
	return a
}

func costsOf(t require.TestingT, a *assess.Assessment) *study.Stressed {
	s, err := study.Stress(a, study.StressOptions{Assumed: 0.3, Draws: 1 << 13, Seed: 1})
	require.NoError(t, err)
	return s
}

// A cost without a spread of a loss or a price is one figure.
func TestCostThatDoesNotVary(t *testing.T) {
	s := costsOf(t, costed(t, "filling = 0.04", ""))
	assert.False(t, s.Cost.Varies)
	assert.Zero(t, s.Cost.Spread)
}

// A cost that two independent prices and weighing make has the mean of the recipe and, as prices and weights are
// multiplied, a variance that is worked out here; one that a loss makes has the mean of 1/(1-x), integrated here.
func TestCostAsItVaries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sugar, acid := rapid.Float64Range(0.05, 0.4).Draw(t, "sugar"), rapid.Float64Range(0.05, 0.4).Draw(t, "acid")
		a := costed(t, "filling = 0.04", fmt.Sprintf("[limits]\nsugar = { price_per_kg = 2, price_sd_per_kg = %v }\ncitric-acid = { price_per_kg = 9, price_sd_per_kg = %v }\n", 2*sugar, 9*acid))
		s := costsOf(t, a)
		variance := 0.0
		for n, p := range a.Recipe.Parts {
			share := map[string]float64{"sugar": sugar, "citric-acid": acid}[p.Source.Name]
			moved := p.Amount * p.Source.PricePerKg / 1000 / a.Recovered * share
			variance += moved*moved + a.Cost.Parts[n]*a.Cost.Parts[n]*0.005*0.005
		}
		assert.InEpsilon(t, a.Cost.PerLitre, s.Cost.Expected, 2e-3)
		assert.InDelta(t, 1.645*2*math.Sqrt(variance), s.Cost.High-s.Cost.Low, 0.14*3.29*math.Sqrt(variance), "close to normal")
		assert.Less(t, s.Cost.Low, s.Cost.Middle)
		assert.Less(t, s.Cost.Middle, s.Cost.High)
	})
	rapid.Check(t, func(t *rapid.T) {
		share, cv := rapid.Float64Range(0.02, 0.15).Draw(t, "share"), rapid.Float64Range(0.05, 0.5).Draw(t, "cv")
		a := costed(t, fmt.Sprintf("filling = { share = %v, sd = %v }", share, share*cv), "")
		s := costsOf(t, a)
		sigma := math.Sqrt(math.Log1p(cv * cv))
		lost := distuv.LogNormal{Mu: math.Log(share) - sigma*sigma/2, Sigma: sigma}
		// no plant holds liquor back here, so that the litres go as the share kept
		mean := quad.Fixed(func(u float64) float64 { return (1 - share) / (1 - lost.Quantile(u)) }, 1e-9, lost.CDF(0.9), 400, nil, 0)
		assert.InEpsilon(t, a.Cost.PerLitre*mean, s.Cost.Expected, 3e-3)
		assert.InEpsilon(t, a.Cost.PerLitre*(1-share)/(1-lost.Quantile(0.95)), s.Cost.High, 1e-2)
		assert.InEpsilon(t, a.Cost.PerLitre*(1-share)/(1-lost.Quantile(0.05)), s.Cost.Low, 1e-2)
	})
}
