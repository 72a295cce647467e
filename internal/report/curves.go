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
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// ReachPicture draws the least cost against the attribute, with its break-points, what the brief asks and
// what ends the road, and below it what each ingredient costs along the curve.
func ReachPicture(r *study.Reached) (Picture, error) {
	axis := r.Attribute.Name + ", " + perUnit(r.Attribute)
	cost := newPlot(pictureTitle(r.Job, "least cost against "+r.Attribute.Name), axis, "least cost, "+perLitre(r.Job))
	const steps = 24
	var line, breaks plotter.XYs
	for _, s := range r.Stretches {
		for k := range steps + 1 {
			x := s.From + (s.To-s.From)*float64(k)/steps
			line = append(line, plotter.XY{X: x, Y: s.CostAt(x)})
		}
		breaks = append(breaks, plotter.XY{X: s.From, Y: s.CostFrom})
	}
	for n, stop := range r.Stops {
		if n == len(r.Stops)-1 {
			breaks = append(breaks, plotter.XY{X: stop.Value, Y: stop.Answer.LeastCost})
		}
	}
	cost.Add(&plotter.Line{XYs: line, LineStyle: solidLine()})
	cost.Add(&plotter.Scatter{XYs: breaks, GlyphStyle: draw.GlyphStyle{Color: ink, Radius: 3, Shape: draw.CircleGlyph{}}})
	low, high := cost.Y.Min, cost.Y.Max
	margin := math.Max(1e-9, 0.12*(high-low))
	cost.Y.Min, cost.Y.Max = low-margin, high+3*margin
	cost.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, _ := p.Transforms(&c)
		style := labelStyle(p, 8)
		style.XAlign, style.YAlign = draw.XLeft, draw.YTop
		row := 0
		var words []func() // last, so that no line crosses them
		mark := func(x float64, text string, stroke draw.LineStyle) {
			if x < r.Stops[0].Value || x > r.Stops[len(r.Stops)-1].Value {
				return
			}
			c.StrokeLine2(stroke, trX(x), c.Min.Y, trX(x), c.Max.Y)
			at := vg.Point{X: trX(x) + 3, Y: c.Max.Y - vg.Length(2+11*row)}
			if at.X+style.Width(text) > c.Max.X {
				at.X = trX(x) - 3 - style.Width(text)
			}
			words = append(words, func() { boxed(c, style, at, text) })
			row++
		}
		if !math.IsInf(r.Asked.Min, -1) {
			mark(r.Asked.Min, "asked: at least "+plain(r.Asked.Min), dashedLine())
		}
		if !math.IsInf(r.Asked.Max, 1) {
			mark(r.Asked.Max, "asked: at most "+plain(r.Asked.Max), dashedLine())
		}
		mark(r.Start, "cheapest recipe: "+figures(r.Start, 4), dottedLine())
		for _, end := range []struct {
			study.End
			at float64
		}{{r.Low, r.Stops[0].Value}, {r.High, r.Stops[len(r.Stops)-1].Value}} {
			if end.Conflict != nil {
				mark(end.at, endText(r, end.End, end.at), solidLine())
			}
		}
		for _, write := range words {
			write()
		}
	}))
	parts := newPlot("what the ingredients cost along the curve", axis, perLitre(r.Job))
	parts.X.Min, parts.X.Max = cost.X.Min, cost.X.Max
	var at []float64
	var recipes []*assess.Assessment
	for _, stop := range r.Stops {
		at = append(at, stop.Value)
		recipes = append(recipes, stop.Recipe())
	}
	stacked(parts, at, recipes)
	cost.X.Max = parts.X.Max // both axes alike
	return Picture{plots: []*plot.Plot{cost, parts}, width: 18 * vg.Centimeter, height: 11 * vg.Centimeter}, nil
}

// endText says what ends the road: the cap if one does, else the first limit in its way.
func endText(r *study.Reached, end study.End, at float64) string {
	text := "end: " + figures(at, 4)
	for _, l := range end.Conflict.Members {
		if l.Cap != nil {
			return text + ", " + bindingName(l) + " " + plain(l.Value)
		}
	}
	for _, l := range end.Conflict.Members {
		if l.Name != r.Attribute.Name && !l.Hard() {
			return text + ", " + bindingName(l)
		}
	}
	return text
}

// band is one ingredient's share of a stack: a cost at each place.
type band struct {
	name  string
	costs []float64
}

// bands lists the ingredients of several recipes with their costs, the dearest first; all beyond the
// patterns that there are go together.
func bands(recipes []*assess.Assessment) []band {
	var all []band
	for _, name := range sourcesOf(recipes) {
		b := band{name: name}
		for _, a := range recipes {
			cost := 0.0
			for n, part := range a.Recipe.Parts {
				if part.Source.Name == name {
					cost = a.Cost.Parts[n]
				}
			}
			b.costs = append(b.costs, cost)
		}
		if slices.Max(b.costs) > 0 {
			all = append(all, b)
		}
	}
	slices.SortStableFunc(all, func(a, b band) int { return cmp.Compare(slices.Max(b.costs), slices.Max(a.costs)) })
	most := len(patterns)
	if len(all) <= most {
		return all
	}
	rest := band{name: fmt.Sprintf("%d others", len(all)-most+1), costs: make([]float64, len(recipes))}
	for _, b := range all[most-1:] {
		for k, cost := range b.costs {
			rest.costs[k] += cost
		}
	}
	return append(all[:most-1], rest)
}

