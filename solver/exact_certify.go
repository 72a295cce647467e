package solver

import (
	"cmp"
	"context"
	"math/big"
	"slices"
)

// certify returns a checked proof of what a basis is said to show, without pivots, or nil if the basis
// does not show it exactly or the context ended.
func (e *exactProgram) certify(ctx context.Context, basis *Basis, s *Solution) *Proof {
	b := e.system(basis)
	if b == nil {
		return nil
	}
	x := b.point(ctx)
	if x == nil {
		return nil
	}
	n := e.columns
	proof := &Proof{X: x[:n:n], Activity: x[n:], Basis: b.basis()}
	if e.faultOfPoint(proof) != "" {
		return b.certifyInfeasible(ctx, x)
	}
	proof.Objective = e.objective(proof.X)
	if s != nil && s.Status == Unbounded {
		return b.certifyUnbounded(ctx, proof, s.Ray)
	}
	y := b.multipliers(ctx, e.cost)
	if y == nil {
		return nil
	}
	proof.ReducedCost = e.combination(y)
	for j, combined := range proof.ReducedCost {
		proof.ReducedCost[j] = e.minimized(combined.Sub(e.cost[j], combined))
	}
	for i := range y {
		y[i] = e.minimized(y[i])
	}
	proof.Dual = y
	if e.faultOfPrices(proof) != "" {
		return nil
	}
	proof.Status = Optimal
	return proof
}

// blockedRows is how many of the worst placed basic variables certifyInfeasible looks at.
const blockedRows = 8

// certifyInfeasible looks for a basic variable whose row shows that it cannot reach its bounds.
func (b *basisSystem) certifyInfeasible(ctx context.Context, x []*big.Rat) *Proof {
	e := b.program
	type stray struct {
		variable int
		by       float64
	}
	var strays []stray
	for v, at := range b.place {
		if at != Basic {
			continue
		}
		by := new(big.Rat)
		if e.lower[v] != nil && x[v].Cmp(e.lower[v]) < 0 {
			by.Sub(e.lower[v], x[v])
		} else if e.upper[v] != nil && x[v].Cmp(e.upper[v]) > 0 {
			by.Sub(x[v], e.upper[v])
		}
		if by.Sign() > 0 {
			strays = append(strays, stray{v, float(by.Quo(by, e.unit[v]))})
		}
	}
	slices.SortStableFunc(strays, func(a, b stray) int { return cmp.Compare(b.by, a.by) })
	for _, s := range strays[:min(len(strays), blockedRows)] {
		y := b.rowMultipliers(ctx, s.variable)
		if y == nil {
			return nil
		}
		for range 2 {
			if e.faultOfFarkas(y) == "" {
				return &Proof{Status: Infeasible, Farkas: y, Basis: b.basis()}
			}
			y = negatives(y)
		}
	}
	return nil
}

// rowMultipliers returns the multipliers by which the rows combine to the basis' row of variable v, or
// nil if the context ended.
func (b *basisSystem) rowMultipliers(ctx context.Context, v int) []*big.Rat {
	e := b.program
	target := zeros(e.columns)
	if v < e.columns {
		target[v].SetInt64(1)
		return b.multipliers(ctx, target)
	}
	i := v - e.columns
	for t := range e.terms[i] {
		term := &e.terms[i][t]
		entry := target[term.column].SetInt(&term.value)
		entry.Neg(entry.Mul(entry, e.unit[v]).Quo(entry, e.unit[term.column]))
	}
	y := b.multipliers(ctx, target)
	if y != nil {
		y[i].SetInt64(1)
	}
	return y
}

// certifyUnbounded looks for a nonbasic variable of the given ray that takes the point along a ray.
func (b *basisSystem) certifyUnbounded(ctx context.Context, proof *Proof, ray []float64) *Proof {
	e := b.program
	proof.Status = Unbounded
	for v, at := range b.place {
		if at == Basic || v < e.columns && len(ray) == e.columns && ray[v] == 0 {
			continue
		}
		for _, direction := range [...]int64{1, -1} {
			if at == AtLower && direction < 0 || at == AtUpper && direction > 0 {
				continue
			}
			x := make([]big.Int, len(b.place))
			x[v].SetInt64(direction)
			values := b.complete(ctx, x, big.NewInt(1))
			if values == nil {
				return nil
			}
			if proof.Ray = values[:e.columns]; e.faultOfRay(proof) == "" {
				return proof
			}
		}
	}
	return nil
}
