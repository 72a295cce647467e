package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Notes say what a maker may not have meant: packs larger than all that is used, lots past their date from the start,
// prices that change within a period; and how recipes name what fades.
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
	if ages := a.agesUsed(); len(ages) > 0 {
		notes = append(notes, fmt.Sprintf("Recipes name what fades by its age in months on the first day of the period: %s. They meet their targets with what is left then, and caps count contents as delivered. What fades within the period is not counted.", strings.Join(ages, ", ")))
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

// agesUsed names what fades as recipes of the plan name it.
func (a *Answer) agesUsed() []string {
	var names []string
	for _, m := range a.Makes {
		for _, p := range m.Recipe.Assessment.Recipe.Parts {
			i := a.Item(p.Source.Ingredient.Name)
			if i != nil && i.fading() && p.Amount > 0 && m.Drink.Job.Source(p.Source.Name) == nil && !slices.Contains(names, p.Source.Name) {
				names = append(names, p.Source.Name)
			}
		}
	}
	slices.Sort(names)
	return names
}
