package report

import (
	"io"

	"bittersum/internal/study"
)

const swapSchema = "bittersum/swap/1"

type jsonDrift struct {
	Total     number          `json:"jnd"`
	Parts     []jsonDriftPart `json:"attributes"`
	Uncounted []string        `json:"not_counted,omitempty"`
}

type jsonDriftPart struct {
	Name   string `json:"name"`
	Unit   string `json:"unit"`
	Before number `json:"before"`
	After  number `json:"after"`
	JND    number `json:"jnd"`
	Count  number `json:"count"`
}

func driftJSON(d study.Drift) *jsonDrift {
	out := &jsonDrift{Total: number(d.Total), Parts: []jsonDriftPart{}}
	for _, p := range d.Parts {
		out.Parts = append(out.Parts, jsonDriftPart{p.Name, perUnit(p.Attribute), number(p.Before), number(p.After), number(p.JND), number(p.Count)})
	}
	for _, a := range d.Uncounted {
		out.Uncounted = append(out.Uncounted, a.Name)
	}
	return out
}

type jsonLost struct {
	Name    string `json:"name"`
	Before  number `json:"before"`
	Nearest number `json:"nearest"`
	Unit    string `json:"unit"`
}

type jsonTrade struct {
	Drift number `json:"jnd"`
	Cost  number `json:"cost"`
}

type jsonShortage struct {
	Name string `json:"name"`
	Most number `json:"most"`
}

type jsonSwap struct {
	Schema   string          `json:"schema"`
	Brief    string          `json:"brief"`
	Status   string          `json:"status"`
	Short    []jsonShortage  `json:"short"`
	Today    *jsonAssessment `json:"today,omitempty"`
	Swap     *jsonAssessment `json:"swap,omitempty"`
	More     *number         `json:"costs_more_per_litre,omitempty"`
	Drift    *jsonDrift      `json:"drift,omitempty"`
	Trade    []jsonTrade     `json:"trade,omitempty"`
	Lost     []jsonLost      `json:"cannot_be_replaced,omitempty"`
	Dropped  []jsonMember    `json:"set_aside,omitempty"`
	Proof    *jsonProof      `json:"proof,omitempty"`
	Conflict *jsonConflict   `json:"conflict,omitempty"`
}

// SwapJSON writes a swap as JSON.
func SwapJSON(w io.Writer, s *study.Swapped) error {
	out := jsonSwap{Schema: swapSchema, Brief: s.Job.Name, Status: s.Answer.Solution.Status.String(), Short: []jsonShortage{}}
	for _, short := range s.Options.Short {
		out.Short = append(out.Short, jsonShortage{short.Name, number(short.Most)})
	}
	out.Proof = proofJSON(s.Answer)
	if s.Answer.Conflict != nil {
		out.Conflict = conflictJSON(s.Answer.Conflict)
		return encode(w, out)
	}
	more := number(s.Cost())
	out.Today, out.Swap, out.More, out.Drift = toJSON(s.Before), toJSON(s.Answer.Assessment), &more, driftJSON(s.Drift)
	for _, t := range s.Trade {
		out.Trade = append(out.Trade, jsonTrade{number(t.Drift), number(t.Cost)})
	}
	for _, l := range s.Lost {
		out.Lost = append(out.Lost, jsonLost{l.Name, number(l.Before), number(l.Nearest), perUnit(l.Attribute)})
	}
	for _, l := range s.Dropped {
		out.Dropped = append(out.Dropped, memberJSON(l))
	}
	return encode(w, out)
}
