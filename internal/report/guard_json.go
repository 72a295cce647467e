package report

import (
	"io"

	"bittersum/internal/study"
)

const (
	guardSchema     = "bittersum/guard/1"
	assuranceSchema = "bittersum/assurance/1"
)

type jsonGuarded struct {
	Name       string      `json:"name"`
	Market     string      `json:"market,omitempty"`
	Side       string      `json:"side"`
	Value      number      `json:"value"`
	Unit       string      `json:"unit"`
	Deviations number      `json:"deviations_kept_free"`
	Lots       number      `json:"lots_at_once,omitempty"`
	Allowed    number      `json:"allowed"`
	Broken     *jsonChance `json:"broken,omitempty"`
	Binding    bool        `json:"binding"`
}

type jsonGuard struct {
	Schema    string          `json:"schema"`
	Brief     string          `json:"brief"`
	Status    string          `json:"status"`
	Risk      number          `json:"risk"`
	Method    string          `json:"method"`
	Counting  string          `json:"counting"`
	Targets   bool            `json:"targets_too"`
	Conflict  *jsonConflict   `json:"conflict,omitempty"`
	Cheapest  *jsonAssessment `json:"cheapest,omitempty"`
	Recipe    *jsonAssessment `json:"recipe,omitempty"`
	Dearer    number          `json:"dearer_per_litre"`
	AtMost    number          `json:"chance_at_most"`
	Bound     number          `json:"proved_bound_per_litre"`
	Exactly   int             `json:"limits_checked_exactly"`
	Limits    []jsonGuarded   `json:"limits,omitempty"`
	Certain   []string        `json:"counted_as_certain,omitempty"`
	Unknown   []string        `json:"unknown_besides,omitempty"`
	Variation number          `json:"assumed_variation"`
	Assumed   []string        `json:"assumed_for,omitempty"`
	Draws     int             `json:"draws"`
	Seed      uint64          `json:"seed"`
	Surest    *jsonGuard      `json:"surest,omitempty"`
	InTheWay  []jsonGuarded   `json:"in_the_way,omitempty"`
}

func guardedJSON(l study.GuardedLimit) jsonGuarded {
	out := jsonGuarded{Name: l.Name, Side: "min", Value: number(l.Value), Unit: l.Unit, Deviations: number(l.Reach), Lots: number(l.Most), Allowed: number(l.Allowed), Broken: chanceJSON(l.Broken), Binding: l.Binding}
	if l.Above {
		out.Side = "max"
	}
	if l.Cap != nil {
		out.Market = l.Cap.Market.Name
	}
	return out
}

func guardJSON(r *study.GuardedRecipe) *jsonGuard {
	o := r.Options
	out := &jsonGuard{
		Schema: guardSchema, Brief: r.Job.Name, Status: "sure", Risk: number(o.Risk), Method: string(o.Method), Counting: string(o.Counting), Targets: o.Targets,
		AtMost: number(r.AtMost), Bound: number(r.Bound), Exactly: r.Exactly, Certain: r.Left,
		Variation: number(o.Assumed), Assumed: r.Assumed, Draws: o.Draws, Seed: o.Seed,
	}
	if r.Plain.Conflict != nil {
		out.Status, out.Conflict = "infeasible", conflictJSON(r.Plain.Conflict)
		return out
	}
	out.Cheapest = toJSON(r.Plain.Assessment)
	if r.Assessment == nil {
		out.Status = "not so sure"
		if s := r.Surest; s != nil {
			out.Surest = guardJSON(s.GuardedRecipe)
			for _, l := range s.InTheWay {
				out.InTheWay = append(out.InTheWay, guardedJSON(l))
			}
		}
		return out
	}
	for _, c := range r.UnknownCaps {
		out.Unknown = append(out.Unknown, c.Substance+", "+c.Market.Name)
	}
	out.Recipe, out.Dearer = toJSON(r.Assessment), number(r.Dearer())
	for _, l := range r.Limits {
		out.Limits = append(out.Limits, guardedJSON(l))
	}
	return out
}

// GuardJSON writes a guarded recipe as JSON.
func GuardJSON(w io.Writer, r *study.GuardedRecipe) error { return encode(w, guardJSON(r)) }

type jsonLevel struct {
	Risk     number `json:"risk"`
	Cost     number `json:"cost_per_litre"`
	More     number `json:"more"`
	AtMost   number `json:"chance_at_most"`
	Unproved bool   `json:"not_proved,omitempty"`
	Knee     bool   `json:"knee,omitempty"`
}

// GuardCurveJSON writes what each level of assurance costs as JSON; a level without a recipe has a null cost.
func GuardCurveJSON(w io.Writer, c *study.AssuranceCurve) error {
	out := struct {
		Schema   string        `json:"schema"`
		Brief    string        `json:"brief"`
		Method   string        `json:"method"`
		Counting string        `json:"counting"`
		Targets  bool          `json:"targets_too"`
		Conflict *jsonConflict `json:"conflict,omitempty"`
		Levels   []jsonLevel   `json:"levels"`
	}{assuranceSchema, c.Job.Name, string(c.Options.Method), string(c.Options.Counting), c.Options.Targets, nil, []jsonLevel{}}
	if c.Plain.Conflict != nil {
		out.Conflict = conflictJSON(c.Plain.Conflict)
	}
	for n, l := range c.Levels {
		out.Levels = append(out.Levels, jsonLevel{number(l.Risk), number(l.Cost), number(l.More), number(l.AtMost), l.Unproved, n == c.Knee})
	}
	return encode(w, out)
}
