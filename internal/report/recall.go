package report

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"html/template"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/register"
	"bittersum/internal/stock"
)

// RecallEndings are the endings of file names that a trace can be written to.
var RecallEndings = []string{".csv", ".html"}

// recallHeading is the heading of a trace as CSV: a line for each thing that went in or out of a batch.
var recallHeading = []string{"batch", "lot_code", "best_before", "made_on", "state", "bottles", "direction", "what", "lot", "kg", "supplier", "delivery_note", "received", "customer", "bottles_sold", "on"}

// recallRow is one line of a trace: In for what went in, out for where it went.
type recallRow struct {
	In                                  bool
	What, Lot, Kg, Supplier, Note, Date string
	Customer, Bottles, On               string
}

func recallRows(t stock.Traced) []recallRow {
	var rows []recallRow
	for _, l := range t.Lots {
		rows = append(rows, recallRow{In: true, What: l.Lot.Ingredient, Lot: l.Lot.Number, Kg: trimmed(l.Kg, 7), Supplier: l.Lot.Supplier, Note: l.Lot.DeliveryNote, Date: date(l.Lot.Received)})
	}
	names := make([]string, 0, len(t.Goods))
	for name := range t.Goods {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		row := recallRow{In: true, What: name, Lot: t.Goods[name]}
		if t.Made != nil {
			row.Kg = trimmed(t.Made.Weighed[name]/1000, 7)
		}
		rows = append(rows, row)
	}
	for _, s := range t.Sold {
		rows = append(rows, recallRow{Customer: s.To, Bottles: strconv.Itoa(s.Bottles), On: s.On})
	}
	return rows
}

// about are the words on a batch: lot code, best before, day, state and bottles.
func about(t stock.Traced) (code, best, made, state, bottles string) {
	state = "not in the register"
	if t.Made != nil {
		code, best, made, state, bottles = t.Made.LotCode, t.Made.BestBefore, t.Made.MadeOn, t.Made.Verdict, count(t.Made.Bottles)
	}
	if d := t.Decided; d != nil {
		state += ", " + d.What
		code, best = first(d.LotCode, code), first(d.BestBefore, best)
	}
	return code, best, made, state, bottles
}

func first(texts ...string) string {
	for _, text := range texts {
		if text != "" {
			return text
		}
	}
	return ""
}

// RecallCSV writes a trace as CSV.
func RecallCSV(w io.Writer, traced []stock.Traced) error {
	out := csv.NewWriter(w)
	rows := [][]string{recallHeading}
	for _, t := range traced {
		code, best, made, state, bottles := about(t)
		for _, r := range recallRows(t) {
			direction := "in"
			if !r.In {
				direction = "out"
			}
			rows = append(rows, neutral([]string{t.Batch, code, best, made, state, bottles, direction, r.What, r.Lot, r.Kg, r.Supplier, r.Note, r.Date, r.Customer, r.Bottles, r.On}))
		}
	}
	return out.WriteAll(rows)
}

// neutral keeps spreadsheets from taking words for formulas: cells that begin with = + - @ and are no
// numbers get an apostrophe.
func neutral(cells []string) []string {
	for n, text := range cells {
		if strings.TrimLeft(text, "=+-@\t\r") == text {
			continue
		}
		if _, err := strconv.ParseFloat(text, 64); err != nil {
			cells[n] = "'" + text
		}
	}
	return cells
}

// Recall writes a trace as text.
func Recall(w io.Writer, traced []stock.Traced) {
	for n, t := range traced {
		if n > 0 {
			fmt.Fprintln(w)
		}
		code, best, made, state, bottles := about(t)
		text := "Batch " + t.Batch
		for _, part := range [][2]string{{"lot code ", code}, {"best before ", best}, {"made on ", made}, {"", state}} {
			if part[1] != "" {
				text += ", " + part[0] + part[1]
			}
		}
		fmt.Fprintln(w, wrap(text, width, "  "))
		in := newTable("  ", "lin it", "llot", ".kg", "lsupplier", "ldelivery note", "lreceived")
		out := newTable("  ", "lwent to", "rbottles", "lon")
		for _, r := range recallRows(t) {
			if r.In {
				in.row(r.What, r.Lot, r.Kg, r.Supplier, r.Note, r.Date)
			} else {
				out.row(r.Customer, r.Bottles, r.On)
			}
		}
		in.write(w)
		if len(out.rows) > 0 {
			out.write(w)
		}
		if bottles != "" {
			fmt.Fprintf(w, "  %s bottles were filled, %d are not sold.\n", bottles, t.Left)
		}
	}
}

//go:embed recall.html
var recallHTML string

var recallTemplate = template.Must(template.New("recall").Parse(recallHTML))

// RecallFile writes a trace in the form that the file's name says.
func RecallFile(w io.Writer, file, name, day string, traced []stock.Traced) error {
	if strings.EqualFold(filepath.Ext(file), ".csv") {
		return RecallCSV(w, traced)
	}
	return RecallHTML(w, name, day, traced)
}

// RecallHTML writes a trace as a page to print.
func RecallHTML(w io.Writer, name, day string, traced []stock.Traced) error {
	type batch struct {
		Batch, Code, Best, Made, State, Bottles string
		Left                                    int
		In, Out                                 []recallRow
	}
	page := struct {
		Name, Day string
		Batches   []batch
	}{Name: name, Day: day}
	for _, t := range traced {
		b := batch{Batch: t.Batch, Left: t.Left}
		b.Code, b.Best, b.Made, b.State, b.Bottles = about(t)
		for _, r := range recallRows(t) {
			if r.In {
				b.In = append(b.In, r)
			} else {
				b.Out = append(b.Out, r)
			}
		}
		page.Batches = append(page.Batches, b)
	}
	return recallTemplate.Execute(w, page)
}

type jsonTraced struct {
	Batch   string            `json:"batch"`
	Made    *register.Entry   `json:"made,omitempty"`
	Decided *register.Entry   `json:"decided,omitempty"`
	Lots    []jsonTaken       `json:"lots"`
	Goods   map[string]string `json:"goods,omitempty"`
	Sold    []register.Entry  `json:"sold,omitempty"`
	Left    int               `json:"bottles_left"`
}

// RecallJSON writes a trace as JSON.
func RecallJSON(w io.Writer, traced []stock.Traced) error {
	items := []jsonTraced{}
	for _, t := range traced {
		j := jsonTraced{Batch: t.Batch, Made: t.Made, Decided: t.Decided, Goods: t.Goods, Sold: t.Sold, Left: t.Left, Lots: []jsonTaken{}}
		for _, l := range t.Lots {
			j.Lots = append(j.Lots, jsonTaken{l.Batch, l.Lot.Number, l.Lot.Ingredient, number(l.Kg), date(l.On)})
		}
		items = append(items, j)
	}
	return encode(w, jsonLibrary{registerSchema, items})
}

// OwnRecall reports whether a file is a trace as RecallCSV or RecallHTML writes it.
func OwnRecall(data []byte) bool {
	return strings.HasPrefix(string(data), strings.Join(recallHeading, ",")) || strings.Contains(string(data[:min(len(data), 400)]), `<meta name="generator" content="`+program+`">`)
}
