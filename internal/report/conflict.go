package report

import (
	"fmt"
	"io"
	"path/filepath"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/study"
)

// conflict says why a brief cannot be met and what would help.
func conflict(w io.Writer, a *study.Answer) {
	title(w, a.Job)
	if len(a.Conflict.Members) == 1 {
		fmt.Fprintln(w, "This brief cannot be met (proved). This limit is out of reach:")
	} else {
		fmt.Fprintln(w, "This brief cannot be met (proved). These limits exclude each other; without any")
		fmt.Fprintln(w, "one of them the others could be met:")
	}
	t := newTable("  ", "l", "l", "lwhere")
	for _, l := range a.Conflict.Members {
		t.row(limitName(l), sideText(a.Job, l, l.Value), where(a.Job, l))
	}
	t.write(w)
	fmt.Fprintln(w)
	if len(a.Conflict.Relaxations) == 0 {
		fmt.Fprintln(w, "No change of a single one of them is enough: more than one conflict stands, or")
		fmt.Fprintln(w, "law and kettle alone are in the way. Loosen several, or allow more ingredients.")
		second(w, a)
		return
	}
	fmt.Fprintln(w, "Any one of these changes would be enough:")
	t = newTable("  ", "l", "linstead of", "lat", "rthen costs, "+perLitre(a.Job))
	for _, r := range a.Conflict.Relaxations {
		t.row(limitName(r.Limit), sideText(a.Job, r.Limit, r.Value), sideText(a.Job, r.Limit, r.To), figures(r.Cost, 3))
	}
	t.write(w)
	second(w, a)
}

func limitName(l formulate.Limit) string {
	switch l.Kind {
	case formulate.Recovery, formulate.Volume, formulate.Total, formulate.Drift, formulate.Liquor:
		return l.Name
	case formulate.Capped:
		return "cap " + l.Name
	case formulate.Reading:
		return "target " + readingName(l.Name)
	}
	return string(l.Kind) + " " + l.Name
}

// sideText says a limit as a maker does: "at least 45 mg/L".
func sideText(j *brief.Job, l formulate.Limit, value float64) string {
	unit := ""
	switch l.Kind {
	case formulate.Recovery:
		return "1 L recovered"
	case formulate.Volume:
		return "the parts make up the litre"
	case formulate.Target:
		unit = perUnit(j.Library.Attributes[l.Name])
	case formulate.Capped:
		unit = l.Cap.Unit()
	case formulate.Reading:
		unit = brief.Reading(l.Name).Unit()
	case formulate.Use, formulate.Group:
		unit = amountUnit(j)
	case formulate.Total:
		unit = j.Unit
	case formulate.Drift:
		unit = "JND"
	case formulate.Liquor:
		unit = "L for a litre recovered"
	}
	text := figures(value, 5)
	if value == l.Value {
		text = plain(value)
	}
	if unit != "" {
		text += " " + unit
	}
	switch l.Side {
	case formulate.Min:
		return "at least " + text
	case formulate.Max:
		return "at most " + text
	}
	return "exactly " + text
}

// where says where a limit comes from: a line of the brief, the law, or the kettle.
func where(j *brief.Job, l formulate.Limit) string {
	switch {
	case l.Cap != nil:
		return l.Cap.Market.Name + ": " + l.Cap.Citation
	case l.Line == brief.Asked:
		if l.Kind == formulate.Liquor {
			return "half of it held back"
		}
		return "the command line"
	case l.Line == brief.Custom:
		return "customary in drinks (profile)"
	case l.Line > 0:
		return fmt.Sprintf("%s:%d", filepath.Base(j.File), l.Line)
	}
	return "the kettle"
}
