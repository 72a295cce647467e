package study_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/profiles"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func demoJob(t testing.TB, name string) *brief.Job {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenFS(profiles.FS, "demo/"+name+".toml", "demo:", lib)
	require.NoError(t, err)
	return job
}

func blendJob(t testing.TB, name string) *brief.Job {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(filepath.Join("..", "..", "testdata", "blends", name+".toml"), lib)
	require.NoError(t, err)
	return job
}

// jobOf reads a brief from its text.
func jobOf(t testing.TB, text string) (*brief.Job, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	return brief.Open(path, lib)
}

func at(t testing.TB, j *brief.Job, attribute string, value float64) *study.Answer {
	t.Helper()
	asking, err := j.Changed(func(b *brief.Brief) { b.SetTarget(attribute, brief.Range{Min: value, Max: value}) })
	require.NoError(t, err)
	a, err := study.Cheapest(context.Background(), asking)
	require.NoError(t, err)
	return a
}

// The curve of Polly's diet against calcium (Chvátal 1983, pp. 3-5), derived in rational arithmetic
// independently of this project; see solver's TestParametricLimitsTextbook.
func TestReachPolly(t *testing.T) {
	r, err := study.Reach(context.Background(), blendJob(t, "polly"), "calcium", true, false)
	require.NoError(t, err)
	want := []struct{ from, to, cost, slope float64 }{
		{1334.5, 6908.0 / 3, 92.5, 0.0049922534}, {6908.0 / 3, 2374.1538461538, 97.333333333, 0.099713056},
		{2374.1538461538, 2443.6363636364, 104.461538462, 0.15821256}, {2443.6363636364, 2500, 115.454545455, 0.169039146},
	}
	require.GreaterOrEqual(t, len(r.Stretches), len(want))
	for k, w := range want {
		got := r.Stretches[k]
		assert.InDelta(t, w.from, got.From, 1e-7)
		if k < len(want)-1 {
			assert.InDelta(t, w.to, got.To, 1e-7)
		}
		assert.InDelta(t, w.cost, got.CostFrom, 1e-7)
		assert.InDelta(t, w.slope, got.SlopeFrom, 1e-7)
	}
	require.NotNil(t, r.High.Conflict)
	require.Len(t, r.Stops, len(r.Stretches)+1)
}

// Every break-point and slope of the demo's curves is confirmed by solving again just below and above, by
// our solver and by GLPK on the exported program.
func TestReachConfirmedElsewhere(t *testing.T) {
	_, missing := exec.LookPath("glpsol")
	for _, c := range []struct{ brief, attribute string }{
		{"bitter-orange", "bitterness"}, {"bitter-orange", "tannin"}, {"gentian-cordial", "sweetness"},
	} {
		t.Run(c.brief+" "+c.attribute, func(t *testing.T) {
			job, err := demoJob(t, c.brief).Changed(func(b *brief.Brief) { b.MostLiquor = 2 })
			require.NoError(t, err)
			r, err := study.Reach(context.Background(), job, c.attribute, true, true)
			require.NoError(t, err)
			require.NotEmpty(t, r.Stretches)
			for k := range r.Stretches {
				s := &r.Stretches[k]
				if k > 0 {
					require.Equal(t, r.Stretches[k-1].To, s.From, "stretches meet")
					require.InEpsilon(t, r.Stretches[k-1].CostTo, s.CostFrom, 1e-9)
				}
				width := s.To - s.From
				if width < 1e-3*s.To {
					continue // too short to take a slope over
				}
				for _, share := range []float64{0.01, 0.5, 0.99} {
					value := s.From + share*width
					a := at(t, job, c.attribute, value)
					require.Nil(t, a.Conflict)
					require.InEpsilon(t, a.LeastCost, s.CostAt(value), 1e-4, "at %v", value)
					if missing == nil {
						var text bytes.Buffer
						require.NoError(t, mps.Write(&text, a.Formulation.Problem))
						optimum, ok := glpsol(t, text.Bytes())
						require.True(t, ok)
						require.InEpsilon(t, optimum, s.CostAt(value), 1e-4)
					}
				}
				near := s.From + 0.02*width
				rise := (at(t, job, c.attribute, near).LeastCost - s.CostFrom) / (near - s.From)
				require.InDelta(t, rise, s.SlopeFrom, 0.01*math.Abs(rise)+1e-5)
				require.InDelta(t, s.SlopeFrom, s.SlopeTo, 0.2*math.Abs(s.SlopeFrom)+1e-4, "hardly curved")
			}
			for _, stop := range r.Stops {
				require.True(t, stop.Recipe().KeepsCaps())
				require.Empty(t, stop.Recipe().Misses())
				require.True(t, stop.Answer.Proof.Proved())
			}
			for sign, end := range map[float64]study.End{-1: r.Low, 1: r.High} {
				value := r.Stops[len(r.Stops)-1].Value
				if sign < 0 {
					value = r.Stops[0].Value
				}
				if end.Conflict != nil {
					require.NotNil(t, at(t, job, c.attribute, value*(1+0.005*sign)).Conflict, "beyond the end")
				}
			}
		})
	}
	if missing != nil {
		t.Log("glpsol is not installed (Debian: glpk-utils): compared with our own solver only")
	}
}

