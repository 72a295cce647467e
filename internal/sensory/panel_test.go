package sensory

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A panel that marks exactly 10·strength^0.5 finds that law and every strength by it.
func TestPanelOfPerfectTasters(t *testing.T) {
	l := &LineScale{Attribute: "aroma-citrus", Scale: 100, Tasters: []string{"Ada", "Ben", "Cleo"}}
	for _, s := range []LineSample{{Name: "R1", Strength: 1}, {Name: "R4", Strength: 4}, {Name: "R16", Strength: 16}, {Name: "P", Ingredient: "orange-peel", GramsPerLitre: 2}} {
		strength := s.Strength
		if strength == 0 {
			strength = 9
		}
		var row [][]float64
		for range l.Tasters {
			row = append(row, []float64{10 * math.Sqrt(strength), 10 * math.Sqrt(strength)})
		}
		l.Samples, l.Scores = append(l.Samples, s), append(l.Scores, row)
	}
	r, err := l.Judge()
	require.NoError(t, err)
	assert.InDelta(t, 0.5, r.Power.Exponent, 1e-9)
	assert.InDelta(t, 10, r.Power.Factor, 1e-9)
	assert.InDelta(t, 9, r.Found[3].PerLitre, 1e-6)
	assert.InDelta(t, 4.5, r.Found[3].PerGram, 1e-6)
	assert.False(t, r.Found[3].Beyond)
	assert.True(t, math.IsNaN(r.Found[0].PerLitre), "a reference is known")
	score, low, high, beyond := r.Power.Score(4)
	assert.InDelta(t, 20, score, 1e-6)
	assert.LessOrEqual(t, low, score)
	assert.GreaterOrEqual(t, high, score)
	assert.False(t, beyond)
	_, _, _, beyond = r.Power.Score(20)
	assert.True(t, beyond)
	for _, e := range r.Each {
		assert.InDelta(t, 1, e.Agrees, 1e-9)
	}
}

// Panels with tasters who mark high or low and err: the strength that was hidden lies within the deviations that the
// result says, as often as it should.
func TestPanelFindsHiddenStrengths(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	square, trials := 0.0, 60
	for range trials {
		l := &LineScale{Attribute: "aroma-spice", Scale: 100}
		for k := range 8 {
			l.Tasters = append(l.Tasters, fmt.Sprint(k))
		}
		hidden := 3 + 6*random.Float64()
		for _, s := range []LineSample{{Name: "1", Strength: 1}, {Name: "2", Strength: 2}, {Name: "4", Strength: 4}, {Name: "8", Strength: 8}, {Name: "16", Strength: 16}, {Name: "P", Ingredient: "x", GramsPerLitre: 1}} {
			strength := s.Strength
			if strength == 0 {
				strength = hidden
			}
			var row [][]float64
			for k := range l.Tasters {
				var cups []float64
				for range 2 {
					cups = append(cups, math.Min(100, math.Max(0, 10*math.Pow(strength, 0.6)*(1+0.02*float64(k-4))+3*random.NormFloat64())))
				}
				row = append(row, cups)
			}
			l.Samples, l.Scores = append(l.Samples, s), append(l.Scores, row)
		}
		r, err := l.Judge()
		require.NoError(t, err)
		assert.Less(t, r.Variance.First.P, 1e-6, "the samples differ")
		assert.InDelta(t, 0.6, r.Power.Exponent, 6*r.Power.ExponentSD+0.05)
		off := (r.Found[5].PerLitre - hidden) / r.Found[5].SD
		square += off * off / float64(trials)
	}
	assert.InDelta(t, 1, square, 0.8)
}

func TestPanelsThatTellNothing(t *testing.T) {
	l := &LineScale{Scale: 10, Tasters: []string{"a", "b"}, Samples: []LineSample{{Name: "1", Strength: 1}, {Name: "2", Strength: 2}, {Name: "3", Strength: 3}},
		Scores: [][][]float64{{{5}, {6}}, {{6}, {5}}, {{5.5}, {5.4}}}}
	_, err := l.Judge()
	require.ErrorIs(t, err, ErrPanel)
	assert.Contains(t, err.Error(), "does not seem stronger")
	l.Scores[0] = [][]float64{{0}, {0}}
	_, err = l.Judge()
	require.ErrorContains(t, err, "nobody marked anything for reference 1")
	l.Samples = l.Samples[:2]
	l.Samples[0].Strength = 0
	l.Scores = l.Scores[:2]
	r, err := l.Judge()
	require.NoError(t, err, "two samples make a comparison and no scale")
	assert.Nil(t, r.Power)
	assert.True(t, math.IsNaN(r.Found[0].PerLitre))
}

