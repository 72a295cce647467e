package assess_test

import (
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// 10 g of tincture bring 830 mg, with 83 mg of deviation, so that two deviations are free from 996 on: to a kilogram of
// water, which alone makes weight, or in a litre of both. Of the next millionth they are not.
func TestCapsAreKeptToTheLastDigit(t *testing.T) {
	still := job(t, traced)
	thrown := job(t, strings.Replace(traced, "carbonated = true", "throw = \"1+1\"\ncarbonated = true", 1))
	for _, c := range []struct {
		job       *brief.Job
		water     float64
		per       profile.Per
		keep, not float64
	}{
		{still, 1000, profile.PerKilogram, 996, 995.999999},
		{still, 990, profile.PerLitre, 996, 995.999999},
		{thrown, 990, profile.PerLitre, 498, 497.999999},
		{thrown, 1000, profile.PerKilogram, 495.98, 495.97}, // over 1 kg of water and 1.01 L of soda of 0.9982 kg/L
	} {
		a, err := assess.Assess(c.job, recipe(c.job, "clear-water", c.water, "tincture", 10.0))
		require.NoError(t, err)
		cap := brief.Cap{Cap: profile.Cap{Substance: "quinine", Per: c.per}}
		g := brief.Guarded{Name: "quinine", Cap: &cap, Above: true, Mean: []float64{0, 83, 0}, CV: []float64{0, 0.1, 0}, Reach: 2}
		for _, value := range []float64{c.keep, c.not} {
			g.Value = value
			keeps, ok := a.Keeps(g)
			assert.True(t, ok)
			assert.Equal(t, value == c.keep, keeps, "%v per %s", value, c.per)
		}
		g.Value, g.Reach = c.keep, 2.01
		keeps, _ := a.Keeps(g)
		assert.False(t, keeps, "a hundredth of a deviation more")
		g.Reach, g.Most = 2, 1
		keeps, _ = a.Keeps(g)
		assert.True(t, keeps, "the one that varies is the one that is bad")
	}
}

// 20 g of bark bring 100 mg a litre, 10 % off. A target is held within its tolerance of 1 in 2000: three deviations
// stay above 70 and below 130, and 70/0.9995 and 130/1.0005 are the last that count as kept.
func TestTargetsAreKeptWithinTheirTolerance(t *testing.T) {
	j := job(t, traced)
	a, err := assess.Assess(j, recipe(j, "clear-water", 992.0, "test-bark", 20.0))
	require.NoError(t, err)
	for _, c := range []struct {
		above bool
		value float64
		want  bool
	}{
		{false, 70.035, true}, {false, 70.0351, false}, {false, 60, true}, {false, 80, false},
		{true, 129.936, true}, {true, 129.934, false}, {true, 140, true}, {true, 120, false},
	} {
		keeps, ok := a.Keeps(brief.Guarded{Name: "bitterness", Above: c.above, Value: c.value, CV: []float64{0, 0, 0.1}, Reach: 3})
		assert.True(t, ok)
		assert.Equal(t, c.want, keeps, "%v", c)
	}
	for _, name := range []string{brief.Acidity, "ph"} {
		_, ok := a.Keeps(brief.Guarded{Name: name, Value: 3, CV: []float64{0, 0, 0}})
		assert.False(t, ok, "the charges of acids decide on %s", name)
	}
}

// What a gram brings on average may be other than what is expected of it, where a cap counts the whole content.
func TestKeepsByTheMeanThatIsGiven(t *testing.T) {
	j := job(t, traced)
	a, err := assess.Assess(j, recipe(j, "clear-water", 1000.0, "tincture", 10.0))
	require.NoError(t, err)
	cap := brief.Cap{Cap: profile.Cap{Substance: "quinine", Per: profile.PerKilogram}}
	g := brief.Guarded{Name: "quinine", Cap: &cap, Above: true, Value: 996, Mean: []float64{0, 84, 0}, CV: []float64{0, 0.1, 0}, Reach: 2}
	keeps, _ := a.Keeps(g)
	assert.False(t, keeps, "84 mg to the gram take 1008 mg")
}

// A drink thrown with as much soda holds 830 mg in two litres; and over 0.99 kg of water and a litre of soda of
// 0.9982 kg.
func TestCapsPerLitreAndPerKilogram(t *testing.T) {
	j := job(t, strings.Replace(traced, "carbonated = true", "throw = \"1+1\"\ncarbonated = true", 1))
	for _, c := range []struct {
		per   profile.Per
		max   float64
		holds bool
	}{{profile.PerLitre, 415, true}, {profile.PerLitre, 414.999999, false}, {profile.PerKilogram, 417.4631, true}, {profile.PerKilogram, 417.463, false}} {
		for n := range j.Caps {
			j.Caps[n].Per, j.Caps[n].Max = c.per, c.max
		}
		a, err := assess.Assess(j, recipe(j, "clear-water", 990.0, "tincture", 10.0))
		require.NoError(t, err)
		require.NotEmpty(t, a.Caps)
		for _, cap := range a.Caps {
			if cap.Substance == "quinine" {
				assert.Equal(t, c.holds, cap.Holds, "%v", c)
				assert.InDelta(t, 1-cap.Guarded/c.max, cap.HeadRoom, 1e-12)
			}
		}
	}
}
