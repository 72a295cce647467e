package study

import (
	"fmt"
	"math"
	"time"

	"bittersum/internal/tomlfile"
)

// Stockpile is what is known of the ingredient whose price rises: when, what is in hand, how much is made
// and how long it keeps.
type Stockpile struct {
	// Today and From are the days of the question and of the new price.
	Today, From time.Time
	// StockKg is what is in hand, as bought; MonthlyLitres what is made in a month.
	StockKg, MonthlyLitres float64
	// KeepsMonths is how long it keeps from the day it is bought; what is in hand counts as bought today.
	KeepsMonths float64
}

// BuyingPlan is what to buy before the price rises, when to change over and what that saves. Storage and
// interest are not counted.
type BuyingPlan struct {
	Stockpile
	Name string
	// MonthsLeft is the time until the new price, PerMonthKg what today's recipe takes of it as bought.
	MonthsLeft, PerMonthKg float64
	// NeedBeforeKg is what has to be bought until then in any case; AheadKg what to buy on top of it on
	// the last days of the old price, to be used up by LastDay; WastedKg what is in hand and spoils first.
	NeedBeforeKg, AheadKg, WastedKg float64
	// ChangeOver is the day from which the recipe for the new price is the cheaper one; LastDay the day on
	// which what was bought at the old price runs out or ends its life.
	ChangeOver, LastDay time.Time
	// Changes says that the recipe for the new price is another one.
	Changes bool
	// SavesOverKeeping is what buying ahead saves over buying as needed with today's recipe, and
	// SavesOverChanging over changing the recipe on the day of the new price, until LastDay.
	SavesOverKeeping, SavesOverChanging float64
	// KeepingCosts is what today's recipe costs more than the new one after LastDay, per month.
	KeepingCosts float64
}

// month is the mean length of a month.
const month = 365.2425 / 12 * 24 * float64(time.Hour)

// PlanBuying works out what to buy ahead for the only price that moves.
func (r *Repriced) PlanBuying(s Stockpile) error {
	fault := func(what, hint string) error {
		return tomlfile.Faults{{File: r.Job.File, What: what, Hint: hint}}
	}
	switch {
	case len(r.Moves) != 1:
		return fault("a buying plan is for one price that moves", "")
	case r.Conflict != nil:
		return nil
	case !s.From.After(s.Today):
		return fault(fmt.Sprintf("the new price from %s is not in the future: today is %s", s.From.Format(time.DateOnly), s.Today.Format(time.DateOnly)), "")
	}
	m := r.Moves[0]
	p := &BuyingPlan{Stockpile: s, Name: m.Name, MonthsLeft: float64(s.From.Sub(s.Today)) / month}
	for _, part := range r.Today.Recipe.Parts {
		if part.Source.Name == m.Name || part.Source.Ingredient.Name == m.Name {
			p.PerMonthKg += part.Amount / r.Today.Recovered / 1000 * s.MonthlyLitres / (1 - part.Source.Ingredient.TrimmingLoss)
		}
	}
	r.Plan = p
	now, then := r.Now[0], m.To
	kept := r.Today.Cost.PerLitre
	keptThen, err := r.kept(1)
	if err != nil {
		return err
	}
	p.Changes = !sameRecipe(r.Today, r.Then.Assessment)
	p.KeepingCosts = (keptThen - r.Then.Assessment.Cost.PerLitre) * s.MonthlyLitres
	day := func(months float64) time.Time {
		return s.Today.Add(time.Duration(months * month)).Truncate(24 * time.Hour)
	}
	if p.PerMonthKg == 0 {
		p.ChangeOver, p.LastDay = s.From, s.From
		return nil
	}
	usable := math.Min(s.StockKg, p.PerMonthKg*s.KeepsMonths)
	p.WastedKg = s.StockKg - usable
	p.NeedBeforeKg = math.Max(0, p.PerMonthKg*p.MonthsLeft-usable)
	last := math.Max(p.MonthsLeft, usable/p.PerMonthKg)
	if then > now {
		// Bought on the last day of the old price it keeps so long; stock in hand goes first.
		end := p.MonthsLeft + s.KeepsMonths
		p.AheadKg = math.Max(0, p.PerMonthKg*end-usable-p.NeedBeforeKg)
		last = math.Max(last, end)
		p.SavesOverKeeping = (then - now) * p.AheadKg
		// After the stock in hand the other way would have been the new recipe at the new price.
		from := math.Max(p.MonthsLeft, usable/p.PerMonthKg)
		p.SavesOverChanging = (r.Then.Assessment.Cost.PerLitre - kept) * s.MonthlyLitres * math.Max(0, end-from)
	}
	p.LastDay = day(last)
	p.ChangeOver = p.LastDay
	if then <= now {
		p.ChangeOver = s.From
	}
	return nil
}
