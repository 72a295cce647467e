package report

import (
	"io"

	"bittersum/internal/chance"
	"bittersum/internal/study"
)

const stressSchema = "bittersum/stress/1"

type jsonChance struct {
	Chance number `json:"chance"`
	Error  number `json:"standard_error"`
	AtMost number `json:"at_most"`
	Method string `json:"method"`
}

func chanceJSON(e chance.Estimate) *jsonChance {
	if e.Method == "" {
		return nil
	}
	return &jsonChance{number(e.Chance), number(e.Error), number(e.AtMost), string(e.Method)}
}

type jsonShare struct {
	Source string `json:"source"`
	First  number `json:"first"`
	Total  number `json:"total"`
}

type jsonSpread struct {
	Expected number      `json:"expected"`
	Low      number      `json:"quantile_05"`
	Middle   number      `json:"quantile_50"`
	High     number      `json:"quantile_95"`
	Shares   []jsonShare `json:"variance_shares"`
}

func spreadJSON(s study.Spread) jsonSpread {
	out := jsonSpread{number(s.Expected), number(s.Low), number(s.Middle), number(s.High), []jsonShare{}}
	for _, share := range s.Shares {
		out.Shares = append(out.Shares, jsonShare{share.Source, number(share.First), number(share.Total)})
	}
	return out
}

type jsonCapChance struct {
	Substance string      `json:"substance"`
	Market    string      `json:"market"`
	Unit      string      `json:"unit"`
	Max       number      `json:"max"`
	Broken    *jsonChance `json:"broken,omitempty"`
	Accepted  []string    `json:"unknown_in,omitempty"`
	jsonSpread
}

type jsonTargetChance struct {
	Name   string      `json:"name"`
	Unit   string      `json:"unit"`
	Target jsonRange   `json:"target"`
	Below  *jsonChance `json:"below,omitempty"`
	Above  *jsonChance `json:"above,omitempty"`
	jsonSpread
}

type jsonMarketChance struct {
	Market  string      `json:"market"`
	AtLeast number      `json:"at_least"`
	AtMost  number      `json:"at_most"`
	Drawn   *jsonChance `json:"drawn,omitempty"`
	Unknown []string    `json:"unknown_besides,omitempty"`
}

// jsonCostSpread is what a litre costs in the brief's currency; without a spread only per_litre.
type jsonCostSpread struct {
	Varies   bool   `json:"varies"`
	PerLitre number `json:"per_litre"`
	*jsonSpread
}

func costSpreadJSON(s *study.Stressed) jsonCostSpread {
	out := jsonCostSpread{Varies: s.Cost.Varies, PerLitre: number(s.Assessment.Cost.PerLitre)}
	if s.Cost.Varies {
		spread := spreadJSON(s.Cost.Spread)
		out.jsonSpread = &spread
	}
	return out
}

type jsonStress struct {
	Schema    string             `json:"schema"`
	Brief     string             `json:"brief"`
	Batch     string             `json:"batch,omitempty"`
	Recipe    *jsonAssessment    `json:"recipe"`
	Caps      []jsonCapChance    `json:"caps"`
	Markets   []jsonMarketChance `json:"any_cap"`
	Targets   []jsonTargetChance `json:"targets"`
	Cost      jsonCostSpread     `json:"cost_as_it_varies"`
	Certain   []string           `json:"counted_as_certain,omitempty"`
	Saleable  [2]number          `json:"cost_of_a_saleable_litre"`
	Variation number             `json:"assumed_variation"`
	Assumed   []string           `json:"assumed_for,omitempty"`
	Draws     int                `json:"draws"`
	Seed      uint64             `json:"seed"`
}

// StressJSON writes how sure a recipe is as JSON.
func StressJSON(w io.Writer, s *study.Stressed) error {
	out := jsonStress{
		Schema: stressSchema, Brief: s.Assessment.Job.Name, Batch: s.Batch, Recipe: toJSON(s.Assessment),
		Caps: []jsonCapChance{}, Markets: []jsonMarketChance{}, Targets: []jsonTargetChance{},
		Cost: costSpreadJSON(s), Certain: s.Left, Saleable: [2]number{number(s.Saleable[0]), number(s.Saleable[1])},
		Variation: number(s.Options.Assumed), Assumed: s.Assumed, Draws: s.Options.Draws, Seed: s.Options.Seed,
	}
	for _, c := range s.Caps {
		one := jsonCapChance{Substance: c.Substance, Market: c.Market.Name, Unit: c.Unit(), Max: number(c.Max), Accepted: c.Accepted, jsonSpread: spreadJSON(c.Spread)}
		if len(c.Accepted) == 0 { // what is unknown has no chance
			one.Broken = chanceJSON(c.Broken)
		}
		out.Caps = append(out.Caps, one)
	}
	for _, m := range s.Markets {
		out.Markets = append(out.Markets, jsonMarketChance{m.Market.Name, number(m.AtLeast), number(m.AtMost), chanceJSON(m.Drawn), m.Unknown})
	}
	for _, t := range s.Targets {
		out.Targets = append(out.Targets, jsonTargetChance{t.Name, t.Unit, jsonRange{number(t.Min), number(t.Max)}, chanceJSON(t.Below), chanceJSON(t.Above), spreadJSON(t.Spread)})
	}
	return encode(w, out)
}
