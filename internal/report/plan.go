package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/plan"
)

// Plan writes a plan, or why there is none. increase may be nil.
func Plan(w io.Writer, a *plan.Answer, increase *plan.Increase, extent Extent) {
	if a.Brief != nil {
		fmt.Fprintf(w, "%s cannot be planned: the brief of one of its drinks cannot be met by itself.\n\n", a.Name)
		conflict(w, a.Brief)
		return
	}
	fmt.Fprintf(w, "%s: %s\n\n", a.Name, horizon(a.Plan))
	if a.Ledger == nil {
		planConflict(w, a)
		return
	}
	planMoney(w, a)
	planOrders(w, a)
	planMakes(w, a)
	planRecipes(w, a)
	planIncrease(w, a, increase)
	planLimits(w, a)
	planLeft(w, a)
	planNotes(w, a)
	planCautions(w, a, extent)
}

func horizon(p *plan.Plan) string {
	return fmt.Sprintf("%d %ss from %s, %s", p.Periods(), p.Length, p.Starts[0].Format(time.DateOnly), p.Goal)
}

// planConflict says what excludes each other.
func planConflict(w io.Writer, a *plan.Answer) {
	if a.Tried > 0 {
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("No plan was found: recipes are held, and with the %d of them that were tried none meets all of this. With others one may; that there is none is not proved.", a.Tried), width, ""))
	} else {
		fmt.Fprintln(w, "No plan meets all of this, whatever the recipes.")
	}
	if len(a.Conflict) > 0 {
		fmt.Fprintln(w, "\nThese exclude each other; without any one of them the others can be met:")
		for _, l := range a.Conflict {
			fmt.Fprintf(w, "  - %s\n", wrap(planLimit(a.Plan, l), width-4, "    "))
		}
	}
	if len(a.Lacks) > 0 {
		fmt.Fprintln(w, "\nWhat is missed, where as little as possible is:")
		for _, l := range a.Lacks {
			fmt.Fprintf(w, "  - %s by %s\n", wrap(planLimit(a.Plan, l.Limit), width-4, "    "), figures(l.By, 4))
		}
	}
}

// planLimit says a limit of a plan in words.
func planLimit(p *plan.Plan, l *plan.Limit) string {
	when := ""
	if l.Period >= 0 {
		when = " in " + p.PeriodName(l.Period)
	}
	unit := ""
	if i := p.Item(l.Name); i != nil {
		unit = " " + i.Unit
	}
	switch l.What {
	case "demand":
		return fmt.Sprintf("%s%s is asked of %s%s", plain(l.Value), made(p), l.Name, when)
	case "supply":
		return fmt.Sprintf("at most %s of %s can be ordered%s", plain(l.Value), l.Name, when)
	case "nothing":
		return fmt.Sprintf("there is no %s to be used%s: none is on the shelf, and none can be ordered in time", l.Name, when)
	case "kettle":
		return fmt.Sprintf("the kettle makes at most %s L%s", plain(l.Value), when)
	case "hours":
		return fmt.Sprintf("there are %s hours of the kettle%s", plain(l.Value), when)
	case "space":
		return fmt.Sprintf("the store has room for %s kg at the end of %s", plain(l.Value), p.PeriodName(l.Period))
	case "cold":
		return fmt.Sprintf("the cold store has room for %s kg at the end of %s", plain(l.Value), p.PeriodName(l.Period))
	case "room":
		return fmt.Sprintf("there is room for %s%s of %s at the end of %s", plain(l.Value), unit, l.Name, p.PeriodName(l.Period))
	case "safety":
		return fmt.Sprintf("%s%s of %s must be there at the end of %s", plain(l.Value), unit, l.Name, p.PeriodName(l.Period))
	case "closing":
		return fmt.Sprintf("%s%s of %s must be left at the end", plain(l.Value), unit, l.Name)
	case "budget":
		return fmt.Sprintf("orders may cost %s %s%s", plain(l.Value), p.Currency, when)
	case "changes":
		times := map[float64]string{0: "not change", 1: "change once"}[l.Value]
		if times == "" {
			times = "change " + plain(l.Value) + " times"
		}
		return fmt.Sprintf("the recipe of %s may %s", l.Name, times)
	}
	return l.What + " " + l.Name + when
}

// made is the unit of what is made.
func made(p *plan.Plan) string {
	if p.Drinks[0].Blend() {
		return " " + p.Drinks[0].Job.Unit
	}
	return " L"
}

