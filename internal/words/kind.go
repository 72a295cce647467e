package words

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
)

// Column is a column that a table may have.
type Column struct {
	Name, About string
	// Also are words of headings that likely mean it.
	Also []string
}

// IngredientColumn is the column of names that every table about ingredients has.
var IngredientColumn = Column{Name: "ingredient", About: "what it is", Also: []string{
	"article", "product", "item", "material", "goods", "description", "name", "artikel", "zutat", "bezeichnung", "produkt", "ware", "rohstoff",
	"ingrédient", "désignation", "produit", "ingrediente", "articolo", "prodotto", "descripción", "producto", "artículo", "grondstof", "vara", "råvara", "složka", "surowiec",
}}

// Kind is what a table is read as.
type Kind struct {
	Name    string
	Columns []Column
	// Needed are the sets of columns of which a table must have one whole.
	Needed [][]string
	// Asks says what is needed where the sets are too many to list.
	Asks string
	// Strict refuses columns that are not known; else they are left alone.
	Strict bool
	// Further reports whether a heading is one of a family of columns that Columns does not list.
	Further func(heading string) bool
	// Hints are columns that Further admits and that a slip may have meant.
	Hints []string
}

// Names are the names of the columns.
func (k Kind) Names() []string {
	var names []string
	for _, c := range k.Columns {
		names = append(names, c.Name)
	}
	return names
}

// Word returns a heading as one word: small letters and digits, parted by underscores; a slash says per.
func Word(heading string) string {
	var b strings.Builder
	heading = strings.ReplaceAll(strings.ToLower(heading), "/", " per ")
	for _, part := range strings.FieldsFunc(heading, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '%' }) {
		if b.Len() > 0 {
			b.WriteByte('_')
		}
		b.WriteString(part)
	}
	return b.String()
}

// Takes reports whether it has a column of that name.
func (k Kind) Takes(column string) bool {
	return slices.Contains(k.Names(), column) || k.Further != nil && k.Further(column)
}

// Means returns the column that a heading is, or nothing: by what is said of it, or where it is the same word
// but for case, spaces and the name of a currency.
func (k Kind) Means(heading string, w *Words) string {
	if said := w.column(heading); said != "" {
		return said
	}
	if k.Further != nil && k.Further(heading) {
		return heading
	}
	bare := heading
	if _, sign := Currencies(heading); sign != "" {
		bare = strings.Replace(heading, sign, " ", 1)
	}
	for _, c := range k.Columns {
		if Word(heading) == c.Name || Word(bare) == c.Name {
			return c.Name
		}
	}
	return ""
}

// Table is a table whose columns are known.
type Table struct {
	*sheet.Table
	Kind  Kind
	Words *Words
	// Heading is the row of headings, and Body what stands below it.
	Heading sheet.Row
	Body    []sheet.Row
	// columns are the places of the columns by name.
	columns map[string]int
	// Faults are what was found wrong so far.
	Faults tomlfile.Faults
}

// Has reports whether the table has a column.
func (t *Table) Has(column string) bool { _, ok := t.columns[column]; return ok }

// Known lists the columns that the table has, in the order of its heading.
func (t *Table) Known() []string {
	names := slices.Collect(maps.Keys(t.columns))
	slices.SortFunc(names, func(a, b string) int { return t.columns[a] - t.columns[b] })
	return names
}

// deepest is how many rows may stand above the heading.
const deepest = 30

// heading finds the row of headings: the first that has all that is needed, else the first with two texts.
func (k Kind) heading(t *sheet.Table, w *Words) (at int, whole bool) {
	at = -1
	for n, row := range t.Rows[:min(deepest, len(t.Rows))] {
		var found []string
		texts := 0
		for _, cell := range row.Cells {
			if cell.Text != "" && cell.Kind == sheet.Text {
				texts++
			}
			if name := k.Means(cell.Text, w); name != "" {
				found = append(found, name)
			}
		}
		if k.enough(found) {
			return n, true
		}
		if at < 0 && texts >= 2 {
			at = n
		}
	}
	return max(at, 0), false
}

func (k Kind) enough(found []string) bool {
	return slices.ContainsFunc(k.Needed, func(set []string) bool {
		return !slices.ContainsFunc(set, func(name string) bool { return !slices.Contains(found, name) })
	})
}

