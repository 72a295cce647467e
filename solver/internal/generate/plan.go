package generate

import (
	"fmt"
	"math"

	"bittersum/solver"
)

// Plan returns a random plan of what to buy ahead: ingredients bought at two price tiers a month, kept
// in stock at a cost and for a limited time, and used in products whose attributes must stay within
// their targets each month. Stocks tie the months together; within a month each product is a small
// recipe. A hidden recipe for each product, bought as it is used, meets every limit.
func Plan(ingredients, products, months, attributes int, seed uint64) *solver.Problem {
	s := newSource(seed, uint64(ingredients)<<40|uint64(products)<<30|uint64(months)<<20|uint64(attributes))
	d := &planner{source: s, larder: newLarder(s, ingredients, attributes), months: months,
		p: &solver.Problem{Name: fmt.Sprintf("plan_%dx%dx%dx%d_%d", ingredients, products, months, attributes, seed)}}
	d.kept = make([][]int, ingredients)
	d.balance = make([][]solver.Row, ingredients)
	need := d.drawProducts(products)
	for j := range ingredients {
		d.buy(j, need[j])
	}
	for k := range products {
		for t := range months {
			d.make(k, t)
		}
	}
	d.finish()
	return d.p
}

// planner holds a plan as it grows.
type planner struct {
	source
	larder   *larder
	months   int
	p        *solver.Problem
	products []product
	kept     [][]int        // the stock column of each ingredient and month
	balance  [][]solver.Row // the stock row of each ingredient and month
	store    float64
}

// product is what is made: its hidden recipe over the allowed ingredients, and its demand by month.
type product struct {
	allowed []int
	shares  []float64
	demand  []float64
}

// drawProducts draws the products and returns how much of each ingredient they need each month.
func (d *planner) drawProducts(count int) [][]float64 {
	n := len(d.larder.price)
	need := make([][]float64, n)
	for j := range need {
		need[j] = make([]float64, d.months)
	}
	for k := range count {
		allowed := d.Perm(n)[:max(min(5, n), n/2)]
		shares := d.shares(len(allowed), max(min(5, len(allowed)), min(14, len(allowed)/3)))
		made := product{allowed: allowed, shares: shares}
		for t := range d.months {
			amount := digits(1000*d.uniform(0.6, 1.4)*(1+0.3*math.Sin(2*math.Pi*float64(t+k)/12)), 4)
			made.demand = append(made.demand, amount)
			for i, j := range allowed {
				need[j][t] += shares[i] * amount
			}
			d.store += 0.6 * amount / float64(d.months)
		}
		d.products = append(d.products, made)
	}
	return need
}

// buy adds the columns and rows of one ingredient: two tiers a month, stock, and shelf life.
func (d *planner) buy(j int, need []float64) {
	price := 2 * d.larder.price[j]
	phase, swing, trend := d.uniform(0, 6.28), d.uniform(0.02, 0.25), d.uniform(-0.02, 0.03)
	life, holding := d.between(1, max(1, min(6, d.months-1))), digits(price*d.uniform(0.004, 0.02), 3)
	total := 0.0
	for _, v := range need {
		total += v
	}
	var bought [][]int
	for t := range d.months {
		now := price * (1 + swing*math.Sin(phase+2*math.Pi*float64(t)/12) + trend*float64(t)) * d.uniform(0.97, 1.03)
		first := digits(max(need[t]*d.uniform(0.5, 1.2), total/float64(d.months)/2, 20), 5)
		bought = append(bought, []int{
			d.p.AddColumn(solver.Column{Name: fmt.Sprintf("b%03dt%02da", j, t), Cost: digits(now, 4), Upper: first}),
			d.p.AddColumn(solver.Column{Name: fmt.Sprintf("b%03dt%02db", j, t), Cost: digits(1.12*now, 4), Upper: solver.Inf}),
		})
		kept := d.p.AddColumn(solver.Column{Name: fmt.Sprintf("s%03dt%02d", j, t), Cost: holding, Upper: solver.Inf})
		row := solver.Row{Name: fmt.Sprintf("b%03dt%02d", j, t), Terms: []solver.Term{
			{Column: bought[t][0], Value: 1}, {Column: bought[t][1], Value: 1}, {Column: kept, Value: -1}}}
		if t > 0 {
			row.Terms = append(row.Terms, solver.Term{Column: d.kept[j][t-1], Value: 1})
		}
		d.balance[j] = append(d.balance[j], row)
		d.kept[j] = append(d.kept[j], kept)
		if t < life {
			continue
		}
		fresh := solver.Row{Name: fmt.Sprintf("l%03dt%02d", j, t), Lower: -solver.Inf, Terms: []solver.Term{{Column: kept, Value: 1}}}
		for _, tiers := range bought[t-life+1:] {
			for _, b := range tiers {
				fresh.Terms = append(fresh.Terms, solver.Term{Column: b, Value: -1})
			}
		}
		d.p.AddRow(fresh)
	}
}

// make adds what one product takes in one month.
func (d *planner) make(k, t int) {
	made := d.products[k]
	amount := made.demand[t]
	mass := solver.Row{Name: fmt.Sprintf("d%02dt%02d", k, t), Lower: amount, Upper: amount}
	uses := make([]int, len(made.allowed))
	for i, j := range made.allowed {
		limit := solver.Inf
		if d.chance(0.5) {
			limit = digits(amount*max(1.1*made.shares[i], d.spread(0.02, 0.5)), 6)
		}
		uses[i] = d.p.AddColumn(solver.Column{Name: fmt.Sprintf("u%03d%02d%02d", j, k, t), Upper: limit})
		mass.Terms = append(mass.Terms, solver.Term{Column: uses[i], Value: 1})
		row := &d.balance[j][t]
		row.Terms = append(row.Terms, solver.Term{Column: uses[i], Value: -1})
	}
	d.p.AddRow(mass)
	for a, content := range d.larder.content {
		row := solver.Row{Name: fmt.Sprintf("q%02d%02d%03d", k, t, a)}
		value := 0.0
		for i, j := range made.allowed {
			if content[j] != 0 {
				row.Terms = append(row.Terms, solver.Term{Column: uses[i], Value: content[j]})
				value += content[j] * made.shares[i]
			}
		}
		if len(row.Terms) == 0 {
			continue
		}
		lower, upper := d.target(value, d.larder.unit[a])
		row.Lower, row.Upper = amount*lower, amount*upper
		d.p.AddRow(row)
	}
}

// finish adds the stock rows and the size of the store.
func (d *planner) finish() {
	for t := range d.months {
		room := solver.Row{Name: fmt.Sprintf("w%02d", t), Lower: -solver.Inf, Upper: digits(d.store, 5)}
		for j := range d.balance {
			d.p.AddRow(d.balance[j][t])
			room.Terms = append(room.Terms, solver.Term{Column: d.kept[j][t], Value: 1})
		}
		d.p.AddRow(room)
	}
}
