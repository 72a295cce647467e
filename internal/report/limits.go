package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/study"
)

// limitTable is what the brief asks for, what the recipe gives and what each limit costs.
type limitTable struct {
	*table
	extent Extent
	// costs are the limits that hold, by kind and name; kept tells in short of what costs nothing.
	costs map[string][]study.LimitCost
	kept  []string
}

func limitKey(kind formulate.Kind, name string) string { return string(kind) + " " + name }

// add adds a row for each limit of that kind and name that holds.
func (t *limitTable) add(kind formulate.Kind, name string, value float64, unit, asked string) {
	rows := t.costs[limitKey(kind, name)]
	shown := strings.TrimSpace(figures(value, 3) + " " + unit)
	if kind == formulate.Reading {
		shown, name = readingValue(brief.Reading(name), value), readingName(name)
	}
	if len(rows) == 0 && t.extent == Short {
		t.kept = append(t.kept, fmt.Sprintf("%s %s (%s)", name, shown, asked))
	} else if len(rows) == 0 {
		t.row(name, shown, asked, "", "")
	}
	for n, l := range rows {
		cost, holds := rates(l)
		if n > 0 {
			name, shown, asked = "", "", ""
		}
		t.row(name, shown, asked, cost, holds)
	}
}

// limits prints what the brief asks for, what the recipe gives and what each limit costs.
// In short, those that cost nothing are told in a line.
func limits(w io.Writer, a *study.Answer, extent Extent) {
	t := &limitTable{table: newTable("  ", "ltarget", ".value", "lasked", "r+1, "+perLitre(a.Job), "lholds for"), extent: extent, costs: map[string][]study.LimitCost{}}
	for _, l := range a.Limits {
		if l.Binding {
			key := limitKey(l.Kind, l.Name)
			t.costs[key] = append(t.costs[key], l)
		}
	}
	t.asked(a)
	t.uses(a)
	t.caps(a)
	if len(t.rows) > 0 {
		t.write(w)
		explained := "+1: what one more of the asked value costs."
		if extent == InFull {
			explained += " A limit without it does not hold."
		}
		fmt.Fprintf(w, "  %s\n", explained)
	}
	if len(t.kept) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap("Met at no cost: "+strings.Join(t.kept, ", ")+".", width-2, "  "))
	}
	if len(t.rows)+len(t.kept) == 0 {
		return
	}
	units(w, a.Assessment)
	if len(t.costs[limitKey(formulate.Reading, string(brief.PH))]) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap("The cost of a pH bends: +1 is its slope at the asked value, so that 0.1 costs a tenth; it holds for that pH, and the same ingredients for the range shown.", width-2, "  "))
	}
	fmt.Fprintln(w)
}

// asked adds targets and readings, and between them what is customary.
func (t *limitTable) asked(a *study.Answer) {
	for _, v := range a.Assessment.Attributes {
		if v.Verdict != assess.NoRange {
			t.add(formulate.Target, v.Name, v.Value, unitOf(v), span(v.Target.Min, v.Target.Max))
		}
	}
	for _, l := range a.Limits {
		if l.Line == brief.Custom && l.Binding {
			t.add(formulate.Use, l.Name, a.Assessment.Recipe.Amount(l.Name), "g/L", "customary, at most "+plain(l.Value))
		}
	}
	for _, r := range a.Assessment.Readings {
		if r.Verdict != assess.NoRange {
			t.add(formulate.Reading, string(r.Reading), r.Value, r.Unit(), span(r.Min, r.Max))
		}
	}
	for _, q := range a.Assessment.Ratios {
		t.add(formulate.Ratio, q.Name, q.Value, "", span(q.Min, q.Max))
	}
}

// uses adds what may be used.
func (t *limitTable) uses(a *study.Answer) {
	unit := "g/L"
	if a.Job.Kind == brief.Blend {
		unit = a.Job.Unit
	}
	for _, u := range a.Assessment.Uses {
		kind := formulate.Use
		if u.Group {
			kind = formulate.Group
		}
		if u.Name == "total" && a.Job.Kind == brief.Blend {
			kind = formulate.Total
		}
		t.add(kind, u.Name, u.Value, unit, span(u.Min, u.Max))
	}
}

// caps adds the caps that hold.
func (t *limitTable) caps(a *study.Answer) {
	for _, l := range a.Limits {
		if l.Kind != formulate.Capped || !l.Binding {
			continue
		}
		for _, c := range a.Assessment.Caps {
			if c.Market == l.Cap.Market && c.Substance == l.Name && c.Max == l.Value {
				cost, holds := rates(l)
				t.row(l.Name, figures(c.Guarded, 3)+" "+c.Unit(), "cap "+plain(c.Max)+", "+c.Market.Name, cost, holds)
			}
		}
	}
}

// rates says what one more of a limit costs and over which values that is true.
func rates(l study.LimitCost) (cost, holds string) {
	side := func(r study.Rate) string {
		if r.Blocked {
			return "none"
		}
		return signed(r.Cost, 3)
	}
	end := func(r study.Rate) string {
		if r.Blocked {
			return figures(l.Value, 3)
		}
		return figures(r.To, 3)
	}
	if sameRate(l.Down, l.Up) {
		return side(l.Up), interval(end(l.Down), end(l.Up))
	}
	return side(l.Down) + " | " + side(l.Up),
		fmt.Sprintf("%s | %s", interval(end(l.Down), figures(l.Value, 3)), interval(figures(l.Value, 3), end(l.Up)))
}

func interval(from, to string) string {
	switch {
	case from == "no end" && to == "no end":
		return "always"
	case from == "no end":
		return "up to " + to
	case to == "no end":
		return "from " + from
	}
	return from + ".." + to
}

func sameRate(down, up study.Rate) bool {
	return down.Blocked == up.Blocked && math.Abs(down.Cost-up.Cost) <= 1e-9*(1+math.Abs(down.Cost)+math.Abs(up.Cost))
}
