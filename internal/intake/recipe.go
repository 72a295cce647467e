// Package intake makes a brief of a recipe that a maker has: it reads the recipe as makers write it, turns it into
// grams per litre, and sets targets around what it holds.
package intake

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// Kind are the columns of a recipe.
var Kind = words.Kind{
	Name: "recipe",
	Columns: []words.Column{
		words.IngredientColumn,
		{Name: "amount", About: "how much, with its unit beside it or in the column unit", Also: []string{"quantity", "menge", "quantité", "quantità", "cantidad", "dosage", "dose", "hoeveelheid", "mängd"}},
		{Name: "unit", About: "unit of the amount", Also: []string{"units", "einheit", "unité", "unità", "unidad", "eenheid", "enhet", "me"}},
		{Name: "grams_per_litre", About: "grams in a litre of drink", Also: []string{"g per l", "g l", "gramm pro liter", "grammes par litre", "grammi per litro", "gramos por litro"}},
		{Name: "percent", About: "percent of the mass", Also: []string{"%", "prozent", "pourcentage", "percentuale", "porcentaje", "share", "anteil", "% m m", "% w w"}},
		{Name: "kg", About: "kilograms in the batch", Also: []string{"kg per batch", "kilograms", "kilo", "kg charge", "ansatz kg"}},
		{Name: "g", About: "grams in the batch", Also: []string{"gram", "grams", "gramm", "grammes", "g per batch"}},
		{Name: "ml_per_litre", About: "millilitres in a litre of drink", Also: []string{"ml per l", "ml l"}},
		{Name: "ml", About: "millilitres in the batch", Also: []string{"millilitre", "milliliter", "ml per batch"}},
		{Name: "stock_g_per_l", About: "grams of it in a litre of the stock solution that is measured out", Also: []string{"stock", "stock solution", "strength", "stammlösung", "stärke", "solution mère", "konzentration", "concentration"}},
	},
	Needed: [][]string{
		{"ingredient", "grams_per_litre"}, {"ingredient", "percent"}, {"ingredient", "kg"}, {"ingredient", "g"}, {"ingredient", "ml_per_litre"}, {"ingredient", "ml"}, {"ingredient", "amount"},
	},
	Asks: "ingredient and one of grams_per_litre, percent, kg, g, ml_per_litre, ml or amount (with unit)",
}

// Basis is what amounts count on.
type Basis string

// Bases of amounts.
const (
	PerLitre Basis = "per litre of drink"
	Share    Basis = "in percent of the mass"
	PerBatch Basis = "for a batch"
)

// unit is how an amount is given: times Factor it is in grams, or where Liquid in millilitres, per litre, per 100 g or in
// the batch.
type unit struct {
	Basis  Basis
	Liquid bool
	Factor float64
}

// units are those that a recipe may have, by how they are written.
var units = map[string]unit{
	"g/L": {PerLitre, false, 1}, "mg/L": {PerLitre, false, 1e-3}, "kg/L": {PerLitre, false, 1000}, "g/100 mL": {PerLitre, false, 10}, "kg/hL": {PerLitre, false, 10}, "g/hL": {PerLitre, false, 0.01},
	"mL/L": {PerLitre, true, 1}, "% vol": {PerLitre, true, 10}, "L/hL": {PerLitre, true, 10}, "mL/hL": {PerLitre, true, 0.01},
	"%": {Share, false, 1}, "g/kg": {Share, false, 0.1}, "g/100 g": {Share, false, 1},
	"kg": {PerBatch, false, 1000}, "g": {PerBatch, false, 1}, "mg": {PerBatch, false, 1e-3}, "L": {PerBatch, true, 1000}, "mL": {PerBatch, true, 1}, "cL": {PerBatch, true, 10},
}

// unitColumns are the columns that say their unit.
var unitColumns = map[string]string{"grams_per_litre": "g/L", "percent": "%", "kg": "kg", "g": "g", "ml_per_litre": "mL/L", "ml": "mL"}

func unitNames() []string {
	var names []string
	for name := range units {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		if c := strings.Compare(string(units[b].Basis), string(units[a].Basis)); c != 0 {
			return c
		}
		return strings.Compare(a, b)
	})
	return names
}

