package regress

import (
	"math"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// nistGroups returns the observations of a set, made by its rule where the set is made by one: cell j begins with
// its start and then alternates a tenth below and above it.
func nistGroups(t *testing.T, name string, count int) [][]float64 {
	base, each := 0.0, 0
	switch name {
	case "SmLs02", "SmLs03":
		base, each = 1, count/9
	case "SmLs05", "SmLs06":
		base, each = 1e6, count/9
	case "SmLs08", "SmLs09":
		base, each = 1e12, count/9
	default:
		groups := map[string][]float64{}
		var order []string
		for _, row := range reference.Open(t, "statistics", "anova_"+map[string]string{"SiRstv": "sirstv", "AtmWtAg": "atmwtag", "SmLs01": "smls01", "SmLs04": "smls04", "SmLs07": "smls07"}[name]+".csv").Rows {
			if groups[row[0]] == nil {
				order = append(order, row[0])
			}
			groups[row[0]] = append(groups[row[0]], reference.Number(t, row[1]))
		}
		var out [][]float64
		for _, g := range order {
			out = append(out, groups[g])
		}
		return out
	}
	var out [][]float64
	for _, start := range []float64{0.4, 0.3, 0.5, 0.3, 0.5, 0.3, 0.5, 0.3, 0.5} {
		cell := []float64{base + start}
		for k := 1; k < each; k++ {
			cell = append(cell, base+start+0.1*float64(2*((k+1)%2)-1))
		}
		out = append(out, cell)
	}
	return out
}

// The eleven analyses of variance of the NIST Statistical Reference Datasets. Those with thirteen leading digits in
// common keep the four that double precision leaves of their observations.
func TestCertifiedAnalysesOfVariance(t *testing.T) {
	least := map[string]float64{"SiRstv": 12, "AtmWtAg": 8, "SmLs01": 12, "SmLs02": 12, "SmLs03": 12, "SmLs04": 8, "SmLs05": 8, "SmLs06": 8, "SmLs07": 1.5, "SmLs08": 1.5, "SmLs09": 1.5}
	rows := reference.Open(t, "statistics", "anova_certified.csv").Rows
	require.Len(t, rows, 11)
	for _, row := range rows {
		between, within, err := OneWay(nistGroups(t, row[0], int(reference.Number(t, row[2]))))
		require.NoError(t, err)
		assert.Equal(t, reference.Number(t, row[3]), between.DF, row[0])
		assert.Equal(t, reference.Number(t, row[4]), within.DF, row[0])
		for k, got := range map[int]float64{5: between.Sum, 6: between.Square, 7: between.F, 8: within.Sum, 9: within.Square, 11: math.Sqrt(within.Square)} {
			assert.Greater(t, digits(got, reference.Number(t, row[k])), least[row[0]], "%s: column %d: %v", row[0], k, got)
		}
	}
}

// Two samples, three tasters, two cups each, by hand: means 5 and 8, tasters 5.5, 6.5 and 7.5.
func TestCrossedByHand(t *testing.T) {
	c, err := Cross([][][]float64{{{3, 5}, {5, 5}, {5, 7}}, {{6, 8}, {7, 9}, {9, 9}}})
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{5, 8}, c.Means, 1e-12)
	assert.InDelta(t, 27, c.First.Sum, 1e-12) // 6·1.5² twice
	assert.InDelta(t, 8, c.Second.Sum, 1e-12) // 4·1² twice
	assert.InDelta(t, 0, c.Interaction.Sum, 1e-12)
	assert.InDelta(t, 8, c.Error.Sum, 1e-12) // four pairs two apart
	assert.Equal(t, []float64{1, 2, 2, 6}, []float64{c.First.DF, c.Second.DF, c.Interaction.DF, c.Error.DF})
	assert.InDelta(t, 3, c.Second.F, 1e-12)
	assert.True(t, math.IsNaN(c.First.F), "no interaction: there is nothing to hold it against")
	_, err = Cross([][][]float64{{{1}, {2}}, {{1}}})
	require.ErrorIs(t, err, ErrLayout)
	_, err = Cross([][][]float64{{{1}, {2}}, {{1}, {2, 3}}})
	require.ErrorIs(t, err, ErrLayout)
	_, err = Cross([][][]float64{{{1}, {2}}})
	require.ErrorIs(t, err, ErrLayout)
	_, _, err = OneWay([][]float64{{1, 2}})
	require.ErrorIs(t, err, ErrLayout)
	_, _, err = OneWay([][]float64{{1, 2}, {}})
	require.ErrorIs(t, err, ErrLayout)
}

// The parts add up to the whole, and a shift of all observations moves none of them.
func TestVarianceAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, r := rapid.IntRange(2, 4).Draw(t, "samples"), rapid.IntRange(2, 5).Draw(t, "tasters"), rapid.IntRange(1, 3).Draw(t, "cups")
		shift := rapid.Float64Range(-1e6, 1e6).Draw(t, "shift")
		cells, moved := make([][][]float64, a), make([][][]float64, a)
		var all []float64
		for i := range cells {
			for range b {
				var cell, other []float64
				for range r {
					v := rapid.Float64Range(0, 100).Draw(t, "score")
					cell, other, all = append(cell, v), append(other, v+shift), append(all, v)
				}
				cells[i], moved[i] = append(cells[i], cell), append(moved[i], other)
			}
		}
		c, err := Cross(cells)
		if err != nil {
			t.Fatal(err)
		}
		m, err := Cross(moved)
		if err != nil {
			t.Fatal(err)
		}
		average, total := 0.0, 0.0
		for _, v := range all {
			average += v / float64(len(all))
		}
		for _, v := range all {
			total += (v - average) * (v - average)
		}
		if sum := c.First.Sum + c.Second.Sum + c.Interaction.Sum + c.Error.Sum; math.Abs(sum-total) > 1e-9*(1+total) {
			t.Fatalf("%g and %g", sum, total)
		}
		if math.Abs(c.First.Sum-m.First.Sum) > 1e-6*(1+c.First.Sum) {
			t.Fatalf("%g, moved %g", c.First.Sum, m.First.Sum)
		}
	})
}
