package plan

import (
	"time"

	"bittersum/internal/study"
)

// Answer is a plan decided, or why there is none.
type Answer struct {
	*Plan
	world *world
	// Others are the plans for the other scenarios, of which this is one with the same first orders, and Expected
	// is the mean of their costs by probability.
	Others   []*Answer
	Expected float64
	// Brief is set, and the rest is not, when a drink's brief cannot be met by itself.
	Brief *study.Answer
	// Conflict are limits that exclude each other and Lacks what is lacking at least of some; the rest is not
	// set then. They hold whatever the recipes unless Tried is set: then recipes are held and Tried of them were
	// tried, with which no plan is possible, but with others one may be.
	Conflict []*Limit
	Lacks    []Lack
	Tried    int

	Orders []*Order
	Makes  []*MakeIn
	// Sold and Short are litres (units) by drink and period.
	Sold, Short  [][]float64
	Deliveries   []Delivery
	draws, sales []draw
	// Ledger is the plan gone through day by day from the orders and recipes alone.
	Ledger *Ledger
	// Cost is what the plan costs, less what is sold.
	Cost float64
	// Bound is a cost that no plan goes below, whatever its recipes, found in floating point.
	Bound float64
	// Limits are what limits cost, see LimitCost.
	Limits []LimitCost
}

// Scenario names what happens in the answer's world; nil where nothing does.
func (a *Answer) Scenario() *Scenario { return a.world.scenario }

// Order is one item ordered of one supplier.
type Order struct {
	Offer  *Offer
	Period int
	Day    time.Time
	// Usable is the period from whose beginning on it can be used.
	Usable int
	Amount float64
	// Packs is how many packs that is; 0 where none are sold.
	Packs int
	// Price is that of a unit, after the discount, in the plan's currency; Money what all of it costs.
	Price, Money float64
}

// Delivery is what one supplier sends for the orders of a period.
type Delivery struct {
	Supplier *Supplier
	Period   int
	Freight  float64
	Money    float64
}

// MakeIn is so many litres (units of a blend) of a drink made in a period by one recipe.
type MakeIn struct {
	Drink   *Drink
	Period  int
	Amount  float64
	Batches int
	Recipe  *Made
	// Number is the recipe's number among those of the drink in the plan, from 1 in order of their use.
	Number int
}

// LimitCost is what a limit of the plan costs: Rate is the change of the least cost for one unit more of its value, as if
// packs, orders and batches could be of any size.
type LimitCost struct {
	*Limit
	Rate float64
}

// Lack is by how much a limit is missed.
type Lack struct {
	*Limit
	By float64
}
