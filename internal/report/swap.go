package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/study"
)

// Swap writes what replaces what is short.
func Swap(w io.Writer, s *study.Swapped, extent Extent) {
	if s.Answer.Conflict != nil {
		conflict(w, s.Answer)
		return
	}
	title(w, s.Job)
	fmt.Fprintf(w, "%s\n\n", wrap(shortages(s)+": "+costLine(s.Answer.Assessment), width, "  "))
	for _, l := range s.Dropped {
		fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("The brief asks for %s of %s (%s); that is set aside.", sideText(s.Job, l, l.Value), l.Name, where(s.Job, l)), width-2, "  "))
	}
	scarcity(w, s)
	beside(w, []string{"today", "swap"}, []*assess.Assessment{s.Before, s.Answer.Assessment})
	attributesBeside(w, s.Drift, "today", "swap")
	asksTongues(w, s)
	lost(w, s)
	trade(w, s)
	caps(w, s.Answer.Assessment, extent)
	proof(w, s.Answer, extent)
	cautions(w, s.Answer.Assessment, extent)
}

// asksTongues says how to find out whether anyone notices.
func asksTongues(w io.Writer, s *study.Swapped) {
	if s.Drift.Total >= 0.05 {
		fmt.Fprintf(w, "  %s\n\n", wrap("Whether anyone notices, only tongues say: bittersum taste sheet --a today --b swap, and taste score --keep FILE to keep the answers.", width-2, "  "))
	}
}

func shortages(s *study.Swapped) string {
	var parts []string
	for _, short := range s.Options.Short {
		if short.Most == 0 {
			parts = append(parts, "without "+short.Name)
		} else {
			parts = append(parts, fmt.Sprintf("with at most %s %s of %s", plain(short.Most), amountUnit(s.Job), short.Name))
		}
	}
	how := "The cheapest mix "
	switch {
	case s.Options.Closest:
		how = "The closest mix "
	case !math.IsInf(s.Options.Within, 1):
		how = fmt.Sprintf("The cheapest mix within %s JND of today's ", plain(s.Options.Within))
	}
	if len(parts) == 0 {
		return strings.TrimSpace(how)
	}
	return how + strings.Join(parts, ", ")
}

func scarcity(w io.Writer, s *study.Swapped) {
	more, scale := s.Cost(), s.Before.Cost.PerLitre
	text := fmt.Sprintf("Scarcity costs %s %s", signed(more, 3), perLitre(s.Job))
	if s.Job.BottleML > 0 {
		text += fmt.Sprintf(", %s a bottle", signed(more*s.Job.BottleML/1000, 3))
	}
	if s.Job.BatchL > 0 {
		text += fmt.Sprintf(", %s a batch", signed(more*s.Job.BatchL, 3))
	}
	if scale > 0 {
		text += fmt.Sprintf(" (%s %%)", signed(100*more/scale, 2))
	}
	fmt.Fprintf(w, "  %s\n\n", wrap(text+fmt.Sprintf(". The mix drifts %s just noticeable differences (JND) in all from today's recipe.", figures(s.Drift.Total, 3)), width-2, "  "))
}

// attributesBeside writes every attribute of two recipes, those that changed most first.
func attributesBeside(w io.Writer, d study.Drift, before, after string) {
	t := newTable("  ", "lattribute", "."+before, "."+after, "lunit", ".JND")
	same := 0
	for _, p := range d.Parts {
		if math.Abs(p.After-p.Before) <= 5e-4*math.Max(math.Abs(p.Before), math.Abs(p.After)) {
			same++
			continue
		}
		count := ""
		if p.JND > 0 {
			count = signedFixed(p.Count, 2)
		}
		t.row(p.Name, figures(p.Before, 3), figures(p.After, 3), perUnit(p.Attribute), count)
	}
	t.write(w)
	switch {
	case len(t.rows) == 0:
		fmt.Fprint(w, "  Every attribute stays as it is.\n\n")
	case same > 0:
		fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("%d attributes stay as they are. JND: the change in just noticeable differences.", same), width-2, "  "))
	default:
		fmt.Fprint(w, "  JND: the change in just noticeable differences.\n\n")
	}
	if len(d.Uncounted) > 0 {
		var names []string
		for _, a := range d.Uncounted {
			names = append(names, a.Name)
		}
		fmt.Fprintf(w, "  %s\n\n", wrap("Not counted: "+strings.Join(names, ", ")+", of which there was none, so that a share of it is no measure.", width-2, "  "))
	}
}

func signedFixed(x float64, decimals int) string {
	text := fixed(x, decimals)
	if x > 0 {
		text = "+" + text
	}
	return text
}

func lost(w io.Writer, s *study.Swapped) {
	if len(s.Lost) == 0 {
		if s.Drift.Total > 1 {
			fmt.Fprint(w, "  Each note could be brought back to within a just noticeable difference, alone.\n\n")
		}
		return
	}
	fmt.Fprintln(w, "Cannot be replaced: no mix within the brief comes nearer than this.")
	t := newTable("  ", "lnote", ".was", ".nearest", "lunit")
	for _, l := range s.Lost {
		t.row(l.Name, figures(l.Before, 3), figures(l.Nearest, 3), perUnit(l.Attribute))
	}
	t.write(w)
	fmt.Fprintln(w)
}

// trade writes what closeness costs, at no more than so many points.
func trade(w io.Writer, s *study.Swapped) {
	if len(s.Trade) < 2 {
		return
	}
	fmt.Fprintln(w, "What closeness costs:")
	t := newTable("  ", ".drift, JND", "."+perLitre(s.Job), "l")
	for _, n := range thinned(len(s.Trade), 7) {
		note := ""
		switch n {
		case 0:
			note = "the closest"
		case len(s.Trade) - 1:
			note = "the cheapest"
		}
		t.row(figures(s.Trade[n].Drift, 3), figures(s.Trade[n].Cost, 4), note)
	}
	t.write(w)
	fmt.Fprintln(w)
}

// thinned returns at most so many of the indices below n, evenly spread, with the first and the last.
func thinned(n, most int) []int {
	var out []int
	for k := range min(n, most) {
		at := k
		if n > most {
			at = k * (n - 1) / (most - 1)
		}
		out = append(out, at)
	}
	return out
}
