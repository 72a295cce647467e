package page

import (
	"bytes"
	"context"
	"image"
	_ "image/png"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/label"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/works"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// labelsOf draws the labels of a demo at true size.
func labelsOf(t *testing.T, size, bottle string) (html string, fits []report.LabelFits) {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	s := serving(t, startFolder(t))
	job, err := s.openOver(lib, "demo:bitter-orange")
	require.NoError(t, err)
	a, labels, err := (&works.Labelling{Job: job}).Labels(t.Context())
	require.NoError(t, err)
	on, err := works.ParseContainer(size, bottle)
	require.NoError(t, err)
	on.ML = a.Job.BottleML
	var out bytes.Buffer
	fits, err = report.LabelsHTML(&out, a.Job, labels, on)
	require.NoError(t, err)
	return out.String(), fits
}

// darkRows counts the rows of a picture that hold something dark.
func darkRows(t *testing.T, picture []byte) int {
	t.Helper()
	drawn, _, err := image.Decode(bytes.NewReader(picture))
	require.NoError(t, err)
	rows := 0
	for y := drawn.Bounds().Min.Y; y < drawn.Bounds().Max.Y; y++ {
		dark := false
		for x := drawn.Bounds().Min.X; x < drawn.Bounds().Max.X && !dark; x++ {
			r, _, _, _ := drawn.At(x, y).RGBA()
			dark = r < 0x8000
		}
		if dark {
			rows++
		}
	}
	return rows
}

// In a browser the letters of each line come out as high as the rules ask, whatever face is there, and the text takes
// no more room than is foretold.
func TestLabelsAtTrueSize(t *testing.T) {
	ctx := browser(t)
	const scale = 16 // points of the picture for a CSS pixel
	for _, size := range []string{"90x70", "60x110", "120x80"} {
		html, fits := labelsOf(t, size, "60x120")
		require.NoError(t, chromedp.Run(ctx, emulation.SetDeviceMetricsOverride(1200, 1600, 1, false), chromedp.Navigate("about:blank"), chromedp.ActionFunc(func(ctx context.Context) error {
			tree, err := page.GetFrameTree().Do(ctx)
			if err != nil {
				return err
			}
			return page.SetDocumentContent(tree.Frame.ID, html).Do(ctx)
		})))
		for _, f := range fits {
			var takes float64
			// The box is as high as its text where it has no least height.
			require.NoError(t, chromedp.Run(ctx, chromedp.Evaluate(`(e => { e.style.minHeight = 0; return e.getBoundingClientRect().height * 25.4 / 96 })(document.querySelector('[data-market="`+f.Market+`"]'))`, &takes)))
			assert.LessOrEqual(t, takes, f.NeedsMM+1, "%s at %s", f.Market, size)
			assert.GreaterOrEqual(t, takes, 0.75*f.NeedsMM, "%s at %s", f.Market, size)
		}
		if size != "90x70" {
			continue
		}
		for market, want := range map[string]float64{"eu": 1.2, "us": 25.4 / 16} {
			var picture []byte
			require.NoError(t, chromedp.Run(ctx, chromedp.Evaluate(`{ const p = document.querySelector('[data-market="`+market+`"] p:nth-of-type(2)'); p.textContent = "xzxz"; p.id = "x-`+market+`"; document.body.style.background = "#fff"; }`, nil),
				emulation.SetDeviceMetricsOverride(1200, 1600, scale, false), chromedp.Screenshot("#x-"+market, &picture, chromedp.ByQuery), emulation.SetDeviceMetricsOverride(1200, 1600, 1, false)))
			got := float64(darkRows(t, picture)) / scale * 25.4 / 96
			assert.InDelta(t, want, got, 0.04, market)
			assert.GreaterOrEqual(t, got, want-0.02, market)
		}
	}
}

func TestLabelPage(t *testing.T) {
	s, c := onDay(t, startFolder(t))
	get := func(values url.Values) (int, string, http.Header) {
		answer, err := c.Get("http://" + s.hosts[0] + "/labels?" + values.Encode())
		require.NoError(t, err)
		defer answer.Body.Close()
		var body bytes.Buffer
		_, err = body.ReadFrom(answer.Body)
		require.NoError(t, err)
		return answer.StatusCode, body.String(), answer.Header
	}
	q := `{"file":"demo:bitter-orange"}`
	code, body, header := get(url.Values{"q": {q}, "size": {"90x80"}, "bottle": {"60x120"}})
	require.Equal(t, 200, code, body)
	assert.Contains(t, body, `data-market="us"`)
	assert.Contains(t, body, "make the label larger")
	assert.NotContains(t, header.Get("Content-Security-Policy"), "script-src")
	for name, v := range map[string]struct {
		values url.Values
		code   int
		says   string
	}{
		"no size":          {url.Values{"q": {q}, "size": {"90"}}, 400, "two lengths in mm"},
		"a size below":     {url.Values{"q": {q}, "size": {"9x80"}}, 400, "two lengths in mm"},
		"no bottle":        {url.Values{"q": {q}, "bottle": {"wide"}}, 400, "two lengths in mm"},
		"no question":      {url.Values{"size": {"90x80"}}, 400, "cannot be read"},
		"a file outside":   {url.Values{"q": {`{"file":"../brief.toml"}`}}, 404, "no brief in this folder"},
		"nothing to label": {url.Values{"q": {`{"file":"demo:bitter-orange","targets":{"bitterness":{"min":9000,"max":null}}}`}}, 409, "nothing to label"},
	} {
		code, body, _ := get(v.values)
		assert.Equal(t, v.code, code, "%s: %.200s", name, body)
		assert.Contains(t, body, v.says, name)
	}
	ctx := browser(t)
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(s.Address()), click(`//a[text()="Bitter-orange aperitif soda"]`), click(`//a[text()="Label"]`), visible("section.label"), click("#label-show"), visible("iframe.sheet"), settled()))
	photograph(t, ctx, "label-true-size")
}

// A drink with a hostile name is printed as text.
func TestLabelNamesAreText(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenText("b.toml", "name = \"<script>x</script>\"\nmarkets = [\"eu\"]\nuse = [\"water\", \"sugar\"]\n[targets.sugars]\nmin = 50\n", lib)
	require.NoError(t, err)
	a, labels, err := (&works.Labelling{Job: job}).Labels(t.Context())
	require.NoError(t, err)
	var out bytes.Buffer
	_, err = report.LabelsHTML(&out, a.Job, labels, label.Container{WidthMM: 90, HeightMM: 60})
	require.NoError(t, err)
	assert.False(t, strings.Contains(out.String(), "<script>"))
}
