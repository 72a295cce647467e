package kettle_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/profiles"
	"bittersum/solver"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plan plans a batch of a brief given as text, with files beside it.
func plan(t testing.TB, text string, litres float64, o kettle.Options, beside map[string]string, settings ...brief.Setting) *kettle.Plan {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	fsys := fstest.MapFS{"brief.toml": {Data: []byte(text)}}
	for name, content := range beside {
		fsys[name] = &fstest.MapFile{Data: []byte(content)}
	}
	job, err := brief.OpenFS(fsys, "brief.toml", "", lib, append([]brief.Setting{brief.Litres(litres), brief.OnDay(today)}, settings...)...)
	require.NoError(t, err)
	o.Litres = litres
	p, err := kettle.New(context.Background(), job, o)
	require.NoError(t, err)
	return p
}

func demo(t testing.TB, name string) string {
	t.Helper()
	data, err := profiles.FS.ReadFile("demo/" + name + ".toml")
	require.NoError(t, err)
	return string(data)
}

func grams(p *kettle.Plan) map[string]float64 {
	out := map[string]float64{}
	for _, l := range p.Lines {
		out[l.Source.Name] = l.Grams
	}
	return out
}

// cbc solves a program given as MPS and returns the optimum, or false when it is not installed.
func cbc(t *testing.T, text []byte) (float64, bool) {
	t.Helper()
	path, err := exec.LookPath("cbc")
	if errors.Is(err, exec.ErrNotFound) {
		t.Skip("cbc is not installed: the rounding is not compared with another solver")
	}
	file := filepath.Join(t.TempDir(), "batch.mps")
	require.NoError(t, os.WriteFile(file, text, 0o600))
	out, err := exec.Command(path, file, "-primalTolerance", "1e-9", "-integerTolerance", "1e-9", "-ratioGap", "0", "-allowableGap", "0", "-seconds", "60", "-solve", "-quit").Output()
	require.NoError(t, err)
	m := regexp.MustCompile(`Objective value:\s+([-0-9.e+]+)`).FindSubmatch(out)
	require.NotNil(t, m, "%s", out)
	require.Contains(t, string(out), "Optimal solution found")
	x, err := strconv.ParseFloat(string(m[1]), 64)
	require.NoError(t, err)
	return x, true
}

// lots puts two lots of every ingredient on the shelf, the first too small.
func lots(p map[string]float64, share float64) string {
	var b strings.Builder
	for name, g := range p {
		if name == "water" {
			continue
		}
		for n, part := range []float64{share, 3} {
			fmt.Fprintf(&b, "[[lot]]\nnumber = \"%s-%d\"\ningredient = %q\nquantity_kg = %.6g\nbest_before = 2027-0%d-01\n", name, n+1, name, part*g/1000, n+1)
		}
	}
	return b.String()
}

// The general-purpose solver CBC, given the exported program, finds the same least cost on the divisions,
// with and without lots in order.
func TestRoundingAgreesWithCBC(t *testing.T) {
	for _, c := range []struct {
		demo   string
		litres float64
		scales string
		lots   bool
	}{
		{"bitter-lemon", 250, "", false}, {"bitter-lemon", 25, "", false}, {"gentian-cordial", 150, "", false},
		{"bitter-orange", 40, "[[scale]]\ndivision_g = 1\n", false},
		{"bitter-lemon", 100, "", true}, {"gentian-cordial", 60, "[[scale]]\ndivision_g = 2\n", true},
	} {
		t.Run(fmt.Sprintf("%s %v %v", c.demo, c.litres, c.lots), func(t *testing.T) {
			text := demo(t, c.demo) + c.scales
			p := plan(t, text, c.litres, kettle.Options{Nodes: 8000}, nil)
			require.NotNil(t, p.Assessment)
			if c.lots {
				p = plan(t, "lots = \"lots.toml\"\n"+text, c.litres, kettle.Options{Nodes: 8000}, map[string]string{"lots.toml": lots(grams(p), 0.4)})
				require.NotNil(t, p.Assessment)
			}
			var program bytes.Buffer
			require.NoError(t, mps.Write(&program, p.Batch.Problem))
			optimum, ok := cbc(t, program.Bytes())
			require.True(t, ok)
			assert.LessOrEqual(t, p.Cost.Bound, optimum*(1+1e-6), "the bound is none")
			if p.Complete {
				assert.InEpsilon(t, optimum, p.Cost.Total, 1e-6)
			} else {
				assert.GreaterOrEqual(t, p.Cost.Total, optimum*(1-1e-6))
				assert.LessOrEqual(t, p.Cost.Total, optimum*(1+p.Cost.Gap()+1e-6))
			}
			t.Logf("cbc %.6f, here %.6f, bound %.6f, %d nodes, complete %v", optimum, p.Cost.Total, p.Cost.Bound, p.Nodes, p.Complete)
		})
	}
}

