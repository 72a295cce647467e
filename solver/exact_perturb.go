package solver

import (
	"math/big"
	"math/rand/v2"
)

// stalling is how many pivots in a row may leave the objective as it is before perturb breaks the ties.
const stalling = 10

// perturbation breaks ties by an infinitely small drift, different for every variable, as the
// lexicographic rule does (A. Charnes, Optimality and degeneracy in linear programming, Econometrica
// 20, 1952), which rules cycles out unless two random numbers conspire. It leaves a drift that is in
// use already alone.
type perturbation struct {
	d     *dictionary
	stall int
	on    bool
}

// random returns the numbers of a perturbation, the same every time.
func (p *perturbation) random() *rand.Rand { return rand.New(rand.NewPCG(1, uint64(len(p.d.place)))) }

// costs gives every nonbasic variable a price of its own, if small, that holds it where it rests.
func (p *perturbation) costs() {
	d := p.d
	if p.on || d.costDrift.cost != nil {
		return
	}
	p.on = true
	random := p.random()
	cost := make([]*big.Rat, len(d.place))
	for v, at := range d.place {
		price := int64(1 + random.IntN(1<<20))
		switch at {
		case AtUpper:
			price = -price
		case Basic, Zero:
			continue
		}
		cost[v] = new(big.Rat).SetInt64(price)
		cost[v].Quo(cost[v], d.program.unit[v])
	}
	d.setCostDrift(cost)
}

// bounds moves the bounds of the basic variables outward.
func (p *perturbation) bounds() {
	d := p.d
	if p.on || d.lowerDrift != nil {
		return
	}
	p.on = true
	random := p.random()
	lower, upper := make([]*big.Rat, len(d.place)), make([]*big.Rat, len(d.place))
	for _, v := range d.head {
		lower[v] = new(big.Rat).SetInt64(-int64(1 + random.IntN(1<<20)))
		upper[v] = new(big.Rat).SetInt64(int64(1 + random.IntN(1<<20)))
		lower[v].Mul(lower[v], d.program.unit[v])
		upper[v].Mul(upper[v], d.program.unit[v])
	}
	d.setBoundDrift(lower, upper)
	d.refreshDrift()
}

// count counts a pivot and reports whether too many have been in vain.
func (p *perturbation) count(inVain bool) bool {
	if !inVain {
		p.stall = 0
		return false
	}
	p.stall++
	return p.stall > stalling
}

// endCosts and endBounds take the perturbation away, which leaves an optimal dictionary optimal.
func (p *perturbation) endCosts() {
	if p.on {
		p.d.setCostDrift(nil)
	}
}

func (p *perturbation) endBounds() {
	if p.on {
		p.d.setBoundDrift(nil, nil)
		p.d.refreshDrift()
	}
}
