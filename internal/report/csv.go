package report

import (
	"encoding/csv"
	"io"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"
)

// BlendCSV writes the recipe of an answer as CSV; an answer without a recipe is only a heading.
func BlendCSV(w io.Writer, a *study.Answer) error {
	if a.Assessment == nil {
		return recipeCSV(w, a.Job, nil)
	}
	return recipeCSV(w, a.Job, a.Assessment)
}

// recipeCSV writes amounts and costs, a line an ingredient, in the form that bittersum assess reads.
func recipeCSV(w io.Writer, j *brief.Job, a *assess.Assessment) error {
	out := csv.NewWriter(w)
	amount, cost := "grams_per_litre", "cost_per_litre"
	if j.Kind == brief.Blend {
		amount, cost = "amount", "cost"
	}
	if err := out.Write([]string{"ingredient", amount, cost}); err != nil {
		return err
	}
	if a != nil {
		for n, p := range a.Recipe.Parts {
			if err := out.Write([]string{p.Source.Name, plain(p.Amount), figures(a.Cost.Parts[n], 6)}); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// AssessCSV writes what an assessment judges as CSV, a line an attribute, ratio, use or cap, and a
// line a class of rules: whether caps were judged by it.
func AssessCSV(w io.Writer, a *assess.Assessment) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"kind", "name", "value", "unit", "min", "max", "verdict", "rule"}}
	end := func(x float64) string {
		if text := plain(x); text != "no end" {
			return text
		}
		return ""
	}
	for _, v := range a.Attributes {
		rows = append(rows, []string{"attribute", v.Name, figures(v.Value, 6), unitOf(v), end(v.Target.Min), end(v.Target.Max), string(v.Verdict), ""})
	}
	for _, r := range a.Readings {
		rows = append(rows, []string{"reading", string(r.Reading), figures(r.Value, 6), r.Unit(), end(r.Min), end(r.Max), string(r.Verdict), ""})
	}
	for _, q := range a.Ratios {
		rows = append(rows, []string{"ratio", q.Name, figures(q.Value, 6), "", end(q.Min), end(q.Max), string(q.Verdict), ""})
	}
	for _, u := range a.Uses {
		rows = append(rows, []string{"use", u.Name, figures(u.Value, 6), amountUnit(a.Job), end(u.Min), end(u.Max), string(u.Verdict), ""})
	}
	for _, c := range a.Caps {
		verdict := "holds"
		if !c.Holds {
			verdict = "broken"
		}
		rule := c.Market.Name + ": " + c.Citation
		if c.Unconfirmed() {
			rule += " (recalled)"
		}
		rows = append(rows, []string{"cap", c.Substance, figures(c.Guarded, 6), c.Unit(), "", plain(c.Max), verdict, rule})
	}
	held, lacking := judgedClasses(a.Job)
	for _, class := range held {
		rows = append(rows, []string{"rules", class, "", "", "", "", "held", ""})
	}
	for _, class := range lacking {
		rows = append(rows, []string{"rules", class, "", "", "", "", "not held", ""})
	}
	rows = append(rows, []string{"cost", "per litre", figures(a.Cost.PerLitre, 6), a.Job.Currency, "", "", "", ""})
	return out.WriteAll(rows)
}
