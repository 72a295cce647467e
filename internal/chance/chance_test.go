package chance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// The first points as SciPy's generator gives them (scipy.stats.qmc.Sobol, unscrambled, version 1.11).
func TestPointsAreThoseOfJoeAndKuo(t *testing.T) {
	want := [][]float64{
		{0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0},
		{0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5},
		{0.75, 0.25, 0.25, 0.25, 0.75, 0.75, 0.25, 0.75},
		{0.25, 0.75, 0.75, 0.75, 0.25, 0.25, 0.75, 0.25},
		{0.375, 0.375, 0.625, 0.875, 0.375, 0.125, 0.375, 0.875},
		{0.875, 0.875, 0.125, 0.375, 0.875, 0.625, 0.875, 0.375},
		{0.625, 0.125, 0.875, 0.625, 0.625, 0.875, 0.125, 0.125},
		{0.125, 0.625, 0.375, 0.125, 0.125, 0.375, 0.625, 0.625},
		{0.1875, 0.3125, 0.9375, 0.4375, 0.5625, 0.3125, 0.4375, 0.9375},
		{0.6875, 0.8125, 0.4375, 0.9375, 0.0625, 0.8125, 0.9375, 0.4375},
		{0.9375, 0.0625, 0.6875, 0.1875, 0.3125, 0.5625, 0.1875, 0.1875},
		{0.4375, 0.5625, 0.1875, 0.6875, 0.8125, 0.0625, 0.6875, 0.6875},
		{0.3125, 0.1875, 0.3125, 0.5625, 0.9375, 0.4375, 0.0625, 0.0625},
		{0.8125, 0.6875, 0.8125, 0.0625, 0.4375, 0.9375, 0.5625, 0.5625},
		{0.5625, 0.4375, 0.0625, 0.8125, 0.1875, 0.6875, 0.3125, 0.8125},
		{0.0625, 0.9375, 0.5625, 0.3125, 0.6875, 0.1875, 0.8125, 0.3125},
	}
	sequence := newPoints(8, 0, 0)
	u := make([]float64, 8)
	for n, point := range want {
		sequence.next(u)
		for c := range u {
			assert.InDelta(t, point[c], u[c], 1e-9, "point %d, coordinate %d", n, c)
		}
	}
}

// Every coordinate of the first 2^k points falls once into each of 2^k equal intervals.
func TestPointsAreEvenInEachCoordinate(t *testing.T) {
	const count = 256
	for _, seed := range []uint64{0, 7} {
		sequence := newPoints(dimensions, seed, 3)
		u := make([]float64, dimensions)
		var hits [dimensions][count]int
		for range count {
			sequence.next(u)
			for c := range u {
				hits[c][int(u[c]*count)]++
			}
		}
		for c := range hits {
			for _, n := range hits[c] {
				require.Equal(t, 1, n, "coordinate %d, seed %d", c, seed)
			}
		}
	}
}

func TestDistributions(t *testing.T) {
	for _, c := range []struct {
		shape          Shape
		mean, sd       float64
		p, want, above float64 // the quantile of p, and the chance above it
	}{
		{Normal, 10, 2, 0.975, 10 + 2*1.959963984540054, 0.025},
		{Uniform, 10, math.Sqrt(3), 0.75, 11.5, 0.25}, // 7 to 13
		{Triangle, 10, 1, 0.5, 10, 0.5},
		{Triangle, 10, 1 / math.Sqrt(6), 0.875, 10.5, 0.125},                       // 9 to 11
		{Lognormal, math.Exp(0.5), math.Sqrt(math.E*math.E - math.E), 0.5, 1, 0.5}, // mu 0, sigma 1
		{Lognormal, math.Exp(0.5), math.Sqrt(math.E*math.E - math.E), 0.841344746, math.E, 0.158655254},
	} {
		d, err := New(c.shape, c.mean, c.sd, 0, 0)
		require.NoError(t, err)
		assert.InDelta(t, c.want, d.Quantile(c.p), 1e-7, "%s", c.shape)
		assert.InDelta(t, c.want, d.at(score(c.p)), 1e-7, "%s", c.shape)
		assert.InDelta(t, c.above, d.Above(c.want), 1e-8, "%s", c.shape)
	}
	cut, err := New(Normal, 0, 1, 0, 100)
	require.NoError(t, err)
	assert.InDelta(t, 0.6744897501960817, cut.Quantile(0.5), 1e-9) // half normal: the upper quartile
	assert.InDelta(t, 0.5, cut.Above(0.6744897501960817), 1e-9)
	assert.Equal(t, 1.0, cut.Above(-1))
	assert.Equal(t, 0.0, cut.Above(200))

	measured, err := Measured([]float64{3, 1, 2, 2})
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 2, 2, 3}, measured.Values)
	assert.Equal(t, 2.0, measured.Mean)
	assert.InDelta(t, math.Sqrt(0.5), measured.SD, 1e-15)
	assert.Equal(t, 0.25, measured.Above(2))
	assert.Equal(t, 0.75, measured.Above(1.5))
	assert.Equal(t, 3.0, measured.Quantile(0.76))
}

