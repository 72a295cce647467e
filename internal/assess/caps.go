package assess

import (
	"math/big"
	"slices"
	"strconv"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// Cap is how the finished drink stands under one legal maximum.
type Cap struct {
	brief.Cap
	// Guarded is the value the cap is judged with (contents at the brief's assurance, validated
	// recovery), and Expected the value to be expected, both in the cap's unit.
	Guarded, Expected float64
	// HeadRoom is the share of the maximum that is left, negative when the cap is broken.
	HeadRoom float64
	// Holds is decided in exact rational arithmetic.
	Holds bool
	// Accepted are ingredients of the recipe whose content is unknown and was accepted by the maker.
	Accepted []string
}

// exact returns the decimal number that prints x. It reads a profile's 0.1 as 1/10.
func exact(x float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(x, 'g', -1, 64))
	return r
}

// caps compares, for each cap, the sum of guarded contents with the maximum times the mass (or volume)
// of the drink as served, without rounding anywhere.
func (a *Assessment) caps() {
	litres, kilograms := a.capBasis(profile.PerLitre), a.capBasis(profile.PerKilogram)
	deviates := exact(brief.Deviates(a.Job.Assurance))
	for _, c := range a.Job.Caps {
		sum := new(big.Rat)
		result := Cap{Cap: c, Expected: 0}
		for _, p := range a.Recipe.Parts {
			for _, share := range c.Counted() {
				content, known := p.Source.Content(share.Substance)
				if !known && p.Amount > 0 && !slices.Contains(result.Accepted, p.Source.Name) {
					result.Accepted = append(result.Accepted, p.Source.Name)
				}
				if content.PerGram == 0 && content.SD == 0 {
					continue
				}
				upper := new(big.Rat).Mul(deviates, exact(content.SD))
				upper.Add(upper, exact(content.PerGram))
				upper.Mul(upper, exact(content.CapRecovery))
				sum.Add(sum, upper.Mul(upper, new(big.Rat).Quo(exact(p.Amount), exact(share.Max))))
			}
		}
		basis := litres
		if c.Per != profile.PerLitre {
			basis = kilograms
		}
		result.Holds = sum.Cmp(new(big.Rat).Mul(exact(c.Max), basis)) <= 0
		if basis.Sign() > 0 {
			result.Guarded, _ = new(big.Rat).Quo(sum, basis).Float64()
		}
		for _, share := range c.Counted() {
			result.Expected += a.total(share.Substance) / share.Max / a.basis(c.Per)
		}
		if c.Max > 0 {
			result.HeadRoom = 1 - result.Guarded/c.Max
		} else if !result.Holds {
			result.HeadRoom = -1
		}
		a.Caps = append(a.Caps, result)
	}
}
