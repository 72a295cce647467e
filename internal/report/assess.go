package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
)

// Assess writes an assessment as text of at most 80 columns.
func Assess(w io.Writer, a *assess.Assessment, extent Extent) {
	title(w, a.Job)
	switch misses := a.Misses(); {
	case !a.KeepsCaps():
		fmt.Fprintf(w, "DOES NOT KEEP THE CAPS. Not to be made or sold as it is.\n\n")
	case len(misses) > 0:
		fmt.Fprintf(w, "Keeps the caps but misses the brief:\n")
		for _, miss := range misses {
			fmt.Fprintf(w, "  - %s\n", miss)
		}
		fmt.Fprintln(w)
	default:
		fmt.Fprintf(w, "Meets the brief and keeps the caps.\n\n")
	}
	fmt.Fprintf(w, "%s\n\n", wrap("This recipe: "+costLine(a), width, "  "))
	recipe(w, a)
	judged(w, a)
	caps(w, a, extent)
	instruments(w, a, extent)
	if extent == InFull {
		others(w, a)
	}
	cautions(w, a, extent)
}

// judged prints each thing the brief asks for beside what the recipe gives.
func judged(w io.Writer, a *assess.Assessment) {
	t := newTable("  ", "ltarget", ".value", "lasked", "lverdict")
	for _, v := range a.Attributes {
		if v.Verdict != assess.NoRange {
			t.row(v.Name, figures(v.Value, 3)+" "+unitOf(v), span(v.Target.Min, v.Target.Max), string(v.Verdict))
		}
	}
	for _, r := range a.Readings {
		if r.Verdict != assess.NoRange {
			t.row(readingName(string(r.Reading)), readingValue(r.Reading, r.Value), span(r.Min, r.Max), string(r.Verdict))
		}
	}
	for _, q := range a.Ratios {
		t.row(q.Name, figures(q.Value, 3), span(q.Min, q.Max), string(q.Verdict))
	}
	unit := "g/L"
	if a.Job.Kind == brief.Blend {
		unit = a.Job.Unit
	}
	for _, u := range a.Uses {
		t.row(u.Name, figures(u.Value, 3)+" "+unit, span(u.Min, u.Max), string(u.Verdict))
	}
	if len(t.rows) > 0 {
		t.write(w)
		units(w, a)
		fmt.Fprintln(w)
	}
}

// units says what the units of the targets mean that are no plain masses.
func units(w io.Writer, a *assess.Assessment) {
	meanings := []struct {
		is      func(assess.Attribute) bool
		meaning string
	}{
		{func(v assess.Attribute) bool { return v.Name == assess.Bitterness },
			"Bitterness: mg of quinine hydrochloride that is as bitter at its threshold; far above it equal figures need not taste equal."},
		{func(v assess.Attribute) bool { return v.Unit == "points" && v.Family == "aroma" }, "A point of an aroma is just recognised."},
		{func(v assess.Attribute) bool { return v.Unit == "points" && v.Family == "colour" }, "A point of a colour is 0.001 of absorbance."},
	}
	var said []string
	for _, m := range meanings {
		if a.Job.Kind == brief.Drink && slices.ContainsFunc(a.Attributes, func(v assess.Attribute) bool { return v.Verdict != assess.NoRange && m.is(v) }) {
			said = append(said, m.meaning)
		}
	}
	if len(said) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap(strings.Join(said, " "), width-2, "  "))
	}
}

// RecipeTOML returns a recipe in the form that a brief's job reads back.
func RecipeTOML(r *brief.Recipe, j *brief.Job) []byte {
	var b bytes.Buffer
	unit := "grams of each ingredient per litre of finished drink"
	if j.Throw > 0 {
		unit = "grams of each ingredient per litre of syrup"
	}
	if j.Kind == brief.Blend {
		unit = "amounts in " + j.Unit
	}
	fmt.Fprintf(&b, "# A recipe for the brief %q: %s.\n", j.Name, unit)
	fmt.Fprintf(&b, "name = %s\n\n[%s]\n", strconv.Quote(r.Name), j.AmountsKey())
	for _, p := range r.Parts {
		fmt.Fprintf(&b, "%s = %s\n", strconv.Quote(p.Source.Name), plain(p.Amount))
	}
	return b.Bytes()
}
