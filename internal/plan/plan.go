// Package plan decides for several drinks over months what to buy, what to make and by which recipe.
//
// The program of a plan holds recipes as columns: litres of drink d made in period t by recipe c. What a
// litre takes of each ingredient is bought in some period and kept until it is used, by the period in
// which it came, so that what keeps three months is not used in the fourth. Recipes are found as they
// are wanted (P. C. Gilmore and R. E. Gomory, A linear programming approach to the cutting-stock problem,
// Operations Research 9, 1961; G. B. Dantzig and P. Wolfe, Decomposition principle for linear programs,
// Operations Research 8, 1960): the dual values of a program with the recipes known so far price every
// ingredient in every period, and the cheapest recipe of a brief at those prices comes in where it is
// worth its litre. When none is, no recipe at all lowers the cost, and the same prices bound it.
package plan

import (
	"fmt"
	"math"
	"time"

	"bittersum/internal/brief"
)

// Goal is what a plan makes best.
type Goal string

const (
	LeastCost  Goal = "least cost"
	MostMargin Goal = "most margin"
)

// Words for the length of a period.
const (
	Month = "month"
	Week  = "week"
)

// Plan is a plan's file as read, with the jobs of its briefs.
type Plan struct {
	File, Name, Currency string
	Goal                 Goal
	// Length is Month or Week, and Starts the first days of the periods, with the day after the last one
	// at its end.
	Length string
	Starts []time.Time
	// Budget is the most that orders of a period may cost, infinite when not given.
	Budget []float64
	// OthersAtList says that ingredients which no supplier offers are bought as needed at the price that
	// the brief has for them.
	OthersAtList bool
	// Effort multiplies the work of the search for whole packs, orders and batches; 1 is usual.
	Effort int

	// Progress, if set, is told how far the search is.
	Progress func(text string)

	Store     Store
	Kettle    Kettle
	Drinks    []*Drink
	Items     []*Item
	Suppliers []*Supplier
	Offers    []*Offer
	Scenarios []*Scenario
}

// Periods is how many periods the plan has.
func (p *Plan) Periods() int { return len(p.Starts) - 1 }

// PeriodName names period t for the maker: 2027-03, or the first day of a week.
func (p *Plan) PeriodName(t int) string {
	if p.Length == Week {
		return p.Starts[t].Format(time.DateOnly)
	}
	return p.Starts[t].Format("2006-01")
}

func (p *Plan) progress(format string, args ...any) {
	if p.Progress != nil {
		p.Progress(fmt.Sprintf(format, args...))
	}
}

// Item returns the item of that name, or nil.
func (p *Plan) Item(name string) *Item {
	for _, i := range p.Items {
		if i.Name == name {
			return i
		}
	}
	return nil
}

// Drink returns the drink of that name, or nil.
func (p *Plan) Drink(name string) *Drink {
	for _, d := range p.Drinks {
		if d.Name == name {
			return d
		}
	}
	return nil
}

// Drink is one brief of the plan with what is asked of it.
type Drink struct {
	Name string
	Job  *brief.Job
	Line int
	// Least and Most bound what is sold in each period, in litres as made (units of a blend).
	Least, Most []float64
	// Price is what a litre fetches and Short what a litre of Least that is not sold costs; Short is NaN
	// where all of it must be sold.
	Price, Short float64
	// Waits is for how many periods a bottle may wait before it is sold, and WaitCost what a litre costs
	// for each of them.
	Waits    int
	WaitCost float64
	// LitreCost is what a litre costs beside its ingredients, and Hours the hours of the kettle that a
	// litre takes.
	LitreCost, Hours float64
	// Goods are pieces for each litre, by the item's name.
	Goods map[string]float64

	// Held says that a recipe stays until it is changed: at most Changes times, each at ChangeCost, not
	// before Notice periods have passed, and by no more than Drift just noticeable differences at a time.
	Held       bool
	Changes    int
	ChangeCost float64
	Notice     int
	Drift      float64
	// Now is today's recipe, or nil.
	Now *brief.Recipe
}

// Blend reports whether what is made is a blend and no drink.
func (d *Drink) Blend() bool { return d.Job.Kind == brief.Blend }

// fetches is what a litre (a unit of a blend) is sold for.
func (d *Drink) fetches() float64 { return d.Price + d.soldPerGram() }

// Item is something that is bought and kept: an ingredient in kilograms (units of a blend), or goods in
// pieces.
type Item struct {
	Name  string
	Goods bool
	// Unit is kg, pieces or the blend's unit.
	Unit string
	// It keeps so many months and days from the day it comes; both 0 for longer than any plan.
	KeepsMonths, KeepsDays int
	// Loss is the share that is lost in each period it is kept.
	Loss float64
	Cold bool
	// Safety and Closing are what must be there at the end of each period and of the plan; Opening is
	// what is there at the start and in no lot, and Room the most that may be kept, infinite when not given.
	Safety, Closing, Opening, Room float64
	// Fades is the share of a content that is lost in a month, by attribute, and OpeningCame the day on which
	// what is there at the start came; zero for the plan's first day.
	Fades       map[string]float64
	OpeningCame time.Time
	// HoldCost is what a unit costs for each period at whose end it is there.
	HoldCost float64
	// Lots are those on the shelf.
	Lots []*brief.Lot
}

// Supplier is who sells, with what an order costs.
type Supplier struct {
	Name string
	// Freight is what each order costs and LeastOrder the money it must at least come to.
	Freight, LeastOrder float64
	LeadDays            int
	Line                int
}

