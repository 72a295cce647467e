package report

import (
	"bittersum/internal/assess"
	"bittersum/internal/study"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// RepricePicture draws the least cost and that of today's recipe against the price (the share of the way
// when several move), and below what each ingredient costs in each recipe.
func RepricePicture(r *study.Repriced) (Picture, error) {
	place := func(share float64) float64 { return 100 * share }
	axis := "share of the way from the first prices to the last, %"
	what := "prices move"
	if len(r.Moves) == 1 {
		place = func(share float64) float64 { return r.PriceAt(0, share) }
		axis = "price of " + r.Moves[0].Name + ", " + priceUnit(r.Job)
		what = "least cost against the price of " + r.Moves[0].Name
	}
	p := newPlot(pictureTitle(r.Job, what), axis, perLitre(r.Job))
	var least, kept plotter.XYs
	for k, piece := range r.Pieces {
		if k == 0 {
			least = append(least, plotter.XY{X: place(piece.From), Y: piece.CostFrom})
			kept = append(kept, plotter.XY{X: place(piece.From), Y: piece.KeptFrom})
		}
		least = append(least, plotter.XY{X: place(piece.To), Y: piece.CostTo})
		kept = append(kept, plotter.XY{X: place(piece.To), Y: piece.KeptTo})
	}
	keptLine := &plotter.Line{XYs: kept, LineStyle: dashedLine()}
	leastLine := &plotter.Line{XYs: least, LineStyle: solidLine()}
	p.Add(keptLine, leastLine, &plotter.Scatter{XYs: least, GlyphStyle: draw.GlyphStyle{Color: ink, Radius: 3, Shape: draw.CircleGlyph{}}})
	p.Legend.Add("least cost; dots: the recipe changes", leastLine)
	p.Legend.Add("today's recipe kept", keptLine)
	p.Legend.Top, p.Legend.Left = true, true
	p.Legend.XOffs, p.Legend.YOffs = 8, -4
	p.Legend.TextStyle.Font.Size = 9
	margin := 0.1 * (p.Y.Max - p.Y.Min)
	p.Y.Min, p.Y.Max = p.Y.Min-margin, p.Y.Max+3*margin
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, _ := p.Transforms(&c)
		style := labelStyle(p, 8)
		for k, piece := range r.Pieces {
			if k > 0 {
				c.StrokeLine2(dottedLine(), trX(place(piece.From)), c.Min.Y, trX(place(piece.From)), c.Max.Y)
			}
			middle := vg.Point{X: (trX(place(piece.From)) + trX(place(piece.To))) / 2, Y: c.Min.Y + 7}
			if trX(place(piece.To))-trX(place(piece.From)) > style.Width(recipeName(k)) {
				boxed(c, style, middle, recipeName(k))
			}
		}
	}))
	var names []string
	var recipes []*assess.Assessment
	for k := range r.Pieces[:min(len(r.Pieces), 3)] {
		names = append(names, recipeName(k))
		recipes = append(recipes, r.Pieces[k].Answer.Assessment)
	}
	costs := costsPlot("costs by ingredient, at prices halfway along each recipe", names, recipes)
	return Picture{plots: []*plot.Plot{p, costs}, width: 18 * vg.Centimeter, height: 11 * vg.Centimeter}, nil
}
