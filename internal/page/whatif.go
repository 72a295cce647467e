package page

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/label"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"
)

// swapQuestion asks for a drink without what is short.
type swapQuestion struct {
	Question
	// Short is what is short, by ingredient or NAME/LOT, with the g/L that there are.
	Short map[string]float64 `json:"short"`
	// Drift is how many just noticeable differences are allowed; Closest asks for the least first.
	Drift   *float64 `json:"drift"`
	Closest bool     `json:"closest"`
	// Recipe is today's recipe, a file in the folder; empty for the cheapest one.
	Recipe string `json:"recipe"`
}

// repriceQuestion asks what prices do that move, each as NAME=+30%, NAME=8.50 or NAME=6..9.
type repriceQuestion struct {
	Question
	Moves []string `json:"moves"`
	// List is a price list in the folder, CSV or a workbook; empty for none.
	List string `json:"list"`
	// Recipe is today's recipe, a file in the folder; empty for the cheapest one.
	Recipe string `json:"recipe"`
	// Ahead asks what to buy at the old price; nil for no such plan.
	Ahead *ahead `json:"ahead"`
}

// ahead is what a buying plan needs: the day of the new price, what is in hand and made, and how long it keeps.
type ahead struct {
	From          string  `json:"from"`
	StockKg       float64 `json:"stock_kg"`
	MonthlyLitres float64 `json:"monthly_litres"`
	KeepsMonths   float64 `json:"keeps_months"`
}

// otherQuestion asks for other recipes within so many percent of the least cost.
type otherQuestion struct {
	Question
	Percent float64 `json:"percent"`
	Count   int     `json:"count"`
}

// pinsQuestion asks how recipes stand beside the first of them.
type pinsQuestion struct {
	Pins []Question `json:"pins"`
}

// mostPins is how many recipes stand side by side.
const mostPins = 4

func (q *pinsQuestion) check() error {
	if len(q.Pins) < 2 || len(q.Pins) > mostPins {
		return wrong(http.StatusBadRequest, "two to %d recipes stand side by side, not %d", mostPins, len(q.Pins))
	}
	for n := range q.Pins {
		if err := q.Pins[n].check(); err != nil {
			return err
		}
	}
	return nil
}

// labelQuestion asks for the drafts of the labels of a drink, of a recipe in the folder, or of a batch by its record.
type labelQuestion struct {
	Question
	Recipe    string             `json:"recipe"`
	Record    string             `json:"record"`
	Nutrients map[string]float64 `json:"nutrients"`
}

// told is an answer as JSON, in the command's words, and drawn.
type told struct {
	Answer  json.RawMessage `json:"answer"`
	Says    string          `json:"says"`
	Picture string          `json:"picture,omitempty"`
}

// tell puts an answer together; one that is a conflict has no picture.
func tell(w io.Writer, unmet bool, asJSONTo func(io.Writer) error, text func(io.Writer), picture func() (report.Picture, error)) (string, error) {
	var answer, says bytes.Buffer
	if err := asJSONTo(&answer); err != nil {
		return "", err
	}
	text(&says)
	out := told{Answer: answer.Bytes(), Says: says.String()}
	if !unmet && picture != nil {
		drawn, err := picture()
		if err != nil {
			return "", err
		}
		svg, err := drawn.Draw("svg")
		if err != nil {
			return "", err
		}
		out.Picture = string(svg)
	}
	return asJSON, json.NewEncoder(w).Encode(out)
}

func (s *Server) swap(ctx context.Context, q *swapQuestion, w io.Writer) (string, error) {
	if len(q.Short) == 0 && q.Recipe == "" {
		return "", wrong(http.StatusBadRequest, "nothing is said to be short")
	}
	var short []works.Amount
	for _, name := range keys(q.Short) {
		short = append(short, works.Amount{Name: name, Value: q.Short[name]})
	}
	o, err := works.SwapOptions(short, q.Drift, q.Closest)
	if err != nil {
		return "", err
	}
	job, err := s.changed(&q.Question)
	if err != nil {
		return "", err
	}
	if o.Today, err = s.recipe(job, q.Recipe); err != nil {
		return "", err
	}
	a, err := study.Swap(ctx, job, o)
	if err != nil {
		return "", err
	}
	return tell(w, a.Answer.Conflict != nil, func(w io.Writer) error { return report.SwapJSON(w, a) },
		func(w io.Writer) { report.Swap(w, a, report.InFull) }, func() (report.Picture, error) { return report.SwapPicture(a) })
}

