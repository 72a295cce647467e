package assess

import (
	"math/big"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
)

// Keeps reports whether the recipe keeps a guarded limit, by rational arithmetic on the printed decimals: of a
// cap with no tolerance, of a target within Tolerance, as both are judged. It is not ok for what the charges of
// acids decide, which no sum gives.
func (a *Assessment) Keeps(g brief.Guarded) (keeps, ok bool) {
	mean := g.Mean
	var per profile.Per
	if g.Cap != nil {
		per = g.Cap.Per
	} else {
		attribute := a.Job.Library.Attributes[g.Name]
		if attribute == nil || g.Name == brief.Acidity {
			return false, false
		}
		per = attribute.Per
	}
	at := map[*brief.Source]int{}
	for n, s := range a.Job.Sources {
		at[s] = n
	}
	sum := new(big.Rat)
	var strays []*big.Rat
	for _, p := range a.Recipe.Parts {
		n := at[p.Source]
		brings := exact(p.Source.Expected(g.Name))
		if mean != nil {
			brings = exact(mean[n])
		}
		brings = new(big.Rat).Mul(brings, exact(p.Amount))
		sum.Add(sum, brings)
		strays = append(strays, new(big.Rat).Mul(brings, exact(g.CV[n])))
	}
	basis := a.exactBasis(per)
	if g.Cap != nil {
		basis = a.capBasis(per)
	}
	limit := new(big.Rat).Mul(exact(g.Value), basis)
	room := new(big.Rat).Sub(limit, sum)
	if !g.Above {
		room.Neg(room)
	}
	if g.Cap == nil {
		room.Add(room, new(big.Rat).Mul(big.NewRat(5, 10_000), limit.Abs(limit))) // Tolerance
	}
	return farther(room, strays, exact(g.Reach), exact(g.Most)), true
}

// exactBasis returns what a sum over the recipe is divided by for values per p.
func (a *Assessment) exactBasis(p profile.Per) *big.Rat {
	grams, millilitres, units := new(big.Rat), new(big.Rat), new(big.Rat)
	solids := a.made.SolidsPercent()
	for _, part := range a.Recipe.Parts {
		amount := exact(part.Amount)
		units.Add(units, amount)
		grams.Add(grams, new(big.Rat).Mul(exact(part.Source.Ingredient.SolubleShare), amount))
		if a.Job.Kind == brief.Drink {
			millilitres.Add(millilitres, new(big.Rat).Mul(amount, exact(liquor.Volume(part.Source, solids))))
		}
	}
	soda := new(big.Rat).Mul(exact(a.Job.Throw), millilitres)
	grams.Add(grams, new(big.Rat).Mul(soda, exact(liquor.SodaDensity)))
	millilitres.Add(millilitres, soda)
	switch p {
	case profile.PerLitre:
		return millilitres.Quo(millilitres, big.NewRat(1000, 1))
	case profile.PerKilogram:
		return grams.Quo(grams, big.NewRat(1000, 1))
	case profile.Per100g:
		return grams.Quo(grams, big.NewRat(100, 1))
	case profile.PerUnit:
		return units
	}
	return big.NewRat(1, 1)
}

// farther reports whether room is at least reach deviations: of a sum of independent strays, or with most set of
// the sum of so many of the largest.
func farther(room *big.Rat, strays []*big.Rat, reach, most *big.Rat) bool {
	if room.Sign() < 0 {
		return false
	}
	if most.Sign() > 0 {
		slices.SortFunc(strays, func(a, b *big.Rat) int { return b.Cmp(a) })
		need, left := new(big.Rat), new(big.Rat).Set(most)
		one := big.NewRat(1, 1)
		for _, s := range strays {
			share := left
			if left.Cmp(one) > 0 {
				share = one
			}
			need.Add(need, new(big.Rat).Mul(share, s))
			left = new(big.Rat).Sub(left, share)
		}
		return need.Mul(need, reach).Cmp(room) <= 0
	}
	square := new(big.Rat)
	for _, s := range strays {
		square.Add(square, new(big.Rat).Mul(s, s))
	}
	square.Mul(square, new(big.Rat).Mul(reach, reach))
	return square.Cmp(room.Mul(room, room)) <= 0
}

// capBasis returns what a sum over the recipe is divided by where a cap counts per p: the kilograms or litres of a
// plausible drink, see liquor.CountedKilograms.
func (a *Assessment) capBasis(p profile.Per) *big.Rat {
	served, counted := a.exactBasis(profile.PerLitre), new(big.Rat)
	for _, part := range a.Recipe.Parts {
		each := liquor.CountedKilograms(a.Job, part.Source)
		if p == profile.PerLitre {
			each = liquor.CountedLitres(a.Job, part.Source)
		}
		counted.Add(counted, new(big.Rat).Mul(exact(part.Amount), exact(each)))
	}
	if p == profile.PerLitre {
		return counted.Add(counted, served)
	}
	// Of a litre served the throw's share of the dilution is soda.
	soda := new(big.Rat).Mul(served, exact(a.Job.Throw))
	soda.Quo(soda, exact(a.Job.Dilution()))
	return counted.Add(counted, soda.Mul(soda, exact(liquor.SodaDensity)))
}

// CapBasis is the kilograms or litres that a cap per p counts on; see liquor.CountedKilograms.
func (a *Assessment) CapBasis(p profile.Per) float64 {
	basis, _ := a.capBasis(p).Float64()
	return basis
}
