package report

import (
	_ "embed"
	"html/template"
	"io"
	"strconv"

	"bittersum/internal/assess"
	"bittersum/internal/kettle"
)

//go:embed sheet.html
var sheetHTML string

var sheetTemplate = template.Must(template.New("sheet").Parse(sheetHTML))

type htmlWeigh struct{ Step, Ingredient, Lot, BestBefore, Amount, Cut, Packs, On string }
type htmlStep struct{ No, Name, Do, Expect string }
type htmlHold struct{ After, Ask, Expect, From string }
type htmlCap struct{ Substance, Most, Cap, Unit, Room, Rule string }
type htmlBuy struct{ Ingredient, Need, Order, Cost, Note string }

// htmlSheet is what the template of a batch sheet shows: words only.
type htmlSheet struct {
	Page, Number, Name, Line, Order, Assurance, Rounding, Currency string
	Recalled, Dense, Denser                                        bool
	Weigh                                                          []htmlWeigh
	Steps                                                          []htmlStep
	Holds                                                          []htmlHold
	Caps                                                           []htmlCap
	JudgedBy                                                       string
	Buy                                                            []htmlBuy
	Cautions                                                       []assess.Caution
	Notes, Make                                                    []string
}

// denseFrom is the number of rows above which a sheet is set closer, so that it stays on one page.
var denseFrom = map[string]int{"a4": 29, "letter": 26}

// denserBy is by how many rows more it is set closer still.
const denserBy = 6

// BatchHTML writes a batch as a page to print in black and white, on a4 or letter paper.
func BatchHTML(w io.Writer, p *kettle.Plan, paper string) error {
	s := htmlSheet{
		Page: map[string]string{"a4": "A4", "letter": "letter"}[paper], Number: p.Options.Number, Name: p.Job.Name, Line: batchLine(p),
		Order: "what expires first goes first", Assurance: percent(p.Job.Assurance), Rounding: roundingText(p), Currency: p.Job.Currency,
		Cautions: kettleCautions(p), Notes: append(costNotes(p), RestNotes(p.Assessment)...), Make: toMake(p),
	}
	if p.Options.Cheapest {
		s.Order = "the cheapest"
	}
	for n, st := range p.Steps {
		for _, at := range st.Lines {
			l := p.Lines[at]
			row := htmlWeigh{Step: strconv.Itoa(n + 1), Ingredient: l.Source.Ingredient.Name, Lot: lotBlank(l.Source), Amount: grams(l.Grams, l.DivisionG), Cut: taken(l), Packs: packs(l), On: loads(l)}
			if l.Source.Lot != nil {
				row.BestBefore = date(l.Source.Lot.BestBefore)
			}
			s.Weigh = append(s.Weigh, row)
		}
		step := htmlStep{No: strconv.Itoa(n + 1), Name: st.Name, Do: st.Do}
		if st.Expect != nil {
			step.Expect = expected(st.Expect)
		}
		s.Steps = append(s.Steps, step)
	}
	for _, h := range p.Holds {
		s.Holds = append(s.Holds, htmlHold{h.After, h.Ask, expectation(h), h.From})
	}
	s.caps(p.Assessment)
	s.JudgedBy = judgedText(p.Job)
	rows := len(s.Weigh) + len(s.Holds) + len(s.Steps) + len(s.Caps)/2 + len(s.Cautions)/3
	s.Dense, s.Denser = rows > denseFrom[paper], rows > denseFrom[paper]+denserBy
	for _, b := range p.Shopping {
		order := trimmed(b.OrderKg, 5) + " kg"
		if b.Packs > 0 {
			order = strconv.Itoa(b.Packs) + " of " + plain(b.PackKg) + " kg"
		}
		s.Buy = append(s.Buy, htmlBuy{b.Ingredient, figures(b.NeedKg, 4), order, fixed(b.Cost, 2), buyNote(b)})
	}
	return sheetTemplate.Execute(w, s)
}

// costNotes are what is to be said with the cost, as in the text.
func costNotes(p *kettle.Plan) []string {
	var notes []string
	for _, text := range []string{allowanceText(p), firstOutText(p), trimmingsText(p)} {
		if text != "" {
			notes = append(notes, text)
		}
	}
	return notes
}

// caps takes over the caps on what the batch carries.
func (s *htmlSheet) caps(a *assess.Assessment) {
	for _, c := range a.Caps {
		if c.Guarded == 0 && len(c.Accepted) == 0 {
			continue
		}
		mark := ""
		if c.Unconfirmed() {
			mark, s.Recalled = "*", true
		}
		room := percent(c.HeadRoom)
		if len(c.Accepted) > 0 {
			room = "unknown"
		}
		s.Caps = append(s.Caps, htmlCap{c.Substance, figures(c.Guarded, 3), plain(c.Max) + mark, c.Unit(), room, c.Market.Name + ": " + c.Citation})
	}
}
