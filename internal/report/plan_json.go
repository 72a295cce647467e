package report

import (
	"encoding/csv"
	"io"
	"time"

	"bittersum/internal/plan"
)

const planSchema = "bittersum/plan/1"

type jsonOrder struct {
	On         string `json:"on"`
	Supplier   string `json:"supplier"`
	Item       string `json:"item"`
	Amount     number `json:"amount"`
	Unit       string `json:"unit"`
	Packs      int    `json:"packs,omitempty"`
	Pack       number `json:"pack,omitempty"`
	Price      number `json:"price"`
	Cost       number `json:"cost"`
	UsableFrom string `json:"usable_from"`
}

type jsonMake struct {
	Period  string `json:"period"`
	Drink   string `json:"drink"`
	Amount  number `json:"amount"`
	Batches int    `json:"batches,omitempty"`
	Recipe  int    `json:"recipe"`
}

type jsonDrinkPlan struct {
	Name    string            `json:"name"`
	Sold    []number          `json:"sold"`
	Short   []number          `json:"short"`
	Waiting []number          `json:"waiting"`
	Recipes []*jsonAssessment `json:"recipes"`
}

type jsonStock struct {
	Name    string   `json:"name"`
	Unit    string   `json:"unit"`
	Opening number   `json:"opening"`
	Came    []number `json:"came"`
	Used    []number `json:"used"`
	Lost    []number `json:"lost"`
	Spoilt  []number `json:"spoilt"`
	Held    []number `json:"held"`
}

type jsonMoney struct {
	Goods   number `json:"goods"`
	Freight number `json:"freight"`
	Keeping number `json:"keeping"`
	Kettle  number `json:"kettle"`
	Direct  number `json:"direct"`
	Waiting number `json:"waiting"`
	Short   number `json:"short"`
	Changes number `json:"changes"`
	Sales   number `json:"sales"`
}

type jsonPlanLimit struct {
	Limit  string `json:"limit"`
	Name   string `json:"name,omitempty"`
	Period string `json:"period,omitempty"`
	Value  number `json:"value"`
	Rate   number `json:"rate,omitempty"`
	By     number `json:"by,omitempty"`
}

type jsonIncrease struct {
	InAll   number `json:"in_all"`
	Escaped number `json:"escaped"`
}

type jsonPlanAnswer struct {
	Schema   string          `json:"schema"`
	Plan     string          `json:"plan"`
	Currency string          `json:"currency"`
	Periods  []string        `json:"periods"`
	Cost     number          `json:"cost"`
	Bound    number          `json:"bound"`
	Orders   []jsonOrder     `json:"orders,omitempty"`
	Makes    []jsonMake      `json:"makes,omitempty"`
	Drinks   []jsonDrinkPlan `json:"drinks,omitempty"`
	Stocks   []jsonStock     `json:"stocks,omitempty"`
	Money    []jsonMoney     `json:"money,omitempty"`
	Limits   []jsonPlanLimit `json:"limits,omitempty"`
	Increase *jsonIncrease   `json:"increase,omitempty"`
	Notes    []string        `json:"notes,omitempty"`
	Conflict []jsonPlanLimit `json:"conflict,omitempty"`
	Lacks    []jsonPlanLimit `json:"lacks,omitempty"`
	Tried    int             `json:"not_proved_recipes_tried,omitempty"`
	Brief    *jsonConflict   `json:"brief_conflict,omitempty"`
}

func numbers(list []float64) []number {
	out := make([]number, len(list))
	for n, x := range list {
		out[n] = number(x)
	}
	return out
}

func jsonLimitOf(p *plan.Plan, l *plan.Limit) jsonPlanLimit {
	out := jsonPlanLimit{Limit: l.What, Name: l.Name, Value: number(l.Value)}
	if l.Period >= 0 {
		out.Period = p.PeriodName(l.Period)
	}
	return out
}

