package report

import (
	"fmt"
	"io"
	"math"

	"bittersum/internal/plan"
)

// PlanDifference writes what a plan becomes when something happens that is known from the first day.
func PlanDifference(w io.Writer, d *plan.Difference) {
	fmt.Fprintf(w, "%s: if %s\n\n", d.Before.Name, d.After.Scenario().Name)
	if d.After.Ledger == nil {
		planConflict(w, d.After)
		return
	}
	now, then := d.Before.Ledger.Total, d.After.Ledger.Total
	t := newTable("  ", "l"+d.Before.Currency, ".the plan", ".then", ".difference")
	t.row("cost", fixed(d.Before.Cost, 2), fixed(d.After.Cost, 2), signedMoney(d.After.Cost-d.Before.Cost))
	for _, part := range []struct {
		name       string
		now, later float64
	}{
		{"ordered of suppliers", now.Goods, then.Goods}, {"freight", now.Freight, then.Freight}, {"keeping stock", now.Keeping, then.Keeping},
		{"batches and cleaning", now.Kettle, then.Kettle}, {"bought as needed, labour", now.Direct, then.Direct},
		{"bottles that wait", now.Waiting, then.Waiting}, {"what could not be sold", now.Short, then.Short}, {"changes of recipes", now.Changes, then.Changes},
		{"sales", -now.Sales, -then.Sales},
	} {
		if math.Abs(part.now)+math.Abs(part.later) > 0 {
			t.row(part.name, fixed(part.now, 2), fixed(part.later, 2), signedMoney(part.later-part.now))
		}
	}
	t.write(w)
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("Each is the best plan found; bounds are %s and %s. A difference within their gaps may be the search's.", fixed(d.Before.Bound, 2), fixed(d.After.Bound, 2)), width, ""))
	if len(d.Items) == 0 {
		fmt.Fprintln(w, "The same is ordered.")
		return
	}
	fmt.Fprintf(w, "What is ordered differently, over the plan and now (%s):\n", d.Before.PeriodName(0))
	t = newTable("  ", "l", "l", ".in all", ".then", ".now", ".then")
	for _, i := range d.Items {
		t.row(i.Item.Name, i.Item.Unit, figures(i.Before, 5), figures(i.After, 5), figures(i.FirstBefore, 5), figures(i.FirstAfter, 5))
	}
	t.write(w)
	for _, drink := range d.Before.Drinks {
		for _, r := range used(d.After, drink) {
			known := false
			for _, q := range used(d.Before, drink) {
				known = known || plan.Same(q.Recipe, r.Recipe)
			}
			if !known {
				fmt.Fprintf(w, "%s gets a recipe that the plan does not have: see it with --json.\n", drink.Name)
				break
			}
		}
	}
}

// signedMoney prints a difference of money with its sign.
func signedMoney(x float64) string {
	if x > 0 {
		return "+" + fixed(x, 2)
	}
	return fixed(x, 2)
}

// PlanHedged writes what to order first, whatever happens, and what each scenario then costs.
func PlanHedged(w io.Writer, a *plan.Answer, extent Extent) {
	if a.Ledger == nil {
		Plan(w, a, nil, extent)
		return
	}
	fmt.Fprintf(w, "%s: %s, for all scenarios at once\n\n", a.Name, horizon(a.Plan))
	fmt.Fprintf(w, "%s\n", wrap("What is ordered first is the same whatever happens; from the second period on each scenario goes its own way. Costs are means by probability.", width, ""))
	t := newTable("  ", "lscenario", ".probability", "."+a.Currency)
	for _, one := range append([]*plan.Answer{a}, a.Others...) {
		name, probability := "nothing happens", 1.0
		if s := one.Scenario(); s != nil {
			name, probability = s.Name, s.Probability
		} else {
			for _, s := range a.Scenarios {
				probability -= s.Probability
			}
		}
		t.row(name, percent(probability), fixed(one.Cost, 2))
	}
	t.row("mean", "", fixed(a.Expected, 2))
	t.write(w)
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("No plan costs less than %s in the mean, whatever its recipes (a bound found in floating point). Each scenario was gone through again from the recipes and offers alone.", fixed(a.Bound, 2)), width, ""))
	fmt.Fprintf(w, "To order now, %s:\n", a.Starts[0].Format("2006-01-02"))
	t = newTable("  ", "lof", "l", ".", "l", "."+a.Currency)
	for _, o := range inOrder(a) {
		if o.Period == 0 {
			t.row(o.Offer.Supplier.Name, o.Offer.Item.Name, plain(o.Amount), o.Offer.Item.Unit, fixed(o.Money, 2))
		}
	}
	t.write(w)
	fmt.Fprintln(w)
	planMakes(w, a)
	planCautions(w, a, extent)
}
