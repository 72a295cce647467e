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
	fmt.Fprintln(w, verdictText(m))
	for _, f := range m.Findings {
		if f.Class == kettle.Noted {
			continue
		}
		text := f.Text
		if f.Do != "" {
			text += ". To do: " + f.Do
		}
		fmt.Fprintf(w, "  - %s\n", wrap(text+".", width-4, "    "))
	}
	if len(m.Missing) > 0 {
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("Not all is written down yet: %s.", strings.Join(m.Missing, ", ")), width, "  "))
	}
	if text := correctionText(m); text != "" {
		fmt.Fprintf(w, "%s\n", wrap(text, width, "  "))
	}
	fmt.Fprintln(w)
	madeTables(w, m)
	askedTable(w, m)
	if m.Assessment != nil {
		caps(w, m.Assessment, InFull)
	}
	for _, f := range m.Of(kettle.Noted) {
		fmt.Fprintf(w, "%s\n\n", wrap(f.Text, width, "  "))
	}
	if r.Note != "" {
		fmt.Fprintf(w, "%s\n\n", wrap("Note: "+r.Note, width, "  "))
	}
}

// correctionText says what to add to what was weighed; it is empty where nothing needs to be.
func correctionText(m *kettle.Made) string {
	c := m.Correction
	switch {
	case c == nil:
		return ""
	case c.After == nil:
		return "By what was weighed no addition was found that brings it within the brief."
	}
	var add []string
	for _, a := range c.Add {
		add = append(add, grams(a.Grams, a.DivisionG)+" of "+a.Source.Name)
	}
	return fmt.Sprintf("As long as it is in the kettle: with %s more than was weighed so far it meets the brief and keeps the caps, by weight. It is then %s L and costs %s %s more; nothing cheaper does (but for the divisions).",
		strings.Join(add, ", "), fixed(c.After.Recovered, 1), fixed(c.Cost, 2), m.Job.Currency)
}

// verdictText is the verdict in a sentence.
func verdictText(m *kettle.Made) string {
	switch m.Verdict() {
	case kettle.NotToBeSold:
		if m.Assessment != nil && !m.Assessment.KeepsCaps() {
			return "MUST NOT BE SOLD. It does not keep the caps."
		}
		return "MUST NOT BE SOLD."
	case kettle.Misses:
		return "Misses the brief:"
	case kettle.WithinError:
		return "Meets the brief within the instruments' error, and keeps the caps:"
	case kettle.Incomplete:
		return "No verdict yet."
	}
	return "Meets the brief and keeps the caps, from its real lots."
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
	t = newTable("  ", "lmeasured", ".follows", "rgive or take", ".found", "rgive or take", ".off", "l")
	for _, x := range m.Measures {
		note := ""
		if math.Abs(x.Off) > x.Error+x.Implied.Error {
			note = "check"
		}
		t.row(x.Name, or(x.Implied.Value, func(v float64) string { return figures(v, 4) }, ""), or(x.Implied.Error, errorText, ""), or(x.Value, plain, "missing"),
			or(x.Error, errorText, ""), or(x.Off, func(x float64) string { return signed(x, 2) }, ""), note)
	}
	if len(t.rows) > 0 {
		t.write(w)
		fmt.Fprintln(w)
	}
}

// askedTable prints each thing that the brief asks for beside what was found.
func askedTable(w io.Writer, m *kettle.Made) {
	weighed := ".weighed"
	if len(m.Missing) > 0 {
		weighed = ".weighed and planned"
	}
	t := newTable("  ", "ltarget", weighed, ".measured", "l", "lasked", "lverdict")
	for _, q := range m.Asked {
		t.row(strings.TrimPrefix(q.Name, "use of "), or(q.Worked, func(x float64) string { return figures(x, 3) }, "unknown"), or(q.Measured, plain, ""), q.Unit, span(q.Min, q.Max), askedWords[q.Class])
	}
	if len(t.rows) > 0 {
		t.write(w)
		fmt.Fprintln(w)
	}
}

var askedWords = map[kettle.Class]string{kettle.Noted: "meets", kettle.Near: "within the error", kettle.Missed: "misses"}

// errorText prints how far a value may be off; a count is exact.
func errorText(e float64) string {
	if e == 0 {
		return ""
	}
	return figures(e, 2)
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
	Follows number `json:"follows"`
	Spread  number `json:"follows_error"`
	Error   number `json:"error"`
}

// jsonCorrection is what to add; Found is false when no addition helps.
type jsonCorrection struct {
	Found  bool           `json:"found"`
	Add    []jsonAddition `json:"add,omitempty"`
	Litres number         `json:"litres"`
	Cost   number         `json:"cost"`
	Says   string         `json:"says"`
}

type jsonAddition struct {
	Source string `json:"source"`
	Grams  number `json:"g"`
}

// jsonFinding is one thing said of a made batch.
type jsonFinding struct {
	Class string `json:"class"`
	Text  string `json:"text"`
	Do    string `json:"to_do,omitempty"`
}

var classWords = map[kettle.Class]string{kettle.Noted: "note", kettle.Near: "within the error", kettle.Missed: "missed", kettle.Barred: "must not be sold"}

type jsonMade struct {
	Schema     string          `json:"schema"`
	Batch      string          `json:"batch"`
	MadeOn     string          `json:"made_on,omitempty"`
	Sound      bool            `json:"sound"`
	Verdict    string          `json:"verdict"`
	Says       string          `json:"says"`
	Findings   []jsonFinding   `json:"findings,omitempty"`
	Correction *jsonCorrection `json:"correction,omitempty"`
	Missing    []string        `json:"missing,omitempty"`
	Wrong      []string        `json:"wrong,omitempty"`
	Weighed    []jsonMadeLine  `json:"weighed"`
	Measured   []jsonMeasure   `json:"measured"`
	Assessment *jsonAssessment `json:"assessment,omitempty"`
}

// MadeJSON writes what was made as JSON.
func MadeJSON(w io.Writer, m *kettle.Made) error {
	out := jsonMade{Schema: madeSchema, Batch: m.Record.Batch, MadeOn: date(m.Record.MadeOn), Sound: m.Sound(), Verdict: string(m.Verdict()), Says: verdictText(m), Missing: m.Missing, Wrong: m.Wrong,
		Weighed: []jsonMadeLine{}, Measured: []jsonMeasure{}}
	for _, l := range m.Lines {
		out.Weighed = append(out.Weighed, jsonMadeLine{l.Ingredient, l.Lot, number(l.PlannedG), number(l.Grams), number(l.OffG), l.Notable})
	}
	for _, x := range m.Measures {
		out.Measured = append(out.Measured, jsonMeasure{x.Name, number(x.Planned), number(x.Value), number(x.Implied.Value), number(x.Implied.Error), number(x.Error)})
	}
	for _, f := range m.Findings {
		out.Findings = append(out.Findings, jsonFinding{classWords[f.Class], f.Text, f.Do})
	}
	if c := m.Correction; c != nil {
		out.Correction = &jsonCorrection{Found: c.After != nil, Litres: number(math.NaN()), Cost: number(c.Cost), Says: correctionText(m)}
		for _, a := range c.Add {
			out.Correction.Add = append(out.Correction.Add, jsonAddition{a.Source.Name, number(a.Grams)})
		}
		if c.After != nil {
			out.Correction.Litres = number(c.After.Recovered)
		}
	}
	if m.Assessment != nil {
		out.Assessment = toJSON(m.Assessment)
	}
	return encode(w, out)
}