func planMoney(w io.Writer, a *plan.Answer) {
	total := a.Ledger.Total
	if a.Goal == plan.MostMargin {
		fmt.Fprintf(w, "Margin %s %s: sales %s less costs of %s.\n", fixed(-a.Cost, 2), a.Currency, fixed(total.Sales, 2), fixed(total.Sales+a.Cost, 2))
	} else {
		fmt.Fprintf(w, "Cost %s %s.\n", fixed(a.Cost, 2), a.Currency)
	}
	t := newTable("  ", "l", "."+a.Currency)
	for _, part := range []struct {
		name  string
		money float64
	}{
		{"ordered of suppliers", total.Goods}, {"freight", total.Freight}, {"keeping stock", total.Keeping},
		{"batches and cleaning", total.Kettle}, {"bought as needed at list prices, labour", total.Direct},
		{"bottles that wait", total.Waiting}, {"what could not be sold", total.Short}, {"changes of recipes", total.Changes},
	} {
		if part.money != 0 {
			t.row(part.name, fixed(part.money, 2))
		}
	}
	t.write(w)
	gap := (a.Cost - a.Bound) / math.Max(1, math.Abs(a.Cost))
	if gap < 1e-4 { // amounts are rounded up to the decimals that are printed
		fmt.Fprintln(w, wrap("No plan costs less but for rounding, whatever its recipes (a bound found in floating point).", width, ""))
	} else {
		fmt.Fprintln(w, wrap(fmt.Sprintf("The best plan found. No plan costs less than %s, %s below it, whatever its recipes (a bound found in floating point); whether one in between can be bought in whole packs and made in whole batches is not known.", fixed(a.Bound, 2), percent(gap)), width, ""))
	}
	fmt.Fprintln(w, wrap("Every order, stock, batch and sum was gone through again from the recipes and offers alone.", width, ""))
	fmt.Fprintln(w)
}

func planOrders(w io.Writer, a *plan.Answer) {
	fmt.Fprintln(w, "What to order:")
	for _, d := range a.Deliveries {
		freight := ""
		if d.Freight > 0 {
			freight = ", and freight " + fixed(d.Freight, 2)
		}
		fmt.Fprintf(w, "  %s, %s: %s %s%s\n", a.Starts[d.Period].Format(time.DateOnly), d.Supplier.Name, fixed(d.Money, 2), a.Currency, freight)
		t := newTable("    ", "l", ".", "l", "r", ".", "l")
		for _, o := range inOrder(a) {
			if o.Period != d.Period || o.Offer.Supplier != d.Supplier {
				continue
			}
			packs, when := "", ""
			if o.Packs > 0 {
				packs = fmt.Sprintf("%d × %s", o.Packs, plain(o.Offer.Pack))
			}
			if o.Usable > o.Period {
				when = "to be used from " + a.PeriodName(o.Usable) + " on"
			}
			t.row(o.Offer.Item.Name, plain(o.Amount), o.Offer.Item.Unit, packs, "at "+trimmed(o.Price, 4), when)
		}
		t.write(w)
	}
	fmt.Fprintln(w)
}

// inOrder are the orders by day and supplier.
func inOrder(a *plan.Answer) []*plan.Order {
	var out []*plan.Order
	for t := range a.Periods() {
		for _, s := range a.Suppliers {
			for _, o := range a.Orders {
				if o.Period == t && o.Offer.Supplier == s {
					out = append(out, o)
				}
			}
		}
	}
	return out
}

func planMakes(w io.Writer, a *plan.Answer) {
	unit := strings.TrimSpace(made(a.Plan))
	fmt.Fprintf(w, "What to make, %s (batches) by recipe:\n", unit)
	columns := []string{"l"}
	for _, d := range a.Drinks {
		columns = append(columns, "l"+d.Name)
	}
	t := newTable("  ", columns...)
	for period := range a.Periods() {
		row := []string{a.PeriodName(period)}
		for _, d := range a.Drinks {
			var parts []string
			for _, m := range a.Makes {
				if m.Drink != d || m.Period != period {
					continue
				}
				text := plain(m.Amount)
				if m.Batches > 0 {
					text += fmt.Sprintf(" (%d)", m.Batches)
				}
				parts = append(parts, fmt.Sprintf("%s, %s", text, recipeName(m.Number-1)))
			}
			if len(parts) == 0 {
				parts = []string{"none"}
			}
			row = append(row, strings.Join(parts, " + "))
		}
		t.row(row...)
	}
	t.write(w)
	fmt.Fprintln(w)
}

// used are the recipes of a drink in the plan, by their numbers.
func used(a *plan.Answer, d *plan.Drink) []*assess.Assessment {
	var out []*assess.Assessment
	for _, m := range a.Makes {
		if m.Drink == d && m.Number == len(out)+1 {
			out = append(out, m.Recipe.Assessment)
		}
	}
	return out
}

