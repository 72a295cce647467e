package report

import (
	"math"

	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// spreadBar is one attribute's spread against its range, all as shares of a reference.
type spreadBar struct {
	name              string
	low, middle, high float64
	least, most       float64 // of the range; infinite where there is none
	text              string
}

// spreadPlot draws spreads as bars, one below the other, with their ranges as thick strokes.
func spreadPlot(title, axis string, bars []spreadBar) *plot.Plot {
	p := newPlot(title, axis, "")
	var names []string
	far := 1.2
	for _, b := range bars {
		names = append(names, b.name)
		far = math.Max(far, b.high)
		if !math.IsInf(b.most, 1) {
			far = math.Max(far, b.most)
		}
	}
	if len(bars) == 0 {
		names = []string{"nothing varies"}
	}
	rows(p, names)
	p.X.Min, p.X.Max = 0, 1.45*far
	p.X.Tick.Marker = plot.TickerFunc(func(_, _ float64) []plot.Tick {
		ticks := plot.DefaultTicks{}.Ticks(0, far) // the rest is room for words
		for n := range ticks {
			if ticks[n].Label != "" {
				ticks[n].Label = percent(ticks[n].Value)
			}
		}
		return ticks
	})
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		style := labelStyle(p, 8)
		style.XAlign = draw.XLeft
		for k, b := range bars {
			y := float64(len(bars) - 1 - k)
			bar(c, p, patterns[1], b.low, b.high, y, 0.5)
			c.StrokeLine2(solidLine(), trX(b.middle), trY(y-0.25), trX(b.middle), trY(y+0.25))
			for _, limit := range []float64{b.least, b.most} {
				if !math.IsInf(limit, 0) {
					thick := solidLine()
					thick.Width = 2.5
					c.StrokeLine2(thick, trX(limit), trY(y-0.42), trX(limit), trY(y+0.42))
				}
			}
			c.FillText(style, vg.Point{X: trX(1.05 * far), Y: trY(y)}, b.text)
		}
	}))
	return p
}

// rows is nominal with room for five names at least, so that few bars are no thicker than many.
func rows(p *plot.Plot, names []string) {
	nominal(p, names)
	p.Y.Min = math.Min(p.Y.Min, p.Y.Max-5)
}

// StressPicture draws how each cap and each target varies, and what makes the one vary that fails most often
// of those that several sources make.
func StressPicture(s *study.Stressed) (Picture, error) {
	j := s.Assessment.Job
	var caps, targets []spreadBar
	var worst, failed = "", 0.0
	var shares []study.SourceShare
	note := func(name string, chance float64, s study.Spread) {
		if chance >= failed && len(s.Shares) > 1 {
			worst, failed, shares = name, chance, s.Shares
		}
	}
	for n := range s.Caps {
		c := &s.Caps[n]
		if bar, shown := capBar(c); shown {
			caps = append(caps, bar)
			note(c.Substance, c.Broken.Chance, c.Spread)
		}
	}
	for _, t := range s.Targets {
		if !(t.Middle > 0) {
			continue
		}
		missed := t.Below
		missed.Chance += t.Above.Chance
		missed.AtMost += t.Above.AtMost
		note(t.Name, missed.Chance, t.Spread)
		targets = append(targets, spreadBar{readingName(t.Name), t.Low / t.Middle, 1, t.High / t.Middle, t.Min / t.Middle, t.Max / t.Middle, chanceText(missed)})
	}
	if c := s.Cost; c.Varies && c.Middle > 0 {
		text := "expected " + figures(c.Expected, 3) + " " + j.Currency + "/L"
		targets = append(targets, spreadBar{"cost of a litre", c.Low / c.Middle, 1, c.High / c.Middle, math.Inf(-1), math.Inf(1), text})
	}
	plots := []*plot.Plot{
		spreadPlot(pictureTitle(j, "caps as lots vary"), "5 % to 95 % of batches as a share of the cap; right: batches that break it", caps),
		spreadPlot("what the brief asks for, as lots vary", "5 % to 95 % of batches, median 100 %; strokes: what is asked; right: batches that miss it", targets),
	}
	if worst != "" {
		plots = append(plots, sharesPlot("what makes "+worst+" vary", shares))
	}
	return Picture{plots: plots, width: 18 * vg.Centimeter, height: 9 * vg.Centimeter}, nil
}

// capBar is how a cap is drawn; one that an accepted unknown counts toward is drawn whatever else is in it, since a
// picture without it would read as if it were kept.
func capBar(c *study.CapChance) (bar spreadBar, shown bool) {
	unknown := len(c.Accepted) > 0
	if c.Max == 0 || c.High == 0 && !unknown {
		return spreadBar{}, false
	}
	text := chanceText(c.Broken)
	if unknown {
		text = "unknown"
	}
	return spreadBar{c.Substance + " (" + c.Market.Name + ")", c.Low / c.Max, c.Middle / c.Max, c.High / c.Max, math.Inf(-1), 1, text}, true
}

// sharesPlot draws each source's share of a variance, the largest first.
func sharesPlot(title string, shares []study.SourceShare) *plot.Plot {
	const most = 10
	p := newPlot(title, "share of the variance", "")
	shares = shares[:min(len(shares), most)]
	var names []string
	for _, s := range shares {
		names = append(names, s.Source)
	}
	rows(p, names)
	p.X.Min, p.X.Max = 0, 1.15
	p.X.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0 %"}, {Value: 0.25, Label: "25 %"}, {Value: 0.5, Label: "50 %"}, {Value: 0.75, Label: "75 %"}, {Value: 1, Label: "100 %"}}
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		style := labelStyle(p, 8)
		style.XAlign = draw.XLeft
		for k, s := range shares {
			y := float64(len(shares) - 1 - k)
			bar(c, p, patterns[0], 0, s.Total, y, 0.5)
			c.FillText(style, vg.Point{X: trX(s.Total) + 3, Y: trY(y)}, percent(s.Total))
		}
	}))
	return p
}