// stacked paints what each ingredient costs at places along the horizontal axis, one on top of another.
func stacked(p *plot.Plot, at []float64, recipes []*assess.Assessment) {
	list := bands(recipes)
	top := 0.0
	for _, a := range recipes {
		top = math.Max(top, a.Cost.PerLitre)
	}
	p.Y.Min, p.Y.Max = 0, 1.02*math.Max(top, 1e-9)
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		base := make([]float64, len(at))
		for n, b := range list {
			var below, above []vg.Point
			for k, x := range at {
				below = append(below, vg.Point{X: trX(x), Y: trY(base[k])})
				base[k] += b.costs[k]
				above = append(above, vg.Point{X: trX(x), Y: trY(base[k])})
			}
			slices.Reverse(above)
			patterns[n].fill(c, append(below, above...))
		}
	}))
	legend(p, list)
}

// legend lists the bands right of the plot, the top one first.
func legend(p *plot.Plot, list []band) {
	for n := len(list) - 1; n >= 0; n-- {
		p.Legend.Add(list[n].name, swatch(patterns[n]))
	}
	p.Legend.Top = true
	p.Legend.Left = false
	p.Legend.TextStyle.Font.Size = 8
	p.Legend.Padding = 2
	p.Legend.ThumbnailWidth = 14
	widest := vg.Length(0)
	for _, b := range list {
		widest = max(widest, p.Legend.TextStyle.Width(b.name))
	}
	// Room for the legend: the axis goes on to the right of the data.
	span := p.X.Max - p.X.Min
	share := float64((widest + 24) / (15 * vg.Centimeter))
	p.X.Max += span * share / (1 - share)
}

// RegionPicture draws what two attributes can be at once.
func RegionPicture(r *study.Region) (Picture, error) {
	p := newPlot(pictureTitle(r.Job, "what "+r.X.Name+" and "+r.Y.Name+" can be at once"), r.X.Name+", "+perUnit(r.X), r.Y.Name+", "+perUnit(r.Y))
	for _, c := range r.Corners {
		p.X.Min, p.X.Max = math.Min(p.X.Min, c.X), math.Max(p.X.Max, c.X)
		p.Y.Min, p.Y.Max = math.Min(p.Y.Min, c.Y), math.Max(p.Y.Max, c.Y)
	}
	width, height := math.Max(p.X.Max-p.X.Min, 1e-9), math.Max(p.Y.Max-p.Y.Min, 1e-9)
	p.X.Min, p.X.Max = p.X.Min-0.12*width, p.X.Max+0.12*width
	p.Y.Min, p.Y.Max = p.Y.Min-0.12*height, p.Y.Max+0.12*height
	p.Add(paint(func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		var corners []vg.Point
		mx, my := vg.Length(0), vg.Length(0)
		for _, corner := range r.Corners {
			at := vg.Point{X: trX(corner.X), Y: trY(corner.Y)}
			corners = append(corners, at)
			mx += at.X / vg.Length(len(r.Corners))
			my += at.Y / vg.Length(len(r.Corners))
		}
		ground := pattern{ground: shade}
		ground.fill(c, corners)
		askedBox(c, p, r.AskedX, r.AskedY)
		style := labelStyle(p, 8)
		var taken []vg.Point
		for n, corner := range r.Corners {
			at := corners[n]
			c.DrawGlyph(draw.GlyphStyle{Color: ink, Radius: 2.5, Shape: draw.CircleGlyph{}}, at)
			dx, dy := float64(at.X-mx), float64(at.Y-my)
			length := math.Max(1, math.Hypot(dx, dy))
			where := vg.Point{X: at.X + vg.Length(22*dx/length), Y: at.Y + vg.Length(11*dy/length)}
			if slices.ContainsFunc(taken, func(o vg.Point) bool {
				return math.Abs(float64(o.X-where.X)) < 40 && math.Abs(float64(o.Y-where.Y)) < 10
			}) {
				continue // the text has them all; here they would lie on one another
			}
			taken = append(taken, where)
			boxed(c, style, where, cornerName(n)+" "+figures(corner.Answer.LeastCost, 3))
		}
		if r.Today != nil {
			at := vg.Point{X: trX(r.TodayX), Y: trY(r.TodayY)}
			c.DrawGlyph(draw.GlyphStyle{Color: ink, Radius: 4, Shape: draw.CrossGlyph{}}, at)
			style.XAlign = draw.XLeft
			boxed(c, style, vg.Point{X: at.X + 7, Y: at.Y}, "today, "+figures(r.Today.LeastCost, 3))
		}
		style.XAlign, style.YAlign = draw.XRight, draw.YTop
		boxed(c, style, vg.Point{X: c.Max.X - 4, Y: c.Max.Y - 2}, "letters: corners with their least cost, "+perLitre(r.Job)+"; dashed: what the brief asks")
	}))
	return Picture{plots: []*plot.Plot{p}, width: 18 * vg.Centimeter, height: 13 * vg.Centimeter}, nil
}

// askedBox draws the lines of what the brief asks of two attributes.
func askedBox(c draw.Canvas, p *plot.Plot, x, y brief.Range) {
	trX, trY := p.Transforms(&c)
	for _, at := range []float64{x.Min, x.Max} {
		if !math.IsInf(at, 0) && at > p.X.Min && at < p.X.Max {
			c.StrokeLine2(dashedLine(), trX(at), c.Min.Y, trX(at), c.Max.Y)
		}
	}
	for _, at := range []float64{y.Min, y.Max} {
		if !math.IsInf(at, 0) && at > p.Y.Min && at < p.Y.Max {
			c.StrokeLine2(dashedLine(), c.Min.X, trY(at), c.Max.X, trY(at))
		}
	}
}