// Choose returns the table of a book that is meant and the place of its heading's row. whole says that the
// heading has all that is needed. The error is a tomlfile.Faults when it is not clear which sheet is meant.
func (k Kind) Choose(book *sheet.Book, w *Words) (t *sheet.Table, at int, whole bool, err error) {
	var names []string
	for _, t := range book.Tables {
		names = append(names, t.Sheet)
	}
	if w.Sheet != "" {
		n := slices.Index(names, w.Sheet)
		if n < 0 {
			return nil, 0, false, tomlfile.Faults{{File: book.File, What: fmt.Sprintf("has no sheet %q that holds anything; it has %s", w.Sheet, quoted(names)), Hint: tomlfile.DidYouMean(w.Sheet, names)}}
		}
		at, whole := k.heading(book.Tables[n], w)
		return book.Tables[n], at, whole, nil
	}
	var fitting []*sheet.Table
	for _, t := range book.Tables {
		if _, whole := k.heading(t, w); whole {
			fitting = append(fitting, t)
		}
	}
	switch {
	case len(fitting) == 1:
		at, _ := k.heading(fitting[0], w)
		return fitting[0], at, true, nil
	case len(book.Tables) == 1:
		at, _ := k.heading(book.Tables[0], w)
		return book.Tables[0], at, false, nil
	case len(fitting) > 1:
		names = nil
		for _, t := range fitting {
			names = append(names, t.Sheet)
		}
	}
	return nil, 0, false, tomlfile.Faults{{File: book.File, What: fmt.Sprintf("which sheet holds the %s is not clear; there are %s", k.Name, quoted(names)), Hint: k.SayIt(book.File) + " --sheet NAME"}}
}

// SayIt is how a maker says what words mean.
func (k Kind) SayIt(file string) string {
	return fmt.Sprintf("say once what its words mean: bittersum words %s --as %s", QuotedPath(file), k.Name)
}

// QuotedPath is a path as a shell takes it.
func QuotedPath(path string) string {
	if strings.ContainsAny(path, " '\"") {
		return fmt.Sprintf("%q", path)
	}
	return path
}

func quoted(names []string) string {
	var b strings.Builder
	for n, name := range names {
		if n > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%q", name)
	}
	return b.String()
}

// Read finds the table of a book that is meant and its columns. The error is a tomlfile.Faults.
func (k Kind) Read(book *sheet.Book, w *Words) (*Table, error) {
	chosen, at, whole, err := k.Choose(book, w)
	if err != nil {
		return nil, err
	}
	t := &Table{Table: chosen, Kind: k, Words: w, Heading: chosen.Rows[at], Body: chosen.Rows[at+1:], columns: map[string]int{}}
	if w.Decimal != 0 {
		t.Say(w.Decimal)
	}
	t.findColumns(whole)
	if len(t.Faults) == 0 && !whole {
		var cells []string
		for _, c := range t.Heading.Cells {
			cells = append(cells, c.Text)
		}
		t.Faults = append(t.Faults, t.Table.Fault(t.Heading.Line, -1, "", fmt.Sprintf("the heading is %q; it must hold %s", strings.Join(cells, ","), k.wanted()), k.SayIt(t.File)))
	}
	for _, m := range t.Merges {
		if m.Last >= t.Heading.Line {
			t.Faults = append(t.Faults, t.Table.Fault(m.Line, m.Column, "", fmt.Sprintf("the cells %s are merged, and which row and column holds their value is not said; take them apart", m.Range), ""))
		}
	}
	if len(t.Faults) == 0 && len(t.Body) == 0 {
		t.Faults = append(t.Faults, t.Table.Fault(t.Heading.Line, -1, "", "has a heading and no row below it", ""))
	}
	return t, t.Faults.Err()
}

func (k Kind) wanted() string {
	if k.Asks != "" {
		return k.Asks
	}
	var sets []string
	for _, set := range k.Needed {
		last := len(set) - 1
		if last == 0 {
			sets = append(sets, set[0])
			continue
		}
		sets = append(sets, strings.Join(set[:last], ", ")+" and "+set[last])
	}
	return strings.Join(sets, ", or ")
}

func (t *Table) findColumns(whole bool) {
	for n, cell := range t.Heading.Cells {
		name := t.Kind.Means(cell.Text, t.Words)
		switch {
		case cell.Text == "" || name == LeftOut:
		case name == "" && t.Kind.Strict:
			hint := tomlfile.DidYouMean(cell.Text, append(t.Kind.Names(), t.Kind.Hints...))
			switch {
			case hint == "":
				hint = t.Kind.SayIt(t.File)
			case !whole: // it may be a slip, or a heading in other words
				hint += " or " + t.Kind.SayIt(t.File)
			}
			t.Faults = append(t.Faults, t.Table.Fault(t.Heading.Line, n, "", fmt.Sprintf("there is no column %q", cell.Text), hint))
		case name == "":
		case !t.Kind.Takes(name):
			t.Faults = append(t.Faults, tomlfile.Fault{File: t.Words.File, Line: t.Words.lines[cell.Text], Key: "columns", What: fmt.Sprintf("there is no column %q; allowed are %s", name, strings.Join(t.Kind.Names(), ", ")),
				Hint: tomlfile.DidYouMean(name, t.Kind.Names())})
		case t.Has(name):
			t.Faults = append(t.Faults, t.Table.Fault(t.Heading.Line, n, "", fmt.Sprintf("%s stands twice", name), ""))
		default:
			t.columns[name] = n
		}
	}
}