// Simple rounding of the cheapest recipe misses the brief or breaks a cap where the planned batch does not:
// what the mixed-integer program is for.
func TestSimpleRoundingWouldNotDo(t *testing.T) {
	text := demo(t, "bitter-orange") + "[[scale]]\ndivision_g = 1\n"
	p := plan(t, text, 40, kettle.Options{}, nil)
	require.NotNil(t, p.Assessment)
	nearest := &brief.Recipe{Batch: true}
	for _, part := range p.Answer.Assessment.Recipe.Parts {
		nearest.Parts = append(nearest.Parts, brief.Part{Source: part.Source, Amount: math.Round(part.Amount * 40)})
	}
	a, err := assess.Assess(p.Job, nearest)
	require.NoError(t, err)
	assert.True(t, !a.KeepsCaps() || len(a.Misses()) > 0, "the nearest divisions would do")
	assert.True(t, p.Assessment.KeepsCaps())
	assert.Empty(t, p.Assessment.Misses())
}

func TestFirstExpiringFirst(t *testing.T) {
	text := "lots = \"lots.toml\"\n" + demo(t, "bitter-lemon")
	shelf := `[[lot]]
number = "late"
ingredient = "sugar"
quantity_kg = 100
price_per_kg = 0.5
best_before = 2027-06-01
[[lot]]
number = "soon"
ingredient = "sugar"
quantity_kg = 3
price_per_kg = 2
best_before = 2026-12-01
[[lot]]
number = "gone"
ingredient = "sugar"
quantity_kg = 50
price_per_kg = 0.1
best_before = 2026-11-24
[[lot]]
number = "bad"
ingredient = "sugar"
quantity_kg = 50
price_per_kg = 0.1
state = "refused"
reason = "damp"
`
	first := plan(t, text, 250, kettle.Options{}, map[string]string{"lots.toml": shelf})
	g := grams(first)
	assert.Equal(t, 3000.0, g["sugar/soon"], "used up")
	assert.Greater(t, g["sugar/late"], 15000.0)
	assert.NotContains(t, g, "sugar/gone")
	assert.NotContains(t, g, "sugar/bad")
	assert.Greater(t, first.Cost.FirstOut, 4.0, "3 kg at 2 instead of 0.5")
	cheapest := plan(t, text, 250, kettle.Options{Cheapest: true}, map[string]string{"lots.toml": shelf})
	assert.NotContains(t, grams(cheapest), "sugar/soon")
	assert.InDelta(t, 0, cheapest.Cost.FirstOut, 1e-9)
	assert.InDelta(t, first.Cost.Total, cheapest.Cost.Total+first.Cost.FirstOut, 0.1)
}

