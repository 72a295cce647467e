package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bittersum/internal/tomlfile"
)

func (r *reader) suppliers() {
	for _, t := range r.root.Tables("supplier") {
		t.Require("name")
		s := &Supplier{
			Name: t.String("name"), Line: t.Line(""),
			Freight:    t.NumberOr("freight_per_order", tomlfile.NonNegative, 0),
			LeastOrder: t.NumberOr("least_order", tomlfile.NonNegative, 0),
			LeadDays:   t.Whole("lead_days", 0, 3650, 0),
		}
		t.Done()
		if at := slices.IndexFunc(r.Suppliers, func(o *Supplier) bool { return o.Name == s.Name }); at >= 0 && s.Name != "" {
			t.Fault("name", fmt.Sprintf("%q stands twice, first on line %d", s.Name, r.Suppliers[at].Line), "two suppliers need two names")
		}
		r.Suppliers = append(r.Suppliers, s)
	}
}

func (r *reader) supplierNames() []string {
	var names []string
	for _, s := range r.Suppliers {
		names = append(names, s.Name)
	}
	return names
}

func (r *reader) offers() {
	for _, t := range r.root.Tables("offer") {
		t.Require("supplier", "item")
		o := &Offer{Rate: 1, Currency: r.Currency}
		supplier, name := t.String("supplier"), t.String("item")
		at := slices.IndexFunc(r.Suppliers, func(s *Supplier) bool { return s.Name == supplier })
		if at < 0 && supplier != "" {
			t.Fault("supplier", fmt.Sprintf("there is no supplier %q", supplier), tomlfile.DidYouMean(supplier, r.supplierNames()))
		}
		if o.Item = r.Item(name); o.Item == nil && name != "" {
			t.Fault("item", fmt.Sprintf("no drink of the plan uses %q", name), tomlfile.DidYouMean(name, r.itemNames()))
		}
		if at < 0 || o.Item == nil {
			continue
		}
		o.Supplier = r.Suppliers[at]
		r.offer(t, o)
		if slices.ContainsFunc(r.Offers, func(other *Offer) bool { return other.Supplier == o.Supplier && other.Item == o.Item }) {
			t.Fault("item", fmt.Sprintf("%s stands twice", o.Name()), "give one offer several prices in changes")
		}
		r.Offers = append(r.Offers, o)
	}
}

func (r *reader) offer(t *tomlfile.Table, o *Offer) {
	price, many := "price_per_"+o.Item.per(), o.Item.many()
	t.Require(price)
	o.Price = t.NumberOr(price, tomlfile.NonNegative, 0)
	if currency := t.String("currency"); currency != "" && currency != r.Currency {
		rate, known := r.rates[currency]
		if !known {
			t.Fault("currency", fmt.Sprintf("there is no rate for %s", currency), fmt.Sprintf("say under [rates] how many %s one %s is", r.Currency, currency))
		}
		o.Currency, o.Rate = currency, rate
	}
	o.Pack = t.NumberOr("pack_"+many, tomlfile.Positive, 0)
	o.Least = t.NumberOr("least_"+many, tomlfile.NonNegative, 0)
	o.Most = t.NumberOr("most_"+many, tomlfile.NonNegative, math.Inf(1))
	o.LeadDays = t.Whole("lead_days", 0, 3650, o.Supplier.LeadDays)
	o.LastOrder = t.Date("last_order")
	if until := t.Date("price_until"); !until.IsZero() && until.Before(r.Starts[r.Periods()-1]) && (o.LastOrder.IsZero() || until.Before(o.LastOrder)) {
		t.Fault("price_until", fmt.Sprintf("%s is before the last period of the plan begins, %s", until.Format(time.DateOnly), r.Starts[r.Periods()-1].Format(time.DateOnly)),
			"give the price after it in changes, or the last_order that can be placed")
	}
	if o.Least > o.Most {
		t.Fault("least_"+many, fmt.Sprintf("is above most_%s, %g", many, o.Most), "")
	}
	for n, m := range t.NumberList("months", tomlfile.Any) {
		if m < 1 || m > 12 || m != math.Trunc(m) {
			t.ElementFault("months", n, fmt.Sprintf("%g is no month; it must be a whole number from 1 to 12", m), "")
			continue
		}
		o.Months = append(o.Months, time.Month(m))
	}
	for _, c := range t.Tables("changes") {
		c.Require("from", price)
		change := PriceChange{c.Date("from"), c.NumberOr(price, tomlfile.NonNegative, 0)}
		c.Done()
		if n := len(o.Changes); n > 0 && !o.Changes[n-1].From.Before(change.From) {
			c.Fault("from", "is not after the change before it", "")
		}
		o.Changes = append(o.Changes, change)
	}
	o.Whole = t.OneOf("discount_on", "whole order", "what is above") != "what is above"
	for _, c := range t.Tables("discounts") {
		c.Require("from_"+many, "percent")
		d := Discount{c.NumberOr("from_"+many, tomlfile.Positive, 0), c.NumberOr("percent", tomlfile.Range{Min: 0, Max: 100}, 0) / 100}
		c.Done()
		if n := len(o.Discounts); n > 0 && (o.Discounts[n-1].From >= d.From || o.Discounts[n-1].Share > d.Share) {
			c.Fault("from_"+many, "discounts must rise with their amounts", "")
		}
		o.Discounts = append(o.Discounts, d)
	}
	t.Done()
}

