package report

import (
	"image/color"
	"math"
	"sort"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// pattern tells areas apart without colour: a ground of grey, and lines at an angle over it.
type pattern struct {
	ground color.Color
	angles []float64 // degrees
	gap    vg.Length
}

// patterns are the grounds and hatchings in the order they are given out, neighbours unlike.
var patterns = []pattern{
	{ground: color.White, angles: []float64{45}, gap: 5},
	{ground: color.Gray{Y: 205}},
	{ground: color.White, angles: []float64{135}, gap: 5},
	{ground: color.White},
	{ground: color.White, angles: []float64{0}, gap: 4},
	{ground: color.Gray{Y: 150}},
	{ground: color.White, angles: []float64{45, 135}, gap: 6},
	{ground: color.Gray{Y: 230}, angles: []float64{90}, gap: 4},
	{ground: color.White, angles: []float64{0, 90}, gap: 5},
	{ground: color.Gray{Y: 90}},
}

// fill paints a polygon with a pattern and outlines it.
func (h pattern) fill(c draw.Canvas, corners []vg.Point) {
	if len(corners) < 3 {
		return
	}
	c.FillPolygon(h.ground, corners)
	for _, angle := range h.angles {
		h.lines(c, corners, angle)
	}
	outline := append(append([]vg.Point(nil), corners...), corners[0])
	c.StrokeLines(thinLine(), outline)
}

// lines draws parallel lines inside the polygon: each is cut at the edges it crosses, and every second
// stretch lies within.
func (h pattern) lines(c draw.Canvas, corners []vg.Point, angle float64) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	along := func(p vg.Point) float64 { return float64(p.X)*cos + float64(p.Y)*sin }
	across := func(p vg.Point) float64 { return -float64(p.X)*sin + float64(p.Y)*cos }
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range corners {
		least, most = math.Min(least, across(p)), math.Max(most, across(p))
	}
	gap := float64(h.gap)
	style := draw.LineStyle{Color: color.Black, Width: 0.5}
	for at := (math.Floor(least/gap) + 0.5) * gap; at < most; at += gap {
		var cuts []float64
		for n, p := range corners {
			q := corners[(n+1)%len(corners)]
			a, b := across(p)-at, across(q)-at
			if (a < 0) != (b < 0) {
				share := a / (a - b)
				cuts = append(cuts, along(p)+share*(along(q)-along(p)))
			}
		}
		sort.Float64s(cuts)
		for n := 0; n+1 < len(cuts); n += 2 {
			point := func(s float64) vg.Point {
				return vg.Point{X: vg.Length(s*cos - at*sin), Y: vg.Length(s*sin + at*cos)}
			}
			c.StrokeLine2(style, point(cuts[n]).X, point(cuts[n]).Y, point(cuts[n+1]).X, point(cuts[n+1]).Y)
		}
	}
}
