package plan

import (
	"math"

	"bittersum/solver"
)

// cohort is stock that came at the start of one period.
type cohort struct {
	stock, arrives, last int
	// fixed is what there is of it at the plan's start.
	fixed float64
	// kept is the share that is left after each period, and lives says that it can be used after the plan.
	kept  float64
	lives bool
	// use are the columns of what is used in each period from arrives to last, and rest that of what is never
	// used, as it is at the end.
	use  []int
	rest int
}

// heldAt returns the terms of what is left of the cohort at the end of period t.
func (c *cohort) heldAt(t int) []solver.Term {
	if t < c.arrives {
		return nil
	}
	var terms []solver.Term
	for k, column := range c.use {
		if u := c.arrives + k; u > t {
			terms = append(terms, solver.Term{Column: column, Value: math.Pow(c.kept, -float64(u-t))})
		}
	}
	if t <= c.last { // afterwards it is spoilt and thrown away
		terms = append(terms, solver.Term{Column: c.rest, Value: math.Pow(c.kept, -float64(c.last-t))})
	}
	return terms
}

// flows adds what is kept from when it comes to when it is used.
func (q *part) flows() {
	periods := q.Periods()
	q.need = make([][]int, len(q.pool.stocks))
	byPeriod := make([][][]solver.Term, len(q.pool.stocks))
	q.covers = byPeriod
	for n := range q.pool.stocks {
		byPeriod[n] = make([][]solver.Term, periods)
	}
	for n, s := range q.pool.stocks {
		if s.at > 0 { // an age of what came, which is followed from its youngest on
			continue
		}
		item, name := s.item, s.base()
		add := func(c *cohort, arriving []solver.Term) {
			c.stock, c.kept = n, 1-item.Loss
			if c.last < c.arrives {
				return
			}
			cost := q.cost(item.HoldCost)
			holding := func(until int) float64 { // what a unit used in period until has cost to keep
				sum := 0.0
				for u := c.arrives; u < until; u++ {
					sum += cost * math.Pow(c.kept, -float64(until-u))
				}
				return sum
			}
			for u := c.arrives; u <= c.last; u++ {
				column := q.column(q.called("use %s of %s in %s", name, q.PeriodName(c.arrives), q.PeriodName(u)), holding(u), 0, solver.Inf, solver.Continuous)
				c.use = append(c.use, column)
				of := n
				if s.age != anyAge {
					of += u - c.arrives
				}
				byPeriod[of][u] = append(byPeriod[of][u], term(column, 1))
				arriving = append(arriving, term(column, -math.Pow(c.kept, -float64(u-c.arrives))))
			}
			c.rest = q.column(q.called("rest of %s of %s", name, q.PeriodName(c.arrives)), holding(c.last)+cost, 0, solver.Inf, solver.Continuous)
			arriving = append(arriving, term(c.rest, -math.Pow(c.kept, -float64(c.last-c.arrives))))
			q.row(q.called("stock %s of %s", name, q.PeriodName(c.arrives)), -c.fixed, -c.fixed, arriving)
			q.cohorts = append(q.cohorts, c)
		}
		if s.lot != nil {
			add(&cohort{last: min(q.lotLastUse(s.lot), periods-1), fixed: s.lot.LeftKg(), lives: q.lotLivesOn(s.lot)}, nil)
			continue
		}
		if item.Opening > 0 && s.age != fromArrival {
			add(&cohort{last: q.lastUseSince(item, q.openingSince(item)), fixed: item.Opening, lives: q.livesOnSince(item, q.openingSince(item))}, nil)
		}
		if s.age == fromStart {
			continue
		}
		for t := range periods {
			var arriving []solver.Term
			for _, o := range q.orders {
				if o.offer.Item == item && q.usable(o.offer, o.period) == t {
					arriving = append(arriving, o.amount(1)...)
				}
			}
			if len(arriving) > 0 {
				add(&cohort{arrives: t, last: q.lastUse(item, t), lives: q.livesOn(item, t)}, arriving)
			}
		}
	}
	for n, s := range q.pool.stocks {
		q.need[n] = make([]int, periods)
		for t := range periods {
			q.need[n][t] = q.row(q.called("need %s %s", s.name(), q.PeriodName(t)), 0, 0, byPeriod[n][t])
		}
	}
}

// held returns the terms of what is there of some stocks at the end of period t.
func (q *part) held(t int, of func(*stock) bool) []solver.Term {
	var terms []solver.Term
	for _, c := range q.cohorts {
		if of(q.pool.stocks[c.stock]) {
			terms = append(terms, c.heldAt(t)...)
		}
	}
	return terms
}

// keeping adds what must be there and what there is room for.
func (q *part) keeping() {
	for _, i := range q.Items {
		mine := func(s *stock) bool { return s.item == i }
		for t := range q.Periods() {
			if i.Safety > 0 {
				q.limit("safety", i.Name, t, i.Safety, solver.LowerSide, q.held(t, mine))
			}
			if !math.IsInf(i.Room, 1) {
				q.limit("room", i.Name, t, i.Room, solver.UpperSide, q.held(t, mine))
			}
		}
		if i.Closing > 0 {
			var terms []solver.Term
			for _, c := range q.cohorts {
				if mine(q.pool.stocks[c.stock]) && c.lives && c.last == q.Periods()-1 {
					terms = append(terms, term(c.rest, 1))
				}
			}
			q.limit("closing", i.Name, q.Periods()-1, i.Closing, solver.LowerSide, terms)
		}
	}
	for t := range q.Periods() {
		if !math.IsInf(q.Store.SpaceKg, 1) {
			q.limit("space", "", t, q.Store.SpaceKg, solver.UpperSide, q.held(t, func(s *stock) bool { return !s.item.Goods }))
		}
		if !math.IsInf(q.Store.ColdKg, 1) {
			q.limit("cold", "", t, q.Store.ColdKg, solver.UpperSide, q.held(t, func(s *stock) bool { return s.item.Cold }))
		}
	}
}
