package plan

import (
	"fmt"
	"math"

	"bittersum/solver"
)

// order is what may be ordered of an offer in a period.
type order struct {
	offer  *Offer
	period int
	price  float64
	// amounts are the columns of what is ordered, by discount from none on, in packs of so many units each;
	// prices are what a unit costs.
	amounts []int
	prices  []float64
	pack    float64
	// tierOf are the binary columns that say in which discount an order falls, where there are any, and fixed
	// what each costs beside its price.
	tierOf []int
	fixed  []float64
	// placed is the binary column that an order is placed, or -1.
	placed int
}

// orderColumns adds what may be ordered.
func (q *part) orderColumns() {
	for _, o := range q.Offers {
		for t := range q.Periods() {
			price, open := q.offered(o, t)
			if !open && !(t == 0 && len(q.plan.Scenarios) > 0) {
				continue
			}
			most := q.sensible(o, t)
			if !open {
				most = 0
			}
			q.orders = append(q.orders, q.order(o, t, price, most))
		}
	}
}

// sensible is the most that an order can be of use for: what the drinks can take of it while it keeps, what
// must be there, and what an order must come to.
func (q *part) sensible(o *Offer, t int) float64 {
	from := q.usable(o, t)
	last := min(q.lastUse(o.Item, from), q.Periods()-1)
	n := q.pool.number[o.Item.Name]
	need := o.Item.Safety + o.Item.Closing
	for d, drink := range q.Drinks {
		made := 0.0
		for u := from; u <= last; u++ {
			made += q.mostMade(drink, u)
		}
		use := q.most[d][n] * made
		if drink.Blend() { // a unit of it takes no more than the unit of one ingredient
			asked := 0.0
			for u := from; u <= min(last+drink.Waits, q.Periods()-1); u++ {
				_, most := q.demand(drink, u)
				asked += most
			}
			use = min(use, asked*q.pool.inUnit(drink, n))
		}
		if use > 0 {
			need += use
		}
	}
	need /= math.Pow(1-o.Item.Loss, float64(last-from+1))
	if o.Supplier.LeastOrder > 0 && o.Price > 0 {
		need = max(need, o.Supplier.LeastOrder/(o.Price*o.Rate))
	}
	for _, d := range o.Discounts {
		need = max(need, d.From)
	}
	need = max(need, o.Least) + o.Pack
	if o.Pack > 0 {
		need = math.Ceil(need/o.Pack) * o.Pack
	}
	return min(need, o.Most)
}

func (q *part) order(o *Offer, t int, price, most float64) *order {
	r := &order{offer: o, period: t, price: price, placed: -1, pack: 1}
	if o.Pack > 0 {
		r.pack = o.Pack
	}
	name := q.called("%s %s", o.Name(), q.PeriodName(t))
	inf := math.IsInf(most, 1)
	tiers := []Discount{{}}
	tiers = append(tiers, o.Discounts...)
	whole := o.Least > 0 && most > 0
	if whole && !inf {
		r.placed = q.decides("order "+name, 0, 1, t, o.Supplier.Name)
	}
	rebate := 0.0 // what a whole amount of a tier costs more than its price says
	for k, tier := range tiers {
		upper := most
		if k+1 < len(tiers) {
			upper = min(most, tiers[k+1].From)
			if o.Whole && upper == tiers[k+1].From { // from there on the next discount holds
				upper -= max(o.Pack, 1.0/amountPlaces)
			}
		}
		if k > 0 {
			rebate += (tier.Share - tiers[k-1].Share) * price * tier.From
		}
		if upper < tier.From || k > 0 && upper == 0 {
			break
		}
		cost := price * (1 - tier.Share)
		var column int
		if o.Pack > 0 {
			column = q.decides(fmt.Sprintf("packs %d %s", k+1, name), q.cost(cost*o.Pack), math.Floor(upper/o.Pack+1e-9), t, o.Supplier.Name)
		} else {
			column = q.column("amount "+name, q.cost(cost), 0, upper, solver.Continuous)
		}
		r.amounts, r.prices = append(r.amounts, column), append(r.prices, cost)
		if len(tiers) == 1 {
			continue
		}
		fixed := 0.0
		if !o.Whole {
			fixed = rebate
		}
		in := q.decides(fmt.Sprintf("tier %d %s", k+1, name), q.cost(fixed), 1, t, o.Supplier.Name)
		q.row("tier least "+name, 0, solver.Inf, []solver.Term{term(column, r.pack), term(in, -tier.From)})
		q.row("tier most "+name, -solver.Inf, 0, []solver.Term{term(column, r.pack), term(in, -upper)})
		r.tierOf = append(r.tierOf, in)
		r.fixed = append(r.fixed, fixed)
	}
	if len(r.tierOf) > 1 {
		var terms []solver.Term
		for _, in := range r.tierOf {
			terms = append(terms, term(in, 1))
		}
		q.row("one tier "+name, -solver.Inf, 1, terms)
	}
	if r.placed >= 0 {
		q.row("least "+name, 0, solver.Inf, append(r.amount(1), term(r.placed, -o.Least)))
		q.row("most "+name, -solver.Inf, 0, append(r.amount(1), term(r.placed, -most)))
	}
	if !math.IsInf(o.Most, 1) && len(r.amounts) > 1 {
		q.limit("supply", o.Name(), t, o.Most, solver.UpperSide, r.amount(1))
	}
	return r
}

// amount returns the terms of factor times what is ordered.
func (r *order) amount(factor float64) []solver.Term {
	var terms []solver.Term
	for _, column := range r.amounts {
		terms = append(terms, term(column, factor*r.pack))
	}
	return terms
}

// paying adds what orders cost beside their goods, and the budget.
func (q *part) paying() {
	freight := make([][]solver.Term, q.Periods())
	for _, s := range q.Suppliers {
		for t := range q.Periods() {
			var money, amounts []solver.Term
			for _, o := range q.orders {
				if o.offer.Supplier != s || o.period != t {
					continue
				}
				for k, column := range o.amounts {
					money = append(money, term(column, o.prices[k]*o.pack))
					amounts = append(amounts, term(column, 1))
				}
			}
			if len(money) == 0 || s.Freight == 0 && s.LeastOrder == 0 {
				continue
			}
			name := q.called("%s %s", s.Name, q.PeriodName(t))
			placed := q.decides("order "+name, q.cost(s.Freight), 1, t, s.Name)
			if s.Freight > 0 {
				freight[t] = append(freight[t], term(placed, s.Freight))
			}
			for _, a := range amounts { // each by itself: closer than their sum
				if upper := q.problem.Columns[a.Column].Upper; !math.IsInf(upper, 1) {
					q.row("ordered "+name, -solver.Inf, 0, []solver.Term{a, term(placed, -upper)})
				}
			}
			if s.LeastOrder > 0 {
				q.row("least order "+name, 0, solver.Inf, append(money, term(placed, -s.LeastOrder)))
			}
		}
	}
	for t := range q.Periods() {
		if math.IsInf(q.Budget[t], 1) {
			continue
		}
		var money []solver.Term
		for _, o := range q.orders {
			if o.period != t {
				continue
			}
			for k, column := range o.amounts {
				money = append(money, term(column, o.prices[k]*o.pack))
			}
			for k, in := range o.tierOf {
				if o.fixed[k] != 0 {
					money = append(money, term(in, o.fixed[k]))
				}
			}
		}
		q.limit("budget", "", t, q.Budget[t], solver.UpperSide, append(money, freight[t]...))
	}
}