func planRecipes(w io.Writer, a *plan.Answer) {
	for _, d := range a.Drinks {
		recipes := used(a, d)
		if len(recipes) == 0 {
			continue
		}
		what := "grams per litre"
		if d.Blend() {
			what = d.Job.Unit
		}
		fmt.Fprintf(w, "%s, %s; assessed, within its brief and caps:\n", d.Name, what)
		columns := []string{"lingredient"}
		for k := range recipes {
			columns = append(columns, "."+recipeName(k))
		}
		t := newTable("  ", columns...)
		for _, name := range sourcesOf(recipes) {
			row := []string{name}
			for _, r := range recipes {
				amount := ""
				if x := r.Recipe.Amount(name); x > 0 {
					amount = plain(x)
				}
				row = append(row, amount)
			}
			t.row(row...)
		}
		t.write(w)
		for k := 1; k < len(recipes); k++ {
			first := firstUse(a, d, k+1)
			fmt.Fprintf(w, "  %s from %s on: %s.\n", recipeName(k), a.PeriodName(first), wrap(strings.Join(exchange(recipes[k-1], recipes[k]), "; "), width-4, "    "))
		}
		fmt.Fprintln(w)
	}
}

func firstUse(a *plan.Answer, d *plan.Drink, number int) int {
	for _, m := range a.Makes {
		if m.Drink == d && m.Number == number {
			return m.Period
		}
	}
	return 0
}

func planIncrease(w io.Writer, a *plan.Answer, i *plan.Increase) {
	if i == nil {
		return
	}
	fmt.Fprintln(w, "Announced changes of prices:")
	t := newTable("  ", "lfrom", "lof", "l", ".was", ".then")
	for _, c := range i.Changes {
		t.row(c.Change.From.Format(time.DateOnly), c.Offer.Supplier.Name, c.Offer.Item.Name, figures(c.Was, 4), figures(c.Change.Price, 4))
	}
	t.write(w)
	text := fmt.Sprintf("They cost %s %s in all, if all is bought and made as if there were none", fixed(i.InAll(), 2), a.Currency)
	if escaped := i.Escaped(); escaped > 0.005 {
		text += fmt.Sprintf("; this plan escapes %s of it.", fixed(escaped, 2))
	} else {
		text += "; this plan escapes none of it."
	}
	fmt.Fprintf(w, "%s\n\n", wrap(text, width, ""))
}

// planLimits writes what one more of each limit costs: of what is asked in a table by period and drink, of the others
// line by line.
func planLimits(w io.Writer, a *plan.Answer) {
	rates := map[[2]string]float64{}
	t := newTable("  ", "llimit", "."+a.Currency)
	for _, l := range a.Limits {
		if l.What == "demand" {
			rates[[2]string{l.Name, a.PeriodName(l.Period)}] = l.Rate
			continue
		}
		t.row(planLimit(a.Plan, l.Limit), signed(l.Rate, 3))
	}
	if len(rates) > 0 {
		fmt.Fprintf(w, "What one%s more of a drink costs, %s, as if packs and batches could be of any size:\n", made(a.Plan), a.Currency)
		columns := []string{"l"}
		for _, d := range a.Drinks {
			columns = append(columns, "."+d.Name)
		}
		asked := newTable("  ", columns...)
		for period := range a.Periods() {
			row := []string{a.PeriodName(period)}
			for _, d := range a.Drinks {
				row = append(row, figures(rates[[2]string{d.Name, a.PeriodName(period)}], 3))
			}
			asked.row(row...)
		}
		asked.write(w)
		fmt.Fprintln(w)
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(w, "What other limits cost, for one unit more, likewise:")
		t.write(w)
		fmt.Fprintln(w)
	}
}

func planLeft(w io.Writer, a *plan.Answer) {
	t := newTable("  ", "lstock", ".at the start", ".came", ".used", ".lost", ".spoilt", ".left at the end", "l")
	for _, s := range a.Ledger.Stocks {
		sum := func(list []float64) float64 {
			x := 0.0
			for _, v := range list {
				x += v
			}
			return x
		}
		t.row(s.Name, figures(s.Opening, 4), figures(sum(s.Came), 4), figures(sum(s.Used), 4), figures(sum(s.Lost), 3), figures(sum(s.Spoilt), 3), figures(s.Held[len(s.Held)-1], 4), s.Unit)
	}
	fmt.Fprintln(w, "Stock over the plan:")
	t.write(w)
	fmt.Fprintln(w)
}

func planNotes(w io.Writer, a *plan.Answer) {
	notes := a.Notes()
	for _, note := range notes {
		fmt.Fprintf(w, "%s\n", wrap(note, width, ""))
	}
	if len(notes) > 0 {
		fmt.Fprintln(w)
	}
}

func planCautions(w io.Writer, a *plan.Answer, extent Extent) {
	var all []*assess.Assessment
	for _, d := range a.Drinks {
		all = append(all, used(a, d)...)
	}
	if len(all) > 0 && !a.Drinks[0].Blend() {
		cautionsOfAll(w, all, extent)
	}
}
