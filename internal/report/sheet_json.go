package report

import (
	"io"

	"bittersum/internal/kettle"
)

type jsonLine struct {
	Step        string `json:"step"`
	Ingredient  string `json:"ingredient"`
	Lot         string `json:"lot,omitempty"`
	BestBefore  string `json:"best_before,omitempty"`
	Grams       number `json:"grams"`
	Division    number `json:"division_g"`
	Scale       string `json:"scale"`
	Loads       int    `json:"loads"`
	TakeG       number `json:"take_g"`
	PackKg      number `json:"pack_kg,omitempty"`
	Packs       int    `json:"packs,omitempty"`
	LeftInPackG number `json:"left_in_pack_g,omitempty"`
	LeftKg      number `json:"left_in_lot_kg,omitempty"`
	Cost        number `json:"cost"`

	PriceFrom      string `json:"price_from,omitempty"`
	BitternessFrom string `json:"bitterness_from,omitempty"`
}

type jsonExpected struct {
	Litres  number `json:"litres"`
	Kg      number `json:"kg"`
	Density number `json:"density_kg_per_l"`
	Brix    number `json:"brix"`
	Acidity number `json:"acidity_g_per_l"`
	PH      number `json:"ph"`
}

type jsonStep struct {
	Name   string        `json:"name"`
	Do     string        `json:"do"`
	Expect *jsonExpected `json:"expect,omitempty"`
}

type jsonHold struct {
	After   string `json:"after"`
	Ask     string `json:"ask"`
	Measure string `json:"measure,omitempty"`
	Unit    string `json:"unit,omitempty"`
	Expect  number `json:"expect"`
	Min     number `json:"min"`
	Max     number `json:"max"`
	From    string `json:"from"`
}

type jsonPurchase struct {
	Ingredient string     `json:"ingredient"`
	NeedKg     number     `json:"need_kg"`
	OrderKg    number     `json:"order_kg"`
	PackKg     number     `json:"pack_kg,omitempty"`
	Packs      int        `json:"packs,omitempty"`
	LeastPacks int        `json:"least_packs,omitempty"`
	BarredKg   number     `json:"barred_kg,omitempty"`
	PricePerKg number     `json:"price_per_kg"`
	PriceFrom  string     `json:"price_from"`
	Cost       number     `json:"cost"`
	Make       []jsonNeed `json:"make,omitempty"`
}

type jsonNeed struct {
	Ingredient string `json:"ingredient"`
	NeedKg     number `json:"need_kg"`
}

type jsonBatchCost struct {
	Total      number `json:"total"`
	Least      number `json:"least_without_divisions"`
	FirstOut   number `json:"first_out"`
	Rounding   number `json:"rounding"`
	Bound      number `json:"bound"`
	Gap        number `json:"gap_share"`
	Nodes      int    `json:"nodes"`
	SearchDone bool   `json:"search_done"`
	Allowance  number `json:"allowance"`
	Asked      number `json:"allowance_asked_share"`
	Kept       number `json:"allowance_kept_share"`
}

type jsonDose struct {
	Source   string `json:"source"`
	IdealG   number `json:"ideal_g"`
	Division number `json:"division_g"`
}

type jsonCoarse struct {
	SearchDone bool       `json:"search_done"`
	Doses      []jsonDose `json:"doses"`
	Litres     number     `json:"litres_that_do,omitempty"`
	MostLitres number     `json:"litres_tried"`
}

type jsonYield struct {
	Litres      number `json:"litres"`
	LiquorL     number `json:"liquor_l"`
	HeldL       number `json:"held_back_l"`
	ServedL     number `json:"served_l"`
	LostL       number `json:"lost_l"`
	MarcKg      number `json:"marc_kg"`
	TrimmingsKg number `json:"trimmings_kg"`
	Bottles     int    `json:"bottles,omitempty"`
	OverL       number `json:"over_l,omitempty"`
}

