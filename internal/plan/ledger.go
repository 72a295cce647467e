package plan

import (
	"fmt"
	"math"
	"slices"

	"bittersum/internal/study"
)

// Ledger is a plan gone through period by period from what is ordered, made and sold, the recipes and the offers
// alone; it uses nothing of the program that found them. What comes first to its date is used first.
type Ledger struct {
	// Stocks are what is at the end of each period, by stock and period; Opening is what is there at the start.
	Stocks  []StockCurve
	Money   []Money
	Total   Money
	Waiting [][]float64 // litres that wait, by drink and period
	// Spoilt is what passes its date unused, by stock, in its unit.
	faults []string
}

// StockCurve is one stock over time.
type StockCurve struct {
	Name, Unit string
	Item       *Item
	Opening    float64
	// Came, Used, Lost, Spoilt and Held are by period; Held is what is there at its end.
	Came, Used, Lost, Spoilt, Held []float64
}

// Money is what a period costs, in the plan's currency.
type Money struct {
	Goods, Freight, Keeping, Kettle, Direct, Waiting, Short, Changes, Sales float64
}

// Cost is what all of it costs, less sales.
func (m Money) Cost() float64 {
	return m.Goods + m.Freight + m.Keeping + m.Kettle + m.Direct + m.Waiting + m.Short + m.Changes - m.Sales
}

func (m *Money) add(o Money) {
	m.Goods += o.Goods
	m.Freight += o.Freight
	m.Keeping += o.Keeping
	m.Kettle += o.Kettle
	m.Direct += o.Direct
	m.Waiting += o.Waiting
	m.Short += o.Short
	m.Changes += o.Changes
	m.Sales += o.Sales
}

// slack is how far an amount may miss, as a share, for amounts are printed to the gram and the centilitre.
const slack = 1e-4

// heap is an amount that came at the start of one period and has one date; last is the last period in which it can
// be used.
type heap struct {
	amount     float64
	came, last int
	lives      bool
}

// draw is what the plan takes in a period of what came at the start of another.
type draw struct {
	stock      string
	came, used int
	amount     float64
}

// check goes through the plan and compares what it costs with what the program says.
func (a *Answer) check(objective float64) error {
	a.Ledger = a.goThrough(nil)
	if len(a.Ledger.faults) > 0 { // some things must be used before others that spoil sooner, for want of room
		a.Ledger = a.goThrough(a.draws)
	}
	a.Cost = a.Ledger.Total.Cost()
	if len(a.Ledger.faults) > 0 {
		return fmt.Errorf("%w: %s", study.ErrUnproved, a.Ledger.faults[0])
	}
	if turnover := a.Ledger.Total.Sales + a.Ledger.Total.Goods + 1; math.Abs(a.Cost-objective) > slack*turnover {
		return fmt.Errorf("%w: the plan costs %.4f by its ledger and %.4f by its program", study.ErrUnproved, a.Cost, objective)
	}
	return nil
}

func (l *Ledger) fault(format string, args ...any) {
	l.faults = append(l.faults, fmt.Sprintf(format, args...))
}

// missing reports whether a value is below what is needed by more than slack.
func missing(value, needed float64) bool { return value < needed-slack*math.Max(1, math.Abs(needed)) }

// goThrough uses first what spoils first, or as draws say.
func (a *Answer) goThrough(draws []draw) *Ledger {
	l := &Ledger{Money: make([]Money, a.Periods())}
	a.takeStock(l, draws)
	a.payOrders(l)
	a.runKettle(l)
	a.sell(l)
	for _, m := range l.Money {
		l.Total.add(m)
	}
	return l
}