// unitOf finds a unit, however capitals and spaces stand in it.
func unitOf(text string) (unit, bool) {
	bare := func(s string) string {
		return strings.NewReplacer(" ", "", "litre", "l", "liter", "l", "per", "/", "pro", "/").Replace(strings.ToLower(s))
	}
	for name, u := range units {
		if bare(name) == bare(text) {
			return u, true
		}
	}
	return unit{}, false
}

// Line is one line of a recipe.
type Line struct {
	// Word is what the maker calls it and Ingredient what it is in the library.
	Word, Ingredient string
	// Amount is in grams, or where Liquid in millilitres: per litre, per 100 g or in the batch.
	Amount float64
	Liquid bool
	// Stock is how many grams of it stand in a litre of the solution that is measured out, 0 where it is taken as it is.
	Stock float64
	// fault is how what is wrong with the line is said.
	fault func(what, hint string) tomlfile.Fault
}

// Recipe is a maker's recipe as written.
type Recipe struct {
	File, Name string
	Basis      Basis
	// BatchL is how many litres the batch makes, 0 where that is not said.
	BatchL float64
	// Throw is how many parts of soda are added to one part of it, 0 for a drink as it is.
	Throw float64
	Lines []Line
}

// At is the line of the file that a line of the recipe stands on.
func (l Line) At() int { return l.fault("", "").Line }

// bareName is a file's name without folder and ending.
func bareName(path string) string { return strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)) }

// FromTable reads a recipe from a table whose columns and names are known. The error is a tomlfile.Faults.
func FromTable(t *words.Table, called func(string) string) (*Recipe, error) {
	r := &Recipe{File: t.File, Name: bareName(t.File)}
	seen := map[string]int{}
	for _, row := range t.Rows() {
		word := row.Text("ingredient")
		name := t.Words.Ingredient(word)
		if known := called(name); known != "" {
			name = known
		}
		switch {
		case word == "" && row.Cell("amount").Text == "" && row.Cell("kg").Text == "":
			continue // a line of notes
		case word == "":
			row.Fault("ingredient", "is missing", "")
			continue
		case name == "":
			continue
		case seen[word] > 0:
			row.Fault("ingredient", fmt.Sprintf("%q stands twice, first on line %d", word, seen[word]), "")
			continue
		}
		seen[word] = row.Line
		l := Line{Word: word, Ingredient: name, Stock: row.Number("stock_g_per_l", tomlfile.Positive, 0)}
		u, column, ok := l.read(t, row)
		if !ok {
			continue
		}
		l.fault = func(what, hint string) tomlfile.Fault { return row.Says(column, what, hint) }
		switch {
		case r.Basis == "":
			r.Basis = u.Basis
		case r.Basis != u.Basis:
			row.Fault(column, fmt.Sprintf("is given %s, the lines above %s", u.Basis, r.Basis), "give all amounts in one way")
			continue
		}
		r.Lines = append(r.Lines, l)
	}
	if len(t.Faults) == 0 && len(r.Lines) == 0 {
		return nil, tomlfile.Faults{{File: r.File, What: "holds no amount"}}
	}
	if err := t.Faults.Err(); err != nil {
		return nil, err
	}
	return r, nil
}

