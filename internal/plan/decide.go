package plan

import (
	"context"
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/study"
	"bittersum/solver"
)

// Decide finds the best plan it can, with what it costs and a bound. A plan that cannot be is an answer with a
// conflict; one that does not pass the checks of its ledger is an error that wraps study.ErrUnproved.
func Decide(ctx context.Context, p *Plan) (*Answer, error) {
	return decide(ctx, p, []*world{{Plan: p, weight: 1}})
}

// decide plans for worlds together: what is ordered in the first period is the same in all of them. Of several
// worlds the answer is the first one's, and the others are in Others.
func decide(ctx context.Context, p *Plan, worlds []*world) (*Answer, error) {
	s := &planner{Plan: p, pool: newPool(p), worlds: worlds}
	impossible, err := s.start(ctx)
	if err != nil {
		return nil, err
	}
	if impossible != nil {
		return &Answer{Plan: p, Brief: impossible}, nil
	}
	most, err := s.mostUse(ctx)
	if err != nil {
		return nil, err
	}
	first := s.program(most)
	r, err := s.relax(ctx, first)
	if err != nil {
		return nil, err
	}
	a := &Answer{Plan: p, world: worlds[0], Bound: r.bound}
	if lacks := first.lacks(r.solution.X, 1e-6); len(lacks) > 0 {
		a.Lacks = lacks
		return a, s.conflict(ctx, a)
	}
	for _, l := range first.parts[0].limits {
		if rate := r.solution.Dual[l.row] / first.parts[0].weight; math.Abs(rate) > 1e-7 {
			a.Limits = append(a.Limits, LimitCost{l, rate})
		}
	}
	for _, q := range first.parts {
		if err := s.stretches(ctx, q, r.solution); err != nil {
			return nil, err
		}
	}
	whole, x, err := s.whole(ctx, a)
	if err != nil || x == nil {
		return a, err
	}
	if whole, x, err = s.again(ctx, whole, x); err != nil {
		return nil, err
	}
	return a, s.finish(ctx, a, whole, x)
}

// whole solves the program with the recipes known, with whole packs, orders and batches. The point is nil when
// none was found; the answer then has what lacks.
func (s *planner) whole(ctx context.Context, a *Answer) (*program, []float64, error) {
	p := s.program(s.usedMost())
	p.hold()
	find := newSearch(p, s.Effort)
	possible, err := find.relaxation(ctx)
	if err != nil {
		return nil, nil, err
	}
	if !possible {
		for n, d := range s.Drinks {
			if d.Held {
				a.Tried += len(s.pool.recipes[n])
			}
		}
		return nil, nil, s.conflict(ctx, a)
	}
	for _, strict := range []bool{true, false} {
		find.strictly(strict)
		if err := find.first(ctx); err != nil {
			return nil, nil, err
		}
		if !math.IsInf(find.cost, 1) {
			break
		}
	}
	if math.IsInf(find.cost, 1) {
		return nil, nil, fmt.Errorf("%w: no plan with whole packs, orders and batches was found; there may be none, or more effort may find one", study.ErrUnproved)
	}
	if err := find.better(ctx, mostPasses); err != nil {
		return nil, nil, err
	}
	if lacks := p.lacks(find.best, slack); len(lacks) > 0 {
		return nil, nil, fmt.Errorf("%w: the best plan found with whole packs, orders and batches lacks %.4g of %s %s in %s; there may be none that does not, or more effort may find one",
			study.ErrUnproved, lacks[0].By, lacks[0].What, lacks[0].Name, s.PeriodName(max(0, lacks[0].Period)))
	}
	return p, find.best, nil
}

// worthwhile is the share of the cost that new recipes must promise before all is searched once more.
const worthwhile = 1e-3

// again asks for recipes at the prices that the decided orders leave, and betters the plan with them.
func (s *planner) again(ctx context.Context, p *program, x []float64) (*program, []float64, error) {
	if !p.problem.HasIntegers() || len(p.parts) > 1 {
		return p, x, nil
	}
	cost := p.problem.Value(x)
	fixed := s.program(s.usedMost()) // held recipes too may change here: what is found is tried by the search
	fixed.fixAs(p, x)
	r, err := s.relax(ctx, fixed)
	if err != nil || r.found == 0 || r.solution.Objective > cost-worthwhile*math.Abs(cost) {
		return p, x, err
	}
	wider := s.program(s.usedMost())
	wider.hold()
	find := newSearch(wider, s.Effort)
	find.take(p, x)
	return wider, find.best, find.better(ctx, 1)
}