// drawBlend is a random blend without anything that bends: ten ingredients, two qualities.
func drawBlend(t *rapid.T) string {
	var b bytes.Buffer
	b.WriteString("name = \"random\"\nkind = \"blend\"\nunit = \"kg\"\n[total]\nmin = 100\nmax = 100\n")
	b.WriteString("[attributes.strength]\nunit = \"g\"\nper = \"batch\"\n[attributes.body]\nunit = \"g\"\nper = \"batch\"\n")
	b.WriteString("[targets.body]\nmin = 200\n")
	number := func(label string, low, high int) float64 {
		return float64(rapid.IntRange(low, high).Draw(t, label)) / 10
	}
	for k := range rapid.IntRange(3, 8).Draw(t, "ingredients") {
		name := string(rune('a' + k))
		b.WriteString("[[ingredient]]\nname = \"" + name + "\"\nbasis = \"invented\"\nprice_per_unit = " +
			trim(number("price", 1, 90)) + "\ncontents = { strength = " + trim(number("strength", 0, 99)) + ", body = " + trim(number("body", 20, 99)) + " }\n")
	}
	return b.String()
}

func trim(x float64) string {
	var text bytes.Buffer
	text.WriteString(string(rune('0' + int(x)%10)))
	text.WriteString(".")
	text.WriteString(string(rune('0' + int(math.Round(x*10))%10)))
	return text.String()
}

// In a blend nothing depends on the recipe itself: the least cost is convex in a target and concave in a
// price, and pieces meet.
func TestCurvesOfBlends(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		path := filepath.Join(dir, "b.toml")
		require.NoError(rt, os.WriteFile(path, []byte(drawBlend(rt)), 0o600))
		lib, err := profile.Embedded()
		require.NoError(rt, err)
		job, err := brief.Open(path, lib)
		require.NoError(rt, err)
		if !carries(job, "strength") {
			rt.Skip("nothing carries it")
		}
		r, err := study.Reach(context.Background(), job, "strength", true, true)
		require.NoError(rt, err)
		if r.Conflict != nil {
			rt.Skip("no blend at all")
		}
		for k := 1; k < len(r.Stretches); k++ {
			before, s := r.Stretches[k-1], r.Stretches[k]
			require.Equal(rt, before.To, s.From)
			require.InDelta(rt, before.CostTo, s.CostFrom, 1e-6)
			require.GreaterOrEqual(rt, s.SlopeFrom, before.SlopeTo-1e-7, "convex in the target")
			require.InDelta(rt, s.SlopeFrom, s.SlopeTo, 1e-7, "straight")
		}
		moves := []study.PriceMove{{Name: "a", From: 0, To: 9}, {Name: "b", From: 8, To: 1}}
		p, err := study.Reprice(context.Background(), job, moves, nil)
		require.NoError(rt, err)
		last := math.Inf(1)
		for k, piece := range p.Pieces {
			if k > 0 {
				require.Equal(rt, p.Pieces[k-1].To, piece.From)
				require.InDelta(rt, p.Pieces[k-1].CostTo, piece.CostFrom, 1e-6)
			}
			slope := (piece.CostTo - piece.CostFrom) / (piece.To - piece.From)
			require.LessOrEqual(rt, slope, last+1e-6, "concave in the prices")
			require.GreaterOrEqual(rt, piece.KeptFrom, piece.CostFrom-1e-6, "today's recipe never costs less")
			last = slope
		}
	})
}

func carries(j *brief.Job, attribute string) bool {
	for _, s := range j.Sources {
		if s.Expected(attribute) > 0 {
			return true
		}
	}
	return false
}

const triangle = `name = "triangle"
kind = "blend"
unit = "kg"
[total]
min = 1
max = 1
[attributes.east]
unit = "g"
per = "batch"
[attributes.north]
unit = "g"
per = "batch"
[attributes.nothing]
unit = "g"
per = "batch"
[[ingredient]]
name = "origin"
basis = "invented"
price_per_unit = 1
contents = { east = 0, north = 0, nothing = 0 }
[[ingredient]]
name = "easterly"
basis = "invented"
price_per_unit = 2
contents = { east = 3, north = 1, nothing = 0 }
[[ingredient]]
name = "northerly"
basis = "invented"
price_per_unit = 4
contents = { east = 1, north = 2, nothing = 0 }
[[ingredient]]
name = "within"
basis = "invented"
price_per_unit = 9
contents = { east = 1.25, north = 1, nothing = 0 }
`

