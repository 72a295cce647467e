package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"
)

// Batch writes a batch sheet as text of at most 80 columns, or says why there is none.
func Batch(w io.Writer, p *kettle.Plan) {
	switch {
	case p.Answer.Conflict != nil:
		conflict(w, p.Answer)
		return
	case p.NoOrder:
		title(w, p.Job)
		fmt.Fprintf(w, "%s\n", wrap("The brief cannot be met when what expires first is used first: with the older lots used up before the newer ones some target or cap fails. Try --cheapest, or hold a lot back in the lots file.", width, ""))
		return
	case p.Coarse != nil:
		coarse(w, p)
		return
	}
	fmt.Fprintf(w, "Batch %s\n", p.Options.Number)
	title(w, p.Job)
	fmt.Fprintf(w, "%s\n\n", wrap(batchLine(p), width, "  "))
	weighTable(w, p)
	stepList(w, p)
	holdList(w, p)
	caps(w, p.Assessment, InFull)
	shopping(w, p)
	roundingCost(w, p)
	if notes := RestNotes(p.Assessment); len(notes) > 0 {
		fmt.Fprintf(w, "%s\n\n", wrap(strings.Join(notes, " "), width-2, "  "))
	}
	cautionList(w, kettleCautions(p), InFull)
}

// kettleCautions are the cautions without what only a label must bear.
func kettleCautions(p *kettle.Plan) []assess.Caution {
	var list []assess.Caution
	for _, c := range p.Assessment.Cautions {
		if !c.Label {
			list = append(list, c)
		}
	}
	return list
}

// batchLine sums the batch up.
func batchLine(p *kettle.Plan) string {
	text := fmt.Sprintf("%s L asked, %s L expected", plain(p.Options.Litres), fixed(p.Yield.Litres, 1))
	if p.Job.Throw > 0 {
		text += fmt.Sprintf(" of syrup for a throw of 1+%s, %s L as served", plain(p.Job.Throw), fixed(p.Yield.ServedL, 0))
	}
	if p.Yield.Bottles > 0 {
		text += fmt.Sprintf(", %d bottles of %s mL", p.Yield.Bottles, plain(p.Job.BottleML))
	}
	text += fmt.Sprintf("; %s %s", fixed(p.Cost.Total, 2), p.Job.Currency)
	if !p.Job.Day.IsZero() {
		text += "; planned for " + date(p.Job.Day)
	}
	return text
}

// grams prints an amount as its scale shows it, in kg from a kilogram on.
func grams(g, division float64) string {
	unit, decimals := "g", decimalsOf(division)
	if g >= 1000 && division >= 1 {
		g, unit, decimals = g/1000, "kg", decimalsOf(division/1000)
	}
	return fixed(g, decimals) + " " + unit
}

// decimalsOf returns how many decimals a multiple of division has.
func decimalsOf(division float64) int {
	text := trimmed(division, 6)
	if _, after, found := strings.Cut(text, "."); found {
		return len(after)
	}
	return 0
}

func lotOf(s *brief.Source) string {
	if s.Lot == nil {
		return ""
	}
	return s.Lot.Number
}

// lotBlank is the lot's number, or a blank to write that of goods bought without one in.
func lotBlank(s *brief.Source) string {
	if s.Lot == nil && !s.Water() {
		return "________"
	}
	return lotOf(s)
}

// taken says what to take for a line where that is more than is weighed in.
func taken(l kettle.Line) string {
	if l.TakeG-l.Grams < l.DivisionG/2 {
		return ""
	}
	step := l.DivisionG
	if l.Grams < 10*step {
		step /= 10
	}
	return grams(l.TakeG, step)
}

// packs says which packs to open.
func packs(l kettle.Line) string {
	if l.Packs == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %s kg", l.Packs, plain(l.PackKg))
}

func loads(l kettle.Line) string {
	if l.Loads > 1 {
		return fmt.Sprintf("%s, %d loads", l.Scale.Name, l.Loads)
	}
	return l.Scale.Name
}

func weighTable(w io.Writer, p *kettle.Plan) {
	order := "what expires first goes first"
	if p.Options.Cheapest {
		order = "cheapest lots"
	}
	fmt.Fprintf(w, "Weigh, %s:\n", order)
	t := newTable("  ", "lingredient", "llot", "rweigh in", "rcut from", "ropen packs", "lscale")
	for _, l := range p.Lines {
		t.row(l.Source.Ingredient.Name, lotBlank(l.Source), grams(l.Grams, l.DivisionG), taken(l), packs(l), loads(l))
	}
	t.write(w)
	if text := trimmingsText(p); text != "" {
		fmt.Fprintf(w, "  %s\n", text)
	}
	fmt.Fprintln(w)
}

