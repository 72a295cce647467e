// Package chance reckons with quantities that vary: distributions, quasi-random points, the chance that
// an outcome passes a limit with its error, quantiles, and which quantity makes an outcome vary. It knows
// nothing of drinks.
package chance

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Shape names the form of a distribution.
type Shape string

// The shapes. Lognormal is that of a positive quantity whose errors multiply, as contents of plants do.
const (
	Fixed     Shape = "fixed"
	Lognormal Shape = "lognormal"
	Normal    Shape = "normal"
	Uniform   Shape = "uniform"
	Triangle  Shape = "triangular"
	Sample    Shape = "sample"
)

// Distribution is that of one quantity. Mean and SD are those of the whole distribution, before it is cut
// to [Low, High].
type Distribution struct {
	Shape    Shape
	Mean, SD float64
	// Low and High cut the distribution at what is possible; equal when nothing is cut.
	Low, High float64
	// Values are those measured, for Sample, in ascending order: each as likely as any other.
	Values []float64

	mu, sigma float64          // of the logarithm, for Lognormal
	base      quantileFunction // for all but Fixed and an uncut Lognormal or Normal
	from, to  float64          // the shares of the distribution below Low and below High
}

type quantileFunction interface {
	Quantile(p float64) float64
	CDF(x float64) float64
}

// New returns the distribution of that shape, mean and standard deviation, cut to [low, high] unless both
// are zero. A deviation of zero gives a fixed value. An error says what is impossible.
func New(shape Shape, mean, sd, low, high float64) (Distribution, error) {
	d := Distribution{Shape: shape, Mean: mean, SD: sd, Low: low, High: high}
	if math.IsNaN(mean) || math.IsInf(mean, 0) || !(sd >= 0) || math.IsInf(sd, 1) {
		return d, fmt.Errorf("mean %g and deviation %g: they must be finite, the deviation 0 or more", mean, sd)
	}
	if low > high {
		return d, fmt.Errorf("a range from %g to %g is empty", low, high)
	}
	if sd == 0 {
		d.Shape = Fixed
		return d, nil
	}
	switch shape {
	case Lognormal:
		if mean <= 0 {
			return d, fmt.Errorf("a lognormal quantity has a mean above 0, not %g", mean)
		}
		d.sigma = math.Sqrt(math.Log1p(sd * sd / (mean * mean)))
		d.mu = math.Log(mean) - d.sigma*d.sigma/2
		d.base = distuv.LogNormal{Mu: d.mu, Sigma: d.sigma}
	case Normal:
		d.mu, d.sigma = mean, sd
		d.base = distuv.Normal{Mu: mean, Sigma: sd}
	case Uniform:
		d.base = distuv.Uniform{Min: mean - sd*math.Sqrt(3), Max: mean + sd*math.Sqrt(3)}
	case Triangle: // symmetric: its half width is sqrt(6) deviations
		d.base = distuv.NewTriangle(mean-sd*math.Sqrt(6), mean+sd*math.Sqrt(6), mean, nil)
	default:
		return d, fmt.Errorf("no distribution %q has a mean and a deviation", shape)
	}
	d.to = 1
	if d.cut() {
		d.from, d.to = d.base.CDF(low), d.base.CDF(high)
		if !(d.to-d.from > 1e-9) {
			return d, fmt.Errorf("nothing of a quantity of %g ± %g lies between %g and %g", mean, sd, low, high)
		}
	}
	return d, nil
}

// Measured returns the distribution in which each of the values is as likely as any other.
func Measured(values []float64) (Distribution, error) {
	if len(values) == 0 {
		return Distribution{}, fmt.Errorf("no value was measured")
	}
	d := Distribution{Shape: Sample, Values: slices.Sorted(slices.Values(values))}
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return d, fmt.Errorf("a measured value is %g", v)
		}
		d.Mean += v / float64(len(values))
	}
	for _, v := range values {
		d.SD += (v - d.Mean) * (v - d.Mean) / float64(len(values))
	}
	d.SD = math.Sqrt(d.SD)
	if d.SD == 0 {
		d.Shape = Fixed
	}
	return d, nil
}

func (d *Distribution) cut() bool { return d.Low < d.High }

// varies reports whether the quantity is no fixed value.
func (d *Distribution) varies() bool { return d.Shape != Fixed && d.SD > 0 }

// at returns the value at a standard normal score: the quantile that has as much below it.
func (d *Distribution) at(z float64) float64 {
	switch {
	case !d.varies():
		return d.Mean
	case d.Shape == Lognormal && !d.cut():
		return math.Exp(d.mu + d.sigma*z)
	case d.Shape == Normal && !d.cut():
		return d.mu + d.sigma*z
	}
	return d.Quantile(below(z))
}

// Quantile returns the value that a share p of the distribution lies below, 0 < p < 1.
func (d *Distribution) Quantile(p float64) float64 {
	switch {
	case !d.varies():
		return d.Mean
	case d.Shape == Sample:
		return d.Values[min(int(p*float64(len(d.Values))), len(d.Values)-1)]
	}
	return d.base.Quantile(d.from + p*(d.to-d.from))
}

// Above returns the chance of a value above x.
func (d *Distribution) Above(x float64) float64 {
	switch {
	case !d.varies():
		return share(d.Mean > x)
	case d.Shape == Sample:
		first, _ := slices.BinarySearchFunc(d.Values, x, func(v, x float64) int {
			if v > x {
				return 1
			}
			return -1
		})
		return float64(len(d.Values)-first) / float64(len(d.Values))
	case d.cut():
		return math.Min(math.Max((d.to-d.base.CDF(x))/(d.to-d.from), 0), 1)
	case d.Shape == Lognormal:
		if x <= 0 {
			return 1
		}
		return above((math.Log(x) - d.mu) / d.sigma) // keeps its digits far out, where 1 - CDF does not
	case d.Shape == Normal:
		return above((x - d.mu) / d.sigma)
	}
	return 1 - d.base.CDF(x)
}

func share(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// below and above are the chances of a standard normal value below and above z.
func below(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
func above(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// score is the inverse of below.
func score(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }
