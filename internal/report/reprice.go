package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"
)

// Reprice writes what moving prices do to the recipe.
func Reprice(w io.Writer, r *study.Repriced, extent Extent) {
	if r.Conflict != nil {
		conflict(w, r.Conflict)
		return
	}
	title(w, r.Job)
	t := newTable("  ", "lprice, "+priceUnit(r.Job), ".today", ".from", ".to")
	for n, m := range r.Moves {
		t.row(m.Name, trimmed(r.Now[n], 6), trimmed(m.From, 6), trimmed(m.To, 6))
	}
	t.write(w)
	fmt.Fprintln(w)
	pieces(w, r)
	var titles []string
	var recipes []*assess.Assessment
	for k := range r.Pieces {
		titles = append(titles, recipeName(k))
		recipes = append(recipes, r.Pieces[k].Answer.Assessment)
	}
	fmt.Fprintln(w, "The recipes, each proved optimal and assessed (costs halfway along):")
	beside(w, titles, recipes)
	entries(w, r.Then, "not used at the last prices", "its price")
	buying(w, r)
	cautions(w, r.Then.Assessment, extent)
}

func priceUnit(j *brief.Job) string {
	if j.Kind == brief.Blend {
		return j.Currency
	}
	return j.Currency + "/kg"
}

// recipeName numbers recipes.
func recipeName(k int) string { return fmt.Sprintf("recipe %d", k+1) }

// pieces writes where the recipe changes. A single price is named itself, several by the share of the way.
func pieces(w io.Writer, r *study.Repriced) {
	single := len(r.Moves) == 1
	heading := "rof the way"
	if single {
		heading = "." + r.Moves[0].Name
	}
	at := func(share float64) string {
		if single {
			return figures(r.PriceAt(0, share), 4)
		}
		return percent(share)
	}
	t := newTable("  ", heading, "lcheapest", "."+perLitre(r.Job), ".kept", ".saves", "lwhat changes here")
	for k, p := range r.Pieces {
		changes := ""
		if k > 0 {
			changes = strings.Join(exchange(r.Pieces[k-1].Answer.Assessment, p.Answer.Assessment), "; ")
		}
		t.row(at(p.From), recipeName(k), figures(p.CostFrom, 4), figures(p.KeptFrom, 4), saving(p.KeptFrom-p.CostFrom), changes)
	}
	if n := len(r.Pieces); n > 0 && r.Pieces[n-1].To > r.Pieces[n-1].From {
		p := r.Pieces[n-1]
		t.row(at(p.To), "", figures(p.CostTo, 4), figures(p.KeptTo, 4), saving(p.KeptTo-p.CostTo), "")
	}
	t.write(w)
	fmt.Fprintf(w, "  Kept: today's recipe at these prices, %s.\n\n", perLitre(r.Job))
	if single {
		return
	}
	columns := []string{"lthe prices there"}
	most := min(len(r.Pieces), 5)
	for _, p := range r.Pieces[:most] {
		columns = append(columns, "."+at(p.From))
	}
	t = newTable("  ", columns...)
	for n, m := range r.Moves {
		row := []string{m.Name}
		for _, p := range r.Pieces[:most] {
			row = append(row, figures(r.PriceAt(n, p.From), 4))
		}
		t.row(row...)
	}
	t.write(w)
	fmt.Fprintln(w)
}

// saving prints a saving, and what rounding leaves as nothing.
func saving(x float64) string {
	if math.Abs(x) < 5e-6 {
		return "0"
	}
	return figures(x, 3)
}

// exchange says which ingredients one recipe has and the other has not.
func exchange(before, after *assess.Assessment) []string {
	var out []string
	for _, p := range after.Recipe.Parts {
		if before.Recipe.Amount(p.Source.Name) == 0 {
			out = append(out, p.Source.Name+" enters")
		}
	}
	for _, p := range before.Recipe.Parts {
		if after.Recipe.Amount(p.Source.Name) == 0 {
			out = append(out, p.Source.Name+" leaves")
		}
	}
	if len(out) == 0 {
		out = append(out, "amounts alone")
	}
	return out
}

func buying(w io.Writer, r *study.Repriced) {
	p := r.Plan
	if p == nil {
		return
	}
	day := func(t time.Time) string { return t.Format(time.DateOnly) }
	fmt.Fprintf(w, "What to buy, at %s L a month from %s, new price from %s:\n", plain(p.MonthlyLitres), day(p.Today), day(p.From))
	line := func(format string, args ...any) {
		fmt.Fprintf(w, "  - %s\n", wrap(fmt.Sprintf(format, args...), width-4, "    "))
	}
	if p.PerMonthKg == 0 {
		line("Today's recipe has no %s: there is nothing to buy ahead.", p.Name)
		fmt.Fprintln(w)
		return
	}
	line("Today's recipe takes %s kg of %s a month, as bought; %s kg are in hand, and it keeps %s months.", figures(p.PerMonthKg, 4), p.Name, plain(p.StockKg), plain(p.KeepsMonths))
	if p.WastedKg > 0 {
		line("%s kg of what is in hand would spoil before they are used.", figures(p.WastedKg, 3))
	}
	if p.NeedBeforeKg > 0 {
		line("Needed until the new price in any case: %s kg.", figures(p.NeedBeforeKg, 4))
	}
	if p.AheadKg > 0 {
		line("Buy %s kg on the last days before %s, at %s %s. They last until %s.", figures(p.AheadKg, 4), day(p.From), trimmed(r.Now[0], 6), priceUnit(r.Job), day(p.LastDay))
		line("That saves %s %s over buying as needed with today's recipe, and %s over changing the recipe on %s.", fixed(p.SavesOverKeeping, 2), r.Job.Currency, fixed(p.SavesOverChanging, 2), day(p.From))
	} else {
		line("Buy nothing ahead.")
	}
	if p.Changes {
		line("Change over to the last recipe on %s. Keeping today's from then on would cost %s %s a month more.", day(p.ChangeOver), fixed(p.KeepingCosts, 2), r.Job.Currency)
	} else {
		line("The recipe stays as it is.")
	}
	line("Storage, interest and the risk that the price does not come are not counted.")
	fmt.Fprintln(w)
}