// bought notes what a recipe may take and no one sells.
func (r *reader) bought() {
	for _, i := range r.Items {
		if r.OthersAtList && !i.Goods || i.Opening > 0 || len(i.Lots) > 0 || slices.ContainsFunc(r.Offers, func(o *Offer) bool { return o.Item == i }) {
			continue
		}
		hint := "give an [[offer]], or write others = \"list price\" to buy it as needed at the brief's price"
		if i.Goods {
			hint = "give an [[offer]]"
		}
		r.faults = append(r.faults, tomlfile.Fault{File: r.File, What: fmt.Sprintf("no supplier sells %s, which the plan's drinks may take", i.Name), Hint: hint})
	}
}

// unbounded notes orders whose size nothing bounds, where they take whole decisions.
func (r *reader) unbounded() {
	for _, d := range r.Drinks {
		for t := range r.Periods() {
			if d.Blend() && !math.IsInf(d.Most[t], 1) || !d.Blend() && !math.IsInf(math.Min(d.Most[t], r.Kettle.PerPeriod[t]), 1) {
				continue
			}
			for _, o := range r.Offers {
				if math.IsInf(o.Most, 1) && (o.Least > 0 || len(o.Discounts) > 0 || o.Supplier.Freight > 0 || o.Supplier.LeastOrder > 0) {
					r.faults = append(r.faults, tomlfile.Fault{File: r.File, Line: d.Line, Key: "drink",
						What: fmt.Sprintf("nothing bounds how much of %s is made in %s, so nothing bounds the order of %s", d.Name, r.PeriodName(t), o.Name()),
						Hint: "give what is asked at most, or the most that can be ordered"})
					return
				}
			}
			if r.Kettle.Whole() {
				r.faults = append(r.faults, tomlfile.Fault{File: r.File, Line: d.Line, Key: "drink",
					What: fmt.Sprintf("nothing bounds how much of %s is made in %s, so nothing bounds its batches", d.Name, r.PeriodName(t)), Hint: "give what is asked at most, or most_l_per_period of the kettle"})
				return
			}
		}
	}
}

// beyond notes what cannot be right whatever is decided: prices that end, packs for a lifetime, demand
// beyond the kettle.
func (r *reader) beyond() {
	for t := range r.Periods() {
		asked := 0.0
		for _, d := range r.Drinks {
			if d.Waits == 0 && math.IsNaN(d.Short) {
				asked += d.Least[t]
			}
		}
		if most := r.Kettle.PerPeriod[t]; asked > most {
			r.faults = append(r.faults, tomlfile.Fault{File: r.File, Line: r.root.Line("kettle"), Key: "kettle.most_l_per_period",
				What: fmt.Sprintf("%g L are asked in %s, %g L more than the kettle makes", asked, r.PeriodName(t), asked-most), Hint: "let bottles wait (waits_periods), or give short_per_l"})
		}
	}
}
