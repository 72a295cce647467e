package report

import (
	"fmt"
	"io"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// NextMeasurements writes which content is worth measuring next.
func NextMeasurements(w io.Writer, m *study.Measurements, extent Extent) {
	r := m.Base
	if r.Plain.Conflict != nil {
		conflict(w, r.Plain)
		return
	}
	title(w, r.Job)
	if r.Assessment == nil {
		notSoSure(w, r, extent)
		return
	}
	what := "Cheapest recipe that " + assured(r.Options, oftenText(r.Options.Risk))
	if !m.Asked {
		what = "No recipe was found that is as sure as asked; the surest " + assured(r.Options, oftenText(r.Options.Risk))
	}
	fmt.Fprintf(w, "%s\n\n", wrap(what+": "+costLine(r.Assessment), width, "  "))
	if len(m.List) == 0 {
		fmt.Fprintln(w, "  Nothing that varies holds the recipe: no measurement would make it cheaper.")
		fmt.Fprintln(w)
		return
	}
	fmt.Fprintln(w, "What measuring it in every lot would bring:")
	columns := []string{"lcontent", "rnow ±", "rsaves, " + perLitre(r.Job)}
	if r.Job.BatchL > 0 {
		columns = append(columns, "ra batch")
	}
	t := newTable("  ", append(columns, "rthis recipe then")...)
	for _, one := range m.List {
		saves, batch := "not found", ""
		if !math.IsNaN(one.Saves) {
			saves, batch = figures(one.Saves, 2), figures(one.Saves*r.Job.BatchL, 3)
		}
		row := []string{figureName(one.Figure), percent(one.CV), saves}
		if r.Job.BatchL > 0 {
			row = append(row, batch)
		}
		t.row(append(row, atMostOften(one.AtMost))...)
	}
	t.write(w)
	fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("A laboratory's value is taken to leave %s between lots and what was measured (practice), and lots to be on average what they are now. The last column is how often this very recipe would then break what it is guarded against. Set what it saves against what it costs.", percent(study.MeasuredVariation)), width-2, "  "))
	cautions(w, r.Assessment, extent)
}

func figureName(f study.Figure) string {
	if f.Attribute == brief.Acidity {
		return "acids of " + f.Source
	}
	return f.Attribute + " of " + f.Source
}

// NextMeasurementsJSON writes which content is worth measuring next as JSON.
func NextMeasurementsJSON(w io.Writer, m *study.Measurements) error {
	type jsonNext struct {
		Source    string `json:"ingredient"`
		Attribute string `json:"attribute"`
		CV        number `json:"variation"`
		Saves     number `json:"saves_per_litre"`
		AtMost    number `json:"chance_at_most_then"`
	}
	out := struct {
		Schema  string     `json:"schema"`
		AsAsked bool       `json:"as_sure_as_asked"`
		Base    *jsonGuard `json:"recipe"`
		Next    []jsonNext `json:"measurements"`
	}{"bittersum/next/1", m.Asked, guardJSON(m.Base), []jsonNext{}}
	for _, one := range m.List {
		out.Next = append(out.Next, jsonNext{one.Source, one.Attribute, number(one.CV), number(one.Saves), number(one.AtMost)})
	}
	return encode(w, out)
}

// NextMeasurementsPicture draws what each measurement saves.
func NextMeasurementsPicture(m *study.Measurements) (Picture, error) {
	p := newPlot(pictureTitle(m.Base.Job, "what measuring it in every lot saves"), perLitre(m.Base.Job), "")
	var names []string
	most := 1e-9
	for _, one := range m.List {
		names = append(names, figureName(one.Figure))
		if one.Saves > most {
			most = one.Saves
		}
	}
	if len(names) == 0 {
		names = []string{"nothing"}
	}
	rows(p, names)
	p.X.Min, p.X.Max = 0, 1.2*most
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		style := labelStyle(p, 8)
		style.XAlign = draw.XLeft
		for k, one := range m.List {
			y, saves, text := float64(len(m.List)-1-k), math.Max(0, one.Saves), figures(one.Saves, 2)
			if math.IsNaN(one.Saves) {
				saves, text = 0, "not found"
			}
			bar(c, p, patterns[0], 0, saves, y, 0.5)
			c.FillText(style, vg.Point{X: trX(saves) + 3, Y: trY(y)}, text)
		}
	}))
	return Picture{plots: []*plot.Plot{p}, width: 18 * vg.Centimeter, height: 9 * vg.Centimeter}, nil
}