func TestImpossibleDistributions(t *testing.T) {
	for _, c := range []struct {
		shape               Shape
		mean, sd, low, high float64
		want                string
	}{
		{Normal, 1, -1, 0, 0, "mean 1 and deviation -1: they must be finite, the deviation 0 or more"},
		{Normal, math.NaN(), 1, 0, 0, "mean NaN and deviation 1: they must be finite, the deviation 0 or more"},
		{Lognormal, 0, 1, 0, 0, "a lognormal quantity has a mean above 0, not 0"},
		{Normal, 1, 1, 3, 2, "a range from 3 to 2 is empty"},
		{Normal, 1, 1, 30, 40, "nothing of a quantity of 1 ± 1 lies between 30 and 40"},
		{"square", 1, 1, 0, 0, "no distribution \"square\" has a mean and a deviation"},
	} {
		_, err := New(c.shape, c.mean, c.sd, c.low, c.high)
		assert.EqualError(t, err, c.want)
	}
	_, err := Measured(nil)
	assert.EqualError(t, err, "no value was measured")
	_, err = Measured([]float64{1, math.Inf(1)})
	assert.EqualError(t, err, "a measured value is +Inf")
}

func model(t *testing.T, shape Shape, meansAndDeviations ...float64) *Model {
	m := &Model{Seed: 11}
	for i := 0; i < len(meansAndDeviations); i += 2 {
		d, err := New(shape, meansAndDeviations[i], meansAndDeviations[i+1], 0, 0)
		require.NoError(t, err)
		m.Inputs = append(m.Inputs, d)
	}
	return m
}

// Two lognormal contents of means 40 and 20 and equal coefficients of variation: the chances by
// one-dimensional quadrature. At 0.1 and 83 a normal fit would give 1.3522e-7, 54 times too little.
func TestTwoLognormalsPassACap(t *testing.T) {
	for _, c := range []struct{ cv, limit, want float64 }{
		{0.1, 66, 0.09397652232}, {0.1, 72, 0.006713908696}, {0.1, 83, 7.234985285e-06},
		{0.2, 66, 0.2350686120}, {0.2, 72, 0.09609227018}, {0.2, 83, 0.01243057440},
		{0.4, 66, 0.3139788982}, {0.4, 72, 0.2168068833}, {0.4, 83, 0.1028240170},
	} {
		m := model(t, Lognormal, 40, 40*c.cv, 20, 20*c.cv)
		got := m.Above(&Outcome{Weights: []float64{1, 1}}, c.limit, 1<<16)
		assert.InEpsilon(t, c.want, got.Chance, 0.01, "CV %g, limit %g", c.cv, c.limit)
		assert.InDelta(t, c.want, got.Chance, 5*got.Error, "CV %g, limit %g: error %g", c.cv, c.limit, got.Error)
		assert.Greater(t, got.AtMost, got.Chance)
		again := m.Above(&Outcome{Weights: []float64{1, 1}}, c.limit, 1<<16)
		assert.Equal(t, got, again, "the same seed gives the same answer")
	}
}

// A sum of normals and a product of lognormals have closed forms; the same outcome as a function is
// sampled, down to a few in ten million.
func TestSampledChancesAgreeWithClosedForms(t *testing.T) {
	normal := model(t, Normal, 10, 1, 20, 2, 5, 0.5)
	weights := []float64{1, 0.5, -2}
	spread := math.Sqrt(1 + 1 + 1)
	for _, z := range []float64{-1, 0, 0.5, 1, 2, 3, 4, 5} {
		limit := 10 + z*spread
		exact := normal.Above(&Outcome{Weights: weights}, limit, 0)
		assert.Equal(t, Exact, exact.Method)
		assert.InEpsilon(t, distuv.UnitNormal.Survival(z), exact.Chance, 1e-9)
		sampled := normal.Above(&Outcome{Of: func(x []float64) float64 { return x[0] + x[1]/2 - 2*x[2] }}, limit, 1<<15)
		assert.InEpsilon(t, exact.Chance, sampled.Chance, 0.02, "%g deviations out", z)
		assert.GreaterOrEqual(t, sampled.AtMost, exact.Chance*0.999)
	}
	lognormal := model(t, Lognormal, 10, 2, 3, 1)
	product := &Outcome{Of: func(x []float64) float64 { return x[0] * x[1] }}
	mu, sigma := lognormal.Inputs[0].mu+lognormal.Inputs[1].mu, math.Hypot(lognormal.Inputs[0].sigma, lognormal.Inputs[1].sigma)
	for _, limit := range []float64{30, 60, 120, 200} {
		want := above((math.Log(limit) - mu) / sigma)
		assert.InEpsilon(t, want, lognormal.Above(product, limit, 1<<15).Chance, 0.02, "above %g", limit)
	}
}

