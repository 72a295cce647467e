package chem

import "math"

// findRoot returns a root of a function that is continuous, not positive at lo and not negative at
// hi, to within rounding of the larger end. It is the ITP method (Oliveira, Takahashi, ACM Trans.
// Math. Softw. 47 (2021) 5): interpolation that never needs more than one step beyond bisection.
func findRoot(f func(float64) float64, lo, hi float64) float64 {
	tolerance := 4 * 0x1p-52 * math.Max(math.Abs(lo), math.Abs(hi))
	fLo, fHi := f(lo), f(hi)
	if fLo >= 0 {
		return lo
	}
	if fHi <= 0 {
		return hi
	}
	if tolerance == 0 {
		return lo
	}
	kappa := 0.2 / (hi - lo)
	radius := math.Exp2(math.Ceil(math.Log2((hi-lo)/(2*tolerance)))+1) * tolerance
	for hi-lo > 2*tolerance {
		middle := lo + (hi-lo)/2
		span := math.Max(radius-(hi-lo)/2, 0)
		chord := (lo*fHi - hi*fLo) / (fHi - fLo)
		sign := math.Copysign(1, middle-chord)
		x := middle
		if delta := kappa * (hi - lo) * (hi - lo); delta <= math.Abs(middle-chord) {
			x = chord + sign*delta
		}
		if math.Abs(x-middle) > span {
			x = middle - sign*span
		}
		x = math.Min(math.Max(x, lo), hi)
		y := f(x)
		switch {
		case y > 0:
			hi, fHi = x, y
		case y < 0:
			lo, fLo = x, y
		default:
			return x
		}
		radius /= 2
	}
	return lo + (hi-lo)/2
}
