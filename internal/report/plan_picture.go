package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/plan"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PlanPicture draws, period by period, what stands in stock of the items that most money goes into, what is made by
// which recipe, and what it costs.
func PlanPicture(a *plan.Answer) (Picture, error) {
	plots := []*plot.Plot{}
	for _, s := range dearest(a, 4) {
		plots = append(plots, stockPlot(a, s))
	}
	plots = append(plots, makePlot(a), moneyPlot(a))
	return Picture{plots: plots, width: 18 * vg.Centimeter, height: 7 * vg.Centimeter}, nil
}

// dearest are the stocks that most is spent on, of those that are kept from one period to another.
func dearest(a *plan.Answer, most int) []plan.StockCurve {
	spent := map[string]float64{}
	for _, o := range a.Orders {
		spent[o.Offer.Item.Name] += o.Money
	}
	stocks := slices.DeleteFunc(slices.Clone(a.Ledger.Stocks), func(s plan.StockCurve) bool { return slices.Max(s.Held) == 0 || s.Item.Goods })
	slices.SortStableFunc(stocks, func(x, y plan.StockCurve) int { return cmp.Compare(spent[y.Name], spent[x.Name]) })
	return stocks[:min(most, len(stocks))]
}

// periodAxis puts the periods' names under a plot.
func periodAxis(p *plot.Plot, a *plan.Answer) {
	every := (a.Periods() + 11) / 12
	var ticks []plot.Tick
	for t := 0; t < a.Periods(); t += every {
		ticks = append(ticks, plot.Tick{Value: float64(t), Label: a.PeriodName(t)})
	}
	p.X.Tick.Marker = plot.ConstantTicks(ticks)
	p.X.Tick.Label.Font.Size = 7
	p.X.Min, p.X.Max = -0.6, float64(a.Periods())-0.4
	p.Y.Min = 0
}

// column paints an upright bar.
func column(c draw.Canvas, p *plot.Plot, h pattern, x, y0, y1, thick float64) {
	trX, trY := p.Transforms(&c)
	h.fill(c, []vg.Point{{X: trX(x - thick/2), Y: trY(y0)}, {X: trX(x + thick/2), Y: trY(y0)}, {X: trX(x + thick/2), Y: trY(y1)}, {X: trX(x - thick/2), Y: trY(y1)}})
}

// stockPlot draws one stock: bars for what came, a line for what is left at the end of each period.
func stockPlot(a *plan.Answer, s plan.StockCurve) *plot.Plot {
	p := newPlot(s.Name, "", s.Unit)
	periodAxis(p, a)
	p.Y.Max = 1.3 * math.Max(slices.Max(s.Held), slices.Max(s.Came))
	var held plotter.XYs
	for t, x := range s.Held {
		held = append(held, plotter.XY{X: float64(t), Y: x})
	}
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		for t, x := range s.Came {
			if x > 0 {
				column(c, p, patterns[1], float64(t), 0, x, 0.5)
			}
		}
	}))
	line := &plotter.Line{XYs: held, LineStyle: solidLine()}
	p.Add(line, &plotter.Scatter{XYs: held, GlyphStyle: draw.GlyphStyle{Color: ink, Radius: 2, Shape: draw.CircleGlyph{}}})
	p.Legend.Add("came", swatch(patterns[1]))
	p.Legend.Add("left at the end", line)
	p.Legend.Top = true
	p.Legend.TextStyle.Font.Size = 8
	return p
}

// makePlot draws what is made in each period: a bar for each drink, a pattern for each of its recipes.
func makePlot(a *plan.Answer) *plot.Plot {
	p := newPlot("made in each period, a bar for each drink", "", made(a.Plan)[1:])
	periodAxis(p, a)
	thick := 0.84 / float64(len(a.Drinks))
	top := map[[2]int]float64{}
	most := 0.0
	type block struct{ x, y0, y1, pattern float64 }
	var blocks []block
	names := map[string]int{}
	var order []string
	for n, d := range a.Drinks {
		for _, m := range a.Makes {
			if m.Drink != d {
				continue
			}
			name := d.Name
			if m.Number > 1 || len(used(a, d)) > 1 {
				name += ", " + recipeName(m.Number-1)
			}
			k, known := names[name]
			if !known {
				k = len(order)
				names[name] = k
				order = append(order, name)
			}
			at := [2]int{n, m.Period}
			x := float64(m.Period) - 0.42 + thick*(float64(n)+0.5)
			blocks = append(blocks, block{x, top[at], top[at] + m.Amount, float64(k)})
			top[at] += m.Amount
			most = math.Max(most, top[at])
		}
	}
	p.Y.Max = 1.1*most + 0.09*most*float64(len(order))
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		for _, b := range blocks {
			column(c, p, patterns[int(b.pattern)%len(patterns)], b.x, b.y0, b.y1, thick)
		}
	}))
	for k, name := range order {
		p.Legend.Add(name, swatch(patterns[k%len(patterns)]))
	}
	p.Legend.Top, p.Legend.Left = true, true
	p.Legend.XOffs = 8
	p.Legend.TextStyle.Font.Size = 8
	return p
}

// moneyPlot draws what each period costs, part on part.
func moneyPlot(a *plan.Answer) *plot.Plot {
	p := newPlot("cost of each period", "", a.Currency)
	periodAxis(p, a)
	parts := []struct {
		name string
		of   func(plan.Money) float64
	}{
		{"ordered of suppliers", func(m plan.Money) float64 { return m.Goods }},
		{"bought as needed, labour", func(m plan.Money) float64 { return m.Direct }},
		{"batches and cleaning", func(m plan.Money) float64 { return m.Kettle }},
		{"freight, keeping and the rest", func(m plan.Money) float64 { return m.Freight + m.Keeping + m.Waiting + m.Short + m.Changes }},
	}
	most := 0.0
	for _, m := range a.Ledger.Money {
		most = math.Max(most, m.Cost()+m.Sales)
	}
	p.Y.Max = 1.5*most + 1e-9
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		for t, m := range a.Ledger.Money {
			y := 0.0
			for k, part := range parts {
				if x := part.of(m); x > 0 {
					column(c, p, patterns[barPattern(k)], float64(t), y, y+x, 0.6)
					y += x
				}
			}
		}
	}))
	for k, part := range parts {
		p.Legend.Add(part.name, swatch(patterns[barPattern(k)]))
	}
	p.Legend.Top = true
	p.Legend.TextStyle.Font.Size = 8
	p.Title.Text = fmt.Sprintf("%s: %s", a.Name, p.Title.Text)
	return p
}
