package works

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/intake"
	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// TableNames are what a table may be read as, and TableKind finds one by its name.
var TableNames = []string{"ingredients", brief.LotKind.Name, brief.PriceKind.Name, intake.Kind.Name}

// TableKind returns what a table is read as; ok is false for a name that is none of TableNames.
func TableKind(name string, lib *profile.Library) (kind words.Kind, ok bool) {
	switch name {
	case "ingredients":
		return intake.IngredientKind(lib), true
	case brief.PriceKind.Name:
		return brief.PriceKind, true
	case brief.LotKind.Name:
		return brief.LotKind, true
	case intake.Kind.Name:
		return intake.Kind, true
	}
	return kind, false
}

// Wording says what the words of a file mean.
type Wording struct {
	File string
	Kind words.Kind
	// Columns and Names say what headings and names mean; words.LeftOut leaves one out.
	Columns, Names map[string]string
	// Sheet is the worksheet, Money the code of the currency and Decimal point or comma, each empty where it is not said.
	Sheet, Money, Decimal string

	words  *words.Words
	before string
}

// Unsaid is a word of a file whose meaning is not said; Column tells a heading from a name.
type Unsaid struct {
	words.Question
	Column bool
}

// tell opens the words kept beside the file and adds what is said now.
func (t *Wording) tell(lib *profile.Library) error {
	var err error
	if t.words, err = words.Open(t.File); err != nil {
		return err
	}
	t.before = t.words.Text(filepath.Base(t.File))
	if t.words.Columns == nil {
		t.words.Columns, t.words.Names, t.words.Own = map[string]string{}, map[string]string{}, map[string]string{}
	}
	for _, heading := range slices.Sorted(maps.Keys(t.Columns)) {
		column := t.Columns[heading]
		if column != words.LeftOut && !t.Kind.Takes(column) {
			return Usage("%q: there is no column %q; there are %s%s", heading, column, strings.Join(t.Kind.Names(), ", "), spaced(Hinted(tomlfile.DidYouMean(column, t.Kind.Names()))))
		}
		t.words.Columns[heading] = column
	}
	for _, word := range slices.Sorted(maps.Keys(t.Names)) {
		name := t.Names[word]
		if name != words.LeftOut && lib.Ingredients[name] == nil && lib.Preparations[name] == nil {
			return Usage("%q: there is no ingredient %q%s", word, name, spaced(Hinted(tomlfile.DidYouMean(name, lib.Names()))))
		}
		t.words.Names[word] = name
	}
	return TellHow(t.words, t.Sheet, t.Money, t.Decimal)
}

// TellHow adds to w which worksheet, which currency and which decimal sign, point or comma, is meant; each may be empty.
func TellHow(w *words.Words, sheet, currency, decimal string) error {
	if sheet != "" {
		w.Sheet = sheet
	}
	if currency != "" {
		if !words.IsCode(currency) {
			return Usage("--currency: %q is no code of a currency such as EUR", currency)
		}
		w.Currency = currency
	}
	switch decimal {
	case "":
	case "point":
		w.Decimal = '.'
	case "comma":
		w.Decimal = ','
	default:
		return Usage("--decimal: %q is neither point nor comma", decimal)
	}
	return nil
}

// Settle reads a table, or says which words are open: headings first, then names.
func (t *Wording) Settle(lib *profile.Library) (*words.Table, []Unsaid, error) {
	if err := t.tell(lib); err != nil {
		return nil, nil, err
	}
	book, err := sheet.Open(t.File)
	if err != nil {
		return nil, nil, err
	}
	table, at, _, err := t.Kind.Choose(book, t.words)
	if err != nil {
		return nil, nil, err
	}
	var open []Unsaid
	for _, q := range t.Kind.Open(table, at, t.words) {
		open = append(open, Unsaid{q, true})
	}
	if len(open) > 0 {
		return nil, open, nil
	}
	read, err := t.Kind.Read(book, t.words)
	if err != nil {
		return nil, nil, err
	}
	for _, q := range read.Strangers(Called(lib), Candidates(lib)) {
		open = append(open, Unsaid{q, false})
	}
	if len(open) > 0 {
		return nil, open, nil
	}
	return read, nil, read.Faults.Err()
}

// Keep keeps what was said beside the file; it was settled before.
func (t *Wording) Keep() error { return KeepWords(t.File, t.words, t.before) }

// Called finds the ingredient or preparation that a text names; it returns nothing where there is none.
func Called(lib *profile.Library) func(string) string {
	return func(text string) string {
		if lib.Preparations[text] != nil {
			return text
		}
		return lib.Called(text)
	}
}

// Candidates are the ingredients of a library with what else they are called.
func Candidates(lib *profile.Library) []words.Candidate {
	var all []words.Candidate
	for _, name := range lib.Names() {
		c := words.Candidate{Name: name, Also: words.InTongues(name)}
		if g := lib.Ingredients[name]; g != nil {
			c.Also = append(c.Also[:len(c.Also):len(c.Also)], g.Title, g.LabelName)
		}
		all = append(all, c)
	}
	return all
}

// KeepWords writes what is kept of the words of a spreadsheet, where that has changed from before.
func KeepWords(path string, w *words.Words, before string) error {
	text := w.Text(filepath.Base(path))
	if text == before {
		return nil
	}
	at := words.Beside(path)
	if old, err := os.ReadFile(at); err == nil && string(old) != before {
		if err := WriteFile(at+".bak", old); err != nil { // notes that the maker put there
			return err
		}
	}
	return WriteFile(at, []byte(text))
}
