package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/kettle"

	"github.com/xuri/excelize/v2"
)

// workbook writes sheets of a workbook, row by row, and keeps the first error.
type workbook struct {
	*excelize.File
	bold, wrap int
	paper      int
	err        error
}

func (b *workbook) note(err error) {
	if b.err == nil {
		b.err = err
	}
}

// sheet adds a sheet with a heading and rows; widths are those of its columns in letters.
func (b *workbook) sheet(name string, above [][]any, heading []string, rows [][]any, widths []float64) {
	if _, err := b.NewSheet(name); err != nil {
		b.note(err)
		return
	}
	line := 1
	put := func(cells []any, style int) {
		at, err := excelize.CoordinatesToCellName(1, line)
		b.note(err)
		b.note(b.SetSheetRow(name, at, &cells))
		if style != 0 && len(cells) > 0 {
			end, err := excelize.CoordinatesToCellName(len(cells), line)
			b.note(err)
			b.note(b.SetCellStyle(name, at, end, style))
		}
		line++
	}
	for _, cells := range above {
		put(cells, 0)
	}
	titles := make([]any, len(heading))
	for n, title := range heading {
		titles[n] = title
	}
	put(titles, b.bold)
	for _, cells := range rows {
		put(cells, b.wrap)
	}
	for n, width := range widths {
		column, err := excelize.ColumnNumberToName(n + 1)
		b.note(err)
		b.note(b.SetColWidth(name, column, column, width))
	}
	landscape, one, zero, fit := "landscape", 1, 0, true
	b.note(b.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &b.paper, Orientation: &landscape, FitToWidth: &one, FitToHeight: &zero}))
	b.note(b.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}))
}

// value returns a number for a cell, or nothing where there is none.
func value(x float64) any {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return x
}

// written makes a workbook of the sheets that fill adds and writes it.
func written(w io.Writer, paper string, fill func(b *workbook)) error {
	f := excelize.NewFile()
	defer f.Close()
	b := &workbook{File: f, paper: 9} // A4 in the numbering of OOXML
	if paper == "letter" {
		b.paper = 1
	}
	b.note(f.SetDocProps(&excelize.DocProperties{Creator: program}))
	var err error
	b.bold, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Border: []excelize.Border{{Type: "bottom", Color: "000000", Style: 2}}})
	b.note(err)
	b.wrap, err = f.NewStyle(&excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}, Border: []excelize.Border{{Type: "bottom", Color: "999999", Style: 1}}})
	b.note(err)
	fill(b)
	b.note(f.DeleteSheet("Sheet1"))
	if b.err != nil {
		return fmt.Errorf("report: workbook: %w", b.err)
	}
	if _, err := f.WriteTo(w); err != nil {
		return fmt.Errorf("report: workbook: %w", err)
	}
	return nil
}

// BatchXLSX writes a batch as a workbook: amounts as numbers, with cells to fill in.
func BatchXLSX(w io.Writer, p *kettle.Plan, paper string) error {
	return written(w, paper, func(b *workbook) {
		b.weigh(p)
		b.work(p)
		b.holds(p)
		b.caps(p)
		b.buy(p)
	})
}

func (b *workbook) weigh(p *kettle.Plan) {
	above := [][]any{
		{"Batch " + p.Options.Number}, {p.Job.Name}, {batchLine(p)}, {roundingText(p)}, {strings.Join(RestNotes(p.Assessment), " ")}, {strings.Join(costNotes(p), " ")},
	}
	var rows [][]any
	for _, r := range weighRows(p) {
		row := []any{r.Step, r.Ingredient, r.Lot, r.BestBefore, r.Grams, r.Division, r.Scale, r.Loads, r.TakeG, nil, nil, nil, nil, r.Cost, r.PriceFrom, r.BitternessFrom, nil, nil}
		if r.Packs > 0 {
			row[9], row[10], row[11] = r.PackKg, r.Packs, r.LeftInPackG
		}
		if r.Lot != "" {
			row[12] = r.LeftKg
		}
		rows = append(rows, row)
	}
	b.sheet("Weigh", above, append(append([]string(nil), weighHeading...), "weighed_g", "signed"), rows,
		[]float64{14, 26, 12, 12, 12, 10, 16, 7, 12, 9, 7, 13, 13, 10, 12, 12, 14, 10})
}

func (b *workbook) work(p *kettle.Plan) {
	var rows [][]any
	for n, s := range p.Steps {
		row := []any{n + 1, s.Name, s.Do, nil, nil, nil, nil, nil, nil}
		if e := s.Expect; e != nil {
			row = append(row[:3], value(e.Litres), value(e.Kg), value(e.Density), value(e.Brix), value(e.Acidity), value(e.PH))
		}
		rows = append(rows, row)
	}
	b.sheet("Work", nil, []string{"no", "step", "do", "litres", "kg", "kg_per_l", "brix", "acidity_g_per_l", "ph"}, rows, []float64{5, 16, 60, 10, 10, 10, 10, 14, 8})
}

func (b *workbook) holds(p *kettle.Plan) {
	var rows [][]any
	for _, h := range p.Holds {
		rows = append(rows, []any{h.After, h.Ask, h.Measure, h.Unit, value(h.Expect), value(h.Least), value(h.Most), h.From, nil, nil})
	}
	b.sheet("Hold points", nil, []string{"after", "ask", "measure", "unit", "expect", "at_least", "at_most", "from", "found", "signed"}, rows,
		[]float64{12, 50, 18, 8, 10, 10, 10, 36, 12, 10})
}

func (b *workbook) caps(p *kettle.Plan) {
	var rows [][]any
	for _, c := range p.Assessment.Caps {
		rows = append(rows, []any{c.Substance, c.Guarded, c.Max, c.Unit(), c.HeadRoom, c.Market.Name, c.Citation, c.Text})
	}
	b.sheet("Caps", [][]any{{judgedText(p.Job)}}, []string{"substance", "at_most", "cap", "unit", "head_room_share", "market", "rule", "text"}, rows, []float64{22, 12, 10, 8, 14, 8, 60, 10})
}

func (b *workbook) buy(p *kettle.Plan) {
	var rows, made [][]any
	for _, x := range p.Shopping {
		row := []any{x.Ingredient, x.NeedKg, nil, nil, x.OrderKg, x.PricePerKg, x.Cost, x.PriceFrom}
		for _, need := range x.Make {
			made = append(made, []any{need.Name + " for " + x.Ingredient, need.Kg})
		}
		if x.Packs > 0 {
			row[2], row[3] = x.PackKg, x.Packs
		}
		rows = append(rows, row)
	}
	rows = append(rows, made...)
	b.sheet("To buy", nil, []string{"ingredient", "need_kg", "pack_kg", "packs", "order_kg", "price_per_kg", "cost", "price_from"}, rows, []float64{26, 12, 10, 8, 12, 14, 12, 16})
}
