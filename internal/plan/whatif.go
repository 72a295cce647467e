package plan

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// If plans as if a scenario were known to happen from the first day on.
func If(ctx context.Context, p *Plan, s *Scenario) (*Answer, error) {
	return decide(ctx, p, []*world{{Plan: p, scenario: s, weight: 1}})
}

// Hedged plans for all scenarios by their probabilities: what is ordered in the first period is the same in all, and
// from the second on each goes its own way. The answer is that where nothing happens, or the first scenario's
// when something always does; the others are in Others.
func Hedged(ctx context.Context, p *Plan) (*Answer, error) {
	rest := 1.0
	var worlds []*world
	for _, s := range p.Scenarios {
		rest -= s.Probability
		if s.Probability > 0 {
			worlds = append(worlds, &world{Plan: p, scenario: s, weight: s.Probability})
		}
	}
	if rest > 1e-9 {
		worlds = slices.Insert(worlds, 0, &world{Plan: p, weight: rest})
	}
	return decide(ctx, p, worlds)
}

// ParseEvent reads an event from its kind and text: "fails" NAME, "price" NAME=+30% or "demand" [NAME=]+20%, each
// with @FROM or @FROM..TO behind it for the periods it lasts. The text wrong says what is wrong.
func (p *Plan) ParseEvent(kind, text string) (e Event, wrong string) {
	e = Event{To: p.Periods() - 1, PriceFactor: 1, DemandFactor: 1}
	what, when, timed := strings.Cut(text, "@")
	if timed {
		from, to, open := strings.Cut(when, "..")
		if e.From, wrong = p.Period(from); wrong != "" {
			return e, wrong
		}
		e.To = e.From
		if open {
			if e.To, wrong = p.Period(to); wrong != "" {
				return e, wrong
			}
		}
		if e.To < e.From {
			return e, fmt.Sprintf("%s is before %s", to, from)
		}
	}
	name, amount, valued := strings.Cut(what, "=")
	if kind == "fails" {
		e.Fails = true
		return e, p.named(&e, what)
	}
	if !valued {
		name, amount = "", what
	}
	percent, err := strconv.ParseFloat(strings.TrimSuffix(amount, "%"), 64)
	if err != nil || !strings.HasSuffix(amount, "%") || percent < -100 || percent > 1e4 {
		return e, fmt.Sprintf("%q is no change; give it as +20%% or -5%%", amount)
	}
	if kind == "demand" {
		e.DemandFactor = 1 + percent/100
		if name != "" && p.Drink(name) == nil {
			return e, fmt.Sprintf("there is no drink %q in the plan", name)
		}
		e.Drink = name
		return e, ""
	}
	e.PriceFactor = 1 + percent/100
	if name == "" {
		return e, "say whose price: NAME=+30%"
	}
	return e, p.named(&e, name)
}

// named makes an event one of a supplier or an item.
func (p *Plan) named(e *Event, name string) (wrong string) {
	switch {
	case slices.ContainsFunc(p.Suppliers, func(s *Supplier) bool { return s.Name == name }):
		e.Supplier = name
	case p.Item(name) != nil:
		e.Item = name
	default:
		return fmt.Sprintf("there is no supplier or item %q in the plan", name)
	}
	return ""
}

// Difference is what changes from one plan to another.
type Difference struct {
	Before, After *Answer
	// Items are the amounts ordered of each item, where they differ, over the plan and in the first period.
	Items []ItemDifference
}

// ItemDifference is what is ordered of an item in two plans, in its unit.
type ItemDifference struct {
	Item                    *Item
	Before, After           float64
	FirstBefore, FirstAfter float64
}

// Compare sets two answers to the same plan side by side.
func Compare(before, after *Answer) *Difference {
	d := &Difference{Before: before, After: after}
	for _, i := range before.Items {
		one := ItemDifference{Item: i}
		one.Before, one.FirstBefore = before.ordered(i)
		one.After, one.FirstAfter = after.ordered(i)
		if one.Before != one.After || one.FirstBefore != one.FirstAfter {
			d.Items = append(d.Items, one)
		}
	}
	return d
}

// ordered is what is ordered of an item over the plan and in its first period.
func (a *Answer) ordered(i *Item) (all, first float64) {
	for _, o := range a.Orders {
		if o.Offer.Item == i {
			all += o.Amount
			if o.Period == 0 {
				first += o.Amount
			}
		}
	}
	return all, first
}
