package plan

import (
	"context"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"
)

// stock is what is bought and used as one: an item as it is bought, or one lot of it on the shelf.
type stock struct {
	item *Item
	lot  *brief.Lot
	// age says whether the stock is one age of what fades, and of what: at is the age in periods and months that
	// in months, on the first day of a period; called is its name, and whole that of all its ages.
	age           ageOf
	at            int
	months        float64
	called, whole string
}

// base is how all ages of it are named.
func (s *stock) base() string {
	if s.age != anyAge {
		return s.whole
	}
	return s.name()
}

// ageOf says from when the periods of a stock's age count.
type ageOf int

const (
	anyAge      ageOf = iota // it is of no one age
	fromArrival              // from the period in which it came
	fromStart                // from the plan's start: a lot, or what is there then
)

// name is how sources name it.
func (s *stock) name() string {
	if s.age != anyAge {
		return s.called
	}
	if s.lot != nil {
		return s.item.lotName(s.lot)
	}
	return s.item.Name
}

// Made is a recipe that the plan may make, with what a litre of it (a whole batch of a blend) takes.
type Made struct {
	Drink      *Drink
	Assessment *assess.Assessment
	// takes are units of stock by its number, and direct is money for what is bought as needed and for labour.
	takes  map[int]float64
	named  map[string]float64
	direct float64
	// output is what one of it yields: 1 litre, or the units of a blend.
	output float64
}

// pool holds the recipes known so far, and finds more.
type pool struct {
	plan     *Plan
	stocks   []*stock
	number   map[string]int // of stocks, by name; what fades has that of its fresh age by its item's name too
	base     []int          // the youngest of the ages that a stock is one of
	pricings []*study.Pricing
	recipes  [][]*Made // by drink
}

func newPool(p *Plan) *pool {
	l := &pool{plan: p, number: map[string]int{}, recipes: make([][]*Made, len(p.Drinks))}
	for _, i := range p.Items {
		offered := slices.ContainsFunc(p.Offers, func(o *Offer) bool { return o.Item == i })
		if i.fading() {
			l.addFading(i, offered)
			continue
		}
		offered = offered || i.Opening > 0
		if offered {
			l.add(&stock{item: i})
		}
		for _, lot := range i.Lots {
			l.add(&stock{item: i, lot: lot})
		}
	}
	for _, d := range p.Drinks {
		l.pricings = append(l.pricings, study.NewPricing(l.sources(d)))
	}
	return l
}

func (l *pool) add(s *stock) {
	l.number[s.name()] = len(l.stocks)
	l.base = append(l.base, len(l.stocks))
	l.stocks = append(l.stocks, s)
}

// take tells what an amount of a source takes: stock by its number, and money for the rest. Amounts are in
// grams (units of a blend).
func (l *pool) take(d *Drink, s *brief.Source, amount float64, takes func(stock int, units float64)) (direct float64) {
	scale := 1000.0
	if d.Blend() {
		scale = 1
	}
	labour := amount / scale * s.Ingredient.LabourPerKg
	if s.Made != nil && s.Lot == nil {
		for _, leaf := range s.Made.Leaves {
			labour += l.take(d, leaf.Source, leaf.Amount*amount, takes)
		}
		return labour
	}
	n, kept := l.number[s.Name]
	if !kept { // water, and what is bought as needed at the list price
		return amount * (s.CostPerGram + d.soldPerGram())
	}
	takes(n, amount/scale/(1-s.Ingredient.TrimmingLoss))
	return labour
}

// soldPerGram is what a job of a blend takes off the cost of each unit because it is sold.
func (d *Drink) soldPerGram() float64 {
	if d.Blend() {
		return d.Job.SellsAt
	}
	return 0
}

// inUnit is the most of a stock that a unit of a blend takes.
func (l *pool) inUnit(d *Drink, stock int) float64 {
	most := d.Goods[l.stocks[stock].item.Name]
	for _, s := range d.Job.Sources {
		l.take(d, s, 1, func(n int, units float64) {
			if n == stock {
				most = math.Max(most, units)
			}
		})
	}
	return most
}

// made works out what a recipe takes.
func (l *pool) made(d *Drink, a *assess.Assessment) *Made {
	m := &Made{Drink: d, Assessment: a, takes: map[int]float64{}, output: 1}
	for _, p := range a.Recipe.Parts {
		m.direct += l.take(d, p.Source, p.Amount, func(n int, units float64) { m.takes[n] += units })
	}
	if d.Blend() {
		m.output = a.Total
	}
	for name, pieces := range d.Goods {
		if n, kept := l.number[name]; kept {
			m.takes[n] += pieces * m.output
		}
	}
	m.direct += d.LitreCost * m.output
	m.named = map[string]float64{}
	for n, units := range m.takes {
		m.named[l.stocks[n].name()] = units
	}
	return m
}

// Takes is what a litre (a whole batch of a blend) takes of each stock, in its unit: of an item by its name, of a
// lot by ITEM/LOT.
func (m *Made) Takes() map[string]float64 { return m.named }

// keep adds a recipe to those of drink n, and returns it with whether it is new.
func (l *pool) keep(n int, a *assess.Assessment) (*Made, bool) {
	for _, m := range l.recipes[n] {
		if Same(m.Assessment.Recipe, a.Recipe) {
			return m, false
		}
	}
	m := l.made(l.plan.Drinks[n], a)
	l.recipes[n] = append(l.recipes[n], m)
	return m, true
}

// Same reports whether two recipes are the same to the eye: no amount differs by more than a hundred-thousandth.
func Same(a, b *brief.Recipe) bool {
	if len(a.Parts) != len(b.Parts) {
		return false
	}
	for n, p := range a.Parts {
		q := b.Parts[n]
		if p.Source.Name != q.Source.Name || math.Abs(p.Amount-q.Amount) > 1e-5*math.Max(p.Amount, q.Amount) {
			return false
		}
	}
	return true
}

// prices are what a unit of each stock is worth in a period, and whether it can be used in it at all.
type prices struct {
	worth []float64
	open  []bool
}

// cheapest returns the cheapest recipe of drink n at prices when one of it costs less than a limit, and its least
// cost before rounding, infinite when there is none. Of a blend each unit is worth gain.
func (l *pool) cheapest(ctx context.Context, n int, at prices, gain, below float64) (*assess.Assessment, float64, error) {
	d, pricing := l.plan.Drinks[n], l.pricings[n]
	costs := make([]float64, len(pricing.Job.Sources))
	open := make([]bool, len(costs))
	each := l.eachOutput(d, at)
	for k, s := range pricing.Job.Sources {
		usable, worth := true, 0.0
		direct := l.take(d, s, 1, func(stock int, units float64) {
			worth += units * at.worth[stock]
			usable = usable && at.open[stock]
		})
		costs[k], open[k] = direct+worth, usable
		if d.Blend() {
			costs[k] += each - gain
		}
	}
	if d.Blend() {
		return pricing.At(ctx, costs, open, below)
	}
	a, least, err := pricing.At(ctx, costs, open, below-each)
	return a, least + each, err
}

// eachOutput is what a litre (a unit of a blend) costs whatever its recipe.
func (l *pool) eachOutput(d *Drink, at prices) float64 {
	sum := d.LitreCost
	for name, pieces := range d.Goods {
		if n, kept := l.number[name]; kept {
			sum += pieces * at.worth[n]
		}
	}
	return sum
}
