package kettle

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bittersum/internal/tomlfile"
)

// Record is what was really weighed and measured for a batch, beside what was planned.
type Record struct {
	File string
	// ID tells the record from every other, also of the same number; empty until it is given one.
	ID           string
	Batch, Brief string
	// BriefPrint is the fingerprint of the brief that the batch was planned from, or empty.
	BriefPrint string
	PlannedL   float64
	PlannedOn  time.Time
	// MadeOn is the day the batch was made, zero while it is not said.
	MadeOn time.Time
	// LotCode and BestBefore are what the bottles bear.
	LotCode    string
	BestBefore time.Time
	By, Note   string
	Weighed    []Weighed
	Measured   []Measured

	text string // what was read
}

// Clone returns a copy that can be changed on its own.
func (r *Record) Clone() *Record {
	c := *r
	c.Weighed, c.Measured = slices.Clone(r.Weighed), slices.Clone(r.Measured)
	return &c
}

// Text returns what the record was read from.
func (r *Record) Text() string { return r.text }

// Weighed is one source of a batch. PlannedG is NaN for what was not planned and Grams while nothing is
// written down.
type Weighed struct {
	Ingredient, Lot string
	// LotUsed is the maker's number on what was used of goods bought without a lot of the lots file.
	LotUsed string
	// AskLot says that a line for it belongs in the form.
	AskLot                     bool
	PlannedG, DivisionG, Grams float64
	Line                       int
}

// Name returns the source's name.
func (w Weighed) Name() string {
	if w.Lot == "" {
		return w.Ingredient
	}
	return w.Ingredient + "/" + w.Lot
}

// Measured is one measurement. Planned is NaN where nothing was expected and Value while nothing is
// written down.
type Measured struct {
	Name           string
	Planned, Value float64
	Line           int
}

// NewRecord returns the form for a plan: what is planned, nothing weighed.
func NewRecord(p *Plan) *Record {
	r := &Record{ID: NewIdentity(), Batch: p.Options.Number, Brief: p.Job.Name, BriefPrint: p.Job.Fingerprint, PlannedL: p.Options.Litres, PlannedOn: p.Job.Day, LotCode: p.Options.Number, BestBefore: p.Job.BestBefore(p.Job.Day)}
	for _, l := range p.Lines {
		w := Weighed{Ingredient: l.Source.Ingredient.Name, PlannedG: l.Grams, DivisionG: l.DivisionG, Grams: math.NaN()}
		if l.Source.Lot != nil {
			w.Lot = l.Source.Lot.Number
		}
		w.AskLot = l.Source.Lot == nil && !l.Source.Water()
		r.Weighed = append(r.Weighed, w)
	}
	for _, h := range p.Holds {
		if h.Measure != "" {
			r.Measured = append(r.Measured, Measured{Name: h.Measure, Planned: significant(h.Expect), Value: math.NaN()})
		}
	}
	return r
}

// significant returns x with five digits, as a plan is kept.
func significant(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 5, 64), 64)
	return y
}

// ReadRecord reads a record. The error is a tomlfile.Faults.
func ReadRecord(path string) (*Record, error) {
	text, err := tomlfile.ReadText(path)
	if err != nil {
		return nil, err
	}
	r, err := parseRecord(path, text)
	if err != nil {
		return nil, err
	}
	r.text = text
	return r, nil
}

