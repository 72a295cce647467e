package sensory

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// The bitterness value of the European Pharmacopoeia, 2.8.15 (also British Pharmacopoeia, Appendix XI N): the
// reciprocal of the dilution that still tastes bitter, on a scale where quinine hydrochloride has 200 000.
// Each taster's own threshold for quinine hydrochloride corrects theirs of the sample. Panel, definition and
// quinine series were read; the dilution factors, the second series and the arithmetic mean are recalled, and
// agree with the definition: a taster of quinine itself finds 200 000 whatever their threshold.
const quinineValue = 200_000

// QuinineSeries are the mL of a solution of 10 mg/L of quinine hydrochloride in each tube, made up to 10 mL:
// 3.6 to 5.8 in steps of 0.2. Who cannot taste the last is excluded.
func QuinineSeries() []float64 { return tenths(36, 58, 2) }

// SampleSeries are the mL of the weakest bitter dilution in each tube of the second series, made up to 10 mL.
func SampleSeries() []float64 { return []float64{1.2, 1.5, 2, 3, 6, 8} }

// Dilutions are the factors of the first series: mL of the dilution for a gram of the sample.
func Dilutions() []float64 { return []float64{100, 1000, 10_000, 50_000, 100_000} }

func tenths(from, to, step int) (values []float64) {
	for n := from; n <= to; n += step {
		values = append(values, float64(n)/10)
	}
	return values
}

// Taster is what one person tasted.
type Taster struct {
	Name string
	// Threshold is the mL of the quinine solution in the weakest tube judged bitter, one of QuinineSeries.
	Threshold float64
	// Factor is that of the weakest dilution judged bitter, one of Dilutions, and Volume the mL of it in the
	// weakest tube of the second series judged bitter, one of SampleSeries.
	Factor, Volume float64
}

// Bitter is a bitterness value.
type Bitter struct {
	// Value is the panel's mean, as the pharmacopoeia has it, Geometric the geometric mean and Deviation the
	// standard deviation of the tasters' values.
	Value, Geometric, Deviation float64
	// AtMost is the mean of the values that the next weaker tube would have given: each taster's value is the
	// lower end of a step, so that the true mean lies between Value and AtMost, which is infinite when
	// someone tasted the weakest tube of all.
	AtMost float64
	// Each are the tasters' own values, in their order.
	Each []float64
}

// PerGram is the value as mg of quinine hydrochloride equivalents per gram.
func PerGram(value float64) float64 { return value * 1000 / quinineValue }

// Panel returns the bitterness value that the tasters found. An error names the first whose figures are none
// of the series.
func Panel(tasters []Taster) (Bitter, error) {
	var b Bitter
	if len(tasters) == 0 {
		return b, fmt.Errorf("no taster is given")
	}
	logs := 0.0
	for _, t := range tasters {
		for _, check := range []struct {
			what   string
			value  float64
			series []float64
		}{{"threshold_ml", t.Threshold, QuinineSeries()}, {"factor", t.Factor, Dilutions()}, {"volume_ml", t.Volume, SampleSeries()}} {
			if !within(check.value, check.series) {
				return b, fmt.Errorf("%s: %s is %g; it must be one of %s", t.Name, check.what, check.value, listed(check.series))
			}
		}
		value := t.Factor * (t.Threshold / 5) * 10 / t.Volume
		b.Each = append(b.Each, value)
		b.Value += value / float64(len(tasters))
		b.AtMost += t.atMost(value) / float64(len(tasters))
		logs += math.Log(value)
	}
	b.Geometric = math.Exp(logs / float64(len(tasters)))
	for _, value := range b.Each {
		b.Deviation += (value - b.Value) * (value - b.Value)
	}
	if len(tasters) > 1 {
		b.Deviation = math.Sqrt(b.Deviation / float64(len(tasters)-1))
	}
	return b, nil
}

// atMost returns what the next weaker tube would have given: that of the second series, or, beyond its
// weakest tube, the next dilution of the first; infinite when there is none.
func (t Taster) atMost(value float64) float64 {
	if place := placeOf(t.Volume, SampleSeries()); place > 0 {
		return value * t.Volume / SampleSeries()[place-1]
	}
	for _, factor := range Dilutions() {
		if factor > t.Factor {
			return math.Max(value, factor*t.Threshold/5)
		}
	}
	return math.Inf(1)
}

// placeOf returns where a value stands in a series, or -1.
func placeOf(value float64, series []float64) int {
	return slices.IndexFunc(series, func(x float64) bool { return math.Abs(x-value) < 1e-6 })
}

func within(value float64, series []float64) bool { return placeOf(value, series) >= 0 }

func listed(series []float64) string {
	words := make([]string, len(series))
	for n, x := range series {
		words[n] = strconv.FormatFloat(x, 'f', -1, 64)
	}
	return strings.Join(words, ", ")
}
