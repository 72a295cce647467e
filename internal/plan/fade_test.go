package plan

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// strong is a blend of which each unit holds a fifth of a herb as delivered, or more of one that has faded.
const strong = `name = "Strong enough"
kind = "blend"
unit = "units"
[attributes.strength]
title = "Strength"
unit = "points"
per = "unit"
family = "other"
basis = "invented"
[targets]
strength = { min = 0.2 }
[total]
max = 1e5
[[ingredient]]
name = "herb"
price_per_unit = 5
basis = "invented"
contents = { strength = 1 }
[[ingredient]]
name = "filler"
price_per_unit = 0
basis = "invented"
contents = { strength = 0 }
`

// herbs writes a plan of the strong blend, made in March alone unless demand says otherwise, and reads it.
func herbs(t *testing.T, demand, herb string) (*Plan, error) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "strong.toml"), []byte(strong), 0o644))
	text := fmt.Sprintf(`name = "Herbs"
start = 2027-01-01
periods = 3
others = "list price"
[[drink]]
brief = "strong.toml"
demand_unit = %s
[[supplier]]
name = "the garden"
[[offer]]
supplier = "the garden"
item = "herb"
price_per_unit = 2
changes = [{ from = 2027-02-01, price_per_unit = 2.4 }, { from = 2027-03-01, price_per_unit = 3.2 }]
[item.herb]
%s
`, demand, herb)
	path := filepath.Join(dir, "plan.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	doc, err := tomlfile.Open(path)
	require.NoError(t, err)
	return Read(doc, func(name string) (*brief.Job, error) { return brief.Open(filepath.Join(dir, name), lib) })
}

// TestFadingByHand: 100 units in March hold 20 herbs as delivered, at 2 bought in January, 2.4 in February or 3.2 in
// March. Of what loses a fifth a month it takes 20/0.64 = 31.25 from January, 62.50 in all; 20/0.8 = 25 from February,
// 60; or 20 fresh ones, 64.
func TestFadingByHand(t *testing.T) {
	for name, c := range map[string]struct {
		herb   string
		cost   float64
		month  int
		amount float64
	}{
		"nothing fades":           {"", 40, 0, 20},
		"a tenth: January":        {"fades_percent = 10", 2 * 20 / 0.81, 0, 20 / 0.81},
		"a fifth: February":       {"fades_percent = { strength = 20 }", 60, 1, 25},
		"half: March":             {"fades_percent = 50", 64, 2, 20},
		"it keeps for two months": {"fades_percent = 10\nkeeps_months = 2", 2.4 * 20 / 0.9, 1, 20 / 0.9},
		// 20/0.64 of what loses a tenth by weight each month besides: 31.25/0.81 from January, 25/0.9 from February.
		"weight is lost as well": {"fades_percent = 20\nloss_percent = 10", 64, 2, 20},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := herbs(t, "[0, 0, 100]", c.herb)
			require.NoError(t, err)
			a, err := Decide(context.Background(), p)
			require.NoError(t, err)
			require.Nil(t, a.Lacks)
			require.InDelta(t, c.cost, a.Cost, 0.01)
			require.LessOrEqual(t, a.Bound, a.Cost+0.01)
			require.Len(t, a.Orders, 1)
			require.Equal(t, c.month, a.Orders[0].Period)
			require.InDelta(t, c.amount, a.Orders[0].Amount, 0.003)
		})
	}
}

// TestFadingOpening: what is there at the start has faded since it came; of 30 herbs that came a month before, at a
// fifth a month, 100 units in January take 25, and what lacks is bought fresh.
func TestFadingOpening(t *testing.T) {
	p, err := herbs(t, "[100, 0, 0]", "fades_percent = 20\nopening_units = 10\nopening_received = 2026-12-01")
	require.NoError(t, err)
	a, err := Decide(context.Background(), p)
	require.NoError(t, err)
	require.InDelta(t, 2*(20-8), a.Cost, 0.01)
	require.Contains(t, a.Makes[0].Recipe.Takes(), "herb/opening@1")
	require.Contains(t, a.Makes[0].Recipe.Takes(), "herb@0")
}

