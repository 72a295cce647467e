package plan

import (
	"fmt"
	"time"
)

// Notes say what a maker may not have meant: packs larger than all that is used, lots past their date from the start,
// prices that change within a period.
func (a *Answer) Notes() []string {
	var notes []string
	used := map[string]float64{}
	for _, s := range a.Ledger.Stocks {
		for _, x := range s.Used {
			used[s.Item.Name] += x
		}
	}
	told := map[*Offer]bool{}
	for _, o := range a.Orders {
		if f := o.Offer; f.Pack > 0 && !told[f] && used[f.Item.Name] < f.Pack {
			told[f] = true
			notes = append(notes, fmt.Sprintf("A pack of %s is %g %s, and the whole plan uses %.4g of it.", f.Name(), f.Pack, f.Item.Unit, used[f.Item.Name]))
		}
	}
	for _, i := range a.Items {
		for _, lot := range i.Lots {
			if a.lotLastUse(lot) < 0 {
				notes = append(notes, fmt.Sprintf("Lot %s of %s keeps until %s, before the first period ends: the plan does not use it.", lot.Number, i.Name, lot.BestBefore.Format(time.DateOnly)))
			}
		}
	}
	for _, o := range a.Offers {
		for _, c := range o.Changes {
			for t := range a.Periods() {
				if c.From.After(a.Starts[t]) && c.From.Before(a.Starts[t+1]) {
					notes = append(notes, fmt.Sprintf("The price of %s changes on %s, within %s: orders of that period count at the price of its first day.", o.Name(), c.From.Format(time.DateOnly), a.PeriodName(t)))
				}
			}
		}
	}
	return notes
}