// All mixtures of the four are the triangle of the three that lie outermost.
func TestRegionOfATriangle(t *testing.T) {
	job, err := jobOf(t, triangle)
	require.NoError(t, err)
	r, err := study.Regions(context.Background(), job, "east", "north")
	require.NoError(t, err)
	require.Len(t, r.Corners, 3)
	for k, want := range []struct{ x, y, cost float64 }{{0, 0, 1}, {3, 1, 2}, {1, 2, 4}} {
		assert.InDelta(t, want.x, r.Corners[k].X, 1e-7)
		assert.InDelta(t, want.y, r.Corners[k].Y, 1e-7)
		assert.InDelta(t, want.cost, r.Corners[k].Answer.LeastCost, 1e-7)
	}
}

// A point a little inside each edge of a drink's region can be had, one a little outside cannot.
func TestRegionOfADrink(t *testing.T) {
	job := demoJob(t, "bitter-orange")
	r, err := study.Regions(context.Background(), job, "bitterness", "acidity")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(r.Corners), 4)
	mx, my := 0.0, 0.0
	for _, c := range r.Corners {
		mx += c.X / float64(len(r.Corners))
		my += c.Y / float64(len(r.Corners))
	}
	for k, c := range r.Corners {
		next := r.Corners[(k+1)%len(r.Corners)]
		ex, ey := (c.X+next.X)/2, (c.Y+next.Y)/2
		for share, possible := range map[float64]bool{0.02: true, -0.02: false} {
			x, y := ex+share*(mx-ex), ey+share*(my-ey)
			asking, err := r.Job.Changed(func(b *brief.Brief) {
				b.SetTarget("bitterness", brief.Range{Min: x, Max: x})
				b.SetTarget("acidity", brief.Range{Min: y, Max: y})
			})
			require.NoError(t, err)
			a, err := study.Cheapest(context.Background(), asking)
			require.NoError(t, err)
			require.Equal(t, possible, a.Conflict == nil, "%v, %v", x, y)
		}
	}
}

func TestReachRefuses(t *testing.T) {
	job, err := jobOf(t, triangle)
	require.NoError(t, err)
	demo := demoJob(t, "bitter-orange")
	for _, c := range []struct {
		job             *brief.Job
		attribute, want string
	}{
		{demo, "bitternes", `demo:bitter-orange.toml: there is no attribute "bitternes" (did you mean "bitterness"?)`},
		{demo, "estragole", "demo:bitter-orange.toml: no ingredient in use carries estragole"},
		{blendJob(t, "windiet"), "fat", "windiet.toml: fat can grow for ever (bound an amount under limits or total)"},
		{blendJob(t, "windiet"), "bitterness", `windiet.toml: attribute "bitterness" counts per litre, which is not for a blend`},
		{job, "nothing", "no ingredient in use carries nothing"},
	} {
		_, err := study.Reach(context.Background(), c.job, c.attribute, true, true)
		require.ErrorContains(t, err, c.want)
	}
}

// Corners at which state and recipe do not settle, or where the last recipe lies further in: what can be proved is
// given, and where it cannot the point is told.
func TestRegionsAtTheEdgeOfWhatSettles(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, c := range []struct {
		demo, throw, x, y string
	}{
		{"bitter-lemon", "", "bitterness", "aroma-citrus"},
		{"gentian-cordial", "1+7", "sweetness", "tannin"},
	} {
		data, err := profiles.FS.ReadFile("demo/" + c.demo + ".toml")
		require.NoError(t, err)
		text := string(data)
		if c.throw != "" {
			text = "throw = \"" + c.throw + "\"\n" + text
		}
		path := filepath.Join(t.TempDir(), "brief.toml")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		job, err := brief.Open(path, lib)
		require.NoError(t, err)
		job, err = job.Changed(func(b *brief.Brief) { b.BeyondCustom = true })
		require.NoError(t, err)
		r, err := study.Regions(t.Context(), job, c.x, c.y)
		require.NoError(t, err, "%+v", c)
		assert.Greater(t, len(r.Corners), 2)
		for _, corner := range r.Corners {
			require.NotNil(t, corner.Answer)
			assert.True(t, corner.Answer.Proof.Proved())
			assert.True(t, corner.Answer.Assessment.KeepsCaps())
		}
		assert.Less(t, len(r.Unproved), 2)
	}
}
