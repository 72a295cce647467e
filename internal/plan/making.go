package plan

import (
	"math"

	"bittersum/solver"
)

// mostMade is the most that can be of use of a drink in period t: what is asked while it waits, and what the
// kettle makes; of a blend, which is made once in a period, 1.
func (w *world) mostMade(d *Drink, t int) float64 {
	if d.Blend() {
		return 1
	}
	asked := 0.0
	for u := t; u <= min(t+d.Waits, w.Periods()-1); u++ {
		_, most := w.demand(d, u)
		asked += most
	}
	return max(min(asked, w.Kettle.PerPeriod[t]), w.Kettle.LeastLitres)
}

// making adds what is made of each drink in each period, and the kettle.
func (q *part) making() {
	k := q.Kettle
	perPeriod := make([][]solver.Term, q.Periods())
	hours := make([][]solver.Term, q.Periods())
	for _, d := range q.Drinks {
		var made, need, once, batches []int
		for t := range q.Periods() {
			name := q.called("%s %s", d.Name, q.PeriodName(t))
			most := q.mostMade(d, t)
			upper := most
			if d.Blend() {
				upper = solver.Inf
			}
			column := q.column("make "+name, 0, 0, upper, solver.Continuous)
			made = append(made, column)
			need = append(need, q.row("recipes of "+name, 0, 0, []solver.Term{term(column, -1)}))
			if d.Blend() {
				once = append(once, q.row("once "+name, -solver.Inf, 1, nil))
			}
			perPeriod[t] = append(perPeriod[t], term(column, 1))
			if d.Hours > 0 {
				hours[t] = append(hours[t], term(column, d.Hours))
			}
			if !k.Whole() || d.Blend() {
				continue
			}
			number := math.Ceil(most/k.Litres - 1e-9)
			if k.LeastLitres > 0 {
				number = max(number, math.Floor(most/k.LeastLitres+1e-9))
			}
			batch := q.decides("batches "+name, q.cost(k.BatchCost), number, t, d.Name)
			batches = append(batches, batch)
			q.row("batch most "+name, -solver.Inf, 0, []solver.Term{term(column, 1), term(batch, -k.Litres)})
			if k.LeastLitres > 0 {
				q.row("batch least "+name, 0, solver.Inf, []solver.Term{term(column, 1), term(batch, -k.LeastLitres)})
			}
			hours[t] = append(hours[t], term(batch, k.HoursABatch))
			if k.CleaningCost == 0 && k.CleaningHours == 0 {
				continue
			}
			clean := q.decides("cleaning "+name, q.cost(k.CleaningCost), 1, t, d.Name)
			q.row("made after cleaning "+name, -solver.Inf, 0, []solver.Term{term(column, 1), term(clean, -most)})
			q.row("batches after cleaning "+name, -solver.Inf, 0, []solver.Term{term(batch, 1), term(clean, -number)})
			hours[t] = append(hours[t], term(clean, k.CleaningHours))
		}
		q.made, q.recipes, q.once = append(q.made, made), append(q.recipes, need), append(q.once, once)
		q.batches = append(q.batches, batches)
		q.litres = append(q.litres, make([][]int, q.Periods()))
	}
	for t := range q.Periods() {
		if !math.IsInf(k.PerPeriod[t], 1) {
			q.limit("kettle", "", t, k.PerPeriod[t], solver.UpperSide, perPeriod[t])
		}
		if !math.IsInf(k.Hours[t], 1) {
			q.limit("hours", "", t, k.Hours[t], solver.UpperSide, hours[t])
		}
	}
}

// selling adds what is sold, from what was made in the period or waited.
func (q *part) selling() {
	for n, d := range q.Drinks {
		periods := q.Periods()
		out := make([][]solver.Term, periods)
		var sold, short []int
		var waits [][]int
		for s := range periods {
			var later []int
			terms := []solver.Term{term(q.made[n][s], 1)}
			for t := s; t <= min(s+d.Waits, periods-1); t++ {
				column := q.column(q.called("%s of %s sold in %s", d.Name, q.PeriodName(s), q.PeriodName(t)), q.cost(d.WaitCost*float64(t-s)), 0, solver.Inf, solver.Continuous)
				later = append(later, column)
				out[t] = append(out[t], term(column, 1))
				terms = append(terms, term(column, -1))
			}
			waits = append(waits, later)
			q.row(q.called("%s made %s", d.Name, q.PeriodName(s)), 0, solver.Inf, terms)
		}
		for t := range periods {
			least, most := q.demand(d, t)
			upper := most
			if least > 0 {
				upper = solver.Inf // the row of what is asked bounds it
			}
			column := q.column(q.called("sell %s %s", d.Name, q.PeriodName(t)), q.cost(-d.fetches()), 0, upper, solver.Continuous)
			sold = append(sold, column)
			q.row(q.called("sold %s %s", d.Name, q.PeriodName(t)), 0, 0, append(out[t], term(column, -1)))
			asked := []solver.Term{term(column, 1)}
			lacks := -1
			if !math.IsNaN(d.Short) {
				lacks = q.column(q.called("short of %s %s", d.Name, q.PeriodName(t)), q.cost(d.Short), 0, solver.Inf, solver.Continuous)
				asked = append(asked, term(lacks, 1))
			}
			short = append(short, lacks)
			if least > 0 {
				q.limit("demand", d.Name, t, least, solver.LowerSide, asked)
				q.problem.Rows[len(q.problem.Rows)-1].Upper = most
			}
		}
		q.sold, q.short, q.waits = append(q.sold, sold), append(q.short, short), append(q.waits, waits)
	}
}

// recipe adds a recipe of drink n to every period of every part.
func (p *program) recipe(n int, m *Made, add func(c solver.Column, terms []solver.RowTerm) int) {
	for _, q := range p.parts {
		for t := range p.plan.Periods() {
			terms := []solver.RowTerm{{Row: q.recipes[n][t], Value: m.output}}
			for k := range p.pool.stocks { // in their order, so that runs agree
				if units := m.takes[k]; units != 0 {
					terms = append(terms, solver.RowTerm{Row: q.need[k][t], Value: -units})
				}
			}
			if q.once[n] != nil {
				terms = append(terms, solver.RowTerm{Row: q.once[n][t], Value: 1})
			}
			column := solver.Column{Name: q.called("recipe %d of %s in %s", len(q.litres[n][t])+1, m.Drink.Name, p.plan.PeriodName(t)), Cost: q.cost(m.direct), Upper: solver.Inf}
			q.litres[n][t] = append(q.litres[n][t], add(column, terms))
		}
	}
}
