package plan

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
)

// What fades is gone through by its age: the age that a recipe names says which heap it is taken from, and what the
// drink then holds is assessed anew from the contents of the brief.

// kept is a stock: what comes of an item, what is there of it at the start, or a lot.
type kept struct {
	name    string
	atStart float64    // months for which it was kept at the plan's start; 0 for what comes
	lot     *brief.Lot // nil for all but a lot
}

func (a *Answer) keptOpening(i *Item) kept {
	return kept{name: i.openingName(), atStart: a.monthsAtStart(i.OpeningCame)}
}

func (a *Answer) keptLot(i *Item, l *brief.Lot) kept {
	return kept{i.lotName(l), a.monthsAtStart(l.Received), l}
}

// monthsOf is the age of a heap of the stock on the first day of period t.
func (a *Answer) monthsOf(k kept, h *heap, t int) float64 { return k.atStart + a.months(t-h.came) }

// faded are the stocks of an item that fades: as it comes, what is there at the start, and its lots.
func (a *Answer) faded(i *Item) []kept {
	all := []kept{{name: i.Name}, a.keptOpening(i)}
	for _, lot := range i.Lots {
		all = append(all, a.keptLot(i, lot))
	}
	return all
}

// takeAged takes from heaps what recipes of period t take of each age of a stock, and returns that and what was not
// there in that age.
func (a *Answer) takeAged(k kept, heaps []*heap, used map[string][]float64, t int) (use, left float64) {
	for _, name := range slices.Sorted(maps.Keys(used)) {
		if !k.ages(name) {
			continue
		}
		wanted := used[name][t]
		use += wanted
		for _, h := range heaps {
			if h.came <= t && h.last >= t && aged(k.name, a.monthsOf(k, h, t)) == name {
				took := math.Min(h.amount, wanted)
				h.amount -= took
				wanted -= took
			}
		}
		left += wanted
	}
	return use, left
}

// ages reports whether a name is that of the stock, at some age or of none.
func (k kept) ages(name string) bool {
	rest, mine := strings.CutPrefix(name, k.name)
	return mine && (rest == "" || rest[0] == '@')
}

// asAged returns a recipe as it is made in period t, with contents faded by the ages it names, and as it would be if
// nothing had faded. Both are nil where it names nothing that fades.
func (a *Answer) asAged(d *Drink, r *brief.Recipe, t int) (asFaded, asDelivered *brief.Recipe, err error) {
	asFaded, asDelivered = &brief.Recipe{Name: r.Name}, &brief.Recipe{Name: r.Name}
	any := false
	for _, p := range r.Parts {
		item := a.Item(p.Source.Ingredient.Name)
		whole, now := p.Source, p.Source
		if item != nil && item.fading() && d.Job.Source(p.Source.Name) == nil {
			if whole, now, err = a.sourceAged(d, item, p.Source.Name, t); err != nil {
				return nil, nil, err
			}
			any = true
		}
		asFaded.Parts = append(asFaded.Parts, brief.Part{Source: now, Amount: p.Amount})
		asDelivered.Parts = append(asDelivered.Parts, brief.Part{Source: whole, Amount: p.Amount})
	}
	if !any {
		return nil, nil, nil
	}
	return asFaded, asDelivered, nil
}

// sourceAged returns the brief's own source of a name with an age, as delivered and as it is in period t.
func (a *Answer) sourceAged(d *Drink, i *Item, name string, t int) (whole, now *brief.Source, err error) {
	for _, k := range a.faded(i) {
		if !k.ages(name) {
			continue
		}
		from := i.Name
		if k.lot != nil {
			from = k.name
		}
		s := d.Job.Source(from)
		if s == nil {
			continue
		}
		own := *s
		if own.Lot != nil {
			own.Max = math.Inf(1) // what is there of it is followed through the periods
		}
		for came := range t + 1 {
			months := a.monthsOf(k, &heap{came: came}, t)
			if aged(k.name, months) == name && (came == 0 || k.name == i.Name) {
				return &own, own.Faded(name, i.left(months)), nil
			}
		}
	}
	return nil, nil, fmt.Errorf("%s is of no age in %s", name, a.PeriodName(t))
}

// judgeAged goes through what a recipe makes of contents that have faded: the drink must meet its brief with them,
// and keep its caps with them and with contents as delivered.
func (a *Answer) judgeAged(l *Ledger, m *MakeIn) {
	where := fmt.Sprintf("recipe %d of %s in %s", m.Number, m.Drink.Name, a.PeriodName(m.Period))
	faded, delivered, err := a.asAged(m.Drink, m.Recipe.Assessment.Recipe, m.Period)
	if err == nil && faded == nil {
		return
	}
	var now, whole *assess.Assessment
	if err == nil {
		now, err = assess.Assess(m.Drink.Job, faded)
	}
	if err == nil {
		whole, err = assess.Assess(m.Drink.Job, delivered)
	}
	switch {
	case err != nil:
		l.fault("%s: %v", where, err)
	case !now.KeepsCaps() || !whole.KeepsCaps():
		l.fault("%s breaks a cap", where)
	case len(now.Misses()) > 0:
		l.fault("%s, as it is made with what has faded: %s", where, now.Misses()[0])
	}
}
