package plan

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"bittersum/internal/brief"
)

// Contents that fade. What fades is used by its age: each age of an item, of a lot and of what is there at the
// start is a stock and a source of its own, NAME@AGE, whose contents have faded so far. So a recipe is of known
// ages and meets its brief with them. An age is counted on the first day of the period in which it is used.

// daysAMonth is the mean length of a month.
const daysAMonth = 365.25 / 12

// fading reports whether contents of the item fade.
func (i *Item) fading() bool { return len(i.Fades) > 0 }

// left returns the share that is left of each content that fades after so many months.
func (i *Item) left(months float64) map[string]float64 {
	left := maps.Clone(i.Fades)
	for attribute, share := range left {
		left[attribute] = math.Pow(1-share, months)
	}
	return left
}

// months are how many months so many periods are.
func (p *Plan) months(periods int) float64 {
	if p.Length == Week {
		return float64(7*periods) / daysAMonth
	}
	return float64(periods)
}

// monthsAtStart are the months from a day to the plan's start; none for a later day.
func (p *Plan) monthsAtStart(came time.Time) float64 {
	start, whole := p.Starts[0], 0
	if came.IsZero() || !came.Before(start) {
		return 0
	}
	for !came.AddDate(0, whole+1, 0).After(start) {
		whole++
	}
	from, to := came.AddDate(0, whole, 0), came.AddDate(0, whole+1, 0)
	return float64(whole) + max(0, start.Sub(from).Hours()/to.Sub(from).Hours())
}

// aged is the name of what was so many months old.
func aged(name string, months float64) string {
	return name + "@" + strconv.FormatFloat(math.Round(months*10)/10, 'f', -1, 64)
}

// lotName is how sources and stocks name a lot of it.
func (i *Item) lotName(l *brief.Lot) string { return i.Name + "/" + l.Number }

// openingName is what is there of an item that fades at the plan's start, beside its lots.
func (i *Item) openingName() string { return i.Name + "/opening" }

// addFading adds a stock for each age in which an item that fades can be used.
func (l *pool) addFading(i *Item, offered bool) {
	group := func(s stock, name string, atStart float64, last int) {
		s.whole = name
		for at := range last + 1 {
			one := s
			one.at, one.months = at, atStart+l.plan.months(at)
			one.called = aged(name, one.months)
			l.add(&one)
			l.base[len(l.stocks)-1] = len(l.stocks) - 1 - at
		}
	}
	if offered {
		l.number[i.Name] = len(l.stocks) // fresh
		oldest := -1
		for t := range l.plan.Periods() {
			oldest = max(oldest, l.plan.lastUse(i, t)-t)
		}
		group(stock{item: i, age: fromArrival}, i.Name, 0, max(0, oldest))
	}
	if i.Opening > 0 {
		group(stock{item: i, age: fromStart}, i.openingName(), l.plan.monthsAtStart(i.OpeningCame), l.plan.lastUseSince(i, l.plan.openingSince(i)))
	}
	for _, lot := range i.Lots {
		last := min(l.plan.lotLastUse(lot), l.plan.Periods()-1)
		group(stock{item: i, lot: lot, age: fromStart}, i.lotName(lot), l.plan.monthsAtStart(lot.Received), last)
	}
}

// sources returns the job with the ages in place of what fades; the job itself where nothing does.
func (l *pool) sources(d *Drink) *brief.Job {
	own := *d.Job
	own.Sources = nil
	changed := false
	for _, s := range d.Job.Sources {
		item := l.plan.Item(s.Ingredient.Name)
		if item == nil || !item.fading() {
			own.Sources = append(own.Sources, s)
			continue
		}
		any := false
		for _, k := range l.stocks {
			if k.item == item && k.lotNumber() == lotNumber(s.Lot) {
				own.Sources = append(own.Sources, s.Faded(k.name(), item.left(k.months)))
				any = true
			}
		}
		switch {
		case s.Lot != nil || any:
			changed = true
		default: // bought as needed, so always fresh
			own.Sources = append(own.Sources, s)
		}
	}
	if !changed {
		return d.Job
	}
	return &own
}

func lotNumber(l *brief.Lot) string {
	if l == nil {
		return ""
	}
	return l.Number
}

func (s *stock) lotNumber() string { return lotNumber(s.lot) }

// fades reports whether a drink may take something whose contents fade.
func (p *Plan) fades(d *Drink) bool {
	return slices.ContainsFunc(d.Job.Sources, func(s *brief.Source) bool {
		i := p.Item(s.Ingredient.Name)
		return i != nil && i.fading()
	})
}