// read reads the amount of a row: of the first of its columns that holds one.
func (l *Line) read(t *words.Table, row words.Row) (u unit, column string, ok bool) {
	for _, c := range []string{"grams_per_litre", "percent", "kg", "g", "ml_per_litre", "ml", "amount"} {
		if t.Has(c) && row.Cell(c).Text != "" {
			column = c
			break
		}
	}
	if column == "" {
		for _, c := range Kind.Names()[1:] {
			if t.Has(c) && c != "unit" {
				row.Fault(c, "is missing; a number is needed", "0 if there is none of it")
				break
			}
		}
		return u, "", false
	}
	x, beside, ok := row.Quantity(column, tomlfile.NonNegative)
	if !ok {
		return u, column, false
	}
	text, from := unitColumns[column], column
	if column == "amount" {
		if text, from = row.Text("unit"), "unit"; text == "" {
			text, from = beside, "amount"
		} else if beside != "" && beside != text {
			row.Fault("amount", fmt.Sprintf("says %q, its unit %q", beside, text), "")
			return u, column, false
		}
	} else if said, known := unitOf(beside); beside != "" && (!known || said != units[text]) {
		row.Fault(column, fmt.Sprintf("says %q; this column is in %s", beside, text), "")
		return u, column, false
	}
	u, known := unitOf(text)
	switch {
	case text == "":
		row.Fault("amount", "has no unit", "put one beside it, or into a column unit: "+strings.Join(unitNames(), ", "))
		return u, column, false
	case !known:
		row.Fault(from, fmt.Sprintf("there is no unit %q; allowed are %s", text, strings.Join(unitNames(), ", ")), tomlfile.DidYouMean(text, unitNames()))
		return u, column, false
	case l.Stock > 0 && !u.Liquid:
		row.Fault(column, fmt.Sprintf("is in %s, but stock_g_per_l says that a solution is measured out", text), "give the volume of solution, as mL or mL/L")
		return u, column, false
	case u.Basis == Share && x*u.Factor > 100:
		row.Fault(column, fmt.Sprintf("%v %s is more than the whole", x, text), "")
		return u, column, false
	}
	l.Amount, l.Liquid = x*u.Factor, u.Liquid
	return u, column, true
}

// tables are the tables of a recipe in TOML, by the unit of their amounts.
var tables = []struct{ key, unit string }{{"grams_per_litre", "g/L"}, {"percent", "%"}, {"kg", "kg"}, {"g", "g"}, {"ml_per_litre", "mL/L"}}

// FromTOML reads a recipe from TOML: amounts by name under [grams_per_litre], [percent], [kg], [g] or [ml_per_litre],
// batch_l, throw, and grams in a litre of stock solutions under [stock_g_per_l]. Names are as w has them. The error is a
// tomlfile.Faults.
func FromTOML(path string, w *words.Words, called func(string) string) (*Recipe, error) {
	doc, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	r := &Recipe{File: path, Name: root.String("name"), BatchL: root.NumberOr("batch_l", tomlfile.Positive, 0)}
	if r.Name == "" {
		r.Name = bareName(path)
	}
	if text := root.String("throw"); text != "" {
		soda, wrong := brief.ParseThrow(text)
		if r.Throw = soda; wrong != "" {
			root.Fault("throw", wrong, "write it as in 1+5")
		}
	}
	stock := map[string]float64{}
	if t := root.Table("stock_g_per_l"); t != nil {
		for _, word := range t.Keys() {
			stock[word] = t.NumberOr(word, tomlfile.Positive, 0)
		}
	}
	for _, of := range tables {
		t := root.Table(of.key)
		if t == nil {
			continue
		}
		u := units[of.unit]
		if r.Basis == "" {
			r.Basis = u.Basis
		}
		if r.Basis != u.Basis {
			t.Fault("", fmt.Sprintf("is given %s, the lines above %s", u.Basis, r.Basis), "give all amounts in one way")
		}
		for _, word := range t.Keys() {
			x, ok := t.Number(word, tomlfile.NonNegative)
			name := w.Ingredient(word)
			if known := called(name); known != "" {
				name = known
			}
			if !ok || name == "" {
				continue
			}
			l := Line{Word: word, Ingredient: name, Amount: x * u.Factor, Liquid: u.Liquid, Stock: stock[word]}
			delete(stock, word)
			line := t.Line(word)
			l.fault = func(what, hint string) tomlfile.Fault {
				return tomlfile.Fault{File: path, Line: line, Key: of.key + "." + word, What: what, Hint: hint}
			}
			if l.Stock > 0 && !l.Liquid {
				t.Fault(word, fmt.Sprintf("is in %s, but stock_g_per_l says that a solution is measured out", of.unit), "give the volume of solution under [ml_per_litre]")
			}
			r.Lines = append(r.Lines, l)
		}
	}
	for word := range stock {
		root.Fault("stock_g_per_l", fmt.Sprintf("%q is not in the recipe", word), "")
	}
	if len(r.Lines) == 0 && len(doc.Faults()) == 0 {
		root.Fault("grams_per_litre", "is missing: a recipe needs amounts by name", "allowed are [grams_per_litre], [percent], [kg], [g], [ml_per_litre]")
	}
	root.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return r, nil
}
