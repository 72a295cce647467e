package study_test

import (
	"bytes"
	"context"
	"os/exec"
	"testing"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/study"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Cost ranges of Winston's diet (Operations Research, 4th ed. 2004, section 5.2): the optimum of ice cream
// and cola holds while ice cream costs 15 to 38.333, cola 0 to 40, and brownies come in below 22.5.
func TestRepriceWinston(t *testing.T) {
	job := blendJob(t, "windiet")
	for _, c := range []struct {
		move  study.PriceMove
		holds [2]float64
	}{
		{study.PriceMove{Name: "ice-cream", From: 10, To: 50}, [2]float64{15, 115.0 / 3}},
		{study.PriceMove{Name: "cola", From: 1, To: 60}, [2]float64{1, 40}},
		{study.PriceMove{Name: "brownie", From: 10, To: 60}, [2]float64{22.5, 60}},
	} {
		r, err := study.Reprice(context.Background(), job, []study.PriceMove{c.move}, nil)
		require.NoError(t, err)
		found := false
		for _, p := range r.Pieces {
			recipe := p.Answer.Assessment.Recipe
			if recipe.Amount("ice-cream") == 3 && recipe.Amount("cola") == 1 {
				found = true
				assert.InDelta(t, c.holds[0], r.PriceAt(0, p.From), 1e-9)
				assert.InDelta(t, c.holds[1], r.PriceAt(0, p.To), 1e-9)
				assert.InDelta(t, p.KeptFrom, p.CostFrom, 1e-9, "today's recipe is the cheapest here")
			}
		}
		require.True(t, found, c.move.Name)
	}
}

// The break-points of the demo are confirmed by solving again just below and above, by our solver and by
// GLPK on the exported program: each recipe is cheapest on its own side, and the slope of the cost is the
// amount bought.
func TestRepriceConfirmedElsewhere(t *testing.T) {
	_, missing := exec.LookPath("glpsol")
	job := demoJob(t, "bitter-orange")
	move := study.PriceMove{Name: "quassia-wood", From: 5, To: 120}
	r, err := study.Reprice(context.Background(), job, []study.PriceMove{move}, nil)
	require.NoError(t, err)
	require.Greater(t, len(r.Pieces), 1)
	cost := func(price float64) float64 {
		priced, err := job.Changed(func(b *brief.Brief) { b.SetPrice(move.Name, price) })
		require.NoError(t, err)
		a, err := study.Cheapest(context.Background(), priced)
		require.NoError(t, err)
		if missing == nil {
			var text bytes.Buffer
			require.NoError(t, mps.Write(&text, a.Formulation.Problem))
			optimum, ok := glpsol(t, text.Bytes())
			require.True(t, ok)
			require.InEpsilon(t, optimum, a.LeastCost, 1e-8)
		}
		return a.LeastCost
	}
	for _, p := range r.Pieces {
		from, to := r.PriceAt(0, p.From), r.PriceAt(0, p.To)
		hair := 0.001 * (to - from)
		assert.InEpsilon(t, p.CostFrom, cost(from), 1e-7)
		assert.InEpsilon(t, p.CostTo, cost(to), 1e-7)
		slope := p.Answer.Assessment.Recipe.Amount(move.Name) / 1000
		slope /= 1 - job.Source(move.Name).Ingredient.TrimmingLoss
		assert.InDelta(t, slope, (cost(from+hair)-cost(from))/hair, 1e-4*slope+1e-9)
		assert.InDelta(t, slope, (cost(to)-cost(to-hair))/hair, 1e-4*slope+1e-9)
	}
	// The price at which an unused ingredient comes in: a little below it, it is in.
	for _, e := range r.Then.Entries {
		if e.Price > 0 {
			priced, err := r.Then.Job.Changed(func(b *brief.Brief) { b.SetPrice(e.Source.Name, e.Price*0.97) })
			require.NoError(t, err)
			a, err := study.Cheapest(context.Background(), priced)
			require.NoError(t, err)
			assert.Positive(t, a.Assessment.Recipe.Amount(e.Source.Name), e.Source.Name)
		}
	}
	if missing != nil {
		t.Log("glpsol is not installed (Debian: glpk-utils): compared with our own solver only")
	}
}

// A plan worked out by hand: 1000 L a month of a drink with 10 g of sugar a litre take 10 kg a month.
func TestBuyingPlan(t *testing.T) {
	job, err := jobOf(t, `name = "plan"
markets = ["eu"]
use = ["water", "sugar"]
[targets.sugars]
min = 10
max = 10
`)
	require.NoError(t, err)
	now, _ := study.PriceOf(job, "sugar")
	r, err := study.Reprice(context.Background(), job, []study.PriceMove{{Name: "sugar", From: now, To: now + 1}}, nil)
	require.NoError(t, err)
	day := func(text string) time.Time {
		d, err := time.Parse(time.DateOnly, text)
		require.NoError(t, err)
		return d
	}
	pile := study.Stockpile{Today: day("2026-01-01"), From: day("2026-05-02"), StockKg: 15, MonthlyLitres: 1000, KeepsMonths: 6}
	require.NoError(t, r.PlanBuying(pile))
	p := r.Plan
	perMonth := r.Today.Recipe.Amount("sugar") // grams a litre, kilograms a month
	months := 121 / (365.2425 / 12)            // from the first of January to the second of May
	assert.InEpsilon(t, perMonth, p.PerMonthKg, 1e-5)
	assert.InDelta(t, months, p.MonthsLeft, 1e-9)
	assert.InDelta(t, perMonth*months-15, p.NeedBeforeKg, 1e-3)
	assert.InDelta(t, perMonth*6, p.AheadKg, 1e-3)
	assert.InDelta(t, perMonth*6, p.SavesOverKeeping, 1e-3, "one euro a kilogram")
	assert.InDelta(t, perMonth*6, p.SavesOverChanging, 1e-2, "there is no other recipe to change to")
	assert.Zero(t, p.WastedKg)
	assert.Equal(t, "2026-10-31", p.LastDay.Format(time.DateOnly))
	assert.False(t, p.Changes)

	pile.StockKg = 100 // more than ten months' use, of which it keeps six
	require.NoError(t, r.PlanBuying(pile))
	assert.InDelta(t, 100-6*perMonth, r.Plan.WastedKg, 1e-3)
	pile.From = day("2025-12-31")
	require.ErrorContains(t, r.PlanBuying(pile), "the new price from 2025-12-31 is not in the future: today is 2026-01-01")
}

func TestRepriceRefuses(t *testing.T) {
	job := demoJob(t, "bitter-orange")
	for _, c := range []struct {
		moves []study.PriceMove
		want  string
	}{
		{[]study.PriceMove{{Name: "quassia-wod", From: 1, To: 2}}, `demo:bitter-orange.toml: there is no ingredient in use called "quassia-wod" (did you mean "quassia-wood"?)`},
		{[]study.PriceMove{{Name: "sugar", From: 1, To: -2}}, `demo:bitter-orange.toml: the price of "sugar" would be below zero`},
		{[]study.PriceMove{{Name: "sugar", From: 1, To: 2}, {Name: "sugar", From: 1, To: 3}}, `demo:bitter-orange.toml: "sugar" is given two prices`},
	} {
		_, err := study.Reprice(context.Background(), job, c.moves, nil)
		require.EqualError(t, err, c.want)
	}
}

// Alternatives keep brief, caps and cost, differ from each other, and each that is said to do without an
// ingredient has none of it.
func TestAlternatives(t *testing.T) {
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		a, err := study.FindAlternatives(context.Background(), demoJob(t, name), 0.05, 3)
		require.NoError(t, err)
		require.NotEmpty(t, a.Others, name)
		best := a.Best.Assessment
		for _, o := range a.Others {
			assert.LessOrEqual(t, o.Assessment.Cost.PerLitre, best.Cost.PerLitre*1.0502)
			assert.True(t, o.Assessment.KeepsCaps())
			assert.Empty(t, o.Assessment.Misses())
			assert.True(t, o.Proof.Proved())
			assert.Greater(t, o.Different, 0.002)
			for _, s := range o.Avoids {
				assert.Zero(t, o.Assessment.Recipe.Amount(s.Name))
				assert.Positive(t, best.Recipe.Amount(s.Name))
			}
		}
	}
	none, err := study.FindAlternatives(context.Background(), blendJob(t, "windiet"), 0, 3)
	require.NoError(t, err)
	assert.Empty(t, none.Others, "the optimum is unique")
}

func TestCompareMarkets(t *testing.T) {
	job := demoJob(t, "bitter-lemon")
	us, err := study.InMarkets(job, "us")
	require.NoError(t, err)
	australia, err := study.InMarkets(job, "au-nz")
	require.NoError(t, err)
	c, err := study.Compare(context.Background(), study.Side{Job: us}, study.Side{Job: australia})
	require.NoError(t, err)
	require.Nil(t, c.Conflict)
	for n, market := range []string{"us", "au-nz"} {
		for _, cap := range c.Assessments[n].Caps {
			assert.Equal(t, market, cap.Market.Name)
		}
	}
	_, err = study.InMarkets(job, "atlantis")
	require.ErrorContains(t, err, `there is no market "atlantis"`)
}