// takeStock moves every stock from period to period.
func (a *Answer) takeStock(l *Ledger, draws []draw) {
	used := a.usedOf()
	space, cold := make([]float64, a.Periods()), make([]float64, a.Periods())
	for _, i := range a.Items {
		held, end := a.takeItem(l, i, used, draws)
		for t := range held {
			if missing(held[t], i.Safety) {
				l.fault("%s: %.4g %s are there at the end of %s, where %g are to be", i.Name, held[t], i.Unit, a.PeriodName(t), i.Safety)
			}
			if missing(i.Room, held[t]) {
				l.fault("%s: %.4g %s are there at the end of %s, with room for %g", i.Name, held[t], i.Unit, a.PeriodName(t), i.Room)
			}
			if !i.Goods {
				space[t] += held[t]
			}
			if i.Cold {
				cold[t] += held[t]
			}
		}
		if missing(end, i.Closing) {
			l.fault("%s: %.4g %s are left at the end, where %g are to be", i.Name, end, i.Unit, i.Closing)
		}
	}
	for t := range a.Periods() {
		for _, room := range []struct {
			name       string
			held, room float64
		}{{"store", space[t], a.Store.SpaceKg}, {"cold store", cold[t], a.Store.ColdKg}} {
			if missing(room.room, room.held) {
				l.fault("%.5g kg are in the %s at the end of %s, with room for %g", room.held, room.name, a.PeriodName(t), room.room)
			}
		}
	}
}

// usedOf returns what batches take of each stock in each period, by its name.
func (a *Answer) usedOf() map[string][]float64 {
	used := map[string][]float64{}
	for _, m := range a.Makes {
		for name, each := range m.Recipe.Takes() {
			if used[name] == nil {
				used[name] = make([]float64, a.Periods())
			}
			used[name][m.Period] += each * m.Amount / m.Recipe.output
		}
	}
	return used
}

// takeItem moves the stocks of an item, its lots among them. It returns what is there of all of them at the end of
// each period, and what of that lives on after the plan.
func (a *Answer) takeItem(l *Ledger, i *Item, used map[string][]float64, draws []draw) (held []float64, end float64) {
	held = make([]float64, a.Periods())
	take := func(k kept, heaps []*heap, arrives bool) {
		curve, lives := a.takeHeaps(l, i, k, heaps, arrives, used, draws)
		for t := range held {
			held[t] += curve.Held[t]
		}
		end += lives
		if curve.Opening > 0 || slices.Max(curve.Came) > 0 || slices.Max(curve.Used) > 0 {
			l.Stocks = append(l.Stocks, curve)
		}
	}
	opening := a.openingOf(i)
	if i.fading() {
		if opening != nil {
			take(a.keptOpening(i), opening, false)
		}
		opening = nil
	}
	take(kept{name: i.Name}, opening, true)
	for _, lot := range i.Lots {
		keeps := lot.BestBefore.IsZero() || lot.BestBefore.After(a.Starts[a.Periods()])
		take(a.keptLot(i, lot), []*heap{{lot.LeftKg(), 0, a.lotLastUse(lot), keeps}}, false)
	}
	return held, end
}

// takeHeaps moves one stock: what comes in, where any arrives, what is used, spoils and is lost. It returns the curve
// and what lives on after the plan.
func (a *Answer) takeHeaps(l *Ledger, i *Item, k kept, heaps []*heap, arrives bool, used map[string][]float64, draws []draw) (curve StockCurve, lives float64) {
	name := k.name
	curve = StockCurve{Name: name, Unit: i.Unit, Item: i}
	for _, h := range heaps {
		curve.Opening += h.amount
	}
	for t := range a.Periods() {
		came, lost, use, left := 0.0, 0.0, 0.0, 0.0
		if arrives {
			came = a.cameIn(i, t, &heaps)
		}
		switch {
		case i.fading():
			use, left = a.takeAged(k, heaps, used, t)
		case used[name] != nil:
			use = used[name][t]
			left = take(heaps, use, t, name, draws)
		}
		if left > slack*use {
			l.fault("%s is short by %.4g %s in %s", name, left, i.Unit, a.PeriodName(t))
		}
		rest, spoilt := 0.0, 0.0
		for _, h := range heaps {
			if h.last < t {
				spoilt += h.amount
				h.amount = 0
			}
			rest += h.amount
		}
		l.Money[t].Keeping += rest * i.HoldCost
		for _, h := range heaps {
			switch {
			case t < a.Periods()-1:
				lost += h.amount * i.Loss
				h.amount *= 1 - i.Loss
			case h.lives:
				lives += h.amount
			}
		}
		curve.Came, curve.Used, curve.Lost = append(curve.Came, came), append(curve.Used, use), append(curve.Lost, lost)
		curve.Spoilt, curve.Held = append(curve.Spoilt, spoilt), append(curve.Held, rest)
	}
	return curve, lives
}