// expected says what instruments should show.
func expected(e *kettle.Expected) string {
	parts := []string{fixed(e.Litres, 1) + " L", fixed(e.Kg, 1) + " kg", fixed(e.Density, 4) + " kg/L"}
	add := func(x float64, decimals int, before, after string) {
		if !math.IsNaN(x) {
			parts = append(parts, before+fixed(x, decimals)+after)
		}
	}
	add(e.Brix, 1, "", " °Bx")
	add(e.Acidity, 2, "acidity ", " g/L")
	add(e.PH, 2, "pH ", "")
	return strings.Join(parts, ", ")
}

func stepList(w io.Writer, p *kettle.Plan) {
	fmt.Fprintln(w, "Work:")
	for n, s := range p.Steps {
		fmt.Fprintf(w, "  %d. %s\n", n+1, wrap(s.Name+": "+s.Do, width-5, "     "))
		var in []string
		for _, at := range s.Lines {
			l := p.Lines[at]
			in = append(in, l.Source.Name+" "+grams(l.Grams, l.DivisionG))
		}
		if len(in) > 0 {
			fmt.Fprintf(w, "     %s\n", wrap(strings.Join(in, "; "), width-5, "     "))
		}
		if s.Expect != nil {
			fmt.Fprintf(w, "     %s\n", wrap("then: "+expected(s.Expect), width-5, "     "))
		}
	}
	fmt.Fprintln(w)
}

// expectation says what a hold point should find.
func expectation(h kettle.Hold) string {
	var parts []string
	if !math.IsNaN(h.Expect) {
		parts = append(parts, strings.TrimSpace("about "+figures(h.Expect, 3)+" "+h.Unit))
	}
	if asked := span(h.Least, h.Most); asked != "" {
		parts = append(parts, asked)
	}
	return strings.Join(parts, "; ")
}

func holdList(w io.Writer, p *kettle.Plan) {
	fmt.Fprintln(w, "Stop, and write down before going on:")
	for _, h := range p.Holds {
		text := h.After + ": " + h.Ask
		if what := expectation(h); what != "" {
			text += " Expect " + what + "."
		}
		fmt.Fprintf(w, "  - %s ________\n", wrap(text+" ["+h.From+"]", width-13, "    "))
	}
	fmt.Fprintln(w)
}

func shopping(w io.Writer, p *kettle.Plan) {
	t := newTable("  ", "lto buy", ".need, kg", "lorder", ".kg", "."+p.Job.Currency, "l")
	for _, b := range p.Shopping {
		order := ""
		if b.Packs > 0 {
			order = fmt.Sprintf("%d of %s kg", b.Packs, plain(b.PackKg))
		}
		t.row(b.Ingredient, figures(b.NeedKg, 4), order, trimmed(b.OrderKg, 5), fixed(b.Cost, 2), buyNote(b))
	}
	if len(t.rows) == 0 {
		return
	}
	fmt.Fprintln(w, "Not on the shelf:")
	t.write(w)
	for _, text := range toMake(p) {
		fmt.Fprintf(w, "  %s\n", wrap(text, width-2, "  "))
	}
	fmt.Fprintln(w)
}

// toMake says of each preparation that is not on the shelf what it takes.
func toMake(p *kettle.Plan) []string {
	var list []string
	for _, b := range p.Shopping {
		var parts []string
		for _, need := range b.Make {
			parts = append(parts, fmt.Sprintf("%s %s kg", need.Name, figures(need.Kg, 4)))
		}
		if len(parts) > 0 {
			list = append(list, fmt.Sprintf("Make %s of %s.", b.Ingredient, strings.Join(parts, ", ")))
		}
	}
	return list
}

// buyNote says why as much is ordered, and what of it lies on the shelf and may not be used.
func buyNote(b kettle.Purchase) string {
	note := ""
	if b.LeastPacks > 1 && b.Packs == b.LeastPacks {
		note = "smallest order"
	}
	if b.BarredKg > 0 {
		note = strings.TrimSpace(note + fmt.Sprintf(" %s kg on the shelf may not be used", trimmed(b.BarredKg, 4)))
	}
	return note
}