// fixAs fixes whole-numbered columns at what those of the same name are in a solution of another program of the plan.
func (p *program) fixAs(from *program, x []float64) {
	value := map[string]float64{}
	for _, d := range from.decisions {
		value[from.problem.Columns[d.column].Name] = math.Round(x[d.column])
	}
	for _, d := range p.decisions {
		c := &p.problem.Columns[d.column]
		if v, decided := value[c.Name]; decided {
			c.Lower, c.Upper = v, v
		}
	}
}

// finish makes one recipe of those that a drink is made by in a period, solves the rest anew and goes through the
// plan.
func (s *planner) finish(ctx context.Context, a *Answer, p *program, x []float64) error {
	only := make([]map[[2]int]map[*Made]bool, len(p.parts))
	for k, q := range p.parts {
		only[k] = s.oneRecipe(q, x)
	}
	final := s.program(s.usedMost())
	final.hold()
	final.fixAs(p, x)
	for k, q := range final.parts {
		for n := range s.Drinks {
			for t := range s.Periods() {
				for c, column := range q.litres[n][t] {
					if !only[k][[2]int{n, t}][s.pool.recipes[n][c]] {
						final.problem.Columns[column].Upper = 0
					}
				}
			}
		}
	}
	for j := range final.problem.Columns {
		final.problem.Columns[j].Kind = solver.Continuous
	}
	found, err := solver.Solve(ctx, final.problem, solver.Options{})
	if err != nil {
		return err
	}
	if found.Status != solver.Optimal {
		return fmt.Errorf("%w: the decided plan is %s", study.ErrUnproved, found.Status)
	}
	if lacks := final.lacks(found.X, slack); len(lacks) > 0 {
		return fmt.Errorf("%w: the decided plan lacks %g of %s %s", study.ErrUnproved, lacks[0].By, lacks[0].What, lacks[0].Name)
	}
	whole := 0.0
	for k, q := range final.parts {
		one := a
		if k > 0 {
			one = &Answer{Plan: s.Plan, world: q.world}
			a.Others = append(a.Others, one)
		}
		s.read(one, q, found)
		if err := one.check(q.costs(found.X)); err != nil {
			return err
		}
		whole += one.Cost * q.weight
	}
	a.Expected = whole
	return nil
}

// costs is what the part costs in a solution, in its own world.
func (q *part) costs(x []float64) float64 {
	sum := 0.0
	lacking := map[int]bool{} // by no more than rounding leaves
	for _, l := range q.lack {
		lacking[l.column] = true
	}
	for _, of := range [][2]int{q.columns, q.holding} {
		for j := of[0]; j < of[1]; j++ {
			if lacking[j] {
				continue
			}
			sum += q.problem.Columns[j].Cost * x[j]
		}
	}
	for n := range q.litres {
		for t := range q.litres[n] {
			for _, j := range q.litres[n][t] {
				sum += q.problem.Columns[j].Cost * x[j]
			}
		}
	}
	return sum / q.weight
}

// oneRecipe tells by which recipe each drink is made in each period: one mixed of all that a solution makes it by,
// where the mixture meets the brief, else those.
func (s *planner) oneRecipe(q *part, x []float64) map[[2]int]map[*Made]bool {
	only := map[[2]int]map[*Made]bool{}
	for n, d := range s.Drinks {
		for t := range s.Periods() {
			var recipes []*brief.Recipe
			var litres []float64
			parts := map[*Made]bool{}
			for c, column := range q.litres[n][t] {
				if made := x[column]; made > 1e-7*(1+q.mostMade(d, t)) {
					m := s.pool.recipes[n][c]
					recipes, litres = append(recipes, m.Assessment.Recipe), append(litres, made)
					parts[m] = true
				}
			}
			if len(recipes) > 1 {
				if mixed, err := s.pool.pricings[n].Mixed(recipes, litres); err == nil {
					m, _ := s.pool.keep(n, mixed)
					parts = map[*Made]bool{m: true}
				}
			}
			only[[2]int{n, t}] = parts
		}
	}
	return only
}

