package sensory

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The least numbers of right answers at 5 %: the triangle test as tabled by FAO (V7180E, table 12; equal to
// ISO 4120), the duo-trio test as in ISO 10399.
func TestFewestRightAnswers(t *testing.T) {
	for _, c := range []struct {
		test Test
		n    int
		want [4]int // at 0.10, 0.05, 0.01, 0.001; n+1: none will do
	}{
		{Triangle, 6, [4]int{5, 5, 6, 7}},
		{Triangle, 12, [4]int{7, 8, 9, 10}},
		{Triangle, 18, [4]int{10, 10, 12, 13}},
		{Triangle, 24, [4]int{12, 13, 15, 16}},
		{Triangle, 30, [4]int{14, 15, 17, 19}},
		{Triangle, 36, [4]int{17, 18, 20, 22}},
		{Triangle, 48, [4]int{21, 22, 25, 27}},
		{Triangle, 60, [4]int{26, 27, 30, 33}},
		{Triangle, 100, [4]int{40, 42, 46, 49}},
		{DuoTrio, 6, [4]int{6, 6, 7, 7}},
		{DuoTrio, 12, [4]int{9, 10, 11, 12}},
		{DuoTrio, 18, [4]int{13, 13, 15, 16}},
		{DuoTrio, 24, [4]int{16, 17, 19, 20}},
		{DuoTrio, 30, [4]int{20, 20, 22, 24}},
		{DuoTrio, 36, [4]int{23, 24, 26, 28}},
		{DuoTrio, 48, [4]int{29, 31, 33, 36}},
		{DuoTrio, 60, [4]int{36, 37, 40, 43}},
		{DuoTrio, 100, [4]int{57, 59, 63, 66}},
	} {
		for k, alpha := range []float64{0.10, 0.05, 0.01, 0.001} {
			assert.Equal(t, c.want[k], c.test.Fewest(c.n, alpha), "%s, %d tasters, %g", c.test, c.n, alpha)
		}
	}
}

// d' against share of right answers, as tabled to eight digits (Ennis 1993; recomputed to 40 digits).
func TestCorrectAndDPrime(t *testing.T) {
	tests := []Test{Paired, ThreeAFC, DuoTrio, Triangle}
	for _, c := range []struct {
		d    float64
		want [4]float64
	}{
		{0, [4]float64{0.5, 0.33333333, 0.5, 0.33333333}},
		{0.5, [4]float64{0.63816320, 0.48259287, 0.52234700, 0.35583465}},
		{1, [4]float64{0.76024994, 0.63370205, 0.58247544, 0.41804667}},
		{2, [4]float64{0.92135040, 0.86576718, 0.74682025, 0.60480693}},
		{4, [4]float64{0.99766113, 0.99549652, 0.94666558, 0.89766038}},
	} {
		for k, test := range tests {
			assert.InDelta(t, c.want[k], test.Correct(c.d), 5e-9, "%s at %g", test, c.d)
			if c.d > 0 {
				assert.InDelta(t, c.d, test.DPrime(test.Correct(c.d)), 1e-7, "%s at %g", test, c.d)
			}
		}
	}
	for d, want := range map[float64]float64{1: 0.418046674714639, 2: 0.604806932772189, 3: 0.781427598596484} {
		assert.InDelta(t, want, Triangle.Correct(d), 1e-13)
	}
	assert.InDelta(t, 0.7776671, Tetrad.Correct(2), 5e-8)
	for test, want := range map[Test]float64{Paired: 0.609140, ThreeAFC: 1.115898, DuoTrio: 1.518853, Triangle: 2.321377, Tetrad: 1.587788} {
		assert.InDelta(t, want, test.DPrime(2.0/3), 1e-6, test)
	}
	assert.Equal(t, 0.0, Triangle.DPrime(0.2))
	assert.True(t, math.IsInf(Triangle.DPrime(1), 1))
}

// Published examples of the sensory literature (Brockhoff and Christensen 2010, Food Qual. Prefer. 21: 330,
// and the vignette of its software).
func TestPublishedExamples(t *testing.T) {
	assert.InDelta(t, 0.02069473, AtLeast(15, 20, 0.5), 5e-9)
	assert.InDelta(t, 0.05765915, AtLeast(14, 20, 0.5), 5e-9)
	assert.InDelta(t, 0.6171727, DuoTrio.Power(20, 0.05, 0.75), 5e-8)
	assert.InDelta(t, 0.917255217993622, Paired.Power(30, 0.05, Paired.Correct(1)), 1e-9)
	assert.Equal(t, 58, DuoTrio.Most(100, 0.05, 1.0/3))
	assert.InDelta(t, 0.955687, 1-AtLeast(59, 100, 0.5), 5e-7)
	s, err := ThreeAFC.Judge(10, 15, 0.3)
	require.NoError(t, err)
	assert.InDelta(t, 0.5, s.Discriminators, 1e-12)
	assert.InDelta(t, 1.1159, s.Difference, 5e-5)
	assert.InDelta(t, 0.3838037, s.CorrectIn.Low, 5e-8)
	assert.InDelta(t, 0.8817589, s.CorrectIn.High, 5e-8)
	assert.InDelta(t, 0.0757056, s.DiscriminatorsIn.Low, 5e-8)
	assert.InDelta(t, 0.8226383, s.DiscriminatorsIn.High, 5e-8)
	assert.InDelta(t, 0.1744201, s.DifferenceIn.Low, 2e-5)
	assert.InDelta(t, 2.1015496, s.DifferenceIn.High, 2e-5)
	n, err := Triangle.Tasters(0.05, 0.80, Triangle.Correct(0.9))
	require.NoError(t, err)
	assert.InDelta(t, 297, n, 8) // 297 where the power stays above 80 %
	assert.GreaterOrEqual(t, Triangle.Power(n, 0.05, Triangle.Correct(0.9)), 0.8)
	assert.Less(t, Triangle.Power(n-1, 0.05, Triangle.Correct(0.9)), 0.8)
}

// Whole tables, from the folder that BITTERSUM_REFERENCE names.
func TestTables(t *testing.T) {
	read := func(name string) [][]string { return reference.Open(t, "tasting", name).Rows }
	number := func(text string) float64 { return reference.Number(t, text) }
	checked := 0
	for _, row := range read("minimum_correct.csv") {
		var test Test
		switch {
		case strings.HasPrefix(row[0], "triangle"):
			test = Triangle
		case strings.HasPrefix(row[0], "duo"):
			test = DuoTrio
		default:
			continue // two-sided paired tests are not offered
		}
		n := int(number(row[2]))
		for k, alpha := range []float64{0.20, 0.10, 0.05, 0.01, 0.001} {
			want := n + 1
			if row[3+k] != "" {
				want = int(number(row[3+k]))
			}
			assert.Equal(t, want, test.Fewest(n, alpha), "%v at %g", row, alpha)
			checked++
		}
	}
	for _, row := range read("maximum_correct_similarity.csv") {
		test := Test(row[0])
		if test.Guess() == 0.5 {
			test = DuoTrio
		}
		if row[0] != "triangle" && !strings.HasPrefix(row[0], "duo") {
			continue
		}
		if row[0] != "triangle" {
			test = DuoTrio
		}
		for k, share := range []float64{0.1, 0.2, 0.3, 0.4, 0.5} {
			want := -1
			if row[3+k] != "" {
				want = int(number(row[3+k]))
			}
			assert.Equal(t, want, test.Most(int(number(row[1])), number(row[2]), share), "%v at %g", row, share)
			checked++
		}
	}
	for _, row := range read("dprime_to_pc.csv") {
		for k, test := range []Test{Paired, ThreeAFC, DuoTrio, Triangle, Tetrad} {
			assert.InDelta(t, number(row[1+k]), test.Correct(number(row[0])), 6e-9, "%s at %s", test, row[0])
			checked++
		}
	}
	assert.Greater(t, checked, 1500)
}

// Clopper and Pearson's limits: nothing of ten, one of a hundred, ten of a thousand.
func TestProportion(t *testing.T) {
	for _, c := range []struct {
		k, n      int
		low, high float64
	}{{0, 10, 0, 0.3084971078}, {0, 100, 0, 0.0362166926}, {1, 100, 0.0002531460, 0.0544593854}, {5, 100, 0.0164319, 0.1128349}, {10, 100, 0.0490047, 0.1762226}, {10, 1000, 0.0048055, 0.0183132}, {10, 10, 1 - 0.3084971078, 1}} {
		in := Proportion(c.k, c.n, 0.95)
		assert.InDelta(t, c.low, in.Low, 1e-7, "%d of %d", c.k, c.n)
		assert.InDelta(t, c.high, in.High, 1e-7, "%d of %d", c.k, c.n)
	}
}

func TestJudgeRefusesWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		right, tasters int
		bound          float64
		want           string
	}{
		{1, 0, 0.3, "0 tasters: at least 1 is needed"},
		{13, 12, 0.3, "13 right answers of 12: 0 to 12 are possible"},
		{-1, 12, 0.3, "-1 right answers of 12: 0 to 12 are possible"},
		{5, 12, 1, "a share of 1 of the tasters: above 0 and below 1"},
	} {
		_, err := Triangle.Judge(c.right, c.tasters, c.bound)
		assert.EqualError(t, err, c.want)
	}
}

