package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/kettle"
)

// sheetForms are the endings of files that a batch sheet can be written to.
var sheetForms = map[string]func(w io.Writer, p *kettle.Plan, paper string) error{
	".txt":  func(w io.Writer, p *kettle.Plan, _ string) error { Batch(w, p); return nil },
	".csv":  func(w io.Writer, p *kettle.Plan, _ string) error { return BatchCSV(w, p) },
	".json": func(w io.Writer, p *kettle.Plan, _ string) error { return BatchJSON(w, p) },
	".xlsx": BatchXLSX,
	".html": BatchHTML,
}

// SheetEndings are the endings of file names that a batch sheet can be written to.
var SheetEndings = []string{".html", ".xlsx", ".csv", ".txt", ".json"}

// Sheet writes a batch sheet in the form that the file's name says; paper is a4 or letter.
func Sheet(w io.Writer, p *kettle.Plan, file, paper string) error {
	form := sheetForms[strings.ToLower(filepath.Ext(file))]
	if form == nil {
		return fmt.Errorf("report: there is no sheet of the kind of %s", file)
	}
	return form(w, p, paper)
}

// weighHeading is the heading of the table of amounts, in CSV and XLSX alike.
var weighHeading = []string{"step", "ingredient", "lot", "best_before", "grams", "division_g", "scale", "loads", "take_g", "pack_kg", "packs", "left_in_pack_g", "left_in_lot_kg", "cost", "price_from", "bitterness_from"}

// weighRow is one line of it.
type weighRow struct {
	Step, Ingredient, Lot, BestBefore string
	Grams, Division                   float64
	Scale                             string
	Loads                             int
	TakeG, PackKg                     float64
	Packs                             int
	LeftInPackG, LeftKg, Cost         float64
	Text                              string // the amount as it is read from the scale
	PriceFrom, BitternessFrom         string // where these figures come from
}

// weighRows puts the lines in the order of work.
func weighRows(p *kettle.Plan) []weighRow {
	var rows []weighRow
	for _, s := range p.Steps {
		for _, at := range s.Lines {
			l := p.Lines[at]
			row := weighRow{
				Step: s.Name, Ingredient: l.Source.Ingredient.Name, Lot: lotOf(l.Source), Grams: l.Grams, Division: l.DivisionG, Scale: l.Scale.Name, Loads: l.Loads,
				TakeG: l.TakeG, PackKg: l.PackKg, Packs: l.Packs, LeftInPackG: l.LeftInPackG, LeftKg: l.LeftKg, Cost: l.Cost, Text: grams(l.Grams, l.DivisionG),
				PriceFrom: l.Source.PriceFrom, BitternessFrom: string(assess.BasisOf(l.Source, assess.Bitterness)),
			}
			if l.Source.Lot != nil {
				row.BestBefore = date(l.Source.Lot.BestBefore)
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// BatchCSV writes the amounts of a batch as CSV, their total last; a batch that cannot be made is only a heading.
func BatchCSV(w io.Writer, p *kettle.Plan) error {
	out := csv.NewWriter(w)
	rows := [][]string{append(slices.Clone(weighHeading), "batch", "planned_on", "currency")}
	blank := func(x float64) string {
		if x == 0 {
			return ""
		}
		return figures(x, 6)
	}
	about := []string{p.Options.Number, date(p.Job.Day), p.Job.Currency}
	weighed, taken, cost := 0.0, 0.0, 0.0
	for _, r := range weighRows(p) {
		weighed, taken, cost = weighed+r.Grams, taken+r.TakeG, cost+r.Cost
		row := []string{r.Step, r.Ingredient, r.Lot, r.BestBefore, plain(r.Grams), plain(r.Division), r.Scale, fmt.Sprint(r.Loads), figures(r.TakeG, 6),
			blank(r.PackKg), "", blank(r.LeftInPackG), "", figures(r.Cost, 6), r.PriceFrom, r.BitternessFrom}
		if r.Packs > 0 {
			row[10] = fmt.Sprint(r.Packs)
		}
		if r.Lot != "" {
			row[12] = figures(r.LeftKg, 6)
		}
		rows = append(rows, neutral(append(row, about...)))
	}
	if len(rows) > 1 {
		total := make([]string, len(weighHeading))
		total[0], total[4], total[8], total[13] = "total", figures(weighed, 9), figures(taken, 9), figures(cost, 6)
		rows = append(rows, neutral(append(total, about...)))
	}
	return out.WriteAll(rows)
}
