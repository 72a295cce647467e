package report

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"path/filepath"

	"bittersum/internal/brief"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Picture is one or more plots below each other. It is drawn in black, white and grey alone: lines are told
// apart by their style, areas by their hatching, and everything carries its label.
type Picture struct {
	plots  []*plot.Plot
	width  vg.Length
	height vg.Length // of each plot
}

// Draw returns the picture as "svg" or "png".
func (p Picture) Draw(kind string) ([]byte, error) {
	height := p.height * vg.Length(len(p.plots))
	var canvas interface {
		vg.CanvasSizer
		io.WriterTo
	}
	switch kind {
	case "svg":
		canvas = vgsvg.New(p.width, height)
	case "png":
		canvas = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(p.width, height), vgimg.UseDPI(144), vgimg.UseBackgroundColor(color.White))}
	default:
		return nil, fmt.Errorf("report: there is no picture of kind %q", kind)
	}
	whole := draw.New(canvas)
	tiles := draw.Tiles{Rows: len(p.plots), Cols: 1, PadTop: 8, PadBottom: 8, PadLeft: 8, PadRight: 14, PadY: 14}
	grid := make([][]*plot.Plot, len(p.plots))
	for n, one := range p.plots {
		grid[n] = []*plot.Plot{one}
	}
	canvases := plot.Align(grid, tiles, whole)
	for n := range grid {
		grid[n][0].Draw(canvases[n][0])
	}
	var out bytes.Buffer
	if _, err := canvas.WriteTo(&out); err != nil {
		return nil, err
	}
	return marked(out.Bytes(), kind), nil
}

// newPlot returns an empty plot in the house's look.
func newPlot(title, x, y string) *plot.Plot {
	p := plot.New()
	p.Title.Text = title
	p.Title.Padding = 6
	p.Title.TextStyle.Font.Size = 11
	p.X.Label.Text, p.Y.Label.Text = x, y
	for _, axis := range []*plot.Axis{&p.X, &p.Y} {
		axis.Label.TextStyle.Font.Size = 10
		axis.Tick.Label.Font.Size = 9
		axis.Padding = 4
	}
	return p
}

// pictureTitle names the drink, what is shown and the brief it comes from.
func pictureTitle(j *brief.Job, what string) string {
	return fmt.Sprintf("%s: %s\nfrom %s", j.Name, what, sourceName(j))
}

// sourceName is how a picture names its brief: without the folder it lies in.
func sourceName(j *brief.Job) string {
	return filepath.Base(j.File)
}

var (
	ink   = color.Black
	shade = color.Gray{Y: 225}
)

func solidLine() draw.LineStyle { return draw.LineStyle{Color: ink, Width: 1.4} }
func dashedLine() draw.LineStyle {
	return draw.LineStyle{Color: ink, Width: 1.1, Dashes: []vg.Length{6, 3}}
}
func dottedLine() draw.LineStyle {
	return draw.LineStyle{Color: ink, Width: 0.9, Dashes: []vg.Length{1.5, 2.5}}
}
func thinLine() draw.LineStyle { return draw.LineStyle{Color: ink, Width: 0.6} }

// label returns the style of a small text in a plot.
func labelStyle(p *plot.Plot, size font.Length) draw.TextStyle {
	s := p.X.Tick.Label
	s.Font.Size = size
	s.XAlign, s.YAlign = draw.XCenter, draw.YCenter
	s.Rotation = 0
	return s
}

// paint makes a plot's element of a function.
type paint func(c draw.Canvas, p *plot.Plot)

// Plot draws it.
func (f paint) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// boxed writes text on a white ground, so that lines below it do not cross it.
func boxed(c draw.Canvas, style draw.TextStyle, at vg.Point, text string) {
	width, height := style.Width(text), style.Height(text)
	x0 := at.X + vg.Length(style.XAlign)*width
	y0 := at.Y + vg.Length(style.YAlign)*height
	c.FillPolygon(color.White, []vg.Point{{X: x0 - 1.5, Y: y0 - 1}, {X: x0 + width + 1.5, Y: y0 - 1}, {X: x0 + width + 1.5, Y: y0 + height + 1}, {X: x0 - 1.5, Y: y0 + height + 1}})
	c.FillText(style, at, text)
}
