package study

import (
	"context"
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// limitCosts works out what each limit costs, to both sides, and how far that holds.
func (a *Answer) limitCosts(ctx context.Context) error {
	var wishes []formulate.Limit
	for _, l := range a.Formulation.Limits {
		if l.Kind != formulate.Recovery && l.Kind != formulate.Volume { // the kettle's own rows are no wishes
			wishes = append(wishes, l)
		}
	}
	a.Limits = make([]LimitCost, len(wishes))
	return each(len(wishes), func(k int) (err error) {
		a.Limits[k], err = a.limitCost(ctx, wishes[k])
		return err
	})
}

func (a *Answer) limitCost(ctx context.Context, l formulate.Limit) (LimitCost, error) {
	cost := LimitCost{Limit: l}
	down, up, err := solver.Sensitivity(ctx, a.Formulation.Problem, a.Solution, a.Formulation.Direction(l))
	if err != nil {
		return cost, err
	}
	cost.Down = Rate{Cost: down.Rate, To: l.Value + down.Delta, Blocked: down.Empty}
	cost.Up = Rate{Cost: up.Rate, To: l.Value + up.Delta, Blocked: up.Empty}
	if l.Curved() {
		if cost.Down.To, err = a.reachOf(ctx, l, down.Basis, -1); err != nil {
			return cost, err
		}
		if cost.Up.To, err = a.reachOf(ctx, l, up.Basis, 1); err != nil {
			return cost, err
		}
	}
	if l.Kind != formulate.Target { // an amount below zero is no limit anyone can set
		cost.Down.To = math.Max(0, cost.Down.To)
	}
	if cost.Binding = a.binds(cost); !cost.Binding {
		return cost, nil
	}
	if cost.Up.Cost, err = a.settledRate(ctx, l, up, cost.Up.To, 1); err != nil {
		return cost, err
	}
	if cost.Down.Cost, err = a.settledRate(ctx, l, down, cost.Down.To, -1); err != nil {
		return cost, err
	}
	if sameBasis(down.Basis, up.Basis) { // one slope; the two differences straddle it
		cost.Up.Cost = (cost.Up.Cost + cost.Down.Cost) / 2
		cost.Down.Cost = cost.Up.Cost
	}
	return cost, nil
}

// binds reports whether the limit holds the recipe: to move it would change the cost or is impossible.
func (a *Answer) binds(l LimitCost) bool {
	small := 1e-9 * (1 + math.Abs(a.LeastCost)) / (1 + math.Abs(l.Value))
	return l.Down.Blocked || l.Up.Blocked || math.Abs(l.Down.Cost) > small || math.Abs(l.Up.Cost) > small
}

// others looks for recipes of the same least cost.
func (a *Answer) others(ctx context.Context) error {
	found, err := solver.AlternativeOptima(ctx, a.Formulation.Problem, a.Solution)
	if err != nil {
		return err
	}
	for _, x := range found.Vertices {
		other, err := settle(a.Formulation, x)
		if err != nil {
			continue // only recipes that pass their own checks are shown
		}
		if !sameRecipe(a.Assessment, other) {
			a.Others = append(a.Others, other)
		}
	}
	return nil
}

// sameRecipe reports whether two recipes have the same amounts as printed.
func sameRecipe(a, b *assess.Assessment) bool {
	if len(a.Recipe.Parts) != len(b.Recipe.Parts) {
		return false
	}
	for n, p := range a.Recipe.Parts {
		q := b.Recipe.Parts[n]
		if p.Source.Name != q.Source.Name || math.Abs(p.Amount-q.Amount) > assess.Tolerance*p.Amount {
			return false
		}
	}
	return true
}
