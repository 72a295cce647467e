package report

import (
	"bytes"
	"context"
	"encoding/xml"
	"image"
	"image/color"
	_ "image/png"
	"io"
	"math"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

func pictures(t *testing.T) map[string]Picture {
	t.Helper()
	ctx := context.Background()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenFS(profiles.FS, "demo/bitter-orange.toml", "demo:", lib)
	require.NoError(t, err)
	out := map[string]Picture{}
	add := func(name string, p Picture, err error) {
		require.NoError(t, err)
		out[name] = p
	}
	swap, err := study.Swap(ctx, job, study.SwapOptions{Short: []study.Shortage{{Name: "gentian-root"}}, Within: math.Inf(1)})
	require.NoError(t, err)
	p, err := SwapPicture(swap)
	add("swap", p, err)
	reach, err := study.Reach(ctx, job, "bitterness", true, true)
	require.NoError(t, err)
	p, err = ReachPicture(reach)
	add("reach", p, err)
	region, err := study.Regions(ctx, job, "bitterness", "acidity")
	require.NoError(t, err)
	p, err = RegionPicture(region)
	add("region", p, err)
	reprice, err := study.Reprice(ctx, job, []study.PriceMove{{Name: "quassia-wood", From: 5, To: 120}}, nil)
	require.NoError(t, err)
	p, err = RepricePicture(reprice)
	add("reprice", p, err)
	others, err := study.FindAlternatives(ctx, job, 0.05, 3)
	require.NoError(t, err)
	p, err = AlternativesPicture(others)
	add("alternatives", p, err)
	compared, err := study.Compare(ctx, study.Side{Name: "a", Job: job}, study.Side{Name: "b", Job: job})
	require.NoError(t, err)
	p, err = ComparePicture(compared)
	add("compare", p, err)
	o := study.GuardOptions{StressOptions: study.StressOptions{Assumed: 0.3, Draws: 2000, Seed: 1}, Risk: 0.001, Method: study.Independent, Counting: study.Sum}
	curve, err := study.GuardCurve(ctx, job, o)
	require.NoError(t, err)
	p, err = GuardCurvePicture(curve)
	add("guard curve", p, err)
	guarded, err := study.Guard(ctx, job, o)
	require.NoError(t, err)
	p, err = GuardPicture(guarded)
	add("guard", p, err)
	return out
}

// words returns the text of an SVG picture, which must be well-formed XML.
func wordsIn(t *testing.T, svg []byte) string {
	t.Helper()
	var b strings.Builder
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return b.String()
		}
		require.NoError(t, err)
		if text, ok := token.(xml.CharData); ok {
			b.Write(text)
			b.WriteByte('\n')
		}
	}
}

// Every picture names its brief and units, is the same each time, and holds no colour.
func TestPictures(t *testing.T) {
	says := map[string][]string{
		"swap":         {"aroma-woody", "points/L", "EUR/L", "JND"},
		"reach":        {"bitterness, mg/L", "EUR/L", "asked: at most 75", "cap quinine (us) 83"},
		"region":       {"bitterness, mg/L", "acidity, g/L", "today, 0.269"},
		"reprice":      {"price of quassia-wood, EUR/kg", "today's recipe kept", "recipe 2"},
		"alternatives": {"other A", "EUR/L"},
		"compare":      {"no attribute changes", "EUR/L"},
		"guard curve":  {"knee: 1 in 200, 0.2691", "1 in 10 000", "cheapest recipe of the brief"},
		"guard":        {"cheapest", "sure"},
	}
	for name, p := range pictures(t) {
		t.Run(name, func(t *testing.T) {
			svg, err := p.Draw("svg")
			require.NoError(t, err)
			again, err := p.Draw("svg")
			require.NoError(t, err)
			assert.Equal(t, svg, again)
			text := wordsIn(t, svg)
			for _, want := range append(says[name], "demo:bitter-orange.toml") {
				assert.Contains(t, text, want)
			}
			png, err := p.Draw("png")
			require.NoError(t, err)
			picture, kind, err := image.Decode(bytes.NewReader(png))
			require.NoError(t, err)
			assert.Equal(t, "png", kind)
			dark := 0
			for y := picture.Bounds().Min.Y; y < picture.Bounds().Max.Y; y++ {
				for x := picture.Bounds().Min.X; x < picture.Bounds().Max.X; x++ {
					r, g, b, _ := picture.At(x, y).RGBA()
					require.True(t, r == g && g == b, "a colour at %d, %d", x, y)
					if r < 0x8000 {
						dark++
					}
				}
			}
			assert.Greater(t, dark, 5000, "something is drawn")
			_, err = p.Draw("pdf")
			require.EqualError(t, err, `report: there is no picture of kind "pdf"`)
		})
	}
}

// Hatching stays within its polygon, also where that is not convex.
func TestHatchStaysInside(t *testing.T) {
	var canvas recorder.Canvas
	c := draw.NewCanvas(&canvas, 100, 100)
	notched := []vg.Point{{X: 10, Y: 10}, {X: 90, Y: 10}, {X: 90, Y: 90}, {X: 50, Y: 30}, {X: 10, Y: 90}}
	pattern{ground: color.White, angles: []float64{0, 45, 90, 135}, gap: 7}.fill(c, notched)
	strokes := 0
	for _, action := range canvas.Actions {
		stroke, ok := action.(*recorder.Stroke)
		if !ok || len(stroke.Path) != 2 {
			continue
		}
		strokes++
		a, b := stroke.Path[0].Pos, stroke.Path[1].Pos
		for _, share := range []float64{0.01, 0.5, 0.99} {
			x := float64(a.X) + share*float64(b.X-a.X)
			y := float64(a.Y) + share*float64(b.Y-a.Y)
			assert.True(t, x >= 10 && x <= 90 && y >= 10, "%v, %v", x, y)
			assert.LessOrEqual(t, y, 30+1.5*math.Abs(x-50)+1e-6)
		}
	}
	assert.Greater(t, strokes, 30)
}
