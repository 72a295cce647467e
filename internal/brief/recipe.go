package brief

import (
	"fmt"
	"path/filepath"
	"sort"
	"strings"

	"bittersum/internal/tomlfile"
)

// Recipe is the amount of each source: grams per litre of finished drink (units of the batch for a
// Blend). Each amount is the decimal that prints it, so what is judged is what is shown.
type Recipe struct {
	Name  string
	Parts []Part
	// Batch says that amounts are grams of a whole batch, whatever litres they make.
	Batch bool
}

// Part is the amount of one source.
type Part struct {
	Source *Source
	Amount float64
}

// Amount returns the amount of the source of that name, or zero.
func (r *Recipe) Amount(name string) float64 {
	for _, p := range r.Parts {
		if p.Source.Name == name {
			return p.Amount
		}
	}
	return 0
}

// OpenRecipe reads a recipe: TOML with amounts by name under [grams_per_litre] ([amounts] for a Blend),
// or CSV with the heading ingredient,grams_per_litre (ingredient,amount). The error is a
// tomlfile.Faults.
func (j *Job) OpenRecipe(path string) (*Recipe, error) {
	if strings.EqualFold(filepath.Ext(path), ".csv") {
		return j.recipeCSV(path)
	}
	doc, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	recipe := &Recipe{Name: root.String("name")}
	root.Require(j.AmountsKey())
	if amounts := root.Table(j.AmountsKey()); amounts != nil {
		if len(amounts.Keys()) == 0 {
			amounts.Fault("", "is empty: a recipe needs at least one ingredient", "")
		}
		for _, name := range amounts.Keys() {
			x, ok := amounts.Number(name, tomlfile.NonNegative)
			s := j.Source(name)
			switch {
			case s == nil:
				amounts.Fault(name, fmt.Sprintf("%q is not an ingredient in use in %s", name, j.File), tomlfile.DidYouMean(name, j.sourceNames()))
			case ok:
				recipe.Parts = append(recipe.Parts, Part{s, x})
			}
		}
	}
	root.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return j.ordered(recipe), nil
}

// AmountsKey is the name that amounts have in recipe files.
func (j *Job) AmountsKey() string {
	if j.Kind == Blend {
		return "amounts"
	}
	return "grams_per_litre"
}

func (j *Job) sourceNames() []string {
	names := make([]string, len(j.Sources))
	for n, s := range j.Sources {
		names[n] = s.Name
	}
	return names
}

// ordered puts the parts in the order of the brief.
func (j *Job) ordered(r *Recipe) *Recipe {
	place := map[*Source]int{}
	for n, s := range j.Sources {
		place[s] = n
	}
	sort.SliceStable(r.Parts, func(a, b int) bool { return place[r.Parts[a].Source] < place[r.Parts[b].Source] })
	return r
}

func (j *Job) recipeCSV(path string) (*Recipe, error) {
	text, err := tomlfile.ReadText(path)
	if err != nil {
		return nil, err
	}
	column := "grams_per_litre"
	if j.Kind == Blend {
		column = "amount"
	}
	rows, err := parseAmounts(path, text, column)
	if err != nil {
		return nil, err
	}
	recipe := &Recipe{}
	var faults tomlfile.Faults
	for _, row := range rows {
		s := j.Source(row.name)
		if s == nil {
			faults = append(faults, tomlfile.Fault{File: path, Line: row.line,
				What: fmt.Sprintf("%q is not an ingredient in use in %s", row.name, j.File), Hint: tomlfile.DidYouMean(row.name, j.sourceNames())})
			continue
		}
		recipe.Parts = append(recipe.Parts, Part{s, row.amount})
	}
	return j.ordered(recipe), faults.Err()
}
