package works

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/intake"
	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// Taking makes a brief of a recipe that a maker has, with what is said of its words.
type Taking struct {
	// Recipe is the file.
	Recipe string
	Wish   intake.Wishes
	// Columns and Names say what headings and names mean; words.LeftOut leaves one out.
	Columns, Names map[string]string

	words  *words.Words
	before string
}

// Unsaid is a word of a recipe whose meaning is not said; Column tells a heading from a name.
type Unsaid struct {
	words.Question
	Column bool
}

// Make makes the brief, or says which words are open; nothing is written. The error is a tomlfile.Faults for what the
// maker can mend in the recipe.
func (t *Taking) Make(lib *profile.Library) (*intake.Made, []Unsaid, error) {
	if len(t.Wish.Markets) == 0 {
		return nil, nil, Usage("init --recipe needs --markets, where the drink is sold: their caps hold")
	}
	if err := t.tell(lib); err != nil {
		return nil, nil, err
	}
	recipe, open, err := t.read(lib)
	if err != nil || len(open) > 0 {
		return nil, open, err
	}
	for _, l := range recipe.Lines {
		if lib.Ingredients[l.Ingredient] == nil && lib.Preparations[l.Ingredient] == nil {
			return nil, nil, tomlfile.Faults{{File: t.Recipe, Line: l.At(), What: fmt.Sprintf("%q is said to be %q, of which there is no profile", l.Word, l.Ingredient)}}
		}
	}
	made, err := intake.Make(recipe, lib, t.Wish)
	return made, nil, err
}

// tell opens the words kept beside the recipe and adds what is said now.
func (t *Taking) tell(lib *profile.Library) error {
	var err error
	if t.words, err = words.Open(t.Recipe); err != nil {
		return err
	}
	t.before = t.words.Text(filepath.Base(t.Recipe))
	if t.words.Columns == nil {
		t.words.Columns, t.words.Names, t.words.Own = map[string]string{}, map[string]string{}, map[string]string{}
	}
	for _, heading := range slices.Sorted(maps.Keys(t.Columns)) {
		column := t.Columns[heading]
		if column != words.LeftOut && !slices.Contains(intake.Kind.Names(), column) {
			return Usage("%q: there is no column %q; there are %s%s", heading, column, strings.Join(intake.Kind.Names(), ", "), spaced(Hinted(tomlfile.DidYouMean(column, intake.Kind.Names()))))
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
	return nil
}

// read reads the recipe as far as its words are known.
func (t *Taking) read(lib *profile.Library) (*intake.Recipe, []Unsaid, error) {
	called, candidates := Called(lib), Candidates(lib)
	var open []Unsaid
	if !sheet.IsTable(t.Recipe) {
		recipe, err := intake.FromTOML(t.Recipe, t.words, called)
		if err != nil {
			return nil, nil, err
		}
		for _, l := range recipe.Lines {
			if called(l.Ingredient) == "" && t.words.Own[l.Word] == "" {
				open = append(open, Unsaid{words.Question{Word: l.Word, Line: l.At(), Likely: words.Likely(l.Word, candidates, 5)}, false})
			}
		}
		return recipe, open, nil
	}
	book, err := sheet.Open(t.Recipe)
	if err != nil {
		return nil, nil, err
	}
	table, at, _, err := intake.Kind.Choose(book, t.words)
	if err != nil {
		return nil, nil, err
	}
	questions, every := intake.Kind.Open(table, at, t.words)
	for _, q := range questions {
		if len(q.Likely) > 0 || every { // else a column of no use here
			open = append(open, Unsaid{q, true})
		}
	}
	if len(open) > 0 {
		return nil, open, nil
	}
	read, err := intake.Kind.Read(book, t.words)
	if err != nil {
		return nil, nil, err
	}
	for _, q := range read.Strangers(called, candidates) {
		open = append(open, Unsaid{q, false})
	}
	if len(open) > 0 {
		return nil, open, nil
	}
	recipe, err := intake.FromTable(read, called)
	return recipe, nil, err
}

// Write writes the brief and the recipe into the folder, which is made, and keeps the words beside the recipe that
// they were made of. Files that are there are left as they are.
func (t *Taking) Write(made *intake.Made) error {
	files := []struct{ name, text string }{{"brief.toml", made.Brief}, {"recipe.toml", made.Recipe}}
	for _, f := range files {
		if _, err := os.Lstat(filepath.Join(t.Wish.Dir, f.name)); err == nil {
			return tomlfile.Faults{{File: filepath.Join(t.Wish.Dir, f.name), What: "is there already; nothing was written"}}
		}
	}
	if err := KeepWords(t.Recipe, t.words, t.before); err != nil {
		return err
	}
	if err := os.MkdirAll(t.Wish.Dir, 0o755); err != nil {
		return err
	}
	for _, f := range files {
		if err := WriteFile(filepath.Join(t.Wish.Dir, f.name), []byte(f.text)); err != nil {
			return err
		}
	}
	return nil
}

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
