package sensory

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Answers are those of one difference test, as kept beside a recipe.
type Answers struct {
	Test      Test
	Right, Of int
	// A and B say what was compared, On is the day and Note anything worth keeping.
	A, B, On, Note string
	// Attribute was changed from Base to Changed, in its own unit of the drink; empty where more than one was.
	Attribute     string
	Base, Changed float64
	Line          int
}

// step is how far apart the two were: the logarithm of their ratio, for a difference that is a share of the value,
// or their difference.
func (a Answers) step(share bool) float64 {
	if share {
		return math.Abs(math.Log(a.Changed / a.Base))
	}
	return math.Abs(a.Changed - a.Base)
}

// Noticed is the just noticeable difference of an attribute, as the house's tasters have it.
type Noticed struct {
	Attribute string
	// Share says that it is a share of the value.
	Share bool
	// JND is the difference at d' = 1, at which three in four find the stronger of two (76 %); Low and High hold it
	// with 95 % confidence, High infinite where the answers set no upper end.
	JND, Low, High float64
	Tests, Answers int
	// Misfit is the chance of answers that lie as far off the one line through all steps; small where that line, or
	// the tasters, changed between tests.
	Misfit float64
}

// ErrNoticed says that answers tell no just noticeable difference.
var ErrNoticed = errors.New("the answers tell no just noticeable difference")

// JustNoticeable estimates the just noticeable difference from difference tests of one attribute at several steps:
// d' grows in proportion to the step, and the slope is the likeliest one. Its interval is that of the likelihood
// ratio. An error wraps ErrNoticed where all answers, or none beyond guessing, are right.
func JustNoticeable(tests []Answers, share bool) (Noticed, error) {
	n := Noticed{Share: share, Tests: len(tests)}
	right, guessed := 0, 0.0
	for _, t := range tests {
		n.Attribute = t.Attribute
		n.Answers += t.Of
		right += t.Right
		guessed += float64(t.Of) * t.Test.Guess()
		if !(t.step(share) > 0) {
			return n, fmt.Errorf("%w: of %s nothing was changed", ErrNoticed, t.Attribute)
		}
	}
	if len(tests) == 0 {
		return n, fmt.Errorf("%w: there are none", ErrNoticed)
	}
	// The logarithm of the slope, over a range far beyond all steps.
	middle := 0.0
	for _, t := range tests {
		middle += math.Log(1/t.step(share)) / float64(len(tests))
	}
	low, high := middle-7, middle+7
	best := peak(func(s float64) float64 { return likelihood(tests, share, math.Exp(s)) }, low, high)
	top := likelihood(tests, share, math.Exp(best))
	switch {
	case right == n.Answers:
		return n, fmt.Errorf("%w: all were right; take smaller steps", ErrNoticed)
	case float64(right) <= guessed || best < low+0.2:
		return n, fmt.Errorf("%w: %d right of %d is what guessing gives; take larger steps, or more tasters", ErrNoticed, right, n.Answers)
	}
	drop := distuv.ChiSquared{K: 1}.Quantile(0.95) / 2
	falls := func(s float64) float64 { return likelihood(tests, share, math.Exp(s)) - top + drop }
	n.JND = difference(math.Exp(-best), share)
	n.Low, n.High = 0, math.Inf(1)
	if falls(high) < 0 {
		n.Low = difference(math.Exp(-root(falls, best, high)), share)
	}
	if falls(low) < 0 {
		n.High = difference(math.Exp(-root(falls, best, low)), share)
	}
	full := 0.0 // of answers exactly as they are
	for _, t := range tests {
		p := math.Max(float64(t.Right)/float64(t.Of), t.Test.Guess()) // no d' is below nothing
		full += logBinomial(t.Right, t.Of, p)
	}
	n.Misfit = 1
	if len(tests) > 1 {
		n.Misfit = distuv.ChiSquared{K: float64(len(tests) - 1)}.Survival(math.Max(0, 2*(full-top)))
	}
	return n, nil
}

// difference turns the step at d' = 1 into a share, or leaves it.
func difference(step float64, share bool) float64 {
	if share {
		return math.Expm1(step)
	}
	return step
}

// likelihood returns the logarithm of that of the answers at a slope of d' per step.
func likelihood(tests []Answers, share bool, slope float64) (sum float64) {
	for _, t := range tests {
		sum += logBinomial(t.Right, t.Of, t.Test.Correct(math.Min(largest, slope*t.step(share))))
	}
	return sum
}

// logBinomial is the logarithm of p^k (1-p)^(n-k).
func logBinomial(k, n int, p float64) float64 {
	const least = 1e-12
	p = math.Min(math.Max(p, least), 1-least)
	return float64(k)*math.Log(p) + float64(n-k)*math.Log(1-p)
}

// peak returns where f is largest between low and high, by a grid and golden sections about its best point.
func peak(f func(float64) float64, low, high float64) float64 {
	const steps = 140
	best, top := low, math.Inf(-1)
	for k := range steps + 1 {
		x := low + (high-low)*float64(k)/steps
		if v := f(x); v > top {
			best, top = x, v
		}
	}
	step := (high - low) / steps
	a, b := math.Max(low, best-step), math.Min(high, best+step)
	golden := (math.Sqrt(5) - 1) / 2
	for b-a > 1e-9 {
		x, y := b-golden*(b-a), a+golden*(b-a)
		if f(x) >= f(y) {
			b = y
		} else {
			a = x
		}
	}
	return (a + b) / 2
}

// root returns where f, above zero at from and below at to, is zero.
func root(f func(float64) float64, from, to float64) float64 {
	for range 60 {
		middle := (from + to) / 2
		if f(middle) > 0 {
			from = middle
		} else {
			to = middle
		}
	}
	return (from + to) / 2
}