// read turns a solution into orders, what is made and what is sold, in the decimals that are printed.
func (s *planner) read(a *Answer, q *part, found *solver.Solution) {
	x := found.X
	money := map[[2]int]float64{}
	for _, o := range q.orders {
		amount := 0.0
		for _, column := range o.amounts {
			amount += x[column]
		}
		order := &Order{Offer: o.offer, Period: o.period, Day: s.Starts[o.period], Usable: s.usable(o.offer, o.period)}
		if o.offer.Pack > 0 {
			order.Packs = int(math.Round(amount))
			order.Amount = float64(order.Packs) * o.offer.Pack
		} else {
			order.Amount = roundedUp(amount)
		}
		if order.Amount <= 0 {
			continue
		}
		order.Money = o.offer.costs(order.Amount, o.price)
		order.Price = order.Money / order.Amount
		a.Orders = append(a.Orders, order)
		for n, supplier := range s.Suppliers {
			if supplier == o.offer.Supplier {
				money[[2]int{n, o.period}] += order.Money
			}
		}
	}
	for t := range s.Periods() {
		for n, supplier := range s.Suppliers {
			if m := money[[2]int{n, t}]; m > 0 || ordered(a.Orders, supplier, t) {
				a.Deliveries = append(a.Deliveries, Delivery{supplier, t, supplier.Freight, m})
			}
		}
	}
	for _, c := range q.cohorts {
		for k, column := range c.use {
			if amount := x[column]; amount > 0 {
				a.draws = append(a.draws, draw{s.pool.stocks[c.stock].name(), c.arrives, c.arrives + k, amount})
			}
		}
	}
	for n, d := range s.Drinks {
		for from := range q.waits[n] {
			for k, column := range q.waits[n][from] {
				if amount := x[column]; amount > 0 {
					a.sales = append(a.sales, draw{d.Name, from, from + k, amount})
				}
			}
		}
		number := map[*Made]int{}
		sold, short := make([]float64, s.Periods()), make([]float64, s.Periods())
		for t := range s.Periods() {
			sold[t] = round(x[q.sold[n][t]], litrePlaces)
			if q.short[n][t] >= 0 {
				short[t] = round(x[q.short[n][t]], litrePlaces)
			}
			for c, column := range q.litres[n][t] {
				m := s.pool.recipes[n][c]
				amount := round(x[column]*m.output, litrePlaces)
				if amount <= 0 {
					continue
				}
				if number[m] == 0 {
					number[m] = len(number) + 1
				}
				in := &MakeIn{Drink: d, Period: t, Amount: amount, Recipe: m, Number: number[m]}
				if len(q.batches[n]) > 0 {
					in.Batches = int(math.Round(x[q.batches[n][t]]))
				}
				a.Makes = append(a.Makes, in)
			}
		}
		a.Sold, a.Short = append(a.Sold, sold), append(a.Short, short)
	}
}

// Amounts are printed to the gram (a thousandth of a unit), or to five digits where that is finer, and what is made to
// the centilitre.
const (
	amountPlaces = 1000
	amountDigits = 5
	litrePlaces  = 100
)

// roundedUp returns an amount as it is ordered, no less than is needed but for rounding.
func roundedUp(amount float64) float64 {
	if amount < 1e-9 {
		return 0
	}
	places := math.Max(amountPlaces, math.Pow(10, amountDigits-1-math.Floor(math.Log10(amount))))
	return math.Ceil(amount*places-1e-4) / places
}

func round(x float64, places float64) float64 { return math.Round(x*places) / places }

func ordered(orders []*Order, s *Supplier, t int) bool {
	for _, o := range orders {
		if o.Offer.Supplier == s && o.Period == t {
			return true
		}
	}
	return false
}

// costs is what an amount costs at a price before discounts.
func (o *Offer) costs(amount, price float64) float64 {
	if o.Whole {
		share := 0.0
		for _, d := range o.Discounts {
			if amount >= d.From-1e-9 {
				share = d.Share
			}
		}
		return amount * price * (1 - share)
	}
	cost := amount * price
	share := 0.0
	for _, d := range o.Discounts {
		if amount > d.From {
			cost -= (amount - d.From) * price * (d.Share - share)
		}
		share = d.Share
	}
	return cost
}
