package study_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// random is a random drink brief over the embedded library, kept as data so that a test can change it.
type random struct {
	use     []string
	prices  map[string]float64
	targets map[string][2]float64
}

var (
	pool = []string{"sugar", "glucose", "honey", "citric-acid", "malic-acid", "lemon-juice", "orange-juice", "gentian-root",
		"quassia-wood", "quinine-hydrochloride", "cinchona-bark-red", "bitter-orange-peel", "lemon-peel", "black-tea", "green-tea",
		"coriander-seed", "rosemary", "caramel-colour", "angelica-root", "ginger-root"}
	wanted = map[string][2]float64{"bitterness": {15, 90}, "acidity": {2, 7}, "sugars": {30, 90}, "tannin": {20, 200},
		"aroma-citrus": {3, 25}, "aroma-spice": {2, 12}, "colour-amber": {50, 500}}
)

func drawBrief(t *rapid.T) random {
	r := random{prices: map[string]float64{}, targets: map[string][2]float64{}}
	r.use = append(rapid.Permutation(pool).Draw(t, "pool")[:rapid.IntRange(8, len(pool)).Draw(t, "size")], "water")
	for _, name := range r.use {
		r.prices[name] = float64(rapid.IntRange(1, 4000).Draw(t, "price of "+name)) / 100
	}
	var names []string
	for name := range wanted {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if !rapid.Bool().Draw(t, "want "+name) {
			continue
		}
		span := wanted[name]
		low := span[0] + (span[1]-span[0])*float64(rapid.IntRange(0, 80).Draw(t, "low of "+name))/100
		r.targets[name] = [2]float64{low, low * (1 + float64(rapid.IntRange(2, 80).Draw(t, "width of "+name))/100)}
	}
	return r
}

// text writes the brief with its ingredients and targets in the given order.
func (r random) text(reversed bool, unit float64) string {
	var b strings.Builder
	use := append([]string(nil), r.use...)
	var targets []string
	for name := range r.targets {
		targets = append(targets, name)
	}
	sort.Strings(targets)
	if reversed {
		for i, j := 0, len(use)-1; i < j; i, j = i+1, j-1 {
			use[i], use[j] = use[j], use[i]
		}
		sort.Sort(sort.Reverse(sort.StringSlice(targets)))
	}
	fmt.Fprintf(&b, "name = \"random\"\nmarkets = [\"us\", \"eu\"]\ncarbonated = true\nuse = [\"%s\"]\n", strings.Join(use, `", "`))
	for _, name := range targets {
		fmt.Fprintf(&b, "[targets.%s]\nmin = %v\nmax = %v\n", name, r.targets[name][0], r.targets[name][1])
	}
	for _, name := range use {
		fmt.Fprintf(&b, "[limits.%s]\nprice_per_kg = %v\n", name, r.prices[name]*unit)
	}
	return b.String()
}

// solve returns the answer, or nil when no ingredient in use carries a target (said before solving).
func solve(t *rapid.T, dir, text string) *study.Answer {
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(path, lib)
	if err != nil && strings.Contains(err.Error(), "cannot be reached") {
		return nil
	}
	require.NoError(t, err)
	a, err := study.Blend(context.Background(), job)
	require.NoError(t, err, text)
	return a
}

// leastCost is infinite when the brief cannot be met.
func leastCost(a *study.Answer) float64 {
	if a.Conflict != nil {
		return math.Inf(1)
	}
	return a.LeastCost
}

func TestPropertiesOfTheCheapestRecipe(t *testing.T) {
	dir := t.TempDir()
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawBrief(t)
		base := solve(t, dir, r.text(false, 1))
		if base == nil {
			return
		}
		cost := leastCost(base)
		if base.Conflict == nil {
			met++
			// An assessed optimum keeps every cap and meets every row of the brief.
			require.True(t, base.Assessment.KeepsCaps())
			require.Empty(t, base.Assessment.Misses())
			require.InDelta(t, cost, base.Assessment.Cost.PerLitre, 1e-3*(1e-3+cost), "rounding moves the cost by little")
		} else {
			require.NotEmpty(t, base.Conflict.Members)
		}

		// Order means nothing.
		requireClose(t, cost, leastCost(solve(t, dir, r.text(true, 1))), "the order of ingredients and targets")
		// The unit of money means nothing.
		requireClose(t, cost*8, leastCost(solve(t, dir, r.text(false, 8))), "the unit of money")

		// A cheaper price never raises the least cost.
		cheaper := r
		cheaper.prices = map[string]float64{}
		for name, price := range r.prices {
			cheaper.prices[name] = price
		}
		name := rapid.SampledFrom(r.use).Draw(t, "cheaper")
		cheaper.prices[name] /= 2
		require.LessOrEqual(t, leastCost(solve(t, dir, cheaper.text(false, 1))), cost*(1+1e-9)+1e-12, "a cheaper %s", name)

		// A looser target never raises it.
		for target, span := range r.targets {
			looser := r
			looser.targets = map[string][2]float64{}
			for n, s := range r.targets {
				looser.targets[n] = s
			}
			looser.targets[target] = [2]float64{span[0] * 0.8, span[1] * 1.2}
			require.LessOrEqual(t, leastCost(solve(t, dir, looser.text(false, 1))), cost*(1+1e-9)+1e-12, "a looser %s", target)
			break
		}
	})
	require.Greater(t, met, 10, "enough of the random briefs can be met")
}

func requireClose(t *rapid.T, want, got float64, what string) {
	if math.IsInf(want, 1) {
		require.True(t, math.IsInf(got, 1), what)
		return
	}
	require.InDelta(t, want, got, 1e-9*(1+math.Abs(want)), what)
}

// What one more of a limit costs is what solving the brief again finds, on both sides and within the
// range that is claimed.
func TestCostsOfLimitsAreThoseOfSolvingAgain(t *testing.T) {
	dir := t.TempDir()
	checked := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawBrief(t)
		a := solve(t, dir, r.text(false, 1))
		if a == nil || a.Conflict != nil {
			return
		}
		for _, l := range a.Limits {
			if l.Kind != "target" || !l.Binding {
				continue
			}
			for _, side := range []struct {
				rate study.Rate
				sign float64
			}{{l.Up, 1}, {l.Down, -1}} {
				step := side.sign * 1e-3 * l.Value
				if side.rate.Blocked || side.sign*(side.rate.To-l.Value) < 3*math.Abs(step) { // the end moves a little with the volumes
					continue
				}
				moved := r
				moved.targets = map[string][2]float64{}
				for n, s := range r.targets {
					moved.targets[n] = s
				}
				span := moved.targets[l.Name]
				if l.Line == brief.Custom { // what the brief says holds in its place
					span = [2]float64{0, l.Value}
				}
				if l.Side == "min" {
					span[0] += step
				} else {
					span[1] += step
				}
				if span[0] >= span[1] {
					continue
				}
				moved.targets[l.Name] = span
				b := solve(t, dir, moved.text(false, 1))
				require.NotNil(t, b)
				require.Nil(t, b.Conflict, "%s %s: the range claims that a recipe exists", l.Name, l.Side)
				rate := (b.LeastCost - a.LeastCost) / step
				known := 5e-8 * a.LeastCost / math.Abs(step) // volumes and activities settle to some 1e-8
				require.InDelta(t, rate, side.rate.Cost, 5e-3*math.Abs(rate)+1e-9+known, "%s %s, side %v", l.Name, l.Side, side.sign)
				checked++
			}
		}
	})
	require.Greater(t, checked, 20)
}