func TestCorrelatedSumsOfNormals(t *testing.T) {
	m := model(t, Normal, 0, 1, 0, 2)
	require.NoError(t, m.Correlate(mat.NewSymDense(2, []float64{1, 0.8, 0.8, 1})))
	spread := math.Sqrt(1 + 4 + 2*0.8*2)
	for _, z := range []float64{0.5, 2, 4} {
		got := m.Above(&Outcome{Weights: []float64{1, 1}}, z*spread, 1<<15)
		assert.InEpsilon(t, above(z), got.Chance, 0.02)
	}
}

func TestCorrelationsThatCannotBe(t *testing.T) {
	m := model(t, Normal, 0, 1, 0, 1, 0, 1)
	impossible := mat.NewSymDense(3, []float64{1, 0.9, -0.9, 0.9, 1, 0.9, -0.9, 0.9, 1})
	require.ErrorIs(t, m.Correlate(impossible), ErrCorrelation)
	require.ErrorIs(t, m.Correlate(mat.NewSymDense(2, []float64{1, 0, 0, 1})), ErrCorrelation)
	require.ErrorIs(t, m.Correlate(mat.NewSymDense(3, []float64{2, 0, 0, 0, 1, 0, 0, 0, 1})), ErrCorrelation)
	near := Nearest(impossible)
	require.NoError(t, m.Correlate(near))
	assert.InDelta(t, 0.5, near.At(0, 1), 1e-3) // by symmetry the three must be 1/2, 1/2, -1/2
	assert.InDelta(t, -0.5, near.At(0, 2), 1e-3)
}

// Certainties: no point may make them uncertain.
func TestCertainChances(t *testing.T) {
	m := model(t, Lognormal, 10, 0, 5, 1)
	assert.Equal(t, Estimate{Chance: 1, AtMost: 1, Method: Exact}, m.Above(&Outcome{Weights: []float64{1, 0}}, 9, 10))
	assert.Equal(t, Estimate{Chance: 0, Method: Exact}, m.Above(&Outcome{Weights: []float64{1, 0}}, 10, 10))
	never := m.Above(&Outcome{Of: func(x []float64) float64 { return math.Min(x[1], 3) }}, 4, 1600)
	assert.Equal(t, 0.0, never.Chance)
	assert.InDelta(t, 0.0023, never.AtMost, 1e-4, "none of 1600: at most 2.3 in a thousand") // -ln 0.025 / 1600
	unknown := m.Above(&Outcome{Of: func([]float64) float64 { return math.NaN() }}, 4, 160)
	assert.Equal(t, 1.0, unknown.Chance, "what is no number passes")
}

// Negative weights: the chance that a difference passes.
func TestNegativeWeight(t *testing.T) {
	m := model(t, Lognormal, 10, 2)
	got := m.Above(&Outcome{Offset: 20, Weights: []float64{-2}}, 0, 0) // 20 - 2x > 0: x < 10
	assert.InDelta(t, 1-m.Inputs[0].Above(10), got.Chance, 1e-15)
}