func parseRecord(path, text string) (*Record, error) {
	doc, err := tomlfile.Parse(path, []byte(text))
	if err != nil {
		return nil, err
	}
	nan := math.NaN()
	root := doc.Root()
	root.Require("batch")
	r := &Record{
		File: path, ID: root.String("id"), Batch: root.String("batch"), Brief: root.String("brief"), BriefPrint: root.String("brief_sha256"),
		PlannedL: root.NumberOr("planned_l", tomlfile.Positive, nan), PlannedOn: root.Date("planned_on"),
		LotCode: root.String("lot_code"), BestBefore: root.Date("best_before"), MadeOn: root.Date("made_on"), By: root.String("by"), Note: root.String("note"),
	}
	seen := map[string]int{}
	for _, t := range root.Tables("weighed") {
		t.Require("ingredient")
		w := Weighed{
			Ingredient: t.String("ingredient"), Lot: t.String("lot"), LotUsed: t.String("lot_used"),
			PlannedG: t.NumberOr("planned_g", tomlfile.NonNegative, nan), DivisionG: t.NumberOr("division_g", tomlfile.Positive, 0),
			Grams: t.NumberOr("grams", tomlfile.NonNegative, nan), Line: t.Line(""),
		}
		if first := seen[w.Name()]; first > 0 {
			t.Fault("", fmt.Sprintf("%q stands twice, first on line %d", w.Name(), first), "")
		}
		seen[w.Name()] = w.Line
		t.Done()
		r.Weighed = append(r.Weighed, w)
	}
	if measured := root.Table("measured"); measured != nil {
		for _, t := range measured.Named() {
			r.Measured = append(r.Measured, Measured{
				Name: t.Key(), Planned: t.NumberOr("planned", tomlfile.Any, nan), Value: t.NumberOr("value", tomlfile.Any, nan), Line: t.Line(""),
			})
			t.Done()
		}
	}
	root.Done()
	return r, doc.Err()
}

// bareKey matches what TOML takes as a key without quotes.
var bareKey = regexp.MustCompile(`^[A-Za-z0-9_-]+$`)

func quote(text string) string {
	var q strings.Builder
	e := json.NewEncoder(&q) // JSON's escapes are TOML's too
	e.SetEscapeHTML(false)
	_ = e.Encode(text)
	return strings.TrimSpace(q.String())
}

func key(name string) string {
	if bareKey.MatchString(name) {
		return name
	}
	return quote(name)
}

// TOML returns the record in the form that ReadRecord reads, with a line to fill in wherever a value is
// still missing.
func (r *Record) TOML() []byte {
	var b bytes.Buffer
	number := func(key string, x float64, ask bool) {
		switch {
		case !math.IsNaN(x):
			fmt.Fprintf(&b, "%s = %s\n", key, plainNumber(x))
		case ask:
			fmt.Fprintf(&b, "# %s =\n", key)
		}
	}
	text := func(key, value string) {
		if value == "" {
			fmt.Fprintf(&b, "# %s = \"\"\n", key)
			return
		}
		fmt.Fprintf(&b, "%s = %s\n", key, quote(value))
	}
	day := func(key string, d time.Time) {
		if d.IsZero() {
			fmt.Fprintf(&b, "# %s = 2026-03-31\n", key)
			return
		}
		fmt.Fprintf(&b, "%s = %s\n", key, d.Format(time.DateOnly))
	}
	fmt.Fprintf(&b, "# What was really weighed and measured for a batch. Take the # away and fill in.\n")
	text("batch", r.Batch)
	given := func(key, value string) {
		if value != "" {
			text(key, value)
		}
	}
	given("id", r.ID)
	text("brief", r.Brief)
	given("brief_sha256", r.BriefPrint)
	number("planned_l", r.PlannedL, false)
	day("planned_on", r.PlannedOn)
	day("made_on", r.MadeOn)
	given("lot_code", r.LotCode)
	if !r.BestBefore.IsZero() {
		day("best_before", r.BestBefore)
	}
	text("by", r.By)
	text("note", r.Note)
	for _, w := range r.Weighed {
		fmt.Fprintf(&b, "\n[[weighed]]\ningredient = %s\n", quote(w.Ingredient))
		if w.Lot != "" {
			fmt.Fprintf(&b, "lot = %s\n", quote(w.Lot))
		} else if w.LotUsed != "" || w.AskLot {
			text("lot_used", w.LotUsed)
		}
		number("planned_g", w.PlannedG, false)
		if w.DivisionG > 0 {
			number("division_g", w.DivisionG, false)
		}
		number("grams", w.Grams, true)
	}
	for _, m := range r.Measured {
		fmt.Fprintf(&b, "\n[measured.%s]\n", key(m.Name))
		number("planned", m.Planned, false)
		number("value", m.Value, true)
	}
	return b.Bytes()
}
