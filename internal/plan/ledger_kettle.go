package plan

import (
	"math"

	"bittersum/internal/study"
)

// runKettle checks what is made and adds up what that costs.
func (a *Answer) runKettle(l *Ledger) {
	k := a.Kettle
	for t := range a.Periods() {
		litres, hours := 0.0, 0.0
		for _, d := range a.Drinks {
			made, batches := 0.0, 0
			for _, m := range a.Makes {
				if m.Drink != d || m.Period != t {
					continue
				}
				made += m.Amount
				batches = m.Batches
				l.Money[t].Direct += m.Recipe.direct * m.Amount / m.Recipe.output
				if !m.Recipe.Assessment.KeepsCaps() || len(m.Recipe.Assessment.Misses()) > 0 {
					l.fault("a recipe of %s in %s does not meet its brief", d.Name, a.PeriodName(t))
				}
				a.judgeAged(l, m)
			}
			litres += made
			hours += made * d.Hours
			if made == 0 || !k.Whole() || d.Blend() {
				continue
			}
			if missing(float64(batches)*k.Litres, made) || missing(made, float64(batches)*k.LeastLitres) {
				l.fault("%g L of %s in %s do not make %d batches", made, d.Name, a.PeriodName(t), batches)
			}
			hours += float64(batches)*k.HoursABatch + k.CleaningHours
			l.Money[t].Kettle += float64(batches)*k.BatchCost + k.CleaningCost
		}
		if missing(k.PerPeriod[t], litres) || missing(k.Hours[t], hours) {
			l.fault("the kettle is asked for more than it does in %s", a.PeriodName(t))
		}
	}
	a.changesOf(l)
}

// changesOf checks and adds up changes of recipes that are held.
func (a *Answer) changesOf(l *Ledger) {
	for _, d := range a.Drinks {
		if !d.Held {
			continue
		}
		var last *Made
		count := 0
		for _, m := range a.Makes {
			if m.Drink != d {
				continue
			}
			changed := last != nil && m.Recipe != last || last == nil && d.Now != nil && !Same(m.Recipe.Assessment.Recipe, d.Now)
			if changed {
				count++
				l.Money[m.Period].Changes += d.ChangeCost
				if d.Now != nil && m.Period < d.Notice {
					l.fault("the recipe of %s changes in %s, before %d periods have passed", d.Name, a.PeriodName(m.Period), d.Notice)
				}
				if last != nil && study.DriftBetween(last.Assessment, m.Recipe.Assessment).Total > d.Drift+1e-6 {
					l.fault("the recipe of %s drifts too far in %s", d.Name, a.PeriodName(m.Period))
				}
			}
			last = m.Recipe
		}
		if count > d.Changes {
			l.fault("the recipe of %s changes %d times", d.Name, count)
		}
	}
}

// sell checks what is sold against what was made and asked, and adds up what it fetches.
func (a *Answer) sell(l *Ledger) {
	for n, d := range a.Drinks {
		var heaps []*heap
		var waiting []float64
		price := d.fetches()
		for t := range a.Periods() {
			for _, m := range a.Makes {
				if m.Drink == d && m.Period == t {
					heaps = append(heaps, &heap{amount: m.Amount, came: t, last: t + d.Waits})
				}
			}
			sold, short := a.Sold[n][t], a.Short[n][t]
			before := waited(heaps, t)
			if left := take(heaps, sold, t, d.Name, a.sales); left > slack*(1+sold) {
				l.fault("%s: %.4g more are sold in %s than there are", d.Name, left, a.PeriodName(t))
			}
			l.Money[t].Waiting += (before - waited(heaps, t)) * d.WaitCost
			least, most := a.world.demand(d, t)
			if missing(sold+short, least) || missing(most, sold) || short > 0 && math.IsNaN(d.Short) {
				l.fault("%s: %g are sold in %s, where %g to %g are asked", d.Name, sold, a.PeriodName(t), least, most)
			}
			rest := 0.0
			for _, h := range heaps {
				if h.last > t {
					rest += h.amount
				}
			}
			waiting = append(waiting, rest)
			l.Money[t].Sales += price * sold
			if short > 0 {
				l.Money[t].Short += short * d.Short
			}
		}
		l.Waiting = append(l.Waiting, waiting)
	}
}

// waited is the sum of litres times the periods that they have waited.
func waited(heaps []*heap, t int) float64 {
	sum := 0.0
	for _, h := range heaps {
		sum += h.amount * float64(t-h.came)
	}
	return sum
}
