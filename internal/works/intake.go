package works

import (
	"fmt"
	"os"
	"path/filepath"

	"bittersum/internal/intake"
	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// Taking makes a brief of a recipe that a maker has, with what is said of its words.
type Taking struct {
	// Wording is of the recipe.
	Wording
	Wish intake.Wishes
}

// Make makes the brief, or says which words are open; nothing is written. The error is a tomlfile.Faults for what the
// maker can mend in the recipe.
func (t *Taking) Make(lib *profile.Library) (*intake.Made, []Unsaid, error) {
	if len(t.Wish.Markets) == 0 {
		return nil, nil, Usage("init --recipe needs --markets, where the drink is sold: their caps hold")
	}
	t.Kind = intake.Kind
	recipe, open, err := t.read(lib)
	if err != nil || len(open) > 0 {
		return nil, open, err
	}
	for _, l := range recipe.Lines {
		if lib.Ingredients[l.Ingredient] == nil && lib.Preparations[l.Ingredient] == nil {
			return nil, nil, tomlfile.Faults{{File: t.File, Line: l.At(), What: fmt.Sprintf("%q is said to be %q, of which there is no profile", l.Word, l.Ingredient)}}
		}
	}
	made, err := intake.Make(recipe, lib, t.Wish)
	return made, nil, err
}

// read reads the recipe as far as its words are known.
func (t *Taking) read(lib *profile.Library) (*intake.Recipe, []Unsaid, error) {
	if sheet.IsTable(t.File) {
		table, open, err := t.Settle(lib)
		if err != nil || len(open) > 0 {
			return nil, open, err
		}
		recipe, err := intake.FromTable(table, Called(lib))
		return recipe, nil, err
	}
	if err := t.tell(lib); err != nil {
		return nil, nil, err
	}
	recipe, err := intake.FromTOML(t.File, t.words, Called(lib))
	if err != nil {
		return nil, nil, err
	}
	var open []Unsaid
	for _, q := range Strangers(recipe, lib, t.words) {
		open = append(open, Unsaid{q, false})
	}
	return recipe, open, nil
}

// Strangers asks what the words of a recipe in TOML mean that neither the library nor w knows.
func Strangers(r *intake.Recipe, lib *profile.Library, w *words.Words) []words.Question {
	var open []words.Question
	called := Called(lib)
	for _, l := range r.Lines {
		if called(l.Ingredient) == "" && w.Own[l.Word] == "" {
			open = append(open, words.Question{Word: l.Word, Line: l.At(), Likely: words.Likely(l.Word, Candidates(lib), 5)})
		}
	}
	return open
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
	if err := t.Keep(); err != nil {
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
