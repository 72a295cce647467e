package report

import (
	"encoding/json"
	"io"
	"math"
	"strconv"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/study"
)

// The schema names say what a JSON answer holds. Fields may be added under the same name; a change of
// meaning or a removal gets a new number.
const (
	blendSchema  = "bittersum/blend/1"
	assessSchema = "bittersum/assess/1"
)

// number is a float64 that is null in JSON when there is no such number (an open end, an unknown). It
// has ten significant digits: what lies below is rounding.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(float64(n), 'g', 10, 64), 64)
	if err != nil {
		return nil, err
	}
	return json.Marshal(rounded)
}

type jsonPart struct {
	Ingredient string `json:"ingredient"`
	Lot        string `json:"lot,omitempty"`
	Amount     number `json:"amount"`
	Cost       number `json:"cost"`
}

type jsonRange struct {
	Min number `json:"min"`
	Max number `json:"max"`
}

type jsonAttribute struct {
	Name    string    `json:"name"`
	Value   number    `json:"value"`
	Unit    string    `json:"unit"`
	Target  jsonRange `json:"target"`
	Verdict string    `json:"verdict,omitempty"`
	Unknown []string  `json:"unknown_in,omitempty"`
}

type jsonRatio struct {
	Name    string    `json:"name"`
	Value   number    `json:"value"`
	Target  jsonRange `json:"target"`
	Verdict string    `json:"verdict"`
}

type jsonUse struct {
	Name    string    `json:"name"`
	Group   bool      `json:"group,omitempty"`
	Value   number    `json:"value"`
	Allowed jsonRange `json:"allowed"`
	Verdict string    `json:"verdict"`
}

type jsonCap struct {
	Substance   string   `json:"substance"`
	Market      string   `json:"market"`
	Citation    string   `json:"citation"`
	Unconfirmed bool     `json:"unconfirmed"`
	Unit        string   `json:"unit"`
	Max         number   `json:"max"`
	Guarded     number   `json:"guarded"`
	Expected    number   `json:"expected"`
	HeadRoom    number   `json:"head_room_share"`
	Holds       bool     `json:"holds"`
	Accepted    []string `json:"accepted_unknown_in,omitempty"`
}

type jsonCaution struct {
	Text string `json:"text"`
	From string `json:"from"`
}

type jsonAssessment struct {
	Schema     string     `json:"schema,omitempty"`
	Brief      string     `json:"brief"`
	Kind       string     `json:"kind"`
	Currency   string     `json:"currency"`
	AmountUnit string     `json:"amount_unit"`
	Recipe     []jsonPart `json:"recipe"`
	Litres     number     `json:"litres_recovered"`
	Density    number     `json:"density_kg_per_l"`
	Cost       number     `json:"cost"`
	PerBottle  number     `json:"cost_per_bottle,omitempty"`
	PerBatch   number     `json:"cost_per_batch,omitempty"`
	MeetsBrief bool       `json:"meets_brief"`
	KeepsCaps  bool       `json:"keeps_caps"`
	jsonJudged
	Misses      []string        `json:"misses,omitempty"`
	Attributes  []jsonAttribute `json:"attributes"`
	Ratios      []jsonRatio     `json:"ratios,omitempty"`
	Uses        []jsonUse       `json:"uses,omitempty"`
	Caps        []jsonCap       `json:"caps"`
	Cautions    []jsonCaution   `json:"cautions"`
	FilledWater bool            `json:"filled_with_water,omitempty"`
	RestNotes   []string        `json:"notes,omitempty"`
	RestsOn     []jsonRests     `json:"rests_on,omitempty"`
	jsonMeasured
}

func amountUnit(j *brief.Job) string {
	if j.Kind == brief.Blend {
		return j.Unit
	}
	return "g/L"
}