// Known variance shares: Ishigami's function with a = 7, b = 0.1 and Saltelli and Sobol's g-function
// (Saltelli et al. 2007, Global Sensitivity Analysis, chapter 4).
func TestSharesOfKnownFunctions(t *testing.T) {
	uniform := func(count int, low, high float64) *Model {
		m := &Model{Seed: 5}
		for range count {
			d, err := New(Uniform, (low+high)/2, (high-low)/math.Sqrt(12), 0, 0)
			require.NoError(t, err)
			m.Inputs = append(m.Inputs, d)
		}
		return m
	}
	alone := func(count int) (groups [][]int) {
		for i := range count {
			groups = append(groups, []int{i})
		}
		return groups
	}
	ishigami := &Outcome{Of: func(x []float64) float64 {
		return math.Sin(x[0]) + 7*math.Pow(math.Sin(x[1]), 2) + 0.1*math.Pow(x[2], 4)*math.Sin(x[0])
	}}
	shares, variance := uniform(3, -math.Pi, math.Pi).Shares(ishigami, alone(3), 1<<16)
	assert.InDelta(t, 13.844587940719, variance, 0.05)
	for i, want := range []Share{{0.313905191148, 0.557588855210}, {0.442411144790, 0.442411144790}, {0, 0.243683664062}} {
		assert.InDelta(t, want.First, shares[i].First, 0.01, "x%d", i+1)
		assert.InDelta(t, want.Total, shares[i].Total, 0.01, "x%d", i+1)
	}
	a := []float64{0, 1, 4.5, 9, 99, 99, 99, 99}
	g := &Outcome{Of: func(x []float64) float64 {
		product := 1.0
		for i, v := range x {
			product *= (math.Abs(4*v-2) + a[i]) / (1 + a[i])
		}
		return product
	}}
	shares, variance = uniform(8, 0, 1).Shares(g, alone(8), 1<<16)
	assert.InDelta(t, 0.465424431902, variance, 0.005)
	for i, want := range []Share{{0.716192168879, 0.787144126659}, {0.179048042220, 0.242198192818}, {0.023675774178, 0.034316910154}, {0.007161921689, 0.010460387065}, {0.000071619217, 0.000104949052}} {
		assert.InDelta(t, want.First, shares[i].First, 0.01, "x%d", i+1)
		assert.InDelta(t, want.Total, shares[i].Total, 0.01, "x%d", i+1)
	}
}

// For a sum of independent quantities the exact shares and the estimated ones agree, and add up to one.
func TestSharesOfSums(t *testing.T) {
	m := model(t, Lognormal, 10, 2, 5, 2, 3, 0.1)
	sum := &Outcome{Weights: []float64{1, 1.5, 4}}
	exact, variance := m.Shares(sum, [][]int{{0}, {1, 2}}, 0)
	assert.InDelta(t, 4+9+0.16, variance, 1e-12)
	assert.InDelta(t, 4/13.16, exact[0].First, 1e-12)
	assert.InDelta(t, 9.16/13.16, exact[1].Total, 1e-12)
	sampled, _ := m.Shares(&Outcome{Of: func(x []float64) float64 { return x[0] + 1.5*x[1] + 4*x[2] }}, [][]int{{0}, {1, 2}}, 1<<15)
	for g := range exact {
		assert.InDelta(t, exact[g].First, sampled[g].First, 0.02)
		assert.InDelta(t, exact[g].Total, sampled[g].Total, 0.02)
	}
}

// Properties of chances: between 0 and 1, never growing with the limit, and Draw agrees with Above.
func TestChanceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &Model{Seed: rapid.Uint64Range(1, 100).Draw(t, "seed")}
		o := &Outcome{}
		mean := 0.0
		for range rapid.IntRange(2, 5).Draw(t, "inputs") {
			d, err := New(Lognormal, rapid.Float64Range(0.1, 10).Draw(t, "mean"), rapid.Float64Range(0, 5).Draw(t, "sd"), 0, 0)
			if err != nil {
				t.Fatal(err)
			}
			m.Inputs = append(m.Inputs, d)
			o.Weights = append(o.Weights, rapid.Float64Range(0.1, 3).Draw(t, "weight"))
			mean += o.Weights[len(o.Weights)-1] * d.Mean
		}
		limit := mean * rapid.Float64Range(0.5, 2).Draw(t, "limit")
		lower, upper := m.Above(o, limit, 4096), m.Above(o, 1.5*limit, 4096)
		if lower.Chance < 0 || lower.Chance > 1.05 || upper.Chance > lower.Chance+5*(lower.Error+upper.Error)+1e-6 {
			t.Fatalf("%v above %g, %v above %g", lower, limit, upper, 1.5*limit)
		}
		count := 0
		row := m.Draw([]Outcome{*o}, 4096)[0]
		for _, v := range row {
			if v > limit {
				count++
			}
		}
		if drawn := float64(count) / float64(len(row)); math.Abs(drawn-lower.Chance) > 0.05 {
			t.Fatalf("drawn %g, estimated %g", drawn, lower.Chance)
		}
	})
}

func BenchmarkDraw(b *testing.B) {
	m, random := &Model{Seed: 1}, rand.New(rand.NewPCG(1, 2))
	for range 30 {
		d, err := New(Lognormal, 1+random.Float64(), 0.3, 0, 0)
		if err != nil {
			b.Fatal(err)
		}
		m.Inputs = append(m.Inputs, d)
	}
	outcomes := make([]Outcome, 20)
	for o := range outcomes {
		outcomes[o].Weights = make([]float64, 30)
		for range 4 {
			outcomes[o].Weights[random.IntN(30)] = random.Float64()
		}
	}
	const draws = 100_000
	for b.Loop() {
		m.Draw(outcomes, draws)
	}
	b.ReportMetric(draws*float64(b.N)/b.Elapsed().Seconds(), "draws/s")
}
