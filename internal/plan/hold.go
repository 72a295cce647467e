package plan

import (
	"context"
	"errors"
	"math"

	"bittersum/internal/study"
	"bittersum/solver"
)

// hold adds that recipes stay until they are changed: each period has one recipe of a held drink.
func (p *program) hold() {
	for _, q := range p.parts {
		q.holding[0] = len(p.problem.Columns)
		q.chosen = make([][][]int, len(q.Drinks))
		for n, d := range q.Drinks {
			if d.Held {
				q.holdDrink(n, d)
			}
		}
		q.holding[1] = len(p.problem.Columns)
	}
}

func (q *part) holdDrink(n int, d *Drink) {
	recipes := q.pool.recipes[n]
	var changes []solver.Term
	near := nearOnes(d, recipes)
	for t := range q.Periods() {
		most := q.mostMade(d, t)
		var chosen []int
		var one []solver.Term
		for c := range recipes {
			upper := 1.0
			if d.Now != nil && t < d.Notice && c != 0 { // today's recipe is the first of the pool
				upper = 0
			}
			z := q.decides(q.called("recipe %d of %s in force in %s", c+1, d.Name, q.PeriodName(t)), 0, upper, t, d.Name)
			chosen = append(chosen, z)
			one = append(one, term(z, 1))
			q.row("made in force", -solver.Inf, 0, []solver.Term{term(q.litres[n][t][c], 1), term(z, -most)})
		}
		q.row("one in force", 1, 1, one)
		q.chosen[n] = append(q.chosen[n], chosen)
		if t == 0 && d.Now == nil {
			continue
		}
		w := q.decides(q.called("change of %s in %s", d.Name, q.PeriodName(t)), q.cost(d.ChangeCost), 1, t, d.Name)
		changes = append(changes, term(w, 1))
		for c := range recipes {
			terms := []solver.Term{term(chosen[c], 1), term(w, -1)}
			upper := 0.0
			switch {
			case t > 0:
				terms = append(terms, term(q.chosen[n][t-1][c], -1))
			case c == 0: // today's recipe was in force
				upper = 1
			}
			q.row("changed", -solver.Inf, upper, terms)
		}
		if near != nil {
			q.drifting(n, near, t)
		}
	}
	if len(changes) > d.Changes {
		q.limit("changes", d.Name, -1, float64(d.Changes), solver.UpperSide, changes)
	}
}

// nearOnes tells for each recipe which it may follow; nil when it may follow any.
func nearOnes(d *Drink, recipes []*Made) [][]int {
	if math.IsInf(d.Drift, 1) {
		return nil
	}
	near := make([][]int, len(recipes))
	for c, after := range recipes {
		for b, before := range recipes {
			if study.DriftBetween(before.Assessment, after.Assessment).Total <= d.Drift+1e-9 {
				near[c] = append(near[c], b)
			}
		}
	}
	return near
}

// drifting lets a recipe follow those alone that it is near to.
func (q *part) drifting(n int, near [][]int, t int) {
	for c, followed := range near {
		terms := []solver.Term{term(q.chosen[n][t][c], 1)}
		upper := 0.0
		for _, b := range followed {
			if t > 0 {
				terms = append(terms, term(q.chosen[n][t-1][b], -1))
			} else if b == 0 {
				upper = 1
			}
		}
		q.row("near the last", -solver.Inf, upper, terms)
	}
}

// stretches finds recipes for stretches of periods in which one recipe is held: the cheapest at the mean of their
// shadow prices, weighted by what is asked.
func (s *planner) stretches(ctx context.Context, q *part, now *solver.Solution) error {
	for n, d := range s.Drinks {
		if !d.Held {
			continue
		}
		for from := range s.Periods() {
			sum := prices{make([]float64, len(s.pool.stocks)), make([]bool, len(s.pool.stocks))}
			for k := range sum.open {
				sum.open[k] = true
			}
			weight := 0.0
			for t := from; t < s.Periods(); t++ {
				at, made := s.shadow(q, now, t), math.Max(now.X[q.made[n][t]], 1e-3)
				weight += made
				mean := prices{make([]float64, len(s.pool.stocks)), sum.open}
				for k := range sum.worth {
					sum.worth[k] += made * at.worth[k]
					sum.open[k] = sum.open[k] && at.open[k]
					mean.worth[k] = sum.worth[k] / weight
				}
				a, _, err := s.pool.cheapest(ctx, n, mean, s.worthOf(d), math.Inf(1))
				if err != nil && (ctx.Err() != nil || !errors.Is(err, study.ErrUnproved)) {
					return err
				}
				if err == nil && a != nil {
					s.pool.keep(n, a)
				}
			}
		}
	}
	return nil
}
