package solver

import (
	"math"
	"math/big"
	"strconv"
)

// Decimal returns the number that a float64 stands for in exact arithmetic: the shortest decimal that
// prints it, so that 0.35 is 35/100 and not the binary fraction nearest to it. It returns nil if v is
// not finite.
func Decimal(v float64) *big.Rat {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	if v == math.Trunc(v) && math.Abs(v) < 1<<53 {
		return new(big.Rat).SetInt64(int64(v))
	}
	if r := shortDecimal(v); r != nil {
		return r
	}
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
	if !ok {
		return nil
	}
	return r
}

// shortDecimal is Decimal for figures with few decimal places, which most are, or nil.
func shortDecimal(v float64) *big.Rat {
	scale := int64(10)
	for range 6 {
		// A decimal of at most fifteen digits is the only one of its kind to its float64, so if the
		// rounded product divides back to v it is the shortest that does.
		m := math.Round(v * float64(scale))
		if math.Abs(m) < 1e15 && m/float64(scale) == v {
			return new(big.Rat).SetFrac64(int64(m), scale)
		}
		scale *= 10
	}
	return nil
}

// exactBound is Decimal for a bound; nil stands for an infinite one.
func exactBound(v float64) *big.Rat {
	if math.Abs(v) >= Huge {
		return nil
	}
	return Decimal(v)
}

// float returns the float64 nearest to r, and NaN for nil.
func float(r *big.Rat) float64 {
	if r == nil {
		return math.NaN()
	}
	f, _ := r.Float64()
	return f
}

// content gathers the greatest rational that divides a set of rationals into integers.
type content struct {
	numerator, denominator big.Int // gcd of the numerators, lcm of the denominators
	started                bool
}

func (c *content) add(r *big.Rat) {
	if r.Sign() == 0 {
		return
	}
	if !c.started {
		c.numerator.Abs(r.Num())
		c.denominator.Set(r.Denom())
		c.started = true
		return
	}
	var magnitude big.Int
	if !isOne(&c.numerator) {
		c.numerator.GCD(nil, nil, &c.numerator, magnitude.Abs(r.Num()))
	}
	raise(&c.denominator, r.Denom())
}

// value returns the content, and 1 if nothing but zeros was added.
func (c *content) value() *big.Rat {
	if !c.started {
		return big.NewRat(1, 1)
	}
	return new(big.Rat).SetFrac(&c.numerator, &c.denominator)
}

func isOne(x *big.Int) bool { return x.IsInt64() && x.Int64() == 1 }

// raise replaces multiple by its least common multiple with x; both are positive.
func raise(multiple, x *big.Int) {
	if isOne(x) || multiple.Cmp(x) == 0 {
		return
	}
	var divisor, rest big.Int
	divisor.GCD(nil, nil, multiple, x)
	multiple.Mul(multiple, rest.Quo(x, &divisor))
}

// multiplied returns r·multiple as an integer; r's denominator divides multiple. It is nil for nil.
func multiplied(r *big.Rat, multiple *big.Int) *big.Int {
	if r == nil {
		return nil
	}
	var factor big.Int
	factor.Quo(multiple, r.Denom())
	return factor.Mul(&factor, r.Num())
}