type jsonBatch struct {
	Schema     string          `json:"schema"`
	Batch      string          `json:"batch"`
	Status     string          `json:"status"`
	Litres     number          `json:"litres_asked"`
	On         string          `json:"planned_on,omitempty"`
	Order      string          `json:"lots_used"`
	Coarse     *jsonCoarse     `json:"too_coarse,omitempty"`
	Conflict   bool            `json:"conflict,omitempty"`
	Lines      []jsonLine      `json:"lines,omitempty"`
	Steps      []jsonStep      `json:"steps,omitempty"`
	Holds      []jsonHold      `json:"holds,omitempty"`
	Yield      *jsonYield      `json:"yield,omitempty"`
	Shopping   []jsonPurchase  `json:"shopping,omitempty"`
	Cost       *jsonBatchCost  `json:"cost,omitempty"`
	Assessment *jsonAssessment `json:"assessment,omitempty"`
}

// BatchJSON writes a batch as JSON, or why there is none.
func BatchJSON(w io.Writer, p *kettle.Plan) error {
	out := jsonBatch{Schema: batchSchema, Batch: p.Options.Number, Status: "planned", Litres: number(p.Options.Litres), On: date(p.Job.Day), Order: "first expiring first"}
	if p.Options.Cheapest {
		out.Order = "cheapest"
	}
	switch {
	case p.Answer.Conflict != nil:
		out.Status, out.Conflict = "infeasible", true
		return encode(w, out)
	case p.NoOrder:
		out.Status = "infeasible first expiring first"
		return encode(w, out)
	case p.Coarse != nil:
		out.Status = "scales too coarse"
		out.Coarse = &jsonCoarse{SearchDone: p.Coarse.SearchDone, Doses: []jsonDose{}, Litres: number(p.Coarse.Litres), MostLitres: number(p.Coarse.MostLitres)}
		for _, d := range p.Coarse.Doses {
			out.Coarse.Doses = append(out.Coarse.Doses, jsonDose{d.Source.Name, number(d.IdealG), number(d.DivisionG)})
		}
		return encode(w, out)
	}
	for _, r := range weighRows(p) {
		out.Lines = append(out.Lines, jsonLine{r.Step, r.Ingredient, r.Lot, r.BestBefore, number(r.Grams), number(r.Division), r.Scale, r.Loads,
			number(r.TakeG), number(r.PackKg), r.Packs, number(r.LeftInPackG), number(r.LeftKg), number(r.Cost), r.PriceFrom, r.BitternessFrom})
	}
	for _, s := range p.Steps {
		step := jsonStep{Name: s.Name, Do: s.Do}
		if e := s.Expect; e != nil {
			step.Expect = &jsonExpected{number(e.Litres), number(e.Kg), number(e.Density), number(e.Brix), number(e.Acidity), number(e.PH)}
		}
		out.Steps = append(out.Steps, step)
	}
	for _, h := range p.Holds {
		out.Holds = append(out.Holds, jsonHold{h.After, h.Ask, h.Measure, h.Unit, number(h.Expect), number(h.Least), number(h.Most), h.From})
	}
	for _, b := range p.Shopping {
		bought := jsonPurchase{b.Ingredient, number(b.NeedKg), number(b.OrderKg), number(b.PackKg), b.Packs, b.LeastPacks,
			number(b.BarredKg), number(b.PricePerKg), b.PriceFrom, number(b.Cost), nil}
		for _, need := range b.Make {
			bought.Make = append(bought.Make, jsonNeed{need.Name, number(need.Kg)})
		}
		out.Shopping = append(out.Shopping, bought)
	}
	y, c := p.Yield, p.Cost
	out.Yield = &jsonYield{number(y.Litres), number(y.LiquorL), number(y.HeldL), number(y.ServedL), number(y.LostL), number(y.MarcKg), number(y.TrimmingsKg), y.Bottles, number(y.OverL)}
	out.Cost = &jsonBatchCost{number(c.Total), number(c.Least), number(c.FirstOut), number(c.Rounding), number(c.Bound), number(c.Gap()), p.Nodes, p.Complete, number(p.Allowance.Cost), number(p.Allowance.Asked), number(p.Allowance.Kept)}
	out.Assessment = restedJSON(p.Assessment)
	return encode(w, out)
}