// Williams's square of six, as printed (MacFie et al. 1989, J. Sensory Stud. 4: 129), and the balance of all.
func TestWilliams(t *testing.T) {
	var six []string
	for _, row := range Williams(6) {
		text := ""
		for _, sample := range row {
			text += fmt.Sprint(sample + 1)
		}
		six = append(six, text)
	}
	assert.Equal(t, []string{"126354", "231465", "342516", "453621", "564132", "615243"}, six)
	for n := 2; n <= 10; n++ {
		places, pairs := map[[2]int]int{}, map[[2]int]int{}
		rows := Williams(n)
		for _, row := range rows {
			for place, sample := range row {
				places[[2]int{place, sample}]++
				if place > 0 {
					pairs[[2]int{row[place-1], sample}]++
				}
			}
		}
		assert.Len(t, places, n*n)
		assert.Len(t, pairs, n*(n-1))
		for _, count := range places {
			assert.Equal(t, len(rows)/n, count)
		}
		for _, count := range pairs {
			assert.Equal(t, len(rows)/n, count)
		}
	}
}

// Servings: codes unlike, orders balanced to within one, one right answer (two in a tetrad).
func TestServings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		test := rapid.SampledFrom(Tests).Draw(t, "test")
		tasters := rapid.IntRange(1, 120).Draw(t, "tasters")
		servings, err := test.Serve(tasters, rapid.Uint64().Draw(t, "seed"))
		if err != nil {
			t.Fatal(err)
		}
		codes, orders := map[string]bool{}, map[string]int{}
		for _, s := range servings {
			order := ""
			for _, c := range s.Cups {
				codes[c.Code] = true
				order += c.Holds
				if len(c.Code) != 3 {
					t.Fatalf("code %q", c.Code)
				}
			}
			orders[order]++
			if want := map[bool]int{true: 2, false: 1}[test == Tetrad]; len(s.Right) != want {
				t.Fatalf("%s %s: right %v", test, order, s.Right)
			}
		}
		if len(codes) != tasters*test.Samples() {
			t.Fatalf("%d codes for %d cups", len(codes), tasters*test.Samples())
		}
		for _, order := range sequences[test] {
			if count := orders[order]; count < tasters/len(sequences[test]) || count > tasters/len(sequences[test])+1 {
				t.Fatalf("order %s %d times among %d", order, count, tasters)
			}
		}
	})
	_, err := Triangle.Serve(301, 1)
	assert.EqualError(t, err, "301 tasters: from 1 to 300 have codes of three digits")
	_, err = Triangle.Serve(0, 1)
	assert.Error(t, err)
}

