package label_test

import (
	"testing"

	"bittersum/internal/label"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Least heights by the texts: Regulation (EU) 1169/2011 Article 13(2) and (3) (x-height 1.2 mm, 0.9 mm where the
// largest surface is below 80 cm²); Directive 76/211/EEC Annex I 3.1 (figures 6, 4, 3, 2 mm above 1000, 200, 50 mL and
// below); 21 CFR 101.2(c) (1/16 inch) and 101.105(i) of 2015 (1/16, 1/8, 3/16, 1/4 inch up to 5, 25, 100 square inches
// of main panel and above, which is 40 % of a cylinder's height times circumference, 101.1(b)); 27 CFR 16.22(b) (1, 2,
// 3 mm up to 237 mL, 3 L and above).
func TestLeastHeights(t *testing.T) {
	l := draft(t, "name = \"Strong\"\nmarkets = [\"us\", \"eu\", \"uk\", \"au-nz\"]\nbottle_ml = 250\nalcohol_percent = 5\n", map[string]float64{"water": 900, "sugar": 50, "neutral-spirit": 40}, "")
	find := func(market, part, text string) label.Line {
		for _, x := range l[market].Lines {
			if x.Part == part && (text == "" || len(x.Text) >= len(text) && x.Text[:len(text)] == text) {
				return x
			}
		}
		require.Fail(t, "no line", "%s %s", market, part)
		return label.Line{}
	}
	for _, c := range []struct {
		market, part, text string
		on                 label.Container
		mm                 float64
		figures            bool
		citation           string
	}{
		{"eu", "name", "", label.Container{}, 1.2, false, "Article 13(2)"},
		{"eu", "name", "", label.Container{DiameterMM: 60, BodyMM: 120}, 1.2, false, "Article 13(2)"},
		{"eu", "name", "", label.Container{DiameterMM: 40, BodyMM: 60}, 0.9, false, "Article 13(3)"},
		{"uk", "name", "", label.Container{DiameterMM: 40, BodyMM: 60}, 0.9, false, "as assimilated"},
		{"eu", "net quantity", "", label.Container{ML: 1500}, 6, true, "76/211/EEC"},
		{"eu", "net quantity", "", label.Container{ML: 1000}, 4, true, "76/211/EEC"},
		{"eu", "net quantity", "", label.Container{ML: 200}, 3, true, "76/211/EEC"},
		{"eu", "net quantity", "", label.Container{ML: 50}, 2, true, "76/211/EEC"},
		{"eu", "net quantity", "", label.Container{}, 6, true, "76/211/EEC"},
		{"us", "name", "", label.Container{}, 25.4 / 16, false, "101.2(c)"},
		{"us", "net quantity", "", label.Container{DiameterMM: 30, BodyMM: 80}, 25.4 / 16, false, "101.105(i)"},   // 4.7 square inches
		{"us", "net quantity", "", label.Container{DiameterMM: 60, BodyMM: 120}, 25.4 / 8, false, "101.105(i)"},   // 14
		{"us", "net quantity", "", label.Container{DiameterMM: 90, BodyMM: 200}, 25.4 * 3 / 16, false, "101.105"}, // 35
		{"us", "net quantity", "", label.Container{DiameterMM: 200, BodyMM: 300}, 25.4 / 4, false, "101.105"},     // 117
		{"us", "net quantity", "", label.Container{}, 25.4 * 3 / 16, false, "101.105"},                            // not known
		{"us", "declaration", "GOVERNMENT WARNING", label.Container{ML: 237}, 1, false, "27 CFR 16.22(b)"},
		{"us", "declaration", "GOVERNMENT WARNING", label.Container{ML: 250}, 2, false, "27 CFR 16.22(b)"},
		{"us", "declaration", "GOVERNMENT WARNING", label.Container{ML: 3001}, 3, false, "27 CFR 16.22(b)"},
		{"us", "declaration", "GOVERNMENT WARNING", label.Container{}, 3, false, "27 CFR 16.22(b)"},
		{"au-nz", "standard drinks", "", label.Container{}, 1.2, false, "practice"},
	} {
		at := l[c.market]
		h := at.HeightOf(find(c.market, c.part, c.text), c.on)
		assert.InDelta(t, c.mm, h.MM, 1e-12, "%s %s %+v", c.market, c.part, c.on)
		assert.Equal(t, c.figures, h.Figures)
		assert.Contains(t, h.Citation, c.citation)
	}
	us := l["us"]
	assert.InDelta(t, 8*25.4/72*0.519, us.NutritionHeight(label.Container{}).MM, 1e-9)
}

// What only the maker is told is not printed; a share below a tenth is never printed as nothing.
func TestWhatIsPrinted(t *testing.T) {
	l := draft(t, "name = \"Lemon peel soda\"\nmarkets = [\"eu\", \"us\", \"au-nz\"]\n", map[string]float64{"water": 950, "sugar": 60, "citric-acid": 3, "lemon-peel": 0.5}, "")
	for market, x := range l {
		for _, line := range x.Lines {
			switch line.Part {
			case "not known", "before printing", "quantities", "nutrition":
				assert.True(t, line.Told, "%s: %s", market, line.Text)
			case "name", "net quantity", "declaration":
				assert.False(t, line.Told, "%s: %s", market, line.Text)
			}
		}
	}
	assert.Contains(t, line(l["eu"], "ingredients")[0], "lemon peel (0.05 %)")
	assert.Contains(t, line(l["au-nz"], "ingredients")[1], "additives by class name")
}
