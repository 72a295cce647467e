package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/intake"
	"bittersum/internal/study"
)

// Intake writes what a brief that was made of a recipe asks for.
func Intake(w io.Writer, m *intake.Made) {
	a := m.Assessment
	if !a.KeepsCaps() {
		fmt.Fprint(w, "DOES NOT KEEP THE CAPS. Not to be made or sold as it is.\n\n")
	}
	fmt.Fprintf(w, "%s\n\n", wrap("The recipe: "+costLine(a)+".", width, "  "))
	t := newTable("  ", "lingredient", ".g/L", "lin the brief")
	held := map[string]string{}
	for _, h := range m.Held {
		held[h.Ingredient] = "fixed: " + h.Why
		switch {
		case h.AtLeast:
			held[h.Ingredient] = "at least: " + h.Why
		case h.AtMost:
			held[h.Ingredient] = "at most: " + h.Why
		}
	}
	for _, p := range a.Recipe.Parts {
		t.row(p.Source.Name, plain(p.Amount), held[p.Source.Name])
	}
	t.write(w)
	if free := a.Unpriced(); len(free) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap("No price is known of "+strings.Join(free, ", ")+": it counts as costing nothing.", width-2, "  "))
	}
	for _, note := range m.Notes {
		fmt.Fprintf(w, "  %s\n", wrap(note, width-2, "  "))
	}
	fmt.Fprintln(w)
	t = newTable("  ", "ltarget", ".the recipe has", "lunit", "lasked")
	for _, target := range m.Targets {
		t.row(target.Name, figures(target.Value, 3), perUnit(target.Attribute), span(target.Min, target.Max))
	}
	t.write(w)
	fmt.Fprint(w, "  Asked: one just noticeable difference either way.\n")
	for _, v := range m.Untargeted {
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("No target for %s: no figure in %s.", v.Name, strings.Join(unknownOf(a, v), ", ")), width-2, "  "))
	}
	fmt.Fprintln(w)
	caps(w, a, Short)
	if len(m.Accepts) > 0 {
		var open []string
		for _, accept := range m.Accepts {
			open = append(open, accept.Substance+" in "+accept.Ingredient)
		}
		fmt.Fprintf(w, "%s\n\n", wrap("Capped, and no figure is known: "+strings.Join(open, ", ")+". Before blend reads the brief, give figures, or take each upon yourself: the brief's last lines are ready for that.", width, "  "))
	}
}

// unknownOf names what has no figure for an attribute, of all that is in use.
func unknownOf(a *assess.Assessment, v assess.Attribute) []string {
	var names []string
	for _, s := range a.Job.Sources {
		if _, known := s.Content(v.Name); !known {
			names = append(names, s.Name)
		}
	}
	return names
}

// OwnIngredient is a profile that was made to be filled in.
type OwnIngredient struct {
	Word, Name, File string
	// Brought are attributes that the recipe's other ingredients bring, and Capped what markets cap, that nothing is
	// known of here.
	Brought, Capped []string
}

// OwnIngredients writes what is to be filled in before a recipe can be made a brief.
func OwnIngredients(w io.Writer, all []OwnIngredient) {
	fmt.Fprint(w, "Not in the library, and made as ingredients of your own to fill in:\n\n")
	for _, own := range all {
		fmt.Fprintf(w, "  %s (%q): %s\n", own.Name, own.Word, own.File)
		fmt.Fprintf(w, "    %s\n", wrap("unknown: basis, soluble_share, specific_volume_ml_per_g, its plants or its category; what the recipe's other ingredients bring: "+strings.Join(own.Brought, ", "), width-4, "    "))
		if len(own.Capped) > 0 {
			fmt.Fprintf(w, "    %s\n", wrap("and what markets cap: "+strings.Join(own.Capped, ", "), width-4, "    "))
		}
	}
	fmt.Fprintf(w, "\n%s\n", wrap("What is left out stays unknown and is never read as zero: no target is set on it, and a cap asks for it. Fill in what you know, from a certificate or a measurement, and run the same command again: then the brief is made.", width, ""))
}

// Today sets the recipe that is made today beside the cheapest one.
func Today(w io.Writer, file string, today, now *assess.Assessment) {
	change := "costs the same"
	if x := now.Cost.PerLitre - today.Cost.PerLitre; math.Abs(x) > 5e-7*math.Abs(today.Cost.PerLitre) {
		change = fmt.Sprintf("costs %s %s/L less", figures(-x, 3), now.Job.Currency)
		if x > 0 {
			change = fmt.Sprintf("costs %s %s/L more", figures(x, 3), now.Job.Currency)
		}
		if today.Cost.PerLitre > 0 {
			change += fmt.Sprintf(" (%s)", percent(math.Abs(x)/today.Cost.PerLitre))
		}
	}
	drift := study.DriftBetween(today, now)
	fmt.Fprintf(w, "\n%s\n\n", wrap(fmt.Sprintf("Beside today's recipe (%s) this one %s and drifts %s just noticeable differences in all.", file, change, figures(drift.Total, 3)), width, ""))
	if !today.KeepsCaps() {
		fmt.Fprint(w, "  Today's recipe DOES NOT KEEP THE CAPS. Not to be made or sold as it is.\n\n")
	}
	amountsBeside(w, []string{"today", "this one"}, []*assess.Assessment{today, now})
	attributesBeside(w, drift, "today", "this one")
}
