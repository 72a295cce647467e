package report

import (
	"io"
	"time"

	"bittersum/internal/study"
)

const repriceSchema = "bittersum/reprice/1"

type jsonMove struct {
	Name  string `json:"name"`
	Today number `json:"today"`
	From  number `json:"from"`
	To    number `json:"to"`
}

type jsonPricePiece struct {
	From     number          `json:"from_share"`
	To       number          `json:"to_share"`
	Prices   []jsonPriceEnds `json:"prices"`
	CostFrom number          `json:"cost_from"`
	CostTo   number          `json:"cost_to"`
	KeptFrom number          `json:"kept_from"`
	KeptTo   number          `json:"kept_to"`
	Recipe   *jsonAssessment `json:"recipe"`
	Proof    *jsonProof      `json:"proof"`
}

type jsonPriceEnds struct {
	Name string `json:"name"`
	From number `json:"from"`
	To   number `json:"to"`
}

type jsonPlan struct {
	Name              string `json:"name"`
	Today             string `json:"today"`
	From              string `json:"new_price_from"`
	StockKg           number `json:"stock_kg"`
	MonthlyLitres     number `json:"monthly_litres"`
	KeepsMonths       number `json:"keeps_months"`
	PerMonthKg        number `json:"per_month_kg"`
	NeedBeforeKg      number `json:"needed_before_kg"`
	AheadKg           number `json:"buy_ahead_kg"`
	WastedKg          number `json:"spoils_kg"`
	LastDay           string `json:"lasts_until"`
	ChangeOver        string `json:"change_over"`
	Changes           bool   `json:"recipe_changes"`
	SavesOverKeeping  number `json:"saves_over_keeping"`
	SavesOverChanging number `json:"saves_over_changing"`
	KeepingCosts      number `json:"keeping_costs_a_month"`
}

type jsonReprice struct {
	Schema   string           `json:"schema"`
	Brief    string           `json:"brief"`
	Moves    []jsonMove       `json:"prices"`
	Today    *jsonAssessment  `json:"today,omitempty"`
	Pieces   []jsonPricePiece `json:"pieces,omitempty"`
	Unused   []jsonEntry      `json:"unused,omitempty"`
	Plan     *jsonPlan        `json:"buying_plan,omitempty"`
	Conflict *jsonConflict    `json:"conflict,omitempty"`
}

// RepriceJSON writes what moving prices do as JSON.
func RepriceJSON(w io.Writer, r *study.Repriced) error {
	out := jsonReprice{Schema: repriceSchema, Brief: r.Job.Name}
	for n, m := range r.Moves {
		out.Moves = append(out.Moves, jsonMove{m.Name, number(r.Now[n]), number(m.From), number(m.To)})
	}
	if r.Conflict != nil {
		out.Conflict = conflictJSON(r.Conflict.Conflict)
		return encode(w, out)
	}
	out.Today = toJSON(r.Today)
	for _, p := range r.Pieces {
		piece := jsonPricePiece{
			From: number(p.From), To: number(p.To), CostFrom: number(p.CostFrom), CostTo: number(p.CostTo),
			KeptFrom: number(p.KeptFrom), KeptTo: number(p.KeptTo), Recipe: toJSON(p.Answer.Assessment), Proof: proofJSON(p.Answer),
		}
		for n, m := range r.Moves {
			piece.Prices = append(piece.Prices, jsonPriceEnds{m.Name, number(r.PriceAt(n, p.From)), number(r.PriceAt(n, p.To))})
		}
		out.Pieces = append(out.Pieces, piece)
	}
	for _, e := range r.Then.Entries {
		out.Unused = append(out.Unused, jsonEntry{e.Source.Name, number(e.Source.PricePerKg), number(e.Price)})
	}
	if p := r.Plan; p != nil {
		day := func(t time.Time) string { return t.Format(time.DateOnly) }
		out.Plan = &jsonPlan{
			Name: p.Name, Today: day(p.Today), From: day(p.From), StockKg: number(p.StockKg), MonthlyLitres: number(p.MonthlyLitres),
			KeepsMonths: number(p.KeepsMonths), PerMonthKg: number(p.PerMonthKg), NeedBeforeKg: number(p.NeedBeforeKg), AheadKg: number(p.AheadKg),
			WastedKg: number(p.WastedKg), LastDay: day(p.LastDay), ChangeOver: day(p.ChangeOver), Changes: p.Changes,
			SavesOverKeeping: number(p.SavesOverKeeping), SavesOverChanging: number(p.SavesOverChanging), KeepingCosts: number(p.KeepingCosts),
		}
	}
	return encode(w, out)
}
