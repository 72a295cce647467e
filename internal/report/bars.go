package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// nominal puts names on the vertical axis, the first at the top, and leaves room for n of them.
func nominal(p *plot.Plot, names []string) {
	n := len(names)
	var ticks []plot.Tick
	for k, name := range names {
		ticks = append(ticks, plot.Tick{Value: float64(n - 1 - k), Label: name})
	}
	p.Y.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Tick.Length = 0
	p.Y.Min, p.Y.Max = -0.7, float64(n)-0.3
}

// bar paints a horizontal bar from x0 to x1 around y.
func bar(c draw.Canvas, p *plot.Plot, h pattern, x0, x1, y, thick float64) {
	trX, trY := p.Transforms(&c)
	h.fill(c, []vg.Point{{X: trX(x0), Y: trY(y - thick/2)}, {X: trX(x1), Y: trY(y - thick/2)}, {X: trX(x1), Y: trY(y + thick/2)}, {X: trX(x0), Y: trY(y + thick/2)}})
}

// changesPlot draws the change of each attribute in just noticeable differences, with both values.
func changesPlot(j *brief.Job, what string, d study.Drift) *plot.Plot {
	const most = 14
	p := newPlot(pictureTitle(j, what), "change in just noticeable differences (JND); dashed: one JND", "")
	var names []string
	var parts []study.DriftPart
	for _, part := range d.Parts {
		if math.Abs(part.Count) >= 0.005 && len(parts) < most {
			parts = append(parts, part)
			names = append(names, part.Name)
		}
	}
	if len(parts) == 0 {
		names = []string{"no attribute changes"}
	}
	nominal(p, names)
	far := 1.5
	for _, part := range parts {
		far = math.Max(far, math.Abs(part.Count))
	}
	p.X.Min, p.X.Max = -1.1*far, 2*far
	p.X.Tick.Marker = plot.TickerFunc(func(least, most float64) []plot.Tick {
		return plot.DefaultTicks{}.Ticks(-1.1*far, 1.1*far) // the rest is room for words
	})
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		for _, x := range []float64{-1, 0, 1} {
			style := dashedLine()
			if x == 0 {
				style = thinLine()
			}
			c.StrokeLine2(style, trX(x), c.Min.Y, trX(x), c.Max.Y)
		}
		style := labelStyle(p, 8)
		style.XAlign = draw.XLeft
		for k, part := range parts {
			y := float64(len(parts) - 1 - k)
			h := patterns[1]
			if part.Count < 0 {
				h = patterns[0]
			}
			bar(c, p, h, 0, part.Count, y, 0.6)
			text := fmt.Sprintf("%s to %s %s", figures(part.Before, 3), figures(part.After, 3), perUnit(part.Attribute))
			c.FillText(style, vg.Point{X: trX(1.13 * far), Y: trY(y) + 2}, text)
		}
	}))
	return p
}

// costsPlot draws what each ingredient costs in several recipes, dearest first, a pattern a recipe.
func costsPlot(title string, names []string, recipes []*assess.Assessment) *plot.Plot {
	const most = 14
	p := newPlot(title, "cost of the ingredient, "+perLitre(recipes[0].Job), "")
	cost := func(a *assess.Assessment, name string) float64 {
		for n, part := range a.Recipe.Parts {
			if part.Source.Name == name {
				return a.Cost.Parts[n]
			}
		}
		return 0
	}
	largest := func(name string) float64 {
		top := 0.0
		for _, a := range recipes {
			top = math.Max(top, cost(a, name))
		}
		return top
	}
	sources := sourcesOf(recipes)
	slices.SortStableFunc(sources, func(a, b string) int { return cmp.Compare(largest(b), largest(a)) })
	sources = slices.DeleteFunc(sources, func(name string) bool { return largest(name) == 0 })
	sources = sources[:min(len(sources), most)]
	nominal(p, sources)
	p.X.Min, p.X.Max = 0, 1e-9
	if len(sources) > 0 {
		p.X.Max = 1.2 * largest(sources[0])
	}
	thick := 0.8 / float64(len(recipes))
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		style := labelStyle(p, 8)
		if len(recipes) > 2 {
			style = labelStyle(p, 6)
		}
		style.XAlign = draw.XLeft
		for k, name := range sources {
			for r, a := range recipes {
				y := float64(len(sources)-1-k) + 0.4 - thick*(float64(r)+0.5)
				x := cost(a, name)
				if x > 0 {
					bar(c, p, patterns[barPattern(r)], 0, x, y, thick)
				}
				text := figures(x, 3)
				if x == 0 {
					text = "none"
				}
				c.FillText(style, vg.Point{X: trX(x) + 3, Y: trY(y) + 2}, text)
			}
		}
	}))
	for r, name := range names {
		p.Legend.Add(fmt.Sprintf("%s, %s %s", name, figures(recipes[r].Cost.PerLitre, 4), perLitre(recipes[r].Job)), swatch(patterns[barPattern(r)]))
	}
	p.Legend.TextStyle.Font.Size = 9
	p.Legend.Padding = 3
	p.Legend.YPosition = draw.PosBottom
	p.Legend.XOffs = -8
	p.Legend.YOffs = 8
	return p
}

// barPattern gives recipe r a pattern that is plain beside the one before.
func barPattern(r int) int { return []int{1, 0, 5, 2, 6, 3}[r%6] }

// swatch is a pattern in a legend.
type swatch pattern

// Thumbnail draws it.
func (s swatch) Thumbnail(c *draw.Canvas) {
	pattern(s).fill(*c, []vg.Point{c.Min, {X: c.Max.X, Y: c.Min.Y}, c.Max, {X: c.Min.X, Y: c.Max.Y}})
}

// SwapPicture draws the changes by attribute and the costs of today's recipe and of the swap.
func SwapPicture(s *study.Swapped) (Picture, error) {
	titles := []string{"today", "swap"}
	recipes := []*assess.Assessment{s.Before, s.Answer.Assessment}
	return Picture{
		plots: []*plot.Plot{
			changesPlot(s.Job, "from today's recipe to the swap", s.Drift),
			costsPlot(pictureTitle(s.Job, "costs by ingredient"), titles, recipes),
		},
		width: 18 * vg.Centimeter, height: 11 * vg.Centimeter,
	}, nil
}
