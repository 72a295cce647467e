package kettle_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// off returns what an assessment finds when every amount of a plan is off by its division, up or down.
func off(t *testing.T, p *kettle.Plan, r *rand.Rand) *assess.Assessment {
	t.Helper()
	recipe := &brief.Recipe{Name: "off", Batch: true}
	for _, l := range p.Lines {
		recipe.Parts = append(recipe.Parts, brief.Part{Source: l.Source, Amount: l.Grams + l.DivisionG*float64(2*r.IntN(2)-1)})
	}
	a, err := assess.Assess(p.Job, recipe)
	require.NoError(t, err)
	return a
}

// With its allowance a plan meets its brief, also when every amount is off by a division; the readings of the
// kettle then keep clear of their limits by the instruments' errors. Without it the same demos miss.
func TestAPlanHoldsWithEveryAmountOff(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 7))
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		bare := plan(t, demo(t, name), 250, kettle.Options{}, nil)
		p := plan(t, demo(t, name), 250, kettle.Options{Allowance: 1}, nil)
		assert.Equal(t, 1.0, p.Allowance.Kept, name)
		missed := 0
		for range 300 {
			if len(off(t, bare, r).Misses()) > 0 {
				missed++
			}
			a := off(t, p, r)
			require.Empty(t, a.Misses(), name)
			require.True(t, a.KeepsCaps(), name)
			for _, reading := range a.Readings {
				if reading.Verdict == assess.NoRange || p.Job.Throw > 0 {
					continue
				}
				e := p.Job.Instrument(map[brief.Reading]string{brief.PH: "ph", brief.Brix: "brix", brief.Density: "density_kg_per_l"}[reading.Reading])
				if !math.IsInf(reading.Min, -1) {
					require.GreaterOrEqual(t, reading.Value, reading.Min+0.98*e.Off(reading.Min), "%s %s", name, reading.Reading)
				}
				if !math.IsInf(reading.Max, 1) {
					require.LessOrEqual(t, reading.Value, reading.Max-0.98*e.Off(reading.Max), "%s %s", name, reading.Reading)
				}
			}
		}
		assert.Greater(t, missed, 100, name)
		assert.GreaterOrEqual(t, p.Cost.Total, bare.Cost.Total*(1-1e-9), name)
		assert.InDelta(t, p.Cost.Total, p.Cost.Least+p.Allowance.Cost+p.Cost.FirstOut+p.Cost.Rounding, 1e-6, name)
	}
}

// A brief that asks for one value leaves no room on that side, and the plan says so or keeps what it can.
func TestAnAllowanceWithoutRoom(t *testing.T) {
	text := `
name = "Narrow"
markets = ["eu"]
use = ["water", "sugar", "citric-acid"]
[targets.sugars]
min = 80
max = 80
[targets.acidity]
min = 5.00
max = 5.05
[[scale]]
division_g = 1
`
	p := plan(t, text, 100, kettle.Options{Allowance: 1}, nil)
	require.NotNil(t, p.Assessment)
	assert.Empty(t, p.Assessment.Misses())
	acidity := p.Assessment.Attributes[1].Value
	assert.InDelta(t, 5.025, acidity, 0.02, "in the middle of what is asked")
}