// roundingCost says what the scales cost, and how much better any other weighing could be.
func roundingCost(w io.Writer, p *kettle.Plan) {
	fmt.Fprintf(w, "%s\n", wrap(roundingText(p), width, "  "))
	if text := allowanceText(p); text != "" {
		fmt.Fprintf(w, "  %s\n", wrap(text, width-2, "  "))
	}
	if text := firstOutText(p); text != "" {
		fmt.Fprintf(w, "  %s\n", wrap(text, width-2, "  "))
	}
	fmt.Fprintln(w)
}

func roundingText(p *kettle.Plan) string {
	c, money := p.Cost, p.Job.Currency
	text := fmt.Sprintf("Cost %s %s; %s on scales without divisions (proved). The divisions cost %s %s, %s;", fixed(c.Total, 4), money, fixed(c.Least, 4), fixed(c.Rounding, 4), money, smallPercent(c.Rounding, c.Total))
	with := ""
	if p.Allowance.Kept > 0 {
		with = " with the same allowance"
	}
	const how = " (the search's bound, in floating point, at the batch's own liquor)."
	if c.Gap() < 5e-9 {
		return text + " no other amounts of the same on them cost less" + with + how
	}
	text += fmt.Sprintf(" other amounts of the same on them could save at most %s %s, %s%s%s", fixed(c.Total-c.Bound, 4), money, smallPercent(c.Total-c.Bound, c.Total), with, how)
	if !p.Complete && c.Gap() > 0.005 {
		text += fmt.Sprintf(" The search stopped at %d nodes: --nodes %d looks on.", p.Nodes, 10*max(p.Nodes, 1000))
	}
	return text
}

func firstOutText(p *kettle.Plan) string {
	if p.Cost.FirstOut <= 0.005 {
		return ""
	}
	return fmt.Sprintf("To use first what expires first costs %s %s of it.", fixed(p.Cost.FirstOut, 2), p.Job.Currency)
}

func trimmingsText(p *kettle.Plan) string {
	if p.Yield.TrimmingsKg <= 0 {
		return ""
	}
	return fmt.Sprintf("Trimmings: %s kg.", figures(p.Yield.TrimmingsKg, 2))
}

// allowanceText says how far the plan stays clear of its limits, and what that costs.
func allowanceText(p *kettle.Plan) string {
	a := p.Allowance
	switch {
	case a.Asked == 0:
		return ""
	case a.Kept == 0:
		return "The brief leaves no room for an allowance: a division or a reading off may miss it."
	case a.Kept < a.Asked:
		return fmt.Sprintf("The brief leaves room for %s of the allowance for divisions and instruments: it costs %s %s.", percent(a.Kept), fixed(a.Cost, 2), p.Job.Currency)
	}
	part := ""
	if a.Kept < 1 {
		part = percent(a.Kept) + " of "
	}
	return fmt.Sprintf("It meets the brief also with every amount off by %sits division and every reading by its instrument's error; that costs %s %s of it.", part, fixed(a.Cost, 2), p.Job.Currency)
}

func smallPercent(part, whole float64) string {
	if whole == 0 {
		return "0 %"
	}
	return figures(100*part/whole, 2) + " %"
}

// coarse says why the scales will not do.
func coarse(w io.Writer, p *kettle.Plan) {
	c := p.Coarse
	title(w, p.Job)
	if c.SearchDone {
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("No amounts on these scales make %s L that meet the brief: the search for them ended without any (in floating point, at the liquor of the amounts without divisions).", plain(p.Options.Litres)), width, ""))
	} else {
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("No amounts on these scales were found that make %s L and meet the brief; the search stopped before it ended, and --nodes looks on.", plain(p.Options.Litres)), width, ""))
	}
	t := newTable("  ", "ldose", ".ideal, g", ".division, g", "r of the dose")
	for _, d := range c.Doses {
		t.row(d.Source.Name, figures(d.IdealG, 4), plain(d.DivisionG), percent(d.Share))
	}
	if len(t.rows) > 0 {
		fmt.Fprint(w, "The scale is coarse for:\n")
		t.write(w)
	}
	if c.Litres > 0 {
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("A batch of %s L can be weighed on them. Otherwise weigh these on a finer scale, or from a stock solution.", plain(c.Litres)), width, ""))
		return
	}
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("No batch up to %s L would do. Weigh these on a finer scale, or from a stock solution, or widen the brief.", plain(c.MostLitres)), width, ""))
}
