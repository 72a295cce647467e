package plan

import (
	"context"
	"errors"
	"fmt"
	"math"

	"bittersum/internal/study"
	"bittersum/solver"
)

// planner holds what a plan is solved with.
type planner struct {
	*Plan
	pool    *pool
	worlds  []*world
	lacking float64
}

// start finds a first recipe of each drink; it returns the answer of a brief that cannot be met by itself.
func (s *planner) start(ctx context.Context) (*study.Answer, error) {
	for n, d := range s.Drinks {
		if answer, err := s.alone(ctx, n); err != nil || answer != nil {
			return answer, err
		}
		if d.Now != nil && !s.fades(d) { // it names no ages
			a, err := s.pool.pricings[n].Judged(d.Now)
			if err != nil {
				return nil, err
			}
			s.pool.keep(n, a)
		}
		for t := range s.Periods() {
			a, _, err := s.pool.cheapest(ctx, n, s.listed(t), s.worthOf(d), math.Inf(1))
			if err != nil {
				return nil, err
			}
			if a != nil {
				s.pool.keep(n, a)
			}
		}
		dearest := d.Price
		for _, m := range s.pool.recipes[n] {
			dearest = math.Max(dearest, math.Abs(m.Assessment.Cost.PerLitre))
		}
		s.lacking = math.Max(s.lacking, 1000*(1+dearest))
	}
	return nil, nil
}

// alone returns the answer of a brief that cannot be met whatever things cost.
func (s *planner) alone(ctx context.Context, n int) (*study.Answer, error) {
	d := s.Drinks[n]
	if !d.Blend() && !s.fades(d) {
		return s.fresh(ctx, d)
	}
	at := s.listed(0)
	for k := range at.open { // whatever there is at any age
		at.open[k] = at.open[k] || s.pool.stocks[k].age != anyAge
	}
	_, least, err := s.pool.cheapest(ctx, n, at, s.worthOf(d), math.Inf(-1))
	if err != nil || !math.IsInf(least, 1) {
		return nil, err
	}
	if d.Blend() {
		return study.Cheapest(ctx, d.Job)
	}
	answer, err := s.fresh(ctx, d)
	if err == nil && answer == nil {
		err = fmt.Errorf("%w: no recipe of %s meets its brief at the ages in which there is what fades, and one does with contents as delivered", study.ErrUnproved, d.Name)
	}
	return answer, err
}

// fresh returns the answer of a brief that cannot be met with contents as delivered.
func (s *planner) fresh(ctx context.Context, d *Drink) (*study.Answer, error) {
	answer, err := study.Cheapest(ctx, d.Job)
	if err == nil && answer.Conflict == nil {
		answer = nil
	}
	return answer, err
}

// worthOf is what a unit of a blend counts for to begin with: more than its ingredients, so that some of it is made.
func (s *planner) worthOf(d *Drink) float64 {
	worth := d.fetches()
	for _, o := range s.Offers {
		for t := range s.Periods() {
			worth = math.Max(worth, 10*o.PriceOn(s.Starts[t]))
		}
	}
	return worth + 1
}

// listed are the least prices at which each stock is offered in period t, or ever.
func (s *planner) listed(t int) prices {
	at := prices{make([]float64, len(s.pool.stocks)), make([]bool, len(s.pool.stocks))}
	for n, k := range s.pool.stocks {
		at.open[n] = true
		if k.lot != nil {
			at.open[n] = s.lotLastUse(k.lot) >= t && (k.age == anyAge || k.at == t)
			continue
		}
		now, ever := math.Inf(1), math.Inf(1)
		for _, o := range s.Offers {
			if o.Item != k.item {
				continue
			}
			price := o.PriceOn(s.Starts[t])
			ever = math.Min(ever, price)
			if o.Open(s.Starts[t]) {
				now = math.Min(now, price)
			}
		}
		if math.IsInf(now, 1) {
			now = ever
		}
		if !math.IsInf(now, 1) {
			at.worth[n] = now
		}
		switch k.age {
		case fromArrival:
			at.open[n] = k.at <= t && s.lastUse(k.item, t-k.at) >= t
		case fromStart:
			at.open[n] = k.at == t
		}
	}
	return at
}

// mostUse returns the most that one of each drink can take of each stock.
func (s *planner) mostUse(ctx context.Context) ([][]float64, error) {
	const heaviest = 3 // kg of anything in a litre, where nothing else bounds it
	out := make([][]float64, len(s.Drinks))
	for n, d := range s.Drinks {
		out[n] = make([]float64, len(s.pool.stocks))
		sources := s.pool.pricings[n].Job.Sources
		for k, stock := range s.pool.stocks {
			if stock.item.Goods {
				out[n][k] = d.Goods[stock.item.Name]
				continue
			}
			base := s.pool.base[k]
			if base < k { // of all ages together
				out[n][k] = out[n][base]
				continue
			}
			weights, any := make([]float64, len(sources)), false
			for i, source := range sources {
				s.pool.take(d, source, 1, func(at int, units float64) {
					if s.pool.base[at] == k {
						weights[i] += units
						any = true
					}
				})
			}
			if !any {
				continue
			}
			most, err := s.pool.pricings[n].Most(ctx, weights)
			if err != nil {
				return nil, err
			}
			if math.IsInf(most, 1) && !d.Blend() {
				most = heaviest
			}
			out[n][k] = most
		}
	}
	return out, nil
}

