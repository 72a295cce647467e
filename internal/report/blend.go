package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"
)

const width = 80

// Blend writes an answer as text of at most 80 columns.
func Blend(w io.Writer, a *study.Answer, extent Extent) {
	if a.Conflict != nil {
		conflict(w, a)
		return
	}
	title(w, a.Job)
	fmt.Fprintf(w, "%s\n\n", wrap("Cheapest recipe: "+costLine(a.Assessment), width, "  "))
	recipe(w, a.Assessment)
	limits(w, a, extent)
	caps(w, a.Assessment, extent)
	instruments(w, a.Assessment, extent)
	if extent == InFull {
		others(w, a.Assessment)
		entries(w, a, "not used", "price now")
	}
	alternatives(w, a, extent)
	proof(w, a, extent)
	cautions(w, a.Assessment, extent)
}

func title(w io.Writer, j *brief.Job) {
	fmt.Fprintln(w, j.Name)
	if j.Kind == brief.Blend {
		fmt.Fprintf(w, "a blend, amounts in %s\n\n", j.Unit)
		return
	}
	var markets []string
	for _, m := range j.Markets {
		markets = append(markets, m.Title)
	}
	about := "still"
	if j.Carbonated {
		about = "carbonated"
	}
	if j.Throw > 0 {
		about += fmt.Sprintf(", a syrup to be thrown 1+%s with %s", plain(j.Throw), j.ThrownWith())
	}
	if j.AlcoholPercent > 0 {
		about += fmt.Sprintf(", %s %% alcohol by volume", plain(j.AlcoholPercent))
	} else {
		about += ", without alcohol"
	}
	fmt.Fprintf(w, "%s\n\n", wrap(about+"; for sale in "+strings.Join(markets, ", "), width, ""))
}

func costLine(a *assess.Assessment) string {
	currency := a.Job.Currency
	if a.Job.Kind == brief.Blend {
		if a.Cost.PerLitre < 0 {
			return fmt.Sprintf("gains %s %s", trimmed(-a.Cost.PerLitre, 9), currency)
		}
		return fmt.Sprintf("%s %s", trimmed(a.Cost.PerLitre, 9), currency)
	}
	text := fmt.Sprintf("%s %s a litre", figures(a.Cost.PerLitre, 4), currency)
	if a.Job.BottleML > 0 {
		text += fmt.Sprintf(", %s a bottle of %s mL", figures(a.Cost.PerBottle, 3), plain(a.Job.BottleML))
	}
	if a.Job.BatchL > 0 {
		text += fmt.Sprintf(", %s a batch of %s L", fixed(a.Cost.PerBatch, 2), plain(a.Job.BatchL))
	}
	return text
}

func recipe(w io.Writer, a *assess.Assessment) {
	drink := a.Job.Kind == brief.Drink
	columns := []string{"lingredient", ".g/L", "." + a.Job.Currency + "/L", "rshare of cost"}
	if !drink {
		columns[1], columns[2] = "."+a.Job.Unit, "."+a.Job.Currency
	}
	if a.Job.BatchL > 0 {
		columns = append(columns, fmt.Sprintf(".kg in %s L", plain(a.Job.BatchL)))
	}
	// The amounts of a recipe that makes another volume than a litre are scaled to what the batch takes.
	litre := 1.0
	if a.MakesNoLitre() {
		litre = a.Recovered
	}
	t := newTable("  ", columns...)
	for n, p := range a.Recipe.Parts {
		share := ""
		if a.Cost.PerLitre > 0 {
			share = percent(a.Cost.Parts[n] / a.Cost.PerLitre)
		}
		row := []string{p.Source.Name, plain(p.Amount), figures(a.Cost.Parts[n], 3), share}
		if a.Job.BatchL > 0 {
			row = append(row, figures(p.Amount/litre*a.Job.BatchL/1000, 5))
		}
		t.row(row...)
	}
	t.write(w)
	if !drink {
		fmt.Fprintf(w, "  %s %s in all\n\n", trimmed(a.Total, 7), a.Job.Unit)
		return
	}
	what := " of"
	if a.Job.Throw > 0 {
		what = " of syrup at"
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("Amounts, bottles and costs count on the syrup; one litre gives %s L of drink, on which targets and caps count.", plain(a.Job.Dilution())), width-2, "  "))
	}
	text := fmt.Sprintf("makes %s L"+what+" %s kg/L", figures(a.Recovered, 4), figures(a.MassKg/a.Liquor, 4))
	if held := a.Liquor - a.Recovered; held > 5e-5 {
		where := "in the spent plants"
		if len(a.Job.Losses) > 0 {
			where += " and the process"
		}
		text += fmt.Sprintf("; %s mL more stay %s", figures(held*1000, 2), where)
	}
	fmt.Fprintf(w, "  %s\n", wrap(text, width-2, "  "))
	restLines(w, a)
	fmt.Fprintln(w)
	if a.FilledWater {
		fmt.Fprint(w, "  The recipe named no water: it was filled up to a litre.\n\n")
	}
}