// A panel worked by hand by the pharmacopoeia's rule (European Pharmacopoeia 2.8.15), and the invariant that
// quinine hydrochloride itself has 200 000 for every taster.
func TestBitternessValue(t *testing.T) {
	var tasters []Taster
	for n, c := range [][2]float64{{4.2, 6}, {5, 6}, {4.6, 8}, {5.4, 3}, {3.8, 6}, {5.2, 8}} {
		tasters = append(tasters, Taster{Name: fmt.Sprint(n + 1), Threshold: c[0], Factor: 10_000, Volume: c[1]})
	}
	b, err := Panel(tasters)
	require.NoError(t, err)
	for n, want := range []float64{14000, 50000.0 / 3, 11500, 36000, 38000.0 / 3, 13000} {
		assert.InDelta(t, want, b.Each[n], 1e-6)
	}
	assert.InDelta(t, 17305.56, b.Value, 0.005)
	assert.InDelta(t, 15858.56, b.Geometric, 0.005)
	assert.InDelta(t, b.Value/200, PerGram(b.Value), 1e-9)
	assert.InDelta(t, 1000, PerGram(200_000), 1e-9, "a gram of quinine hydrochloride is a gram")
	// Tubes of 6 mL step up to 3, of 8 to 6, of 3 to 2.
	assert.InDelta(t, (2*14000+2*50000.0/3+11500*8/6.0+36000*1.5+2*38000.0/3+13000*8/6.0)/6, b.AtMost, 1e-6)

	weakest, err := Panel([]Taster{{"A", 5, 1000, 1.2}})
	require.NoError(t, err)
	assert.InDelta(t, 10_000, weakest.AtMost, 1e-9, "the next dilution was not bitter")
	weakest, err = Panel([]Taster{{"A", 5, 100_000, 1.2}})
	require.NoError(t, err)
	assert.True(t, math.IsInf(weakest.AtMost, 1))

	for _, c := range []struct {
		taster Taster
		want   string
	}{
		{Taster{"Ada", 6, 100, 2}, "Ada: threshold_ml is 6; it must be one of 3.6, 3.8, 4, 4.2, 4.4, 4.6, 4.8, 5, 5.2, 5.4, 5.6, 5.8"},
		{Taster{"Ada", 5, 200, 2}, "Ada: factor is 200; it must be one of 100, 1000, 10000, 50000, 100000"},
		{Taster{"Ada", 5, 100, 4}, "Ada: volume_ml is 4; it must be one of 1.2, 1.5, 2, 3, 6, 8"},
	} {
		_, err := Panel([]Taster{c.taster})
		assert.EqualError(t, err, c.want)
	}
	_, err = Panel(nil)
	assert.EqualError(t, err, "no taster is given")
}
