package plan

import "context"

// Increase is what announced changes of prices do to a plan.
type Increase struct {
	// Changes are the changes that come within the plan.
	Changes []ChangeIn
	// Before is what the best plan found would cost if prices stayed as on the first day, and Unplanned what that
	// same plan costs as prices are. Now is the plan's cost.
	Before, Unplanned, Now float64
}

// ChangeIn is one change of an offer's price.
type ChangeIn struct {
	Offer  *Offer
	Change PriceChange
	Was    float64
}

// InAll is what the changes cost a maker who plans as if there were none.
func (i *Increase) InAll() float64 { return i.Unplanned - i.Before }

// Escaped is how much of it the plan escapes.
func (i *Increase) Escaped() float64 { return i.Unplanned - i.Now }

// Increases works out what announced changes of prices cost and how much the plan escapes; nil when no price changes
// within the plan, or no plan is possible.
func (a *Answer) Increases(ctx context.Context) (*Increase, error) {
	if a.Ledger == nil {
		return nil, nil
	}
	i := &Increase{Now: a.Cost}
	steady := *a.Plan
	steady.Offers = nil
	for _, o := range a.Offers {
		still := *o
		still.Changes = nil
		still.Price = o.PriceOn(a.Starts[0]) / o.Rate
		was := still.Price
		for _, c := range o.Changes {
			if c.From.After(a.Starts[0]) && c.From.Before(a.Starts[a.Periods()]) && c.Price != was {
				i.Changes = append(i.Changes, ChangeIn{o, c, was})
				was = c.Price
			}
		}
		steady.Offers = append(steady.Offers, &still)
	}
	if len(i.Changes) == 0 {
		return nil, nil
	}
	before, err := Decide(ctx, &steady)
	if err != nil || before.Ledger == nil {
		return nil, err
	}
	i.Before, i.Unplanned = before.Cost, before.Cost
	for _, o := range before.Orders {
		for n := range steady.Offers {
			if steady.Offers[n] == o.Offer {
				i.Unplanned += a.Offers[n].costs(o.Amount, a.Offers[n].PriceOn(o.Day)) - o.Money
			}
		}
	}
	return i, nil
}