// unitOf names the unit of an attribute's value in the finished drink.
func unitOf(a assess.Attribute) string { return perUnit(a.Attribute) }

func perUnit(a *profile.Attribute) string {
	switch a.Per {
	case profile.PerLitre:
		return a.Unit + "/L"
	case profile.PerKilogram:
		return a.Unit + "/kg"
	case profile.Per100g:
		return a.Unit + "/100 g"
	}
	return a.Unit
}

// others prints the attributes the brief asks nothing of.
func others(w io.Writer, a *assess.Assessment) {
	capped := map[string]bool{}
	for _, c := range a.Caps {
		capped[c.Substance] = true
	}
	t := newTable("  ", "lalso in the drink", ".value", "lunit", "l")
	for _, v := range a.Attributes {
		if v.Verdict != assess.NoRange || capped[v.Name] || v.Value == 0 {
			continue
		}
		note := ""
		if len(v.Unknown) > 0 {
			note = "or more: no figure for " + strings.Join(v.Unknown, ", ")
		}
		t.row(v.Name, figures(v.Value, 3), unitOf(v), note)
	}
	if len(t.rows) > 0 {
		t.write(w)
		fmt.Fprintln(w)
	}
}

// entries prints the prices at which unused sources would come in, under a heading for the sources and
// one for the prices.
func entries(w io.Writer, a *study.Answer, unused, price string) {
	t := newTable("  ", "l"+unused, "."+price+", "+priceUnit(a.Job), ".would come in below")
	for _, e := range a.Entries {
		at := "not at any price"
		if !math.IsNaN(e.Price) {
			at = figures(e.Price, 3)
		}
		t.row(e.Source.Name, plain(e.Source.PricePerKg), at)
	}
	if len(t.rows) > 0 {
		t.write(w)
		fmt.Fprintln(w)
	}
}

func alternatives(w io.Writer, a *study.Answer, extent Extent) {
	if len(a.Others) == 0 {
		return
	}
	if extent == Short {
		fmt.Fprintf(w, "Other recipes cost the same: %d of them stand in the whole answer (--all).\n\n", len(a.Others))
		return
	}
	fmt.Fprintln(w, "Other recipes cost the same:")
	for n, o := range a.Others {
		fmt.Fprintf(w, "  %d. ", n+1)
		var parts []string
		for _, p := range o.Recipe.Parts {
			parts = append(parts, p.Source.Name+" "+plain(p.Amount))
		}
		fmt.Fprintln(w, wrap(strings.Join(parts, ", "), width-5, "     "))
	}
	fmt.Fprintln(w)
}

func proof(w io.Writer, a *study.Answer, extent Extent) {
	if extent == Short {
		fmt.Fprintln(w, "Proved optimal in exact rational arithmetic; re-derived without the solver.")
		second(w, a)
		fmt.Fprintln(w)
		return
	}
	c := a.Solution.Certificate
	fmt.Fprintln(w, "Proof: optimal in exact rational arithmetic; re-derived from the amounts shown")
	fmt.Fprintf(w, "  without the solver. Floating-point residuals and gap: %s.\n", small(max(c.PrimalResidual, c.DualResidual, c.Gap)))
	if off := a.Assessment.Cost.PerLitre - a.LeastCost; math.Abs(off) > 1e-12 {
		fmt.Fprintf(w, "  Rounding to the amounts shown changes the cost by %s %s.\n", signed(off, 2), a.Job.Currency)
	}
	second(w, a)
	fmt.Fprintln(w)
}

// small says below which mark a residual lies; its own digits are chance.
func small(x float64) string {
	for _, mark := range []float64{1e-9, 1e-6} {
		if x < mark {
			return fmt.Sprintf("below %.0e", mark)
		}
	}
	return fmt.Sprintf("%.0e", x)
}

// second says what an independent solver found, if it was asked.
func second(w io.Writer, a *study.Answer) {
	switch {
	case a.Second == nil:
	case a.Second.Agrees && a.Conflict != nil:
		fmt.Fprintln(w, "  Second opinion (gonum's dense simplex): it cannot be met either.")
	case a.Second.Agrees:
		fmt.Fprintf(w, "  Second opinion (gonum's dense simplex): the same, %s %s.\n", trimmed(a.Second.Cost, 9), a.Job.Currency)
	default:
		fmt.Fprintf(w, "  Second opinion (gonum's dense simplex): no answer, %s.\n", a.Second.Reason)
	}
}
