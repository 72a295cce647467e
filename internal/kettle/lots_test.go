package kettle_test

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shelf is a shelf of so many lots for the bitter-orange demo.
func shelf(t testing.TB, lots int) string {
	t.Helper()
	p := plan(t, demo(t, "bitter-orange"), 250, kettle.Options{}, nil)
	var b strings.Builder
	n := 0
	for n < lots {
		for _, l := range p.Lines {
			if l.Source.Water() || n == lots {
				continue
			}
			n++
			fmt.Fprintf(&b, "[[lot]]\nnumber = \"L-%03d\"\ningredient = %q\nquantity_kg = %.5g\nprice_per_kg = %.4g\nbest_before = 2027-%02d-%02d\n",
				n, l.Source.Name, (0.15+0.02*float64(n%7))*l.Grams/1000, l.Source.PricePerKg*(0.9+0.01*float64(n%20)), 1+n%12, 1+n%28)
		}
	}
	return b.String()
}

func TestSixtyLots(t *testing.T) {
	p := plan(t, "lots = \"lots.toml\"\n"+demo(t, "bitter-orange"), 250, kettle.Options{}, map[string]string{"lots.toml": shelf(t, 60)})
	require.NotNil(t, p.Assessment)
	checkLots(t, 0, p)
	t.Logf("%d lines, cost %.4f, of it rounding %.4f and first out %.4f, gap %.2g", len(p.Lines), p.Cost.Total, p.Cost.Rounding, p.Cost.FirstOut, p.Cost.Gap())
}

func BenchmarkBatchFromLots(b *testing.B) {
	lib, err := profile.Embedded()
	require.NoError(b, err)
	for _, lots := range []int{60, 200, 1000} {
		b.Run(strconv.Itoa(lots), func(b *testing.B) {
			fsys := fstest.MapFS{"brief.toml": {Data: []byte("lots = \"lots.toml\"\n" + demo(b, "bitter-orange"))}, "lots.toml": {Data: []byte(shelf(b, lots))}}
			for b.Loop() {
				job, err := brief.OpenFS(fsys, "brief.toml", "", lib, brief.Litres(250), brief.OnDay(today))
				require.NoError(b, err)
				p, err := kettle.New(context.Background(), job, kettle.Options{Litres: 250})
				require.NoError(b, err)
				b.ReportMetric(p.Cost.Gap(), "gap")
			}
		})
	}
}

// An amount just below the most that a scale takes is weighed on it, where the next takes only more: 5 g of quinine
// salt on the scale to 5.2 g.
func TestAtTheHandOverOfScalesBothAreTried(t *testing.T) {
	text := demo(t, "bitter-lemon") + "[[scale]]\nto_g = 5.2\ndivision_g = 0.01\n[[scale]]\nfrom_g = 5.2\ndivision_g = 1\n"
	p := plan(t, text, 250, kettle.Options{}, nil)
	require.NotNil(t, p.Assessment)
	for _, l := range p.Lines {
		if l.Source.Name == "quinine-hydrochloride" {
			assert.Equal(t, 0.01, l.DivisionG)
			assert.LessOrEqual(t, l.Grams, 5.2)
		}
	}
}
