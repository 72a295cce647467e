package profile

import (
	"fmt"
	"math"
	"slices"

	"bittersum/internal/chance"
	"bittersum/internal/tomlfile"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// readVariation reads what says how a content varies from lot to lot: sd and shape beside per_g, or in the place of
// per_g and sd the values of lots that were measured.
func readVariation(t *tomlfile.Table, c *Content) {
	values := t.NumberList("values", tomlfile.NonNegative)
	if t.Has("values") {
		if t.Has("per_g") || t.Has("per_unit") || t.Has("sd") {
			t.Fault("values", "stands beside per_g or sd; give one of the two", "")
		}
		c.PerGram, c.SD = ofLots(t, values)
	}
	c.Shape = t.OneOf("shape", Shapes...)
	if c.Shape == "" {
		return
	}
	// How many deviations the shape reaches down from its mean: no content is below zero.
	reach := map[string]float64{string(chance.Uniform): math.Sqrt(3), string(chance.Triangle): math.Sqrt(6)}[c.Shape]
	switch {
	case c.SD == 0:
		t.Fault("shape", "needs sd, the deviation between lots", "")
	case c.SD*reach > c.PerGram:
		t.Fault("shape", fmt.Sprintf("with a deviation of %g about %g would reach below zero", c.SD, c.PerGram), "give a smaller sd, or leave the shape out for lognormal")
	}
	if c.Shape == string(chance.Lognormal) {
		c.Shape = ""
	}
}

// fewestLots is how many lots say how lots vary.
const fewestLots = 3

// ofLots returns the mean of measured lots and the deviation that is to be reckoned with for the next one: that of
// the lots, widened so that the upper 97.5 % bound is that of Student's distribution (R. Krutchkoff, Probability and
// Statistical Inference, 1970, prediction of one observation), since few lots say little of how lots vary.
func ofLots(t *tomlfile.Table, values []float64) (mean, sd float64) {
	if len(values) < fewestLots {
		t.Fault("values", fmt.Sprintf("%d lots say too little of how lots vary; give %d or more", len(values), fewestLots), "or per_g and sd")
		return 0, 0
	}
	mean, deviation := stat.MeanStdDev(values, nil)
	if deviation == 0 {
		t.Fault("values", "are all the same: that lots do not vary is no finding", "give the digits that were read")
	}
	n := float64(len(values))
	student := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975)
	return mean, deviation * math.Sqrt(1+1/n) * student / distuv.UnitNormal.Quantile(0.975)
}

// hasAmount reports whether a table says how much there is.
func hasAmount(t *tomlfile.Table, keys ...string) bool {
	return t.Has("values") || slices.ContainsFunc(keys, t.Has)
}
