package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/study"
)

// Guard writes the cheapest recipe that is as sure as asked, or how sure one can be.
func Guard(w io.Writer, r *study.GuardedRecipe, extent Extent) {
	if r.Plain.Conflict != nil {
		conflict(w, r.Plain)
		return
	}
	title(w, r.Job)
	if r.Assessment == nil {
		notSoSure(w, r, extent)
		return
	}
	fmt.Fprintf(w, "%s\n\n", wrap("Cheapest recipe that "+assured(r.Options, oftenText(r.Options.Risk))+": "+costLine(r.Assessment), width, "  "))
	dearer(w, r)
	guardedLimits(w, r)
	beside(w, []string{"cheapest", "sure"}, []*assess.Assessment{r.Plain.Assessment, r.Assessment})
	caps(w, r.Assessment, extent)
	guardRests(w, r)
	cautions(w, r.Assessment, extent)
}

// assured says how sure a recipe is asked to be, of so many batches.
func assured(o study.GuardOptions, often string) string {
	what := "breaks any cap"
	if o.Targets {
		what += " or misses any target"
	}
	how := ""
	switch o.Counting {
	case study.EachAlone:
		what, how = strings.ReplaceAll(what, "any", "a"), ", each by itself"
	case study.Sum:
		how = ", the chances of all added up"
	case study.Drawn:
		how = ", as drawn with each lot by itself"
	}
	return what + " in at most " + often + " of batches" + how
}

func dearer(w io.Writer, r *study.GuardedRecipe) {
	more := r.Dearer()
	text := fmt.Sprintf("That costs %s %s", signed(more, 3), perLitre(r.Job))
	if r.Job.BatchL > 0 {
		text += fmt.Sprintf(", %s a batch", signed(more*r.Job.BatchL, 3))
	}
	if before := r.Plain.Assessment.Cost.PerLitre; before > 0 {
		text += fmt.Sprintf(" (%s %%)", signed(100*more/before, 2))
	}
	if math.Abs(more) < 1e-9 {
		text = "The brief's cheapest recipe is as sure as that already: it costs no more"
	} else {
		text += " against the brief's cheapest recipe"
	}
	fmt.Fprintf(w, "  %s\n\n", wrap(text+". "+atMostText(r)+unknownCaps(r), width-2, "  "))
}

// unknownCaps names the caps that no chance covers.
func unknownCaps(r *study.GuardedRecipe) string {
	var names []string
	for _, c := range r.UnknownCaps {
		names = append(names, c.Substance+", "+c.Market.Name)
	}
	if len(names) == 0 {
		return ""
	}
	return " Unknown besides, and in none of these chances: " + strings.Join(names, "; ") + "."
}

// atMostOften says a bound of a chance.
func atMostOften(p float64) string {
	switch {
	case p == 0:
		return "none"
	case p < leastTold:
		return "under 1 in a million"
	}
	return oftenText(p)
}

// atMostText says the chance that was found.
func atMostText(r *study.GuardedRecipe) string {
	often := atMostOften(r.AtMost) + " of batches"
	switch r.Options.Counting {
	case study.EachAlone:
		return "On fresh draws the likeliest of them breaks in at most " + often + "."
	case study.Sum:
		return "On fresh draws their chances add up to at most " + often + "."
	}
	return "On fresh draws any of them breaks in at most " + often + "."
}

func guardedLimits(w io.Writer, r *study.GuardedRecipe) {
	if len(r.Limits) == 0 {
		fmt.Fprintln(w, "  No cap or target here varies with the lots.")
		fmt.Fprintln(w)
		return
	}
	fmt.Fprintln(w, "What is kept although lots vary:")
	t := newTable("  ", "llimit", "rasked", "rkept free", "rbroken in", "l")
	absent := 0
	for _, l := range r.Limits {
		unknown := slices.ContainsFunc(r.UnknownCaps, func(c assess.Cap) bool {
			return l.Cap != nil && c.Market == l.Cap.Market && c.Substance == l.Cap.Substance && c.Per == l.Cap.Per
		})
		if l.Cap != nil && l.Broken.AtMost == 0 && !l.Binding && !unknown {
			absent++
			continue
		}
		holds := ""
		if l.Binding {
			holds = "holds"
		}
		broken := chanceText(l.Broken)
		if unknown {
			broken = "unknown"
		}
		t.row(guardedName(l), guardedSide(l), freeText(r.Options, l), broken, holds)
	}
	if len(t.rows) > 0 {
		t.write(w)
	}
	note := "Kept free are standard deviations of all lots together."
	if r.Options.Method == study.FewBad {
		note = "Kept free are deviations of each of so many lots at once."
	}
	if absent > 0 {
		note += fmt.Sprintf(" %d more caps cannot be broken by this recipe.", absent)
	}
	fmt.Fprintf(w, "  %s\n", wrap(note, width-2, "  "))
	if len(r.Left) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap("Counted as certain here: "+strings.Join(r.Left, ", ")+".", width-2, "  "))
	}
	fmt.Fprintln(w)
}

func guardedName(l study.GuardedLimit) string {
	if l.Cap != nil {
		return l.Name + ", " + l.Cap.Market.Name
	}
	return readingName(l.Name)
}

