package plan

import (
	"fmt"
	"slices"

	"bittersum/internal/tomlfile"
)

// scenarios reads what may happen.
func (r *reader) scenarios() {
	sum := 0.0
	tables := r.root.Tables("scenario")
	for _, t := range tables {
		t.Require("name", "probability")
		s := &Scenario{Name: t.String("name"), Probability: t.NumberOr("probability", tomlfile.Share, 0)}
		for _, e := range t.Tables("events") {
			s.Events = append(s.Events, r.event(e))
		}
		t.Done()
		if slices.ContainsFunc(r.Scenarios, func(o *Scenario) bool { return o.Name == s.Name }) {
			t.Fault("name", fmt.Sprintf("%q stands twice", s.Name), "")
		}
		sum += s.Probability
		r.Scenarios = append(r.Scenarios, s)
	}
	if len(tables) > 0 && sum > 1+1e-9 {
		tables[0].Fault("probability", fmt.Sprintf("the probabilities of all scenarios add up to %.6g, more than 1", sum), "what is left to 1 is that nothing happens")
	}
}

func (r *reader) event(t *tomlfile.Table) Event {
	e := Event{
		Supplier: t.String("supplier"), Item: t.String("item"), Drink: t.String("drink"),
		Fails: t.Bool("fails"), To: r.Periods() - 1,
		PriceFactor:  1 + t.NumberOr("price_percent", tomlfile.Range{Min: -100, Max: 1e4}, 0)/100,
		DemandFactor: 1 + t.NumberOr("demand_percent", tomlfile.Range{Min: -100, Max: 1e4}, 0)/100,
	}
	if e.Supplier != "" && !slices.Contains(r.supplierNames(), e.Supplier) {
		t.Fault("supplier", fmt.Sprintf("there is no supplier %q", e.Supplier), tomlfile.DidYouMean(e.Supplier, r.supplierNames()))
	}
	if e.Item != "" && r.Item(e.Item) == nil {
		t.Fault("item", fmt.Sprintf("no drink of the plan uses %q", e.Item), tomlfile.DidYouMean(e.Item, r.itemNames()))
	}
	if e.Drink != "" && r.Drink(e.Drink) == nil {
		var names []string
		for _, d := range r.Drinks {
			names = append(names, d.Name)
		}
		t.Fault("drink", fmt.Sprintf("there is no drink %q in the plan", e.Drink), tomlfile.DidYouMean(e.Drink, names))
	}
	if !e.Fails && e.PriceFactor == 1 && e.DemandFactor == 1 {
		t.Fault("", "changes nothing; it must have fails, price_percent or demand_percent", "")
	}
	if e.Fails && e.Supplier == "" && e.Item == "" {
		t.Fault("fails", "needs supplier or item: who fails, or what cannot be had", "")
	}
	var wrong string
	if from := t.String("from"); from != "" {
		if e.From, wrong = r.Period(from); wrong != "" {
			t.Fault("from", wrong, "")
		}
	}
	if to := t.String("to"); to != "" {
		if e.To, wrong = r.Period(to); wrong != "" {
			t.Fault("to", wrong, "")
		} else if e.To < e.From {
			t.Fault("to", "is before from", "")
		}
	}
	t.Done()
	return e
}

// Period returns the number of the period of that name, or what is wrong with the name.
func (p *Plan) Period(name string) (t int, wrong string) {
	for t := range p.Periods() {
		if p.PeriodName(t) == name {
			return t, ""
		}
	}
	return 0, fmt.Sprintf("%q is no period of the plan; they run from %s to %s", name, p.PeriodName(0), p.PeriodName(p.Periods()-1))
}