// Offer is one item at one supplier. Amounts are in the item's unit, prices in Currency each.
type Offer struct {
	Supplier *Supplier
	Item     *Item
	// Price is what a unit costs from the first day, and Changes later prices in order of their days.
	Price   float64
	Changes []PriceChange
	// Rate is the plan's currency for one of the offer's.
	Rate     float64
	Currency string
	// Months are those in which it can be ordered; nil for all.
	Months []time.Month
	// LastOrder is the last day of an order, zero for no end.
	LastOrder time.Time
	// Pack is the size of a pack, Least the least of an order and Most the most of a period; Most is infinite
	// when not given.
	Pack, Least, Most float64
	// Discounts begin at rising amounts. Whole says that a discount holds for the whole order and not for
	// what lies above its beginning alone.
	Discounts []Discount
	Whole     bool
	LeadDays  int
}

// PriceChange is a price from a day on.
type PriceChange struct {
	From  time.Time
	Price float64
}

// Discount is a share off the price from an amount on.
type Discount struct{ From, Share float64 }

// PriceOn is what a unit costs on a day, in the plan's currency.
func (o *Offer) PriceOn(day time.Time) float64 {
	price := o.Price
	for _, c := range o.Changes {
		if !c.From.After(day) {
			price = c.Price
		}
	}
	return price * o.Rate
}

// Open reports whether an order can be placed on a day.
func (o *Offer) Open(day time.Time) bool {
	if !o.LastOrder.IsZero() && day.After(o.LastOrder) {
		return false
	}
	if o.Months == nil {
		return true
	}
	for _, m := range o.Months {
		if m == day.Month() {
			return true
		}
	}
	return false
}

// Name says whose offer of what it is.
func (o *Offer) Name() string { return o.Item.Name + " from " + o.Supplier.Name }

// Store is where goods are kept.
type Store struct {
	// SpaceKg and ColdKg are the kilograms (units of a blend) that there is room for at the end of a
	// period, infinite when not given.
	SpaceKg, ColdKg float64
}

// Kettle is what drinks are made in.
type Kettle struct {
	// Litres is the most of a batch and LeastLitres the least; Litres is infinite when not given, and
	// batches are then not counted.
	Litres, LeastLitres float64
	// PerPeriod is the most that is made in a period, in litres, infinite when not given.
	PerPeriod []float64
	// Hours are those of a period; a batch takes HoursABatch and each drink made in a period
	// CleaningHours once.
	Hours                      []float64
	HoursABatch, CleaningHours float64
	// BatchCost and CleaningCost are what these cost.
	BatchCost, CleaningCost float64
}

// Whole reports whether batches are counted.
func (k Kettle) Whole() bool { return !math.IsInf(k.Litres, 1) }

// Scenario is something that may happen, with its probability.
type Scenario struct {
	Name        string
	Probability float64
	Events      []Event
}

// Event changes the plan from period From to period To.
type Event struct {
	// Supplier that sells nothing, Item whose offers are affected, Drink whose demand is; empty for all.
	Supplier, Item, Drink string
	From, To              int
	// Fails says that nothing can be ordered, PriceFactor multiplies prices and DemandFactor what is asked.
	Fails                     bool
	PriceFactor, DemandFactor float64
}

// usable returns the first period in which what is ordered in period s can be used, or the number of periods.
func (p *Plan) usable(o *Offer, s int) int {
	arrives := p.Starts[s].AddDate(0, 0, o.LeadDays)
	for t := s; t < p.Periods(); t++ {
		if !p.Starts[t].Before(arrives) {
			return t
		}
	}
	return p.Periods()
}

// lastUse returns the last period in which what came at the start of period s can be used.
func (p *Plan) lastUse(i *Item, s int) int { return p.lastUseSince(i, p.Starts[s]) }

// lastUseSince returns the last period in which what has been kept since a day can be used, or -1.
func (p *Plan) lastUseSince(i *Item, day time.Time) int {
	if i.KeepsMonths == 0 && i.KeepsDays == 0 {
		return p.Periods() - 1
	}
	return p.lastBefore(day.AddDate(0, i.KeepsMonths, i.KeepsDays))
}

// livesOn reports whether what came at the start of period s can still be used when the plan ends.
func (p *Plan) livesOn(i *Item, s int) bool { return p.livesOnSince(i, p.Starts[s]) }

// livesOnSince reports the same of what has been kept since a day.
func (p *Plan) livesOnSince(i *Item, day time.Time) bool {
	return i.KeepsMonths == 0 && i.KeepsDays == 0 || day.AddDate(0, i.KeepsMonths, i.KeepsDays).After(p.Starts[p.Periods()])
}

// openingSince is the day from which what is there at the start is kept.
func (p *Plan) openingSince(i *Item) time.Time {
	if i.OpeningCame.IsZero() {
		return p.Starts[0]
	}
	return i.OpeningCame
}

// lotLivesOn reports the same of a lot.
func (p *Plan) lotLivesOn(l *brief.Lot) bool {
	return l.BestBefore.IsZero() || l.BestBefore.After(p.Starts[p.Periods()])
}

// lastBefore returns the last period that ends by a day, or -1.
func (p *Plan) lastBefore(day time.Time) int {
	last := -1
	for t := range p.Periods() {
		if !p.Starts[t+1].After(day) {
			last = t
		}
	}
	return last
}

// lotLastUse returns the last period in which a lot can be used, or -1.
func (p *Plan) lotLastUse(l *brief.Lot) int {
	if l.BestBefore.IsZero() {
		return p.Periods() - 1
	}
	return p.lastBefore(l.BestBefore.AddDate(0, 0, 1))
}
