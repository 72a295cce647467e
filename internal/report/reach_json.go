package report

import (
	"io"

	"bittersum/internal/formulate"
	"bittersum/internal/study"
)

const (
	reachSchema  = "bittersum/reach/1"
	regionSchema = "bittersum/region/1"
)

type jsonStretch struct {
	From      number       `json:"from"`
	To        number       `json:"to"`
	CostFrom  number       `json:"cost_from"`
	CostTo    number       `json:"cost_to"`
	SlopeFrom number       `json:"slope_from"`
	SlopeTo   number       `json:"slope_to"`
	Enter     []string     `json:"enter,omitempty"`
	Leave     []string     `json:"leave,omitempty"`
	Binding   []jsonMember `json:"binding"`
}

type jsonStop struct {
	Value  number          `json:"value"`
	Recipe *jsonAssessment `json:"recipe"`
	Proof  *jsonProof      `json:"proof"`
}

type jsonReach struct {
	Schema    string        `json:"schema"`
	Brief     string        `json:"brief"`
	Attribute string        `json:"attribute"`
	Unit      string        `json:"unit"`
	Asked     *jsonRange    `json:"asked,omitempty"`
	Start     *number       `json:"cheapest_at,omitempty"`
	Stretches []jsonStretch `json:"stretches,omitempty"`
	Stops     []jsonStop    `json:"recipes,omitempty"`
	Low       *jsonConflict `json:"below,omitempty"`
	High      *jsonConflict `json:"above,omitempty"`
	Custom    bool          `json:"ends_at_custom,omitempty"`
	Conflict  *jsonConflict `json:"conflict,omitempty"`
}

func membersJSON(limits []formulate.Limit) []jsonMember {
	out := []jsonMember{}
	for _, l := range limits {
		out = append(out, memberJSON(l))
	}
	return out
}

// ReachJSON writes the least cost against one attribute as JSON.
func ReachJSON(w io.Writer, r *study.Reached) error {
	out := jsonReach{Schema: reachSchema, Brief: r.Job.Name, Attribute: r.Attribute.Name, Unit: perUnit(r.Attribute)}
	if r.Conflict != nil {
		out.Conflict = conflictJSON(r.Conflict.Conflict)
		return encode(w, out)
	}
	start := number(r.Start)
	out.Start = &start
	out.Asked = &jsonRange{number(r.Asked.Min), number(r.Asked.Max)}
	for _, s := range r.Stretches {
		stretch := jsonStretch{
			From: number(s.From), To: number(s.To), CostFrom: number(s.CostFrom), CostTo: number(s.CostTo),
			SlopeFrom: number(s.SlopeFrom), SlopeTo: number(s.SlopeTo), Binding: membersJSON(s.Binding),
		}
		for _, source := range s.Enter {
			stretch.Enter = append(stretch.Enter, source.Name)
		}
		for _, source := range s.Leave {
			stretch.Leave = append(stretch.Leave, source.Name)
		}
		out.Stretches = append(out.Stretches, stretch)
	}
	for _, s := range r.Stops {
		out.Stops = append(out.Stops, jsonStop{number(s.Value), toJSON(s.Recipe()), proofJSON(s.Answer)})
	}
	out.Custom = r.High.Custom
	if r.Low.Conflict != nil {
		out.Low = conflictJSON(r.Low.Conflict)
	}
	if r.High.Conflict != nil {
		out.High = conflictJSON(r.High.Conflict)
	}
	return encode(w, out)
}

type jsonCorner struct {
	X       number          `json:"x"`
	Y       number          `json:"y"`
	Cost    number          `json:"cost"`
	Binding []jsonMember    `json:"binding_to_next"`
	Recipe  *jsonAssessment `json:"recipe"`
	Proof   *jsonProof      `json:"proof"`
}

type jsonRegion struct {
	Schema   string        `json:"schema"`
	Brief    string        `json:"brief"`
	X        string        `json:"x"`
	XUnit    string        `json:"x_unit"`
	Y        string        `json:"y"`
	YUnit    string        `json:"y_unit"`
	Corners  []jsonCorner  `json:"corners"`
	Unproved [][2]number   `json:"unproved,omitempty"`
	Today    *[2]number    `json:"today,omitempty"`
	Conflict *jsonConflict `json:"conflict,omitempty"`
}

// RegionJSON writes what two attributes can be at once as JSON.
func RegionJSON(w io.Writer, r *study.Region) error {
	out := jsonRegion{
		Schema: regionSchema, Brief: r.Job.Name, X: r.X.Name, XUnit: perUnit(r.X), Y: r.Y.Name, YUnit: perUnit(r.Y), Corners: []jsonCorner{},
	}
	if r.Conflict != nil {
		out.Conflict = conflictJSON(r.Conflict.Conflict)
		return encode(w, out)
	}
	for _, c := range r.Corners {
		out.Corners = append(out.Corners, jsonCorner{
			number(c.X), number(c.Y), number(c.Answer.LeastCost), membersJSON(c.Binding), toJSON(c.Answer.Assessment), proofJSON(c.Answer),
		})
	}
	for _, at := range r.Unproved {
		out.Unproved = append(out.Unproved, [2]number{number(at[0]), number(at[1])})
	}
	if r.Today != nil {
		out.Today = &[2]number{number(r.TodayX), number(r.TodayY)}
	}
	return encode(w, out)
}