func guardedSide(l study.GuardedLimit) string {
	side := "at least "
	if l.Above {
		side = "at most "
	}
	return strings.TrimSpace(side + plain(l.Value) + " " + l.Unit)
}

func freeText(o study.GuardOptions, l study.GuardedLimit) string {
	if o.Method == study.FewBad {
		return fmt.Sprintf("%s of %s lots", figures(l.Reach, 3), plain(l.Most))
	}
	return figures(l.Reach, 3)
}

func guardRests(w io.Writer, r *study.GuardedRecipe) {
	fmt.Fprintln(w, "What is proved and what is not:")
	say := func(text string) { fmt.Fprintf(w, "  - %s\n", wrap(text, width-4, "    ")) }
	say(fmt.Sprintf("In rational arithmetic: no recipe of the program that keeps these deviations free costs less than %s %s, and this one costs %s.", figures(r.Bound, 6), perLitre(r.Job), figures(r.Assessment.Cost.PerLitre, 6)))
	if r.Exactly > 0 {
		say(fmt.Sprintf("In rational arithmetic on the printed amounts: the deviations of %d of %d limits are kept free, and every cap of the brief holds as blend judges it.", r.Exactly, len(r.Limits)))
	}
	switch r.Options.Method {
	case study.Independent:
		say("Not proved: that the chances are these. They are drawn from lognormal contents, one source independent of the other, at the deviations of profiles and certificates. The deviations to keep free were moved until the draws agreed.")
	case study.AnyShape:
		say("By Cantelli's inequality the risk holds whatever shape the contents' distributions have, if means and deviations are right and the lots of one source are independent of another's. The chances shown are those of lognormal contents.")
	case study.FewBad:
		say("Each limit stands so many lots at once that stray by so many of their deviations, whichever they are. The chances shown are those of lognormal contents, independent of each other.")
	}
	goTogether(say, r.Assessment)
	assumedVariation(say, r.Assumed, r.Options.Assumed)
	for _, u := range r.Unknown {
		say(fmt.Sprintf("No chance covers %s in %s, which is unknown and was accepted.", u.Substance, u.Ingredient))
	}
	say("These chances are no permission to exceed a cap. The brief's own way to judge, each lot at its assurance, still holds and is mostly the stricter.")
	fmt.Fprintln(w)
}

// notSoSure says that no recipe is as sure as asked, and how sure one can be.
func notSoSure(w io.Writer, r *study.GuardedRecipe, extent Extent) {
	fmt.Fprintf(w, "%s\n\n", wrap("No recipe within the brief was found that "+assured(r.Options, oftenText(r.Options.Risk))+".", width, "  "))
	if r.Surest == nil {
		fmt.Fprintf(w, "  %s\n\n", wrap("Nor was one found that does so in fewer than all batches. Widen the ranges of targets, guard the caps alone, or count each limit by itself.", width-2, "  "))
		return
	}
	s := r.Surest
	fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("The surest recipe found does so in at most %s of batches and costs %s.", oftenText(s.GuardedRecipe.Options.Risk), costLine(s.Assessment)), width-2, "  "))
	if len(s.InTheWay) > 0 {
		var names []string
		for _, l := range s.InTheWay {
			names = append(names, guardedName(l))
		}
		fmt.Fprintf(w, "  %s\n\n", wrap("In the way, each by itself: "+strings.Join(names, "; ")+". A wider range there, lots with certificates or a batch that is measured and corrected is what helps.", width-2, "  "))
	}
	guardedLimits(w, s.GuardedRecipe)
	recipe(w, s.Assessment)
	guardRests(w, s.GuardedRecipe)
	cautions(w, s.Assessment, extent)
}

// GuardCurve writes what each level of assurance costs.
func GuardCurve(w io.Writer, c *study.AssuranceCurve, extent Extent) {
	if c.Plain.Conflict != nil {
		conflict(w, c.Plain)
		return
	}
	title(w, c.Job)
	fmt.Fprintf(w, "%s\n\n", wrap("What assurance costs; the brief's cheapest recipe is "+costLine(c.Plain.Assessment), width, "  "))
	t := newTable("  ", "rat most", "."+perLitre(c.Job), "rmore", "rfound at most", "l")
	for n, l := range c.Levels {
		note := ""
		if n == c.Knee {
			note = "the knee: surer grows dearer from here"
		}
		switch {
		case l.Unproved:
			t.row(oftenText(l.Risk), "", "", "", "not proved")
		case math.IsNaN(l.Cost):
			t.row(oftenText(l.Risk), "", "", "", "no recipe found that is so sure")
		default:
			t.row(oftenText(l.Risk), figures(l.Cost, 4), signed(100*l.More, 2)+" %", between(l.AtMost, l.AtMost), note)
		}
	}
	t.write(w)
	fmt.Fprintln(w)
	fmt.Fprintf(w, "  %s\n\n", wrap("Each line is the cheapest recipe found that "+assured(c.Options, "so many")+". These chances are no permission to exceed a cap.", width-2, "  "))
	cautions(w, c.Plain.Assessment, extent)
}
