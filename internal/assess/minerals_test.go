package assess_test

import (
	"maps"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func judged(t *testing.T, text string, grams map[string]float64) *assess.Assessment {
	t.Helper()
	library, err := profile.Embedded()
	require.NoError(t, err)
	return judgedWith(t, library, text, grams)
}

func judgedWith(t *testing.T, library *profile.Library, text string, grams map[string]float64) *assess.Assessment {
	t.Helper()
	path := filepath.Join(t.TempDir(), "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	job, err := brief.Open(path, library)
	require.NoError(t, err)
	recipe := &brief.Recipe{Name: "r"}
	for _, source := range job.Sources {
		if amount := grams[source.Name]; amount > 0 {
			recipe.Parts = append(recipe.Parts, brief.Part{Source: source, Amount: amount})
		}
	}
	a, err := assess.Assess(job, recipe)
	require.NoError(t, err)
	return a
}

const teaBrief = `name = "tea"
markets = ["us"]
use = ["water", "sugar", "citric-acid", "black-tea", "potassium-sorbate"]
`

// Five grams of black tea in a litre bring 21.6 mg/g of potassium, of which 0.71 reach the drink, and a little
// calcium, magnesium and sodium: 2.5 mmol of base against 0.3 g (1.56 mmol) of citric acid, which is 1.6 of its
// three protons, so that the pH may lie about 4.8 (pKa 3.13, 4.76, 6.40), and without them at 3.1 (of the sugar-free 3.12, 0.02 less as sugar takes up room). Ten grams
// outweigh the acid: the pH may be that of the infusion. What is said of keeping takes the higher end.
func TestMineralsOfTeaMayTakeTheAcidAway(t *testing.T) {
	a := judged(t, teaBrief, map[string]float64{"black-tea": 5, "citric-acid": 0.3, "sugar": 60})
	assert.InDelta(t, 3.10, a.Served.PH, 0.01)
	assert.InDelta(t, 4.9, a.Served.HighestPH, 0.2)
	a = judged(t, teaBrief, map[string]float64{"black-tea": 10, "citric-acid": 0.3, "sugar": 60})
	assert.InDelta(t, 3.10, a.Served.PH, 0.01)
	assert.Equal(t, 7.24, a.Served.HighestPH)
	a = judged(t, teaBrief, map[string]float64{"black-tea": 10, "citric-acid": 0.3, "sugar": 60, "potassium-sorbate": 0.2})
	assert.Equal(t, a.Served.HighestPH, a.Preservation.PH)
	assert.Less(t, a.Preservation.Preservatives[0].Share, 0.05, "sorbic acid (pKa 4.76) keeps next to nothing at pH 6.2")
	assert.Contains(t, said(a), "the drink may be above pH 4.6")
	assert.Contains(t, said(a), "no profile says how much acid of their own comes with those of black-tea")
}

// A drink without plants has one pH.
func TestWithoutPlantsThePHIsOneNumber(t *testing.T) {
	a := judged(t, teaBrief, map[string]float64{"citric-acid": 3, "sugar": 60})
	assert.Equal(t, a.Served.PH, a.Served.HighestPH)
	assert.NotContains(t, said(a), "range")
}

// A plant without a figure of its potassium leaves the highest pH open, and a highest pH that is asked for
// cannot be shown to hold.
func TestUnmeasuredMineralsLeaveThePHOpen(t *testing.T) {
	library, err := profile.Embedded()
	require.NoError(t, err)
	unmeasured, tea := *library, *library.Ingredients["black-tea"]
	tea.Contents, tea.Absent = maps.Clone(tea.Contents), maps.Clone(tea.Absent)
	delete(tea.Contents, "potassium")
	delete(tea.Absent, "potassium")
	unmeasured.Ingredients = maps.Clone(library.Ingredients)
	unmeasured.Ingredients["black-tea"] = &tea
	a := judgedWith(t, &unmeasured, teaBrief, map[string]float64{"black-tea": 5, "citric-acid": 3})
	assert.True(t, math.IsNaN(a.Served.HighestPH))
	assert.Contains(t, said(a), "or above; how far above cannot be said, since the profiles of black-tea have no figure of their minerals")

	path := filepath.Join(t.TempDir(), "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(teaBrief+"[targets.ph]\nmax = 3\n"), 0o600))
	_, err = brief.Open(path, &unmeasured)
	assert.ErrorContains(t, err, `targets.ph.max: "black-tea" has no figure of its potassium, which binds acid: no highest pH can be shown to hold`)
}

func said(a *assess.Assessment) string {
	var lines []string
	for _, c := range a.Cautions {
		lines = append(lines, c.Text)
	}
	return strings.Join(lines, "\n")
}
