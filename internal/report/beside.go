package report

import (
	"fmt"
	"io"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
)

// most recipes that stand beside each other on 80 columns.
const mostBeside = 4

// beside writes recipes side by side: amounts, then cost. Titles head the columns.
func beside(w io.Writer, titles []string, recipes []*assess.Assessment) {
	for from := 0; from < len(recipes); from += mostBeside {
		to := min(from+mostBeside, len(recipes))
		amountsBeside(w, titles[from:to], recipes[from:to])
	}
}

// amountsBeside writes the amounts of a few recipes, in the order of the first job that has the ingredient.
func amountsBeside(w io.Writer, titles []string, recipes []*assess.Assessment) {
	columns := []string{"l" + amountUnit(recipes[0].Job)}
	for _, title := range titles {
		columns = append(columns, "."+title)
	}
	t := newTable("  ", columns...)
	for _, name := range sourcesOf(recipes) {
		row := []string{name}
		used := false
		for _, a := range recipes {
			amount := a.Recipe.Amount(name)
			used = used || amount > 0
			if amount == 0 {
				row = append(row, "-")
				continue
			}
			row = append(row, plain(amount))
		}
		if used {
			t.row(row...)
		}
	}
	row := []string{"cost, " + perLitre(recipes[0].Job)}
	for _, a := range recipes {
		if a.Job.Currency != recipes[0].Job.Currency {
			row = append(row, figures(a.Cost.PerLitre, 4)+" "+a.Job.Currency)
			continue
		}
		row = append(row, figures(a.Cost.PerLitre, 4))
	}
	t.row(row...)
	t.write(w)
	fmt.Fprintln(w)
}

// sourcesOf lists the sources of several recipes, in the order of their jobs.
func sourcesOf(recipes []*assess.Assessment) []string {
	var names []string
	seen := map[string]bool{}
	for _, a := range recipes {
		for _, s := range a.Job.Sources {
			if !seen[s.Name] && a.Recipe.Amount(s.Name) > 0 {
				seen[s.Name] = true
				names = append(names, s.Name)
			}
		}
	}
	return names
}

// perLitre names the unit of a cost.
func perLitre(j *brief.Job) string {
	if j.Kind == brief.Blend {
		return j.Currency
	}
	return j.Currency + "/L"
}