func toJSON(a *assess.Assessment) *jsonAssessment {
	out := &jsonAssessment{
		Brief: a.Job.Name, Kind: string(a.Job.Kind), Currency: a.Job.Currency, AmountUnit: amountUnit(a.Job),
		Litres: number(a.Recovered), Density: number(a.MassKg / a.Liquor),
		Cost: number(a.Cost.PerLitre), PerBottle: number(a.Cost.PerBottle), PerBatch: number(a.Cost.PerBatch),
		Misses: a.Misses(), KeepsCaps: a.KeepsCaps(), FilledWater: a.FilledWater,
		Caps: []jsonCap{}, Cautions: []jsonCaution{}, jsonMeasured: measuredJSON(a),
	}
	if a.Recipe.Batch {
		out.AmountUnit = "g"
	}
	out.jsonJudged = judgedJSON(a.Job)
	out.MeetsBrief = len(out.Misses) == 0
	for n, p := range a.Recipe.Parts {
		part := jsonPart{Ingredient: p.Source.Ingredient.Name, Amount: number(p.Amount), Cost: number(a.Cost.Parts[n])}
		if p.Source.Lot != nil {
			part.Lot = p.Source.Lot.Number
		}
		out.Recipe = append(out.Recipe, part)
	}
	for _, v := range a.Attributes {
		out.Attributes = append(out.Attributes, jsonAttribute{
			Name: v.Name, Value: number(v.Value), Unit: unitOf(v), Verdict: string(v.Verdict), Unknown: v.Unknown,
			Target: jsonRange{number(v.Target.Min), number(v.Target.Max)},
		})
	}
	for _, q := range a.Ratios {
		out.Ratios = append(out.Ratios, jsonRatio{q.Name, number(q.Value), jsonRange{number(q.Min), number(q.Max)}, string(q.Verdict)})
	}
	for _, u := range a.Uses {
		out.Uses = append(out.Uses, jsonUse{u.Name, u.Group, number(u.Value), jsonRange{number(u.Min), number(u.Max)}, string(u.Verdict)})
	}
	for _, c := range a.Caps {
		out.Caps = append(out.Caps, jsonCap{
			Substance: c.Substance, Market: c.Market.Name, Citation: c.Citation, Unconfirmed: c.Unconfirmed(), Unit: c.Unit(),
			Max: number(c.Max), Guarded: number(c.Guarded), Expected: number(c.Expected), HeadRoom: number(c.HeadRoom),
			Holds: c.Holds, Accepted: c.Accepted,
		})
	}
	for _, c := range a.Cautions {
		out.Cautions = append(out.Cautions, jsonCaution{c.Text, c.From})
	}
	return out
}

// restedJSON is toJSON with what the recipe rests on.
func restedJSON(a *assess.Assessment) *jsonAssessment {
	out := toJSON(a)
	out.RestNotes, out.RestsOn = RestNotes(a), restsJSON(a)
	return out
}

// AssessJSON writes an assessment as JSON.
func AssessJSON(w io.Writer, a *assess.Assessment) error {
	out := restedJSON(a)
	out.Schema = assessSchema
	return encode(w, out)
}

type jsonRate struct {
	Cost    number `json:"cost_per_unit"`
	To      number `json:"to"`
	Blocked bool   `json:"blocked,omitempty"`
}

type jsonLimit struct {
	Kind    string   `json:"kind"`
	Name    string   `json:"name"`
	Side    string   `json:"side"`
	Market  string   `json:"market,omitempty"`
	Value   number   `json:"value"`
	Line    int      `json:"line,omitempty"`
	Binding bool     `json:"binding"`
	Down    jsonRate `json:"down"`
	Up      jsonRate `json:"up"`
}

type jsonEntry struct {
	Ingredient string `json:"ingredient"`
	PriceNow   number `json:"price_now"`
	EntersAt   number `json:"enters_below"`
}

type jsonProof struct {
	Status         string `json:"status"`
	Exact          bool   `json:"exact"`
	Objective      string `json:"objective"`
	PrimalResidual number `json:"primal_residual"`
	DualResidual   number `json:"dual_residual"`
	Gap            number `json:"gap"`
	Iterations     int    `json:"iterations"`
}

type jsonBlend struct {
	Schema       string            `json:"schema"`
	Brief        string            `json:"brief"`
	Status       string            `json:"status"`
	Answer       *jsonAssessment   `json:"answer,omitempty"`
	LeastCost    *number           `json:"least_cost,omitempty"`
	Limits       []jsonLimit       `json:"limits,omitempty"`
	Unused       []jsonEntry       `json:"unused,omitempty"`
	Alternatives []*jsonAssessment `json:"alternatives,omitempty"`
	Proof        *jsonProof        `json:"proof,omitempty"`
	Second       *study.Second     `json:"second_opinion,omitempty"`
	Conflict     *jsonConflict     `json:"conflict,omitempty"`
	Today        *jsonToday        `json:"today,omitempty"`
}