// TestFadingLots: a lot is as old as it was received, and is used before what would have to be bought.
func TestFadingLots(t *testing.T) {
	p, err := herbs(t, "[0, 100, 0]", "fades_percent = 20")
	require.NoError(t, err)
	job, err := p.Drinks[0].Job.Changed(func(b *brief.Brief) {
		b.BatchL = 1
		b.Lots = []brief.Lot{{Number: "L1", Ingredient: "herb", QuantityKg: 10, State: brief.Accepted, PricePerKg: math.NaN(), Received: time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC)}}
	})
	require.NoError(t, err)
	p.Drinks[0].Job = job
	p.Item("herb").Lots = []*brief.Lot{job.Source("herb/L1").Lot}
	a, err := Decide(context.Background(), p)
	require.NoError(t, err)
	require.Contains(t, a.Makes[0].Recipe.Takes(), "herb/L1@2")
	require.InDelta(t, 2.4*(20-6.4), a.Cost, 0.01) // the rest is cheaper fresh than a month old, 2/0.8
}

func TestMoreFadingNeverCostsLess(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		demand := fmt.Sprint([]int{rapid.IntRange(0, 90).Draw(r, "January"), rapid.IntRange(0, 90).Draw(r, "February"), rapid.IntRange(1, 90).Draw(r, "March")})
		loss, opening := rapid.IntRange(0, 20).Draw(r, "loss"), rapid.IntRange(0, 9).Draw(r, "opening")
		fades, more := rapid.IntRange(0, 60).Draw(r, "fades"), rapid.IntRange(1, 30).Draw(r, "more")
		cost := func(fades int) float64 {
			herb := fmt.Sprintf("fades_percent = %d\nloss_percent = %d\nopening_units = %d", fades, loss, opening)
			if opening > 0 {
				herb += "\nopening_received = 2026-11-17"
			}
			p, err := herbs(t, commas(demand), herb)
			require.NoError(t, err)
			a, err := Decide(context.Background(), p)
			require.NoError(t, err)
			require.Nil(t, a.Lacks)
			require.LessOrEqual(t, a.Bound, a.Cost+0.01)
			return a.Cost
		}
		base := cost(fades)
		require.LessOrEqual(t, base, cost(fades+more)+0.01+2e-4*base) // recipes are rounded to five digits
	})
}

func commas(list string) string {
	return strings.ReplaceAll(list, " ", ", ")
}

// TestTheLedgerNoticesFading: a plan whose drink misses its target for what has faded, or takes another age than is
// there, is refused.
func TestTheLedgerNoticesFading(t *testing.T) {
	plan := func(fades string) *Answer {
		p, err := herbs(t, "[0, 0, 100]", fades)
		require.NoError(t, err)
		a, err := Decide(context.Background(), p)
		require.NoError(t, err)
		require.NoError(t, a.check(a.Cost))
		return a
	}
	a := plan("fades_percent = 20")
	a.Item("herb").Fades = map[string]float64{"strength": 0.25}
	require.ErrorContains(t, a.check(a.Cost), "as it is made with what has faded: target strength is below its range")

	a = plan("fades_percent = 20")
	a.Orders[0].Period, a.Orders[0].Usable = 0, 0 // bought in January, and the recipe is for what came in February
	a.Orders[0].Money = a.Orders[0].Amount * 2
	require.ErrorContains(t, a.check(a.Cost-10), "herb is short by 25 units in 2027-03")

	a = plan("")
	a.Item("herb").Fades = map[string]float64{"strength": 0.2} // a recipe that names no age
	require.ErrorContains(t, a.check(a.Cost), "herb is short by 20 units in 2027-03")
}

// TestAgesOfTheDay are counted by hand: whole months, and the rest by days of the month that runs.
func TestAgesOfTheDay(t *testing.T) {
	p := &Plan{Length: Month, Starts: []time.Time{time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)}}
	for day, months := range map[string]float64{"2027-03-01": 0, "2027-04-01": 0, "2027-02-01": 1, "2026-03-01": 12, "2027-02-15": 0.5, "2027-01-15": 1.5} {
		came, err := time.Parse(time.DateOnly, day)
		require.NoError(t, err)
		require.InDelta(t, months, p.monthsAtStart(came), 1e-9, day)
	}
	require.InDelta(t, 3, p.months(3), 0)
	p.Length = Week
	require.InDelta(t, 12, p.months(52)*365.25/364, 1e-9)
}
