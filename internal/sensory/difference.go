// Package sensory reckons with tasters: difference tests, serving orders and the bitterness value. Pure
// functions; it knows nothing of profiles or briefs.
package sensory

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Test is a difference test with a right answer.
type Test string

// The tests: which sample is unlike the other two (triangle, ISO 4120), which of two is like the reference
// (duo-trio, ISO 10399), which of two or of three has more of something named (paired, ISO 5495; 3-AFC),
// which two of four are alike (tetrad).
const (
	Triangle Test = "triangle"
	DuoTrio  Test = "duo-trio"
	Paired   Test = "paired"
	ThreeAFC Test = "3-afc"
	Tetrad   Test = "tetrad"
)

// Tests are all of them.
var Tests = []Test{Triangle, DuoTrio, Paired, ThreeAFC, Tetrad}

// Guess returns the chance of a right answer by guessing.
func (t Test) Guess() float64 {
	if t == DuoTrio || t == Paired {
		return 0.5
	}
	return 1.0 / 3
}

// Samples returns how many cups a taster gets.
func (t Test) Samples() int {
	switch t {
	case Paired:
		return 2
	case Tetrad:
		return 4
	}
	return 3
}

// Correct returns the share of right answers at a difference of d standard deviations of what is perceived
// (Thurstonian d'), 0 or more: Ennis 1993, J. Sensory Stud. 8: 353.
func (t Test) Correct(d float64) float64 {
	normal := distuv.UnitNormal
	switch t {
	case Paired:
		return normal.CDF(d / math.Sqrt2)
	case DuoTrio:
		a, b := normal.CDF(d/math.Sqrt2), normal.CDF(d/math.Sqrt(6))
		return 1 - a - b + 2*a*b
	case ThreeAFC:
		return overScores(func(z float64) float64 { return normal.Prob(z-d) * math.Pow(normal.CDF(z), 2) }, -9, d+9)
	case Tetrad:
		return 1 - 2*overScores(func(z float64) float64 {
			p := normal.CDF(z - d)
			return normal.Prob(z) * (2*normal.CDF(z)*p - p*p)
		}, -9, 9)
	}
	shift := d * math.Sqrt(2.0/3)
	return 2 * overScores(func(z float64) float64 {
		return normal.Prob(z) * (normal.CDF(shift-z*math.Sqrt(3)) + normal.CDF(-shift-z*math.Sqrt(3)))
	}, 0, 9)
}

func overScores(f func(float64) float64, from, to float64) float64 {
	return quad.Fixed(f, from, to, 200, quad.Legendre{}, 0)
}

// largest is the largest d' told: beyond it nearly all answers are right.
const largest = 10