// jsonToday is the recipe that is made today, and how the answer stands to it.
type jsonToday struct {
	File  string          `json:"file"`
	Today *jsonAssessment `json:"recipe"`
	More  number          `json:"costs_more_per_litre"`
	Drift *jsonDrift      `json:"drift"`
}

type jsonConflict struct {
	Limits      []jsonMember     `json:"limits"`
	Relaxations []jsonRelaxation `json:"relaxations"`
}

type jsonMember struct {
	Kind   string `json:"kind"`
	Name   string `json:"name"`
	Side   string `json:"side"`
	Value  number `json:"value"`
	Market string `json:"market,omitempty"`
	Line   int    `json:"line,omitempty"`
}

type jsonRelaxation struct {
	jsonMember
	To   number `json:"to"`
	Cost number `json:"cost"`
}

func encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// proofJSON says how an answer is proved.
func proofJSON(a *study.Answer) *jsonProof {
	c := a.Solution.Certificate
	out := &jsonProof{
		Status: a.Proof.Status.String(), Exact: true, PrimalResidual: number(c.PrimalResidual), DualResidual: number(c.DualResidual),
		Gap: number(c.Gap), Iterations: a.Solution.Iterations,
	}
	if a.Conflict == nil {
		out.Objective = a.Proof.Objective.RatString()
	}
	return out
}

func memberJSON(l formulate.Limit) jsonMember {
	m := jsonMember{Kind: string(l.Kind), Name: l.Name, Side: string(l.Side), Value: number(l.Value), Line: max(0, l.Line)}
	if l.Cap != nil {
		m.Market = l.Cap.Market.Name
	}
	return m
}

func conflictJSON(c *study.Conflict) *jsonConflict {
	out := &jsonConflict{Limits: []jsonMember{}, Relaxations: []jsonRelaxation{}}
	for _, l := range c.Members {
		out.Limits = append(out.Limits, memberJSON(l))
	}
	for _, r := range c.Relaxations {
		out.Relaxations = append(out.Relaxations, jsonRelaxation{memberJSON(r.Limit), number(r.To), number(r.Cost)})
	}
	return out
}

// BlendTodayJSON writes an answer as BlendJSON does, beside the recipe in a file that is made today.
func BlendTodayJSON(w io.Writer, a *study.Answer, file string, today *assess.Assessment) error {
	out := blendJSON(a)
	out.Today = &jsonToday{File: file, Today: toJSON(today), More: number(a.Assessment.Cost.PerLitre - today.Cost.PerLitre), Drift: driftJSON(study.DriftBetween(today, a.Assessment))}
	return encode(w, out)
}

// BlendJSON writes an answer as JSON.
func BlendJSON(w io.Writer, a *study.Answer) error { return encode(w, blendJSON(a)) }

func blendJSON(a *study.Answer) jsonBlend {
	out := jsonBlend{Schema: blendSchema, Brief: a.Job.Name, Status: a.Solution.Status.String(), Second: a.Second, Proof: proofJSON(a)}
	if a.Conflict != nil {
		out.Conflict = conflictJSON(a.Conflict)
		return out
	}
	least := number(a.LeastCost)
	out.LeastCost = &least
	out.Answer = restedJSON(a.Assessment)
	for _, l := range a.Limits {
		m := memberJSON(l.Limit)
		out.Limits = append(out.Limits, jsonLimit{
			Kind: m.Kind, Name: m.Name, Side: m.Side, Market: m.Market, Value: m.Value, Line: m.Line, Binding: l.Binding,
			Down: jsonRate{number(l.Down.Cost), number(l.Down.To), l.Down.Blocked},
			Up:   jsonRate{number(l.Up.Cost), number(l.Up.To), l.Up.Blocked},
		})
	}
	for _, e := range a.Entries {
		out.Unused = append(out.Unused, jsonEntry{e.Source.Name, number(e.Source.PricePerKg), number(e.Price)})
	}
	for _, o := range a.Others {
		out.Alternatives = append(out.Alternatives, toJSON(o))
	}
	return out
}
