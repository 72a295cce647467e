package profile

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The thresholds are those of 27 CFR 16.10, Regulation (EU) 1169/2011 Article 9(1)(k), and the stricter
// reading for Australia and New Zealand.
func TestAlcoholicFrom(t *testing.T) {
	for name, want := range map[string]float64{"us": 0.5, "eu": 1.2, "uk": 1.2, "au-nz": 0.5} {
		assert.Equal(t, want, embedded(t).Markets[name].AlcoholicFrom, name)
	}
}

// Each case holds a drink just at, or just over, the figure of the cited text.
func TestDeclarationsEqualTheLaw(t *testing.T) {
	const (
		hypertension = "contains liquorice - people suffering from hypertension should avoid excessive consumption"
		caffeine     = "High caffeine content. Not recommended for children or pregnant or breast-feeding women (__ mg/100 ml)"
	)
	cases := []struct {
		market, attribute string
		value             float64
		alcoholic         bool
		wording, citation string
		fires             bool
	}{
		{"us", "quinine", 0, false, "contains quinine", "21 CFR 172.575", false},
		{"us", "quinine", 0.1, false, "contains quinine", "21 CFR 172.575", true},
		{"us", "sulphites", 10, false, "contains sulfites", "21 CFR 101.100(a)(4)", true},
		{"us", "vanillin", 40, true, "imitation", "TTB", false},
		{"us", "vanillin", 40.1, true, "imitation", "TTB", true},
		{"us", "ethyl-vanillin", 16.1, true, "imitation", "TTB", true},
		{"us", "maltol", 250.1, true, "imitation", "TTB", true},
		{"us", "ethyl-maltol", 100.1, true, "imitation", "TTB", true},
		{"us", "vanillin", 40.1, false, "imitation", "TTB", false},
		{"us", "juice", 5, false, "contains __ percent juice", "21 CFR 101.30(a)", true},
		{"eu", "quinine", 0.1, false, "flavouring (quinine)", "Regulation (EU) 1169/2011 Annex VII", true},
		{"eu", "caffeine", 150, false, caffeine, "Regulation (EU) 1169/2011 Annex III point 4.1", false},
		{"eu", "caffeine", 150.1, false, caffeine, "Regulation (EU) 1169/2011 Annex III point 4.1", true},
		{"eu", "glycyrrhizin", 9.9, false, "contains liquorice", "Regulation (EU) 1169/2011 Annex III point 3.1", false},
		{"eu", "glycyrrhizin", 10, false, "contains liquorice", "Regulation (EU) 1169/2011 Annex III point 3.1", true},
		{"eu", "glycyrrhizin", 50, false, hypertension, "Regulation (EU) 1169/2011 Annex III point 3.3", true},
		{"eu", "glycyrrhizin", 299, true, hypertension, "Regulation (EU) 1169/2011 Annex III point 3.3", false},
		{"eu", "glycyrrhizin", 300, true, hypertension, "Regulation (EU) 1169/2011 Annex III point 3.3", true},
		{"eu", "aspartame", 0, false, "contains a source of phenylalanine", "Regulation (EU) 1169/2011 Annex III point 2.3", false},
		{"uk", "aspartame", 0.1, false, "contains a source of phenylalanine", "Regulation (EU) 1169/2011 Annex III point 2.3", true},
		{"eu", "polyols", 10, false, "excessive consumption may produce laxative effects", "Regulation (EU) 1169/2011 Annex III point 2", false},
		{"eu", "polyols", 10.1, false, "excessive consumption may produce laxative effects", "Regulation (EU) 1169/2011 Annex III point 2", true},
		{"eu", "sulphites", 10, false, "contains sulphites", "Regulation (EU) 1169/2011 Annex II", false},
		{"uk", "sulphites", 10.1, false, "contains sulphites", "Regulation (EU) 1169/2011 Annex II", true},
		{"uk", "quinine", 0.1, true, "flavouring (quinine)", "Regulation (EU) 1169/2011 Annex VII", true},
		{"au-nz", "quinine", 0.1, false, "contains quinine", "Food Standards Code, Standard 1.2.3", true},
		{"au-nz", "sulphites", 10, false, "contains sulphites", "Food Standards Code, Standard 1.2.3", true},
	}
	l := embedded(t)
	for _, c := range cases {
		t.Run(fmt.Sprint(c.market, " ", c.attribute, " ", c.value), func(t *testing.T) {
			value := func(attribute string, per Per) float64 {
				if attribute == c.attribute {
					return c.value
				}
				return 0
			}
			found, fires := false, false
			for _, d := range l.Markets[c.market].Declarations {
				inSum := slices.ContainsFunc(d.Sum, func(s Share) bool { return s.Substance == c.attribute })
				if d.Wording != c.wording || d.Attribute != c.attribute && !inSum {
					continue
				}
				found = true
				assert.True(t, strings.HasPrefix(d.Citation, c.citation), d.Citation)
				fires = fires || d.Fires(c.alcoholic, nil, value)
			}
			assert.True(t, found)
			assert.Equal(t, c.fires, fires)
		})
	}
}

// 27 CFR 16.21, letter by letter.
func TestGovernmentWarning(t *testing.T) {
	const warning = "GOVERNMENT WARNING: (1) According to the Surgeon General, women should not drink alcoholic beverages during pregnancy because of the risk of birth defects. (2) Consumption of alcoholic beverages impairs your ability to drive a car or operate machinery, and may cause health problems."
	none := func(string, Per) float64 { return 0 }
	var fired []string
	for _, d := range embedded(t).Markets["us"].Declarations {
		if d.Fires(true, nil, none) {
			fired = append(fired, d.Wording)
		}
		assert.False(t, d.Fires(false, nil, none))
	}
	assert.Equal(t, []string{warning}, fired)
}

// "vanillin (40 ppm), ... maltol (250 ppm) ... or a combination of them, exceed ... must be labeled as imitation".
func TestFlavoursTogetherMakeAnImitation(t *testing.T) {
	fires := func(alcoholic bool, vanillin, maltol float64) bool {
		value := func(attribute string, _ Per) float64 {
			return map[string]float64{"vanillin": vanillin, "maltol": maltol}[attribute]
		}
		return slices.ContainsFunc(embedded(t).Markets["us"].Declarations, func(d Declaration) bool {
			return d.Wording == "imitation" && d.Fires(alcoholic, nil, value)
		})
	}
	assert.True(t, fires(true, 30, 100), "30/40 + 100/250")
	assert.False(t, fires(true, 20, 120))
	assert.True(t, fires(true, 0, 251))
	assert.False(t, fires(false, 30, 100))
}