// usedMost returns the most that one of each drink takes of each stock in the recipes known.
func (s *planner) usedMost() [][]float64 {
	out := make([][]float64, len(s.Drinks))
	for n := range s.Drinks {
		out[n] = make([]float64, len(s.pool.stocks))
		for _, m := range s.pool.recipes[n] {
			byBase := make([]float64, len(s.pool.stocks)) // of all ages together
			for k, units := range m.takes {
				byBase[s.pool.base[k]] += units
			}
			for k := range s.pool.stocks {
				out[n][k] = math.Max(out[n][k], byBase[s.pool.base[k]])
			}
		}
	}
	return out
}

// program builds the program with all recipes known.
func (s *planner) program(most [][]float64) *program {
	p := build(s.Plan, s.pool, most, s.worlds, s.lacking)
	for n := range s.Drinks {
		for _, m := range s.pool.recipes[n] {
			p.recipe(n, m, p.addColumn)
		}
	}
	return p
}

// addColumn adds a column to the rows of the problem.
func (p *program) addColumn(c solver.Column, terms []solver.RowTerm) int {
	j := p.problem.AddColumn(c)
	for _, t := range terms {
		row := &p.problem.Rows[t.Row]
		row.Terms = append(row.Terms, solver.Term{Column: j, Value: t.Value})
	}
	return j
}

// relaxed is the outcome of the linear relaxation over all recipes there are.
type relaxed struct {
	solution *solver.Solution
	// bound is a cost that no plan with any recipes goes below.
	bound float64
	// found is how many recipes came in.
	found int
}

// mostRounds bounds the rounds of asking for recipes; far fewer are usual.
const mostRounds = 200

// mostResidual is how far a reduced cost may be of the wrong sign: beyond it the program is solved from the beginning.
// Recipes of a blend weigh up to a hundred thousand times what is made of them, which an old basis may not bear.
const mostResidual = 1e-6

// relax solves the linear relaxation and asks for recipes until none lowers the cost.
func (s *planner) relax(ctx context.Context, p *program) (*relaxed, error) {
	session, err := solver.NewSession(p.problem, solver.Options{})
	if err != nil {
		return nil, err
	}
	r := &relaxed{bound: math.Inf(-1)}
	for range mostRounds {
		if r.solution, err = session.Solve(ctx); err != nil {
			return nil, err
		}
		if r.solution.Status == solver.Optimal && r.solution.Certificate.DualResidual > mostResidual { // neither best nor a bound
			if r.solution, err = solver.Solve(ctx, p.problem, solver.Options{}); err != nil {
				return nil, err
			}
		}
		if r.solution.Status != solver.Optimal {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, fmt.Errorf("%w: the plan's program is %s %s", study.ErrUnproved, r.solution.Status, r.solution.Reason)
		}
		found, gain, err := s.ask(ctx, p, r.solution)
		if err != nil {
			return nil, err
		}
		r.bound = math.Max(r.bound, r.solution.Objective-gain) // gain is infinite where prices were not answered
		if len(found) == 0 {
			return r, nil
		}
		r.found += len(found)
		for _, m := range found {
			n := s.index(m.Drink)
			var failed error
			p.recipe(n, m, func(c solver.Column, terms []solver.RowTerm) int {
				p.addColumn(c, terms)
				j, err := session.AddColumn(c, terms)
				if err != nil {
					failed = err
				}
				return j
			})
			if failed != nil {
				return nil, failed
			}
		}
	}
	return r, nil
}

func (s *planner) index(d *Drink) int {
	for n := range s.Drinks {
		if s.Drinks[n] == d {
			return n
		}
	}
	return -1
}

// ask returns new recipes that lower the cost at the dual values of a solution, and how much any recipes there
// are could lower it at most (the bound of G. B. Dantzig and P. Wolfe, 1960).
func (s *planner) ask(ctx context.Context, p *program, now *solver.Solution) (found []*Made, gain float64, err error) {
	scale := 1e-9 * (1 + math.Abs(now.Objective))
	for _, q := range p.parts {
		if q.weight == 0 {
			continue
		}
		for t := range s.Periods() {
			at := s.shadow(q, now, t)
			for n, d := range s.Drinks {
				worth := now.Dual[q.recipes[n][t]] / q.weight
				below, gainEach := worth, 0.0
				if d.Blend() {
					below, gainEach = now.Dual[q.once[n][t]]/q.weight, worth
				}
				most := q.mostMade(d, t)
				a, least, err := s.pool.cheapest(ctx, n, at, gainEach, below-scale/math.Max(1, most))
				if errors.Is(err, study.ErrUnproved) && ctx.Err() == nil {
					gain = math.Inf(1)
					continue
				}
				if err != nil {
					return nil, 0, err
				}
				if least < below {
					gain += (below - least) * most * q.weight
				}
				if a == nil {
					continue
				}
				if m, fresh := s.pool.keep(n, a); fresh {
					found = append(found, m)
				}
			}
		}
	}
	return found, gain, nil
}

// shadow are the prices that dual values put on stock in a period.
func (s *planner) shadow(q *part, now *solver.Solution, t int) prices {
	at := prices{make([]float64, len(s.pool.stocks)), make([]bool, len(s.pool.stocks))}
	for k := range s.pool.stocks {
		at.worth[k] = now.Dual[q.need[k][t]] / q.weight
		at.open[k] = len(q.covers[k][t]) > 0
	}
	return at
}