func TestWholePacksAndShopping(t *testing.T) {
	text := demo(t, "bitter-lemon") + `[packs.gum-arabic]
kg = 0.01
whole = true
[packs.sugar]
kg = 25
least_packs = 2
[packs.lemon-peel]
kg = 0.05
`
	p := plan(t, text, 250, kettle.Options{}, nil)
	require.NotNil(t, p.Assessment)
	for _, l := range p.Lines {
		switch l.Source.Name {
		case "gum-arabic":
			assert.Zero(t, math.Mod(l.Grams, 10), "%v g is no whole number of packs", l.Grams)
			assert.Equal(t, int(l.Grams/10), l.Packs)
		case "sugar":
			assert.Equal(t, 1, l.Packs)
			assert.InDelta(t, 25000-l.Grams, l.LeftInPackG, 1e-6)
		case "lemon-peel":
			assert.Equal(t, 5, l.Packs, "what is cut off has to be opened too: %v g for %v g", l.TakeG, l.Grams)
			assert.InDelta(t, l.Grams/0.98, l.TakeG, 1e-9)
		}
	}
	buy := map[string]kettle.Purchase{}
	for _, b := range p.Shopping {
		buy[b.Ingredient] = b
	}
	assert.Equal(t, 2, buy["sugar"].Packs, "the smallest order")
	assert.Equal(t, 50.0, buy["sugar"].OrderKg)
	assert.InDelta(t, 50*0.95, buy["sugar"].Cost, 1e-9)
	assert.Equal(t, 0.25, buy["lemon-peel"].OrderKg)
	assert.NotContains(t, buy, "water")
}

// A plan that makes fewer litres than were asked for is never shown.
func TestAPlanMakesItsLitres(t *testing.T) {
	p := plan(t, demo(t, "bitter-lemon"), 80, kettle.Options{}, nil)
	require.NotNil(t, p.Assessment)
	s, err := solver.Solve(context.Background(), p.Batch.Problem, solver.Options{Nodes: 200})
	require.NoError(t, err)
	_, err = kettle.JudgedPlan(p.Batch, s.X)
	require.NoError(t, err)
	p.Batch.Options.Litres = 100
	_, err = kettle.JudgedPlan(p.Batch, s.X)
	require.ErrorIs(t, err, study.ErrUnproved)
	assert.ErrorContains(t, err, "would make 80.")
	assert.ErrorContains(t, err, "L, not 100 L")
}

// A scale that is too coarse is named with the dose it is too coarse for and a batch size that does.
func TestAScaleCoarserThanADose(t *testing.T) {
	text := demo(t, "bitter-lemon") + "[[scale]]\ndivision_g = 20\n"
	p := plan(t, text, 20, kettle.Options{}, nil)
	require.Nil(t, p.Assessment)
	require.NotNil(t, p.Coarse)
	assert.True(t, p.Coarse.SearchDone)
	require.NotEmpty(t, p.Coarse.Doses)
	assert.Equal(t, "quinine-hydrochloride", p.Coarse.Doses[0].Source.Name)
	assert.InDelta(t, 0.4, p.Coarse.Doses[0].IdealG, 1e-6)
	require.Positive(t, p.Coarse.Litres)
	again := plan(t, text, p.Coarse.Litres, kettle.Options{}, nil)
	require.NotNil(t, again.Assessment, "the size that was said to do does not")
}

// A scale that takes nothing below its least load is not used below it.
func TestLeastLoads(t *testing.T) {
	text := demo(t, "bitter-lemon") + "[[scale]]\ndivision_g = 1\nfrom_g = 100\n"
	p := plan(t, text, 2500, kettle.Options{}, nil)
	require.NotNil(t, p.Assessment)
	for _, l := range p.Lines {
		assert.GreaterOrEqual(t, l.Grams, 100.0, l.Source.Name)
	}
	small := plan(t, text, 250, kettle.Options{}, nil)
	assert.Nil(t, small.Assessment, "5 g of quinine salt cannot be weighed")
}