func panelFiles(t *testing.T, toml, scores string) string {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "panel.toml"), []byte(toml), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "scores.csv"), []byte(scores), 0o600))
	return filepath.Join(dir, "panel.toml")
}

const panelTOML = "attribute = \"aroma-citrus\"\nscale = 100\nscores = \"scores.csv\"\n[[reference]]\nname = \"R1\"\nstrength = 5\n[[sample]]\nname = \"P\"\ningredient = \"orange-peel\"\ng_per_l = 1.5\n"

func TestReadPanel(t *testing.T) {
	l, err := OpenPanel(panelFiles(t, panelTOML, "taster;sample;cup;score\nAda;R1;1;40,5\nAda;P;1;20\nBen;P;1;25\nBen;R1;1;50\n"))
	require.NoError(t, err)
	assert.Equal(t, []string{"Ada", "Ben"}, l.Tasters)
	assert.Equal(t, [][][]float64{{{40.5}, {50}}, {{20}, {25}}}, l.Scores)
	assert.Equal(t, LineSample{Name: "P", Ingredient: "orange-peel", GramsPerLitre: 1.5}, l.Samples[1])
}

func TestPanelFaults(t *testing.T) {
	good := "taster,sample,score\nAda,R1,40\nAda,P,20\nBen,P,25\nBen,R1,50\n"
	for _, c := range []struct{ name, toml, scores, want string }{
		{"off the line", panelTOML, strings.Replace(good, "25", "125", 1), "scores.csv:4: the score 125 lies outside the line of 0 to 100"},
		{"no number", panelTOML, strings.Replace(good, "25", "much", 1), `scores.csv:4: the score "much" is no number`},
		{"no such sample", panelTOML, strings.Replace(good, "Ben,P", "Ben,Q", 1), `scores.csv:4: there is no sample "Q"`},
		{"a cup missing", panelTOML, strings.Replace(good, "Ben,P,25\n", "", 1), "scores.csv: Ben marked sample P 0 times, and another was marked 1 times"},
		{"one taster", panelTOML, "taster,sample,score\nAda,R1,40\nAda,P,20\n", "holds marks of 1 tasters (a panel is two or more)"},
		{"no heading", panelTOML, "Ada,R1,40\n", `scores.csv:1: has no column "taster" (the heading is taster,sample,score)`},
		{"empty", panelTOML, "", "scores.csv: is empty"},
		{"no taster", panelTOML, strings.Replace(good, "Ben,P", ",P", 1), "scores.csv:4: has no taster"},
		{"twice", panelTOML + "[[sample]]\nname = \"P\"\n", good, `panel.toml:12: sample[2].name: "P" stands here twice`},
		{"half a sample", strings.Replace(panelTOML, "g_per_l = 1.5\n", "", 1), good, "panel.toml:7: sample[1]: needs ingredient and g_per_l together"},
		{"a strength of nothing", strings.Replace(panelTOML, "strength = 5", "strength = 0", 1), good, "panel.toml:6: reference[1].strength: 0 is out of range"},
		{"alone", "attribute = \"x\"\nscale = 10\nscores = \"scores.csv\"\n", good, "there are fewer than two samples"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := OpenPanel(panelFiles(t, c.toml, c.scores))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

// Tests at several steps whose right answers are as many as a just noticeable difference of 0.25 foretells; and by
// hand for one paired test: 76.02 % right is d' 1, so that the step itself is noticed.
func TestJustNoticeable(t *testing.T) {
	one, err := JustNoticeable([]Answers{{Test: Paired, Right: 7602, Of: 10000, Attribute: "bitterness", Base: 40, Changed: 50}}, true)
	require.NoError(t, err)
	assert.InDelta(t, 0.25, one.JND, 0.0005)
	assert.True(t, one.Low < one.JND && one.JND < one.High)
	absolute, err := JustNoticeable([]Answers{{Test: Paired, Right: 7602, Of: 10000, Base: 40, Changed: 50}}, false)
	require.NoError(t, err)
	assert.InDelta(t, 10, absolute.JND, 0.02)

	var tests []Answers
	for _, changed := range []float64{44, 50, 60, 75} {
		for _, test := range []Test{Paired, Triangle, DuoTrio} {
			d := math.Log(changed/40) / math.Log(1.25)
			tests = append(tests, Answers{Test: test, Of: 200, Right: int(math.Round(200 * test.Correct(d))), Attribute: "bitterness", Base: 40, Changed: changed})
		}
	}
	all, err := JustNoticeable(tests, true)
	require.NoError(t, err)
	assert.InDelta(t, 0.25, all.JND, 0.01)
	assert.Less(t, all.High-all.Low, 0.1)
	assert.Greater(t, all.Misfit, 0.9)
	assert.Equal(t, 12, all.Tests)
	assert.Equal(t, 2400, all.Answers)
	tests[0].Right = 200 // what no line explains
	bent, err := JustNoticeable(tests, true)
	require.NoError(t, err)
	assert.Less(t, bent.Misfit, 0.001)
}

// The interval holds the truth in about 95 of 100 houses.
func TestNoticedIntervalHolds(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 9))
	held, trials := 0, 200
	for range trials {
		var tests []Answers
		for _, changed := range []float64{46, 54} {
			p := Paired.Correct(math.Log(changed/40) / math.Log(1.25))
			right := 0
			for range 40 {
				if random.Float64() < p {
					right++
				}
			}
			tests = append(tests, Answers{Test: Paired, Of: 40, Right: right, Base: 40, Changed: changed})
		}
		n, err := JustNoticeable(tests, true)
		if err == nil && n.Low <= 0.25 && 0.25 <= n.High {
			held++
		}
	}
	assert.Greater(t, held, trials*90/100)
	assert.Less(t, held, trials*99/100)
}

func TestAnswersThatTellNothing(t *testing.T) {
	for _, c := range []struct {
		tests []Answers
		want  string
	}{
		{nil, "there are none"},
		{[]Answers{{Test: Paired, Of: 20, Right: 20, Base: 40, Changed: 60}}, "take smaller steps"},
		{[]Answers{{Test: Paired, Of: 20, Right: 9, Base: 40, Changed: 60}}, "9 right of 20 is what guessing gives"},
		{[]Answers{{Test: Paired, Of: 20, Right: 15, Base: 40, Changed: 40, Attribute: "tannin"}}, "of tannin nothing was changed"},
	} {
		_, err := JustNoticeable(c.tests, true)
		require.ErrorIs(t, err, ErrNoticed)
		assert.ErrorContains(t, err, c.want)
	}
}

func TestAnswersAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.toml")
	want := []Answers{
		{Test: Triangle, Of: 24, Right: 13, A: "today", B: "without \"gentian\"", On: "2026-11-27", Note: "cold", Base: math.NaN(), Changed: math.NaN()},
		{Test: Paired, Of: 20, Right: 15, Attribute: "bitterness", Base: 38.5, Changed: 48},
	}
	require.NoError(t, os.WriteFile(path, append(want[0].TOML(), want[1].TOML()...), 0o600))
	got, err := OpenAnswers(path)
	require.NoError(t, err)
	require.Len(t, got, 2)
	for n := range got {
		got[n].Line = 0
		if math.IsNaN(got[n].Base) {
			got[n].Base, got[n].Changed, want[n].Base, want[n].Changed = 0, 0, 0, 0
		}
	}
	assert.Equal(t, want, got)
	groups := ByAttribute(got)
	assert.Len(t, groups, 1)
	assert.Len(t, groups["bitterness"], 1)
	for _, c := range []struct{ text, want string }{
		{"[[test]]\nkind = \"triangel\"\nof = 3\nright = 1\n", `did you mean "triangle"?`},
		{"[[test]]\nkind = \"triangle\"\nof = 3\nright = 4\n", "4 right answers of 3: 0 to 3 are possible"},
		{"[[test]]\nkind = \"triangle\"\nof = 3\nright = 2\nattribute = \"tannin\"\n", "needs attribute, base and changed together"},
		{"[[test]]\nkind = \"triangle\"\nof = 3\n", "right: is missing"},
		{"x = 1", "test: is missing"},
	} {
		require.NoError(t, os.WriteFile(path, []byte(c.text), 0o600))
		_, err := OpenAnswers(path)
		require.ErrorContains(t, err, c.want)
	}
}
