package plan

import (
	"fmt"

	"bittersum/solver"
)

// world is the plan's data as one scenario has them.
type world struct {
	*Plan
	scenario *Scenario // nil where nothing happens
	weight   float64
}

// happens calls for each event of the scenario that falls in period t.
func (w *world) happens(t int, do func(Event)) {
	if w.scenario == nil {
		return
	}
	for _, e := range w.scenario.Events {
		if e.From <= t && t <= e.To {
			do(e)
		}
	}
}

// offered returns what a unit of an offer costs when ordered in period t, and whether it can be ordered.
func (w *world) offered(o *Offer, t int) (price float64, open bool) {
	day := w.Starts[t]
	price, open = o.PriceOn(day), o.Open(day) && w.usable(o, t) < w.Periods()
	w.happens(t, func(e Event) {
		if e.Supplier != "" && e.Supplier != o.Supplier.Name || e.Item != "" && e.Item != o.Item.Name || e.Supplier == "" && e.Item == "" && e.Drink != "" {
			return
		}
		price *= e.PriceFactor
		open = open && !e.Fails
	})
	return price, open
}

// demand returns what is asked of a drink in period t.
func (w *world) demand(d *Drink, t int) (least, most float64) {
	least, most = d.Least[t], d.Most[t]
	w.happens(t, func(e Event) {
		if e.DemandFactor != 1 && (e.Drink == "" || e.Drink == d.Name) {
			least, most = least*e.DemandFactor, most*e.DemandFactor
		}
	})
	return least, most
}

// Limit is one thing that holds a plan, with its row in the program.
type Limit struct {
	// What says which: demand, most, kettle, hours, space, cold, room, safety, closing, budget, supply,
	// changes or order.
	What string
	// Name is the drink, item or offer, and Period the period it holds in; -1 for the whole plan.
	Name   string
	Period int
	Value  float64
	row    int
}

// part is the part of the program for one world.
type part struct {
	*world
	*program
	number  int
	cohorts []*cohort
	orders  []*order
	// need are the rows that what is used of a stock in a period comes from its cohorts; make those of what
	// is made of a drink, and batch those that a blend is made once.
	need, recipes, once [][]int
	// covers are the columns that bring a stock to use in a period.
	covers [][][]solver.Term
	// made, sold and short are columns by drink and period; waits[d][s] are those of what is made in s and
	// sold from s on.
	made, sold, short [][]int
	waits             [][][]int
	batches           [][]int
	chosen            [][][]int
	limits            []*Limit
	// litres are the columns of recipes made, by drink, period and recipe.
	litres [][][]int
	// columns are the first of the part's columns, without those of recipes, and the one after the last.
	columns [2]int
	// holding are likewise the columns of recipes in force.
	holding [2]int
}

// program is the whole of a plan as a linear program with whole numbers.
type program struct {
	plan    *Plan
	pool    *pool
	problem *solver.Problem
	parts   []*part
	// lack are columns that fill what a limit lacks, at a price that no plan pays when it can do without.
	lack []lack
	// decisions are the whole-numbered columns.
	decisions []decision
	// most is the most that a litre of a drink takes of a stock, by drink and stock.
	most [][]float64
}

type lack struct {
	column int
	limit  *Limit
}

func (p *program) column(name string, cost, lower, upper float64, kind solver.Kind) int {
	return p.problem.AddColumn(solver.Column{Name: name, Cost: cost, Lower: lower, Upper: upper, Kind: kind})
}

// decision is what a whole-numbered column decides: something of a period, a supplier's or a drink's.
type decision struct {
	column, part, period int
	of                   string
}

// decides adds a whole-numbered column.
func (q *part) decides(name string, cost, upper float64, t int, of string) int {
	j := q.column(name, cost, 0, upper, solver.Integer)
	q.decisions = append(q.decisions, decision{j, q.number, t, of})
	return j
}

func (p *program) row(name string, lower, upper float64, terms []solver.Term) int {
	return p.problem.AddRow(solver.Row{Name: name, Lower: lower, Upper: upper, Terms: merged(terms)})
}

// merged adds up terms of the same column.
func merged(terms []solver.Term) []solver.Term {
	place := map[int]int{}
	var out []solver.Term
	for _, t := range terms {
		if n, ok := place[t.Column]; ok {
			out[n].Value += t.Value
			continue
		}
		place[t.Column] = len(out)
		out = append(out, t)
	}
	return out
}

func term(column int, value float64) solver.Term { return solver.Term{Column: column, Value: value} }

// build makes the program of a plan over worlds whose weights add up to 1. whatLacks is the cost of a unit that
// is lacking.
func build(p *Plan, l *pool, most [][]float64, worlds []*world, whatLacks float64) *program {
	prog := &program{plan: p, pool: l, problem: &solver.Problem{Name: p.Name}, most: most}
	for _, w := range worlds {
		prog.parts = append(prog.parts, prog.part(w, whatLacks))
	}
	for _, other := range prog.parts[1:] { // what is ordered first is ordered before it is known what happens
		first := prog.parts[0]
		for n, o := range first.orders {
			if o.period != 0 {
				continue
			}
			terms := make([]solver.Term, 0, 2*len(o.amounts))
			for k := range o.amounts {
				terms = append(terms, term(o.amounts[k], 1), term(other.orders[n].amounts[k], -1)) // packs of one size
			}
			prog.row("same order "+o.offer.Name(), 0, 0, terms)
		}
	}
	return prog
}

func (p *program) part(w *world, whatLacks float64) *part {
	q := &part{world: w, program: p, number: len(p.parts)}
	q.columns[0] = len(p.problem.Columns)
	q.orderColumns()
	q.flows()
	q.making()
	q.selling()
	q.keeping()
	q.paying()
	q.lacking(whatLacks)
	q.columns[1] = len(p.problem.Columns)
	return q
}

// called makes a name for a row or column of the part.
func (q *part) called(format string, args ...any) string {
	name := fmt.Sprintf(format, args...)
	if q.scenario != nil {
		name += " if " + q.scenario.Name
	}
	return name
}

func (q *part) cost(money float64) float64 { return money * q.weight }

// limit adds a row that is a limit of the plan.
func (q *part) limit(what, name string, t int, value float64, side solver.Side, terms []solver.Term) *Limit {
	lower, upper := -solver.Inf, value
	if side == solver.LowerSide {
		lower, upper = value, solver.Inf
	}
	l := &Limit{What: what, Name: name, Period: t, Value: value}
	at := ""
	if t >= 0 {
		at = " " + q.PeriodName(t)
	}
	l.row = q.row(q.called("%s %s%s", what, name, at), lower, upper, terms)
	q.limits = append(q.limits, l)
	return l
}

// lacking adds what fills limits that cannot be met.
func (q *part) lacking(cost float64) {
	for _, l := range q.limits {
		sign := -1.0
		switch l.What {
		case "demand", "safety", "closing":
			sign = 1
		case "space", "cold", "room":
		default:
			continue
		}
		column := q.column("lack of "+q.problem.Rows[l.row].Name, cost*q.weight, 0, solver.Inf, solver.Continuous)
		q.problem.Rows[l.row].Terms = append(q.problem.Rows[l.row].Terms, term(column, sign))
		q.lack = append(q.lack, lack{column, l})
	}
}
