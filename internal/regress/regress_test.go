package regress

import (
	"math"
	"math/rand/v2"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// digits is how many significant digits of got are those of want.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	if want == 0 {
		return -math.Log10(math.Abs(got))
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// The eleven linear regressions of the NIST Statistical Reference Datasets with their certified coefficients and
// deviations (www.itl.nist.gov/div898/strd). Filip, of degree ten with a condition number of 1e15, keeps what
// double precision leaves of it.
func TestCertifiedRegressions(t *testing.T) {
	type set struct {
		degree           int // of a polynomial in x; 0 for the columns as they stand
		through          bool
		least, deviation float64 // digits
	}
	for name, s := range map[string]set{
		"norris": {1, false, 11.5, 12}, "pontius": {2, false, 11, 11}, "noint1": {1, true, 13, 13}, "noint2": {1, true, 13, 13},
		"filip": {10, false, 6.5, 6.5}, "longley": {0, false, 10.5, 11},
		"wampler1": {5, false, 9, 0}, "wampler2": {5, false, 11, 0}, "wampler3": {5, false, 8.5, 10}, "wampler4": {5, false, 7, 10}, "wampler5": {5, false, 5, 10},
	} {
		t.Run(name, func(t *testing.T) {
			var y, data []float64
			n := 0
			for _, row := range reference.Open(t, "statistics", name+".csv").Rows {
				y = append(y, reference.Number(t, row[0]))
				var x []float64
				if !s.through {
					x = append(x, 1)
				}
				if s.degree == 0 {
					for _, text := range row[1:] {
						x = append(x, reference.Number(t, text))
					}
				}
				for k := 1; k <= s.degree; k++ {
					x = append(x, math.Pow(reference.Number(t, row[1]), float64(k)))
				}
				n = len(x)
				data = append(data, x...)
			}
			fit, err := (&Model{X: mat.NewDense(len(y), n, data), Y: y}).Solve()
			require.NoError(t, err)
			found := 0
			for _, row := range reference.Open(t, "statistics", "coefficients.csv").Rows {
				if row[0] != name {
					continue
				}
				j := int(reference.Number(t, row[1][1:]))
				if s.through {
					j--
				}
				found++
				assert.Greater(t, digits(fit.Mean[j], reference.Number(t, row[2])), s.least, "%s: %v", row[1], fit.Mean[j])
				if want := reference.Number(t, row[3]); want > 0 {
					assert.Greater(t, digits(fit.SD(j), want), s.deviation, "deviation of %s: %v", row[1], fit.SD(j))
				}
			}
			assert.Equal(t, n, found)
			for _, row := range reference.Open(t, "statistics", "statistics.csv").Rows {
				if want := reference.Number(t, row[4]); row[0] == name && want > 0 {
					assert.Greater(t, digits(fit.Residual, want), 9.5, "residual deviation")
					assert.Equal(t, int(reference.Number(t, row[3])), fit.DF)
				}
			}
		})
	}
}

// A line through five points by hand, in exact fractions: with the deviation 1/2 of each and the prior
// (1 ± 2, 1 ± 1/2) the coefficients are 959/911 and 8867/9110, their covariance (124, -40, 81/4)/911.
func TestConjugateLine(t *testing.T) {
	x := mat.NewDense(5, 2, []float64{1, 0, 1, 1, 1, 2, 1, 3, 1, 4})
	sd := []float64{0.5, 0.5, 0.5, 0.5, 0.5}
	fit, err := (&Model{X: x, Y: []float64{1, 2.1, 2.9, 4.2, 4.8}, SD: sd, Mean: []float64{1, 1}, PriorSD: []float64{2, 0.5}}).Solve()
	require.NoError(t, err)
	assert.InDelta(t, 959.0/911, fit.Mean[0], 1e-14)
	assert.InDelta(t, 8867.0/9110, fit.Mean[1], 1e-14)
	assert.InDelta(t, 124.0/911, fit.Cov.At(0, 0), 1e-14)
	assert.InDelta(t, -40.0/911, fit.Cov.At(0, 1), 1e-14)
	assert.InDelta(t, 81.0/3644, fit.Cov.At(1, 1), 1e-14)
	at := mat.NewVecDense(2, []float64{1, 5})
	assert.InDelta(t, 458.0/911, 0.25+mat.Inner(at, fit.Cov, at), 1e-13, "what is foretold at 5")
}

// One quantity with a prior of mean 10 and deviation 3, measured once as 16 ± 4: 10 + 6·9/25 and 12/5 by hand.
func TestOneMeasurement(t *testing.T) {
	fit, err := (&Model{X: mat.NewDense(1, 1, []float64{1}), Y: []float64{16}, SD: []float64{4}, Mean: []float64{10}, PriorSD: []float64{3}}).Solve()
	require.NoError(t, err)
	assert.InDelta(t, 12.16, fit.Mean[0], 1e-14)
	assert.InDelta(t, 2.4, fit.SD(0), 1e-14)
	assert.InDelta(t, 6.0/5, fit.Apart[0], 1e-13, "6 off what is foretold with a deviation of √(9+16)")
}

func TestWhatIsUntold(t *testing.T) {
	two := mat.NewDense(2, 2, []float64{1, 1, 1, 1})
	_, err := (&Model{X: two, Y: []float64{3, 3}, SD: []float64{1, 1}}).Solve()
	require.ErrorIs(t, err, ErrUntold, "only the sum is told")
	fit, err := (&Model{X: two, Y: []float64{3, 3}, SD: []float64{1, 1}, Mean: []float64{1, 1}, PriorSD: []float64{1, 1}}).Solve()
	require.NoError(t, err, "with a prior the sum is shared out")
	assert.InDelta(t, fit.Mean[0], fit.Mean[1], 1e-14)
	assert.Less(t, fit.Cov.At(0, 1)/(fit.SD(0)*fit.SD(1)), -0.6)
	_, err = (&Model{X: mat.NewDense(1, 2, []float64{1, 0}), Y: []float64{3}, SD: []float64{1}, Mean: []float64{1, 1}, PriorSD: []float64{1, math.Inf(1)}}).Solve()
	require.ErrorIs(t, err, ErrUntold)
	for _, m := range []*Model{
		{X: two, Y: []float64{1}},
		{X: two, Y: []float64{1, 2}, SD: []float64{1, 0}},
		{X: two, Y: []float64{1, 2}, Mean: []float64{1}, PriorSD: []float64{1}},
		{X: two, Y: []float64{1, 2}, Mean: []float64{1, 1}, PriorSD: []float64{1, -1}},
	} {
		_, err := m.Solve()
		assert.Error(t, err)
		assert.NotErrorIs(t, err, ErrUntold)
	}
}

// What lies apart is what a fit without the observation foretells; and never does an observation widen what is
// known.
func TestApartIsTheFitOfTheOthers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n, rows := 1+r.IntN(4), 2+r.IntN(6)
		m := &Model{X: mat.NewDense(rows, n, nil)}
		for i := range rows {
			for j := range n {
				m.X.Set(i, j, r.Float64())
			}
			m.Y, m.SD = append(m.Y, 10*r.Float64()), append(m.SD, 0.1+r.Float64())
		}
		for range n {
			m.Mean, m.PriorSD = append(m.Mean, r.Float64()), append(m.PriorSD, 0.1+3*r.Float64())
		}
		all, err := m.Solve()
		if err != nil {
			t.Fatal(err)
		}
		without := &Model{X: mat.DenseCopyOf(m.X.Slice(1, rows, 0, n)), Y: m.Y[1:], SD: m.SD[1:], Mean: m.Mean, PriorSD: m.PriorSD}
		others, err := without.Solve()
		if err != nil {
			t.Fatal(err)
		}
		row := mat.NewVecDense(n, mat.Row(nil, 0, m.X))
		foretold := mat.Dot(row, mat.NewVecDense(n, others.Mean))
		spread := math.Sqrt(m.SD[0]*m.SD[0] + mat.Inner(row, others.Cov, row))
		if want := (m.Y[0] - foretold) / spread; math.Abs(want-all.Apart[0]) > 1e-8*(1+math.Abs(want)) {
			t.Fatalf("%g apart, %g by the fit of the others", all.Apart[0], want)
		}
		for j := range n {
			if all.SD(j) > others.SD(j)*(1+1e-9) || others.SD(j) > m.PriorSD[j]*(1+1e-9) {
				t.Fatalf("coefficient %d: %g, %g, %g", j, m.PriorSD[j], others.SD(j), all.SD(j))
			}
		}
	})
}
