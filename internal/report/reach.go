package report

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/study"
)

// Reach writes the least cost against one attribute.
func Reach(w io.Writer, r *study.Reached, extent Extent) {
	if r.Conflict != nil {
		conflict(w, r.Conflict)
		return
	}
	title(w, r.Job)
	unit := perUnit(r.Attribute)
	from, to := r.Stops[0].Value, r.Stops[len(r.Stops)-1].Value
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("%s can go from %s to %s %s.", upperFirst(r.Attribute.Name), figures(from, 4), figures(to, 4), unit), width, ""))
	asked := "The brief asks nothing of it"
	if r.Asked != brief.Unbounded() {
		asked = "What the brief asks of it is set aside: " + span(r.Asked.Min, r.Asked.Max) + " " + unit
	}
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("%s. The cheapest recipe has %s.", asked, figures(r.Start, 4)), width, ""))
	curve(w, r)
	ends(w, r)
	fmt.Fprintln(w, "Recipes at the break-points, each proved optimal and assessed:")
	var titles []string
	var recipes []*assess.Assessment
	for _, n := range thinned(len(r.Stops), 2*mostBeside) {
		titles = append(titles, figures(r.Stops[n].Value, 4))
		recipes = append(recipes, r.Stops[n].Recipe())
	}
	beside(w, titles, recipes)
	cautionsOfAll(w, recipes, extent)
}

func upperFirst(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func curve(w io.Writer, r *study.Reached) {
	t := newTable("  ", "."+r.Attribute.Name, "."+perLitre(r.Job), "r+1 from here", "lwhat changes here")
	for k, s := range r.Stretches {
		slope := signed(s.SlopeFrom, 3)
		if to := signed(s.SlopeTo, 3); to != slope {
			slope += " to " + to
		}
		var changes []string
		if k > 0 {
			changes = changesOf(r.Stretches[k-1], s)
		}
		t.row(figures(s.From, 4), figures(s.CostFrom, 4), slope, strings.Join(changes, "; "))
	}
	if n := len(r.Stretches); n > 0 {
		last := r.Stretches[n-1]
		t.row(figures(last.To, 4), figures(last.CostTo, 4), "", "")
	}
	t.write(w)
	fmt.Fprintf(w, "  +1 from here: what one more %s costs.\n\n", perUnit(r.Attribute))
}

// changesOf says what changes from one stretch to the next, upwards.
func changesOf(before, after study.Stretch) []string {
	var out []string
	for _, s := range after.Enter {
		out = append(out, s.Name+" enters")
	}
	for _, s := range after.Leave {
		out = append(out, s.Name+" leaves")
	}
	for _, l := range after.Binding {
		if !slices.ContainsFunc(before.Binding, l.Same) {
			out = append(out, bindingName(l)+" binds")
		}
	}
	for _, l := range before.Binding {
		if !slices.ContainsFunc(after.Binding, l.Same) {
			out = append(out, bindingName(l)+" no longer binds")
		}
	}
	return out
}

// bindingName names a limit with its side, for a list of changes.
func bindingName(l formulate.Limit) string {
	name := l.Name
	switch l.Kind {
	case formulate.Capped:
		return "cap " + name + " (" + l.Cap.Market.Name + ")"
	case formulate.Use:
		return string(l.Side) + " use of " + name
	}
	return string(l.Side) + " " + name
}

func ends(w io.Writer, r *study.Reached) {
	for _, end := range []struct {
		study.End
		value float64
		what  string
	}{{r.Low, r.Stops[0].Value, "Below"}, {r.High, r.Stops[len(r.Stops)-1].Value, "Above"}} {
		if !end.Followed {
			continue
		}
		if end.Custom {
			from := fmt.Sprintf("%s, the library's attributes", r.Attribute.Sensible.Basis)
			if r.Attribute.Sensible.Source != "" {
				from += ": " + r.Attribute.Sensible.Source
			}
			text := fmt.Sprintf("Above %s %s lies more than drinks are made with [%s]; --beyond-custom goes on.", figures(end.value, 4), perUnit(r.Attribute), from)
			fmt.Fprintf(w, "%s\n\n", wrap(text, width, ""))
			continue
		}
		if end.Conflict == nil {
			fmt.Fprintf(w, "At 0 there is nothing of it left to take away.\n\n")
			continue
		}
		fmt.Fprintf(w, "%s %s %s there is no recipe (proved). These limits are in its way:\n", end.what, figures(end.value, 4), perUnit(r.Attribute))
		t := newTable("  ", "l", "l", "lwhere")
		for _, l := range end.Conflict.Members {
			if l.Kind == formulate.Target && l.Name == r.Attribute.Name {
				continue
			}
			t.row(limitName(l), sideText(r.Job, l, l.Value), where(r.Job, l))
		}
		t.write(w)
		fmt.Fprintln(w)
	}
}

// Region writes what two attributes can be at once.
func Region(w io.Writer, r *study.Region, extent Extent) {
	if r.Conflict != nil {
		conflict(w, r.Conflict)
		return
	}
	title(w, r.Job)
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("What %s and %s can be at once, all else as %s asks. The values between these corners can be had, none outside.", r.X.Name, r.Y.Name, filepath.Base(r.Job.File)), width, ""))
	if len(r.Unproved) > 0 {
		var points []string
		for _, at := range r.Unproved {
			points = append(points, figures(at[0], 4)+" with "+figures(at[1], 4))
		}
		fmt.Fprintf(w, "  %s\n\n", wrap("But the region may reach as far as "+strings.Join(points, ", ")+": no recipe could be proved there.", width-2, "  "))
	}
	if len(r.PerLitre) > 0 {
		fmt.Fprintf(w, "  %s\n\n", wrap("Counted per litre here, so that the corners are exact: "+strings.Join(r.PerLitre, ", ")+".", width-2, "  "))
	}
	t := newTable("  ", "l", "."+r.X.Name, "."+r.Y.Name, "."+perLitre(r.Job), "lwhat holds from here to the next corner")
	var titles []string
	var recipes []*assess.Assessment
	for n, c := range r.Corners {
		var holds []string
		for _, l := range c.Binding {
			holds = append(holds, bindingName(l))
		}
		letter := cornerName(n)
		t.row(letter, figures(c.X, 4), figures(c.Y, 4), figures(c.Answer.LeastCost, 4), strings.Join(holds, "; "))
		titles = append(titles, letter)
		recipes = append(recipes, c.Answer.Assessment)
	}
	if r.Today != nil {
		t.row("today", figures(r.TodayX, 4), figures(r.TodayY, 4), figures(r.Today.LeastCost, 4), "the brief's cheapest recipe")
	}
	t.write(w)
	fmt.Fprintf(w, "  %s in %s, %s in %s.\n\n", upperFirst(r.X.Name), perUnit(r.X), r.Y.Name, perUnit(r.Y))
	fmt.Fprintln(w, "The cheapest recipes at the corners, each proved optimal and assessed:")
	beside(w, titles, recipes)
	if len(recipes) > 0 {
		cautionsOfAll(w, recipes, extent)
	}
}

// cornerName letters corners A to Z, then A2 and so on.
func cornerName(n int) string {
	name := string(rune('A' + n%26))
	if n >= 26 {
		name += fmt.Sprint(n/26 + 1)
	}
	return name
}