// openingOf is what is there of an item at the start, beside its lots.
func (a *Answer) openingOf(i *Item) []*heap {
	if i.Opening == 0 {
		return nil
	}
	return []*heap{{i.Opening, 0, a.lastUseSince(i, a.openingSince(i)), a.livesOnSince(i, a.openingSince(i))}}
}

// cameIn adds what can be used from period t on.
func (a *Answer) cameIn(i *Item, t int, heaps *[]*heap) float64 {
	sum := 0.0
	for _, o := range a.Orders {
		if o.Offer.Item == i && a.usable(o.Offer, o.Period) == t {
			*heaps = append(*heaps, &heap{o.Amount, t, a.lastUse(i, t), a.livesOn(i, t)})
			sum += o.Amount
		}
	}
	return sum
}

// take takes an amount from heaps that can be used in period t, and returns what it could not take.
func take(heaps []*heap, amount float64, t int, stock string, draws []draw) float64 {
	if draws == nil { // first what spoils first
		slices.SortStableFunc(heaps, func(a, b *heap) int { return a.last - b.last })
		for _, h := range heaps {
			if h.last >= t {
				took := math.Min(h.amount, amount)
				h.amount -= took
				amount -= took
			}
		}
		return amount
	}
	for _, d := range draws {
		if d.stock != stock || d.used != t {
			continue
		}
		wanted := math.Min(d.amount, amount)
		for _, h := range heaps {
			if h.came == d.came && h.last >= t {
				took := math.Min(h.amount, wanted)
				h.amount -= took
				wanted -= took
				amount -= took
			}
		}
	}
	return amount
}

// payOrders checks every order against its offer and adds up what they cost.
func (a *Answer) payOrders(l *Ledger) {
	byPeriod := make([]float64, a.Periods())
	for _, o := range a.Orders {
		f := o.Offer
		where := fmt.Sprintf("the order of %s in %s", f.Name(), a.PeriodName(o.Period))
		price, open := a.world.offered(f, o.Period)
		if !open || a.usable(f, o.Period) >= a.Periods() {
			l.fault("%s cannot be placed or comes too late", where)
		}
		if missing(o.Amount, f.Least) || missing(f.Most, o.Amount) {
			l.fault("%s is of %g, which the offer does not allow", where, o.Amount)
		}
		if f.Pack > 0 && math.Abs(o.Amount-math.Round(o.Amount/f.Pack)*f.Pack) > 1e-9*o.Amount {
			l.fault("%s is of %g and no whole packs of %g", where, o.Amount, f.Pack)
		}
		money := f.costs(o.Amount, price)
		if math.Abs(money-o.Money) > 1e-6*(1+money) {
			l.fault("%s costs %g and not %g", where, money, o.Money)
		}
		l.Money[o.Period].Goods += money
		byPeriod[o.Period] += money
	}
	for _, s := range a.Suppliers {
		for t := range a.Periods() {
			money, any := 0.0, false
			for _, o := range a.Orders {
				if o.Offer.Supplier == s && o.Period == t {
					money, any = money+o.Money, true
				}
			}
			if !any {
				continue
			}
			if missing(money, s.LeastOrder) {
				l.fault("what is ordered of %s in %s comes to %.2f, less than %g", s.Name, a.PeriodName(t), money, s.LeastOrder)
			}
			l.Money[t].Freight += s.Freight
			byPeriod[t] += s.Freight
		}
	}
	for t, money := range byPeriod {
		if missing(a.Budget[t], money) {
			l.fault("the orders of %s cost %.2f, more than the budget", a.PeriodName(t), money)
		}
	}
}