func (s *Server) reprice(ctx context.Context, q *repriceQuestion, w io.Writer) (string, error) {
	job, err := s.changed(&q.Question)
	if err != nil {
		return "", err
	}
	list := ""
	if q.List != "" {
		if list, err = s.within(q.List, "price list", ".csv", ".xlsx"); err != nil {
			return "", err
		}
	}
	moves, err := works.PriceMoves(job, q.Moves, list)
	if err != nil {
		return "", err
	}
	if len(moves) == 0 {
		return "", wrong(http.StatusBadRequest, "no price moves")
	}
	today, err := s.recipe(job, q.Recipe)
	if err != nil {
		return "", err
	}
	r, err := study.Reprice(ctx, job, moves, today)
	if err != nil {
		return "", err
	}
	if q.Ahead != nil {
		from, err := works.ParseDay("--from", q.Ahead.From)
		if err != nil {
			return "", err
		}
		pile := study.Stockpile{StockKg: q.Ahead.StockKg, MonthlyLitres: q.Ahead.MonthlyLitres, KeepsMonths: q.Ahead.KeepsMonths, Today: works.Day(s.now()), From: from}
		if err := works.CheckStockpile(&pile); err != nil {
			return "", err
		}
		if err := r.PlanBuying(pile); err != nil {
			return "", err
		}
	}
	return tell(w, r.Conflict != nil, func(w io.Writer) error { return report.RepriceJSON(w, r) },
		func(w io.Writer) { report.Reprice(w, r, report.InFull) }, func() (report.Picture, error) { return report.RepricePicture(r) })
}

func (s *Server) others(ctx context.Context, q *otherQuestion, w io.Writer) (string, error) {
	job, err := s.changed(&q.Question)
	if err != nil {
		return "", err
	}
	a, err := works.Alternatives(ctx, job, q.Percent, q.Count)
	if err != nil {
		return "", err
	}
	return tell(w, a.Best.Conflict != nil, func(w io.Writer) error { return report.AlternativesJSON(w, a) },
		func(w io.Writer) { report.Alternatives(w, a, report.InFull) }, func() (report.Picture, error) { return report.AlternativesPicture(a) })
}

// beside compares each pinned recipe with the first.
func (s *Server) beside(ctx context.Context, q *pinsQuestion, w io.Writer) (string, error) {
	var sides []study.Side
	for n := range q.Pins {
		job, err := s.changed(&q.Pins[n])
		if err != nil {
			return "", err
		}
		sides = append(sides, study.Side{Name: job.Name, Job: job})
	}
	compared := []json.RawMessage{}
	for _, side := range sides[1:] {
		c, err := study.Compare(ctx, sides[0], side)
		if err != nil {
			return "", err
		}
		var out bytes.Buffer
		if err := report.CompareJSON(&out, c); err != nil {
			return "", err
		}
		compared = append(compared, out.Bytes())
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"beside_the_first": compared})
}

// label drafts the labels of a drink as it is asked for now, or of a batch as it was made.
func (s *Server) label(ctx context.Context, q *labelQuestion, w io.Writer) (string, error) {
	a, labels, err := s.drafted(ctx, q)
	if err != nil {
		return "", err
	}
	titles := map[string]string{}
	for _, m := range a.Job.Markets {
		titles[m.Name] = m.Title
	}
	var answer bytes.Buffer
	if err := report.LabelsJSON(&answer, a.Job, labels); err != nil {
		return "", err
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"answer": json.RawMessage(answer.Bytes()), "titles": titles, "nutrients": label.Nutrients, "recipes": s.recipes()})
}

func (s *Server) drafted(ctx context.Context, q *labelQuestion) (*assess.Assessment, []label.Label, error) {
	l := works.Labelling{Nutrients: q.Nutrients}
	var err error
	if q.Recipe != "" {
		if l.Recipe, err = s.within(q.Recipe, "recipe", recipeEndings...); err != nil {
			return nil, nil, err
		}
	}
	if q.Record == "" {
		l.Job, err = s.changed(&q.Question)
	} else if l.Record, err = s.local(q.Record); err == nil {
		l.Job, err = s.open(q.File, works.RecordSettings()...)
	}
	if err != nil {
		return nil, nil, err
	}
	return l.Labels(ctx)
}

// labelPage sends the drafts of labels at true size, to print; what was asked of the drafts stands in q as JSON.
func (s *Server) labelPage(w http.ResponseWriter, r *http.Request) {
	get := r.URL.Query()
	on, err := works.ParseContainer(get.Get("size"), get.Get("bottle"))
	if err != nil {
		refuse(w, err)
		return
	}
	q, err := readQuestion[labelQuestion](strings.NewReader(get.Get("q")))
	if err != nil {
		refuse(w, err)
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), longest)
	defer cancel()
	ends, ok := s.turn(ctx)
	if !ok {
		return
	}
	defer ends()
	a, labels, err := s.drafted(ctx, q)
	if err != nil {
		refuse(w, err)
		return
	}
	on.ML = a.Job.BottleML
	s.printed(w, func(out io.Writer) error {
		_, err := report.LabelsHTML(out, a.Job, labels, on)
		return err
	})
}
