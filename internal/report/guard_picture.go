package report

import (
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// GuardCurvePicture draws what each level of assurance costs, with its knee and the cheapest recipe.
func GuardCurvePicture(c *study.AssuranceCurve) (Picture, error) {
	p := newPlot(pictureTitle(c.Job, "what assurance costs"), "batches that "+pastPlural(c.Options), "least cost, "+perLitre(c.Job))
	var line plotter.XYs
	var ticks plot.ConstantTicks
	place := func(risk float64) float64 { return -math.Log10(risk) }
	for _, l := range c.Levels {
		ticks = append(ticks, plot.Tick{Value: place(l.Risk), Label: oftenText(l.Risk)})
		if !math.IsNaN(l.Cost) {
			line = append(line, plotter.XY{X: place(l.Risk), Y: l.Cost})
		}
	}
	plain := c.Plain.Assessment.Cost.PerLitre
	low, high := plain, plain
	for _, at := range line {
		low, high = math.Min(low, at.Y), math.Max(high, at.Y)
	}
	margin := math.Max(0.12*(high-low), 0.002*plain)
	p.Y.Min, p.Y.Max = low-margin, high+2*margin
	p.X.Min, p.X.Max = place(c.Levels[0].Risk), place(c.Levels[len(c.Levels)-1].Risk)
	p.X.Tick.Marker = ticks
	p.X.Tick.Label.Font.Size = 7
	if len(line) > 0 {
		p.Add(&plotter.Line{XYs: line, LineStyle: solidLine()})
		p.Add(&plotter.Scatter{XYs: line, GlyphStyle: draw.GlyphStyle{Color: ink, Radius: 3, Shape: draw.CircleGlyph{}}})
	}
	p.Add(paint(func(canvas draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&canvas)
		style := labelStyle(p, 8)
		style.XAlign, style.YAlign = draw.XLeft, draw.YTop
		canvas.StrokeLine2(dottedLine(), canvas.Min.X, trY(plain), canvas.Max.X, trY(plain))
		boxed(canvas, style, vg.Point{X: canvas.Min.X + 4, Y: trY(plain) - 7}, "cheapest recipe of the brief, "+figures(plain, 4))
		if c.Knee >= 0 {
			l := c.Levels[c.Knee]
			x := trX(place(l.Risk))
			canvas.StrokeLine2(dashedLine(), x, canvas.Min.Y, x, canvas.Max.Y)
			style.XAlign = draw.XRight
			boxed(canvas, style, vg.Point{X: x - 3, Y: canvas.Max.Y - 2}, "knee: "+oftenText(l.Risk)+", "+figures(l.Cost, 4))
		}
		for n, l := range c.Levels {
			if math.IsNaN(l.Cost) {
				style.XAlign = draw.XCenter
				x := trX(place(l.Risk))
				if n == len(c.Levels)-1 {
					style.XAlign = draw.XRight
				}
				boxed(canvas, style, vg.Point{X: x, Y: canvas.Min.Y + 12}, "none")
			}
		}
	}))
	return Picture{plots: []*plot.Plot{p}, width: 18 * vg.Centimeter, height: 11 * vg.Centimeter}, nil
}

// pastPlural says what the batches of a curve's axis do.
func pastPlural(o study.GuardOptions) string {
	if o.Targets {
		return "may miss a cap or a target"
	}
	return "may break a cap"
}

// GuardPicture draws the costs of the cheapest and of the sure recipe beside each other.
func GuardPicture(r *study.GuardedRecipe) (Picture, error) {
	p := costsPlot(pictureTitle(r.Job, "the cheapest recipe and the sure one"), []string{"cheapest", "sure"}, []*assess.Assessment{r.Plain.Assessment, r.Assessment})
	return Picture{plots: []*plot.Plot{p}, width: 18 * vg.Centimeter, height: 9 * vg.Centimeter}, nil
}