// DPrime returns the d' at which so large a share of answers is right: 0 at or below guessing, infinite
// when no d' up to 10 reaches it.
func (t Test) DPrime(correct float64) float64 {
	if correct <= t.Guess() {
		return 0
	}
	if correct >= t.Correct(largest) {
		return math.Inf(1)
	}
	low, high := 0.0, float64(largest)
	for range 60 {
		if middle := (low + high) / 2; t.Correct(middle) < correct {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// AtLeast returns the chance of k or more right answers of n that are each right with chance p.
func AtLeast(k, n int, p float64) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n:
		return 0
	}
	return mathext.RegIncBeta(float64(k), float64(n-k+1), p)
}

// Fewest returns the least number of right answers of n that guessing reaches with a chance of at most
// alpha: "different" is said from there on (ISO 4120, 10399, 5495). It is n+1 when no number will do.
func (t Test) Fewest(n int, alpha float64) int {
	for k := range n + 1 {
		if AtLeast(k, n, t.Guess()) <= alpha {
			return k
		}
	}
	return n + 1
}

// Most returns the largest number of right answers of n at which the two are said to be alike: at most beta
// is then the chance of so few when a share of the tasters can tell them apart. It is -1 when no number
// will do, or when only fewer would than guessing gives.
func (t Test) Most(n int, beta, share float64) int {
	p := t.Guess() + share*(1-t.Guess())
	for k := n; k >= 0; k-- {
		if 1-AtLeast(k+1, n, p) <= beta {
			if float64(k) < float64(n)*t.Guess() {
				return -1
			}
			return k
		}
	}
	return -1
}

// Power returns the chance that n answers show a difference that makes a share p of them right.
func (t Test) Power(n int, alpha, p float64) float64 { return AtLeast(t.Fewest(n, alpha), n, p) }

// mostTasters is how many are looked for.
const mostTasters = 5000

// Tasters returns the least number of answers that shows a difference which makes a share p of them right
// with that power. An error says that none up to 5000 does.
func (t Test) Tasters(alpha, power, p float64) (int, error) {
	for n := 2; n <= mostTasters; n++ {
		if t.Power(n, alpha, p) >= power {
			return n, nil
		}
	}
	return 0, fmt.Errorf("not even %d tasters would show it", mostTasters)
}

// Interval is a two-sided confidence interval.
type Interval struct{ Low, High float64 }

// Proportion returns the exact interval of a proportion after k of n (Clopper and Pearson 1934, Biometrika
// 26: 404).
func Proportion(k, n int, confidence float64) Interval {
	out, tail := Interval{0, 1}, (1-confidence)/2
	if k > 0 {
		out.Low = mathext.InvRegIncBeta(float64(k), float64(n-k+1), tail)
	}
	if k < n {
		out.High = mathext.InvRegIncBeta(float64(k+1), float64(n-k), 1-tail)
	}
	return out
}

// Score is what the answers of a difference test say.
type Score struct {
	Test           Test
	Right, Tasters int
	// P is the chance of as many right answers by guessing.
	P float64
	// Correct is the share of right answers and Discriminators that of tasters who could tell, both with
	// their 95 % intervals; Difference is d'.
	Correct, Discriminators, Difference       float64
	CorrectIn, DiscriminatorsIn, DifferenceIn Interval
	// Different at 5 %: from Needed right answers on.
	Different bool
	Needed    int
	// Alike: at most a share of Bound of the tasters can tell, with 95 % confidence; AlikeUpTo is the
	// largest number of right answers for it, -1 when there are too few tasters to say so.
	Alike     bool
	Bound     float64
	AlikeUpTo int
}

// Alpha is the chance of a false alarm, and of a false all-clear, that scores are judged with.
const Alpha = 0.05

// Judge judges the answers of a difference test; bound is the share of tasters that may notice for the two
// to be called alike. An error says what is wrong with the numbers.
func (t Test) Judge(right, tasters int, bound float64) (Score, error) {
	switch {
	case tasters < 1:
		return Score{}, fmt.Errorf("%d tasters: at least 1 is needed", tasters)
	case right < 0 || right > tasters:
		return Score{}, fmt.Errorf("%d right answers of %d: 0 to %d are possible", right, tasters, tasters)
	case !(bound > 0 && bound < 1):
		return Score{}, fmt.Errorf("a share of %g of the tasters: above 0 and below 1", bound)
	}
	guess := t.Guess()
	discriminators := func(p float64) float64 { return math.Max(0, (p-guess)/(1-guess)) }
	s := Score{Test: t, Right: right, Tasters: tasters, P: AtLeast(right, tasters, guess), Bound: bound}
	s.Correct = float64(right) / float64(tasters)
	s.CorrectIn = Proportion(right, tasters, 1-Alpha)
	s.Discriminators = discriminators(s.Correct)
	s.DiscriminatorsIn = Interval{discriminators(s.CorrectIn.Low), discriminators(s.CorrectIn.High)}
	s.Difference = t.DPrime(s.Correct)
	s.DifferenceIn = Interval{t.DPrime(s.CorrectIn.Low), t.DPrime(s.CorrectIn.High)}
	s.Needed = t.Fewest(tasters, Alpha)
	s.Different = right >= s.Needed
	s.AlikeUpTo = t.Most(tasters, Alpha, bound)
	s.Alike = s.AlikeUpTo >= 0 && right <= s.AlikeUpTo
	return s, nil
}
