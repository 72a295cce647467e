package report

import (
	"fmt"
	"io"
	"time"

	"bittersum/internal/plan"
)

// orderSheet is the sheet of what to order and orderHeading its heading; the last column is ticked off by hand. Prices and
// costs are in the plan's currency.
const orderSheet = "Order"

var orderHeading = []string{"on", "supplier", "item", "amount", "unit", "packs", "pack", "price", "cost", "usable_from", "ordered"}

// PlanXLSX writes a plan as a workbook: what to order, what to make, the recipes, the stock and the money by period,
// amounts as numbers.
func PlanXLSX(w io.Writer, a *plan.Answer) error {
	return written(w, "a4", func(b *workbook) {
		var rows [][]any
		for _, o := range inOrder(a) {
			row := []any{o.Day.Format(time.DateOnly), o.Offer.Supplier.Name, o.Offer.Item.Name, o.Amount, o.Offer.Item.Unit, nil, nil, o.Price, o.Money, a.PeriodName(o.Usable), nil}
			if o.Packs > 0 {
				row[5], row[6] = o.Packs, o.Offer.Pack
			}
			rows = append(rows, row)
		}
		above := [][]any{{a.Name}, {horizon(a.Plan)}, {fmt.Sprintf("cost %s %s; no plan costs less than %s (a bound found in floating point)", fixed(a.Cost, 2), a.Currency, fixed(a.Bound, 2))}}
		b.sheet(orderSheet, above, orderHeading, rows,
			[]float64{12, 26, 26, 12, 8, 8, 8, 12, 12, 12, 12})
		rows = nil
		for _, m := range a.Makes {
			rows = append(rows, []any{a.PeriodName(m.Period), m.Drink.Name, m.Amount, m.Batches, m.Number})
		}
		b.sheet("Make", nil, []string{"period", "drink", "amount_" + made(a.Plan)[1:], "batches", "recipe"}, rows, []float64{12, 26, 12, 9, 9})
		rows = nil
		for _, d := range a.Drinks {
			for k, r := range used(a, d) {
				for _, part := range r.Recipe.Parts {
					rows = append(rows, []any{d.Name, k + 1, part.Source.Name, part.Amount})
				}
			}
		}
		amount := "g_per_l"
		if a.Drinks[0].Blend() {
			amount = "amount"
		}
		b.sheet("Recipes", nil, []string{"drink", "recipe", "ingredient", amount}, rows, []float64{26, 9, 30, 12})
		rows = nil
		for _, s := range a.Ledger.Stocks {
			for t := range a.Periods() {
				rows = append(rows, []any{s.Name, s.Unit, a.PeriodName(t), s.Came[t], s.Used[t], s.Lost[t], s.Spoilt[t], s.Held[t]})
			}
		}
		b.sheet("Stock", nil, []string{"stock", "unit", "period", "came", "used", "lost", "spoilt", "left_at_the_end"}, rows, []float64{28, 8, 12, 12, 12, 10, 10, 14})
		rows = nil
		for t, m := range a.Ledger.Money {
			rows = append(rows, []any{a.PeriodName(t), m.Goods, m.Freight, m.Keeping, m.Kettle, m.Direct, m.Waiting, m.Short, m.Changes, m.Sales})
		}
		b.sheet("Money", nil, []string{"period", "ordered", "freight", "keeping", "batches_and_cleaning", "as_needed_and_labour", "waiting", "not_sold", "recipe_changes", "sales"}, rows,
			[]float64{12, 12, 10, 10, 18, 18, 10, 10, 14, 12})
	})
}
