package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/kettle"
)

// batchSchema and madeSchema name what the JSON of batch and record holds.
const (
	batchSchema = "bittersum/batch/1"
	madeSchema  = "bittersum/record/1"
)

// Made writes what was made against its plan.
func Made(w io.Writer, m *kettle.Made) {
	r := m.Record
	fmt.Fprintf(w, "Batch %s", r.Batch)
	if !r.MadeOn.IsZero() {
		fmt.Fprintf(w, ", made on %s", date(r.MadeOn))
	}
	if r.By != "" {
		fmt.Fprintf(w, " by %s", r.By)
	}
	fmt.Fprintln(w)
	title(w, m.Job)
	switch {
	case m.Assessment != nil && !m.Assessment.KeepsCaps():
		fmt.Fprintln(w, "DOES NOT KEEP THE CAPS. Not to be sold.")
	case len(m.Wrong) > 0:
		fmt.Fprintln(w, "Something is wrong:")
	case len(m.Missing) > 0:
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("Not all is written down yet: %s.", strings.Join(m.Missing, ", ")), width, "  "))
	case len(m.Assessment.Misses()) > 0:
		fmt.Fprintln(w, "Keeps the caps but misses the brief:")
	default:
		fmt.Fprintln(w, "Meets the brief and keeps the caps, from its real lots.")
	}
	for _, wrong := range m.Wrong {
		fmt.Fprintf(w, "  - %s\n", wrap(wrong, width-4, "    "))
	}
	if m.Assessment != nil && len(m.Missing) == 0 {
		for _, miss := range m.Assessment.Misses() {
			fmt.Fprintf(w, "  - %s\n", miss)
		}
	}
	fmt.Fprintln(w)
	madeTables(w, m)
	if m.Assessment != nil && len(m.Missing) == 0 {
		judged(w, m.Assessment)
	}
	if m.Assessment != nil {
		caps(w, m.Assessment)
	}
	if r.Note != "" {
		fmt.Fprintf(w, "%s\n\n", wrap("Note: "+r.Note, width, "  "))
	}
}

// or prints x, or a word when there is none.
func or(x float64, print func(float64) string, none string) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return none
	}
	return print(x)
}

func madeTables(w io.Writer, m *kettle.Made) {
	t := newTable("  ", "lweighed, g", "llot", ".planned", ".weighed", ".off", "r", "l")
	for _, l := range m.Lines {
		note := ""
		if l.Notable {
			note = "check"
		}
		if math.IsNaN(l.PlannedG) {
			note = "not planned"
		}
		t.row(l.Ingredient, l.Lot, or(l.PlannedG, plain, ""), or(l.Grams, plain, "missing"),
			or(l.OffG, func(x float64) string { return signed(x, 3) }, ""), or(l.OffShare, signedPercent, ""), note)
	}
	t.write(w)
	fmt.Fprintln(w)
	t = newTable("  ", "lmeasured", ".expected", ".found", ".off")
	for _, x := range m.Measures {
		t.row(x.Name, or(x.Planned, plain, ""), or(x.Value, plain, "missing"), or(x.Off, func(x float64) string { return signed(x, 3) }, ""))
	}
	if len(t.rows) > 0 {
		t.write(w)
		fmt.Fprintln(w)
	}
}

func signedPercent(share float64) string {
	text := figures(100*share, 2)
	if share > 0 {
		text = "+" + text
	}
	return text + " %"
}

type jsonMadeLine struct {
	Ingredient string `json:"ingredient"`
	Lot        string `json:"lot,omitempty"`
	Planned    number `json:"planned_g"`
	Weighed    number `json:"weighed_g"`
	Off        number `json:"off_g"`
	Notable    bool   `json:"notable,omitempty"`
}

type jsonMeasure struct {
	Name    string `json:"name"`
	Planned number `json:"planned"`
	Value   number `json:"value"`
}

type jsonMade struct {
	Schema     string          `json:"schema"`
	Batch      string          `json:"batch"`
	MadeOn     string          `json:"made_on,omitempty"`
	Sound      bool            `json:"sound"`
	Missing    []string        `json:"missing,omitempty"`
	Wrong      []string        `json:"wrong,omitempty"`
	Weighed    []jsonMadeLine  `json:"weighed"`
	Measured   []jsonMeasure   `json:"measured"`
	Assessment *jsonAssessment `json:"assessment,omitempty"`
}

// MadeJSON writes what was made as JSON.
func MadeJSON(w io.Writer, m *kettle.Made) error {
	out := jsonMade{Schema: madeSchema, Batch: m.Record.Batch, MadeOn: date(m.Record.MadeOn), Sound: m.Sound(), Missing: m.Missing, Wrong: m.Wrong,
		Weighed: []jsonMadeLine{}, Measured: []jsonMeasure{}}
	for _, l := range m.Lines {
		out.Weighed = append(out.Weighed, jsonMadeLine{l.Ingredient, l.Lot, number(l.PlannedG), number(l.Grams), number(l.OffG), l.Notable})
	}
	for _, x := range m.Measures {
		out.Measured = append(out.Measured, jsonMeasure{x.Name, number(x.Planned), number(x.Value)})
	}
	if m.Assessment != nil {
		out.Assessment = toJSON(m.Assessment)
	}
	return encode(w, out)
}
