package page

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// luminance is the relative luminance of #rgb or #rrggbb, by the definition in WCAG 2.2.
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	if len(colour) == 4 {
		colour = "#" + colour[1:2] + colour[1:2] + colour[2:3] + colour[2:3] + colour[3:4] + colour[3:4]
	}
	sum := 0.0
	for n, weight := range []float64{0.2126, 0.7152, 0.0722} {
		x, err := strconv.ParseUint(colour[1+2*n:3+2*n], 16, 8)
		require.NoError(t, err, colour)
		c := float64(x) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// The colours of the light and of the dark page keep the contrasts of WCAG 2.2, level AA: 1.4.3 for text, 1.4.11 for the
// edges of boxes and the mark of the focus.
func TestContrast(t *testing.T) {
	style, err := static.ReadFile("static/page.css")
	require.NoError(t, err)
	roots := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(string(style), -1)
	require.Len(t, roots, 2)
	for _, root := range roots {
		colours := map[string]float64{}
		for _, c := range regexp.MustCompile(`--(\w+): (#[0-9a-f]+)`).FindAllStringSubmatch(root[1], -1) {
			colours[c[1]] = luminance(t, c[2])
		}
		for _, pair := range []struct {
			over, under string
			least       float64
		}{
			{"ink", "paper", 4.5}, {"ink", "shade", 4.5}, {"soft", "paper", 4.5}, {"soft", "shade", 4.5}, {"accent", "paper", 4.5}, {"line", "paper", 3}, {"accent", "shade", 3},
		} {
			high, low := max(colours[pair.over], colours[pair.under]), min(colours[pair.over], colours[pair.under])
			assert.GreaterOrEqual(t, (high+0.05)/(low+0.05), pair.least, "%s on %s in %s", pair.over, pair.under, root[1])
		}
	}
}