// Nothing is lost between steps: litres and kilograms after each are those of all that went in.
func TestStepsAddUp(t *testing.T) {
	p := plan(t, demo(t, "bitter-orange"), 250, kettle.Options{}, nil)
	mass, lines := 0.0, 0
	for _, s := range p.Steps {
		for _, at := range s.Lines {
			mass += p.Lines[at].Grams * p.Lines[at].Source.Ingredient.SolubleShare / 1000
			lines++
		}
		if len(s.Lines) > 0 {
			assert.InDelta(t, mass, s.Expect.Kg, 1e-9, s.Name)
		}
	}
	assert.Equal(t, len(p.Lines), lines, "every line goes in once")
	total := 0.0
	for _, l := range p.Lines {
		total += l.Grams / 1000
	}
	strained := p.Steps[len(p.Steps)-2].Expect
	assert.InDelta(t, total, strained.Kg+p.Yield.MarcKg, 1e-6, "drink and spent plants are all that was weighed in")
	assert.InDelta(t, p.Yield.LiquorL, p.Yield.Litres+p.Yield.HeldL, 1e-9)
	assert.Equal(t, int(p.Yield.Litres/0.25), p.Yield.Bottles)
}

func TestABlendIsNoBatch(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(filepath.Join("..", "..", "testdata", "blends", "polly.toml"), lib)
	require.NoError(t, err)
	_, err = kettle.New(context.Background(), job, kettle.Options{Litres: 10})
	assert.EqualError(t, err, "kettle: a blend has no litres and no lots; only a drink can be made as a batch")
}

// A reading that is asked for exactly is met to what instruments show, which no division hits by itself.
func TestExactReadings(t *testing.T) {
	for asked, within := range map[string][2]float64{"brix": {40, 0.005}, "density": {1.15, 1e-4}} {
		p := plan(t, fmt.Sprintf(`name = "strong"
markets = ["us"]
use = ["water", "sugar", "citric-acid"]
[targets.%s]
min = %v
max = %v
[targets.acidity]
min = 5
max = 8
`, asked, within[0], within[0]), 50, kettle.Options{}, nil)
		require.NotNil(t, p.Assessment, asked)
		for _, r := range p.Assessment.Readings {
			if string(r.Reading) == asked {
				assert.InDelta(t, within[0], r.Value, within[1], asked)
			}
		}
	}
}

// A record is read back whatever its measures are called.
func TestMeasuresOfAnyName(t *testing.T) {
	r := &kettle.Record{Batch: "b", PlannedL: math.NaN(), Measured: []kettle.Measured{
		{Name: "ph", Planned: math.NaN(), Value: 3}, {Name: `turbidity "by eye", ntu`, Planned: math.NaN(), Value: 2}, {Name: "a.b", Planned: 1, Value: 4},
	}}
	path := filepath.Join(t.TempDir(), "record.toml")
	require.NoError(t, os.WriteFile(path, r.TOML(), 0o600))
	again, err := kettle.ReadRecord(path)
	require.NoError(t, err)
	values := map[string]float64{}
	for _, m := range again.Measured {
		values[m.Name] = m.Value
	}
	assert.Equal(t, map[string]float64{"ph": 3, `turbidity "by eye", ntu`: 2, "a.b": 4}, values)
}

// A crumb of an old lot that its scale does not take blocks no batch: what is left of it stays, and the next lot is
// opened.
func TestACrumbIsInNobodysWay(t *testing.T) {
	text := "lots = \"lots.toml\"\n" + strings.Replace(demo(t, "bitter-lemon"), "[targets.bitterness]", "[[scale]]\nname = \"bench\"\ndivision_g = 1\nfrom_g = 5\n\n[targets.bitterness]", 1)
	for left, used := range map[float64]bool{0.003: false, 0.008: true} {
		p := plan(t, text, 600, kettle.Options{}, map[string]string{"lots.toml": fmt.Sprintf(`
[[lot]]
number = "OLD"
ingredient = "citric-acid"
quantity_kg = %g
best_before = 2027-01-01
[[lot]]
number = "NEW"
ingredient = "citric-acid"
quantity_kg = 25
best_before = 2027-12-01
`, left)})
		require.Nil(t, p.Coarse, "%g kg left", left)
		require.False(t, p.NoOrder)
		require.NotNil(t, p.Assessment)
		assert.Greater(t, grams(p)["citric-acid/NEW"], 1000.0)
		assert.Equal(t, used, grams(p)["citric-acid/OLD"] > 0, "%g kg left", left)
	}
}
