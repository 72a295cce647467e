package brief

import (
	"fmt"
	"sort"

	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
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
// or CSV or a workbook with the heading ingredient,grams_per_litre (ingredient,amount). The error is a
// tomlfile.Faults.
func (j *Job) OpenRecipe(path string) (*Recipe, error) {
	if sheet.IsTable(path) {
		return j.recipeTable(path)
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

// recipeTable reads a recipe from CSV or a workbook. Further columns are left alone.
func (j *Job) recipeTable(path string) (*Recipe, error) {
	text, err := readAny(path)
	if err != nil {
		return nil, err
	}
	column := j.AmountsKey()
	if j.Kind == Blend {
		column = "amount"
	}
	t, err := openTable(path, text, words.Kind{
		Name: "recipe", Needed: [][]string{{"ingredient", column}}, Columns: []words.Column{words.IngredientColumn, {Name: column}},
	})
	if err != nil {
		return nil, err
	}
	recipe := &Recipe{}
	seen := map[*Source]int{}
	for _, row := range t.Rows() {
		written := row.Text("ingredient")
		name := t.Words.Ingredient(written)
		if written != "" && name == "" {
			continue
		}
		s := j.Source(name)
		if s == nil {
			s = j.Source(j.Library.Called(name))
		}
		switch {
		case written == "":
			row.Fault("ingredient", "is missing", "")
		case s == nil:
			row.Fault("", fmt.Sprintf("%q is not an ingredient in use in %s", written, j.File), tomlfile.DidYouMean(name, j.sourceNames()))
		case seen[s] > 0:
			row.Fault("", fmt.Sprintf("%q stands twice, first on line %d", s.Name, seen[s]), "")
		case row.Cell(column).Text == "":
			row.Fault(column, "is missing; a number is needed", "")
		default:
			seen[s] = row.Line
			recipe.Parts = append(recipe.Parts, Part{s, row.Number(column, tomlfile.NonNegative, 0)})
		}
	}
	return j.ordered(recipe), t.Faults.Err()
}
