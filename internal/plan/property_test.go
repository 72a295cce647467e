package plan

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestWiderPlansCostNoMore: an increase that comes later, goods that keep longer, more room and a larger budget never
// make a plan dearer. Without freight, packs and batches a plan is found exactly.
func TestWiderPlansCostNoMore(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		const periods = 6
		var demand []int
		for range periods {
			demand = append(demand, rapid.IntRange(0, 50).Draw(r, "demand"))
		}
		demand[0]++ // something is made
		hold := rapid.Float64Range(0, 0.5).Draw(r, "hold")
		now, then := rapid.IntRange(1, 5).Draw(r, "price"), rapid.IntRange(5, 9).Draw(r, "later price")
		month, keeps := rapid.IntRange(2, 5).Draw(r, "month"), rapid.IntRange(1, 5).Draw(r, "keeps")
		room := rapid.IntRange(0, 100).Draw(r, "room")
		cost := func(month, keeps, room int) float64 {
			offer := fmt.Sprintf("price_per_unit = %d\nchanges = [{ from = 2027-%02d-01, price_per_unit = %d }]", now, month, then)
			a, err := Decide(context.Background(), lotSizing(t, demand, 0, hold, offer, fmt.Sprintf("[item.good]\nkeeps_months = %d\nroom_units = %d", keeps, room)))
			require.NoError(t, err)
			require.Nil(t, a.Lacks)
			require.LessOrEqual(t, a.Bound, a.Cost+0.01)
			return a.Cost
		}
		base := cost(month, keeps, room)
		hair := 0.01 + 1e-4*base // amounts are rounded up
		require.LessOrEqual(t, cost(month+1, keeps, room), base+hair, "an increase a month later")
		require.LessOrEqual(t, cost(month, keeps+1, room), base+hair, "keeps a month longer")
		require.LessOrEqual(t, cost(month, keeps, room+20), base+hair, "more room")
	})
}

// TestWhatTheOffersForbid: each limit of an offer, a store and a kettle holds in the plan found, by a ledger that
// uses nothing of the program; and what cannot be is told by its limit and month.
func TestWhatTheOffersForbid(t *testing.T) {
	demand := []int{10, 20, 30}
	for name, c := range map[string]struct{ offer, item, lacks string }{
		"season":       {"price_per_unit = 2\nmonths = [2, 3]", "", "demand 2027-01"},
		"last order":   {"price_per_unit = 2\nlast_order = 2027-02-15", "[item.good]\nkeeps_months = 1", "demand 2027-03"},
		"lead time":    {"price_per_unit = 2\nlead_days = 20", "", "demand 2027-01"},
		"most":         {"price_per_unit = 2\nmost_units = 25", "[item.good]\nkeeps_months = 1", "demand 2027-03"},
		"safety, room": {"price_per_unit = 2", "[item.good]\nsafety_units = 5\nroom_units = 5", ""},
	} {
		t.Run(name, func(t *testing.T) {
			a, err := Decide(context.Background(), lotSizing(t, demand, 0, 0.1, c.offer, c.item))
			require.NoError(t, err)
			if c.lacks == "" {
				require.Nil(t, a.Lacks)
				return
			}
			var lacks []string
			for _, l := range a.Lacks {
				lacks = append(lacks, l.What+" "+a.PeriodName(l.Period))
			}
			require.Contains(t, lacks, c.lacks)
			require.NotEmpty(t, a.Conflict)
		})
	}
}

// TestTheLedgerNotices: a plan altered in any of its parts is refused.
func TestTheLedgerNotices(t *testing.T) {
	plan := func() *Answer {
		a, err := Decide(context.Background(), lotSizing(t, []int{10, 20, 30}, 5, 0.1, "price_per_unit = 2\npack_units = 5\nmost_units = 100", "[item.good]\nkeeps_months = 2\nroom_units = 40"))
		require.NoError(t, err)
		require.NotEmpty(t, a.Orders)
		return a
	}
	cost := plan().Cost
	for name, alter := range map[string]func(a *Answer){
		"less is ordered":         func(a *Answer) { a.Orders[0].Amount -= 5 },
		"no whole pack":           func(a *Answer) { a.Orders[0].Amount += 1 },
		"more than can be":        func(a *Answer) { a.Orders[0].Amount += 200; a.Orders[0].Money += 400 },
		"another price":           func(a *Answer) { a.Orders[0].Money -= 1 },
		"less is made":            func(a *Answer) { a.Makes[0].Amount-- },
		"less is sold":            func(a *Answer) { a.Sold[0][0]-- },
		"an order is left out":    func(a *Answer) { a.Orders = a.Orders[1:] },
		"room is gone over":       func(a *Answer) { a.Items[0].Room = 0; a.Orders[0].Amount += 5; a.Orders[0].Money += 10 },
		"the budget is gone over": func(a *Answer) { a.Budget[0] = 1 },
		"the kettle is too small": func(a *Answer) { a.Kettle.PerPeriod[2] = 1 },
		"it costs something else": func(a *Answer) {},
	} {
		t.Run(name, func(t *testing.T) {
			a := plan()
			require.NoError(t, a.check(cost))
			alter(a)
			objective := cost
			if name == "it costs something else" {
				objective++
			}
			require.Error(t, a.check(objective))
		})
	}
}