// PlanJSON writes a plan as JSON.
func PlanJSON(w io.Writer, a *plan.Answer, increase *plan.Increase) error {
	out := jsonPlanAnswer{Schema: planSchema, Plan: a.Name, Currency: a.Currency, Cost: number(a.Cost), Bound: number(a.Bound), Tried: a.Tried}
	for t := range a.Periods() {
		out.Periods = append(out.Periods, a.PeriodName(t))
	}
	if a.Brief != nil {
		out.Brief = conflictJSON(a.Brief.Conflict)
		return encode(w, out)
	}
	for _, l := range a.Conflict {
		out.Conflict = append(out.Conflict, jsonLimitOf(a.Plan, l))
	}
	for _, l := range a.Lacks {
		one := jsonLimitOf(a.Plan, l.Limit)
		one.By = number(l.By)
		out.Lacks = append(out.Lacks, one)
	}
	if a.Ledger == nil {
		return encode(w, out)
	}
	for _, o := range inOrder(a) {
		out.Orders = append(out.Orders, jsonOrder{
			On: o.Day.Format(time.DateOnly), Supplier: o.Offer.Supplier.Name, Item: o.Offer.Item.Name, Amount: number(o.Amount), Unit: o.Offer.Item.Unit,
			Packs: o.Packs, Pack: number(o.Offer.Pack), Price: number(o.Price), Cost: number(o.Money), UsableFrom: a.PeriodName(o.Usable),
		})
	}
	for _, m := range a.Makes {
		out.Makes = append(out.Makes, jsonMake{a.PeriodName(m.Period), m.Drink.Name, number(m.Amount), m.Batches, m.Number})
	}
	for n, d := range a.Drinks {
		one := jsonDrinkPlan{Name: d.Name, Sold: numbers(a.Sold[n]), Short: numbers(a.Short[n]), Waiting: numbers(a.Ledger.Waiting[n])}
		for _, r := range used(a, d) {
			one.Recipes = append(one.Recipes, toJSON(r))
		}
		out.Drinks = append(out.Drinks, one)
	}
	for _, s := range a.Ledger.Stocks {
		out.Stocks = append(out.Stocks, jsonStock{s.Name, s.Unit, number(s.Opening), numbers(s.Came), numbers(s.Used), numbers(s.Lost), numbers(s.Spoilt), numbers(s.Held)})
	}
	for _, m := range a.Ledger.Money {
		out.Money = append(out.Money, jsonMoney{number(m.Goods), number(m.Freight), number(m.Keeping), number(m.Kettle), number(m.Direct), number(m.Waiting), number(m.Short), number(m.Changes), number(m.Sales)})
	}
	for _, l := range a.Limits {
		one := jsonLimitOf(a.Plan, l.Limit)
		one.Rate = number(l.Rate)
		out.Limits = append(out.Limits, one)
	}
	out.Notes = a.Notes()
	if increase != nil {
		out.Increase = &jsonIncrease{number(increase.InAll()), number(increase.Escaped())}
	}
	return encode(w, out)
}

// PlanCSV writes what to order as a table.
func PlanCSV(w io.Writer, a *plan.Answer) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"on", "supplier", "item", "amount", "unit", "packs", "pack", "price", "cost", "currency", "usable_from"}}
	for _, o := range inOrder(a) {
		packs, pack := "", ""
		if o.Packs > 0 {
			packs, pack = plain(float64(o.Packs)), plain(o.Offer.Pack)
		}
		rows = append(rows, neutral([]string{o.Day.Format(time.DateOnly), o.Offer.Supplier.Name, o.Offer.Item.Name, plain(o.Amount), o.Offer.Item.Unit, packs, pack,
			plain(o.Price), fixed(o.Money, 2), a.Currency, a.PeriodName(o.Usable)}))
	}
	if err := c.WriteAll(rows); err != nil {
		return err
	}
	return c.Error()
}
