package page

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/intake"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/words"
	"bittersum/internal/works"
)

// beginQuestion asks for a brief of a recipe in the folder, and writes it into a folder of its own.
type beginQuestion struct {
	// Recipe is a file in the folder, and Folder the name of the one to be made in it.
	Recipe string `json:"recipe"`
	Folder string `json:"folder"`
	// The rest is as init has it; Throw is as 1+5, Spirit is nil where it is not said.
	Drink      string   `json:"drink"`
	Markets    []string `json:"markets"`
	Currency   string   `json:"currency"`
	Carbonated bool     `json:"carbonated"`
	Spirit     *bool    `json:"spirit"`
	Throw      string   `json:"throw"`
	BatchL     float64  `json:"batch_l"`
	BottleML   float64  `json:"bottle_ml"`
	// Columns and Names say what the words of the recipe mean; "-" leaves one out.
	Columns map[string]string `json:"columns"`
	Names   map[string]string `json:"names"`
	// Write writes what was shown.
	Write bool `json:"write"`
}

// unsaid is a word whose meaning is asked for.
type unsaid struct {
	Word    string   `json:"word"`
	Column  bool     `json:"column"`
	Example string   `json:"example,omitempty"`
	Line    int      `json:"line,omitempty"`
	Likely  []choice `json:"likely"`
}

// begin makes a brief of a recipe, as init --recipe does. Without a recipe it says what there is to choose from.
func (s *Server) begin(_ context.Context, q *beginQuestion, w io.Writer) (string, error) {
	lib, err := s.ownLibrary()
	if err != nil {
		return "", err
	}
	if q.Recipe == "" {
		return asJSON, json.NewEncoder(w).Encode(map[string]any{"recipes": s.recipes(), "places": places(lib), "names": lib.Names(), "columns": intake.Kind.Names(), "currency": profile.Currency})
	}
	s.writing.Lock()
	defer s.writing.Unlock()
	t, err := s.taking(q)
	if err != nil {
		return "", err
	}
	if at := filepath.Join(t.Wish.Dir, ownProfiles); !missing(at) {
		if err := s.mine(at); err != nil {
			return "", err
		}
		lib, err = s.library.Overlay(at)
	} else {
		lib = s.library // the brief names no other profiles
	}
	if err != nil {
		return "", err
	}
	for _, name := range q.Markets {
		if lib.Markets[name] == nil {
			return "", wrong(http.StatusBadRequest, "there is no market %q", name)
		}
	}
	made, open, err := t.Make(lib)
	if err != nil {
		return "", err
	}
	if len(open) > 0 {
		return asJSON, json.NewEncoder(w).Encode(map[string]any{"asked": unsaidOf(open, intake.Kind, lib)})
	}
	var says bytes.Buffer
	report.Intake(&says, made)
	answer := map[string]any{"says": inBoxes(says.String()), "brief": made.Brief, "keeps_caps": made.Assessment.KeepsCaps()}
	if q.Write {
		if err := t.Write(made); err != nil {
			return "", err
		}
		answer["file"] = path.Join(q.Folder, "brief.toml")
	}
	return asJSON, json.NewEncoder(w).Encode(answer)
}

// taking reads a question and checks its files.
func (s *Server) taking(q *beginQuestion) (*works.Taking, error) {
	at, err := s.within(q.Recipe, "recipe", recipeEndings...)
	if err != nil {
		return nil, err
	}
	if err := s.mine(words.Beside(at)); err != nil {
		return nil, err
	}
	if q.Folder == "" || q.Folder == ownProfiles || q.Folder != path.Base(q.Folder) || !filepath.IsLocal(q.Folder) || strings.HasPrefix(q.Folder, ".") || strings.ContainsAny(q.Folder, `/\:*?"<>|`) || !works.OneLine(q.Folder) {
		return nil, wrong(http.StatusBadRequest, "%q is no name of a folder for the drink", q.Folder)
	}
	dir := filepath.Join(s.folder, q.Folder)
	if err := s.mine(dir); err != nil {
		return nil, err
	}
	if is, err := os.Stat(dir); err == nil && !is.IsDir() {
		return nil, wrong(http.StatusConflict, "%s is there and is no folder", q.Folder)
	}
	t := &works.Taking{Wording: works.Wording{File: at, Columns: q.Columns, Names: q.Names}}
	t.Wish = intake.Wishes{Dir: dir, Name: q.Drink, Markets: q.Markets, Currency: q.Currency, Carbonated: q.Carbonated, Spirit: q.Spirit, BatchL: q.BatchL, BottleML: q.BottleML}
	if !words.IsCode(q.Currency) {
		return nil, wrong(http.StatusBadRequest, "Currency: %q is no code of a currency such as EUR", q.Currency)
	}
	if !(q.BatchL >= 0) || !(q.BottleML >= 0) {
		return nil, wrong(http.StatusBadRequest, "litres of a batch and mL of a bottle are amounts")
	}
	if q.Throw != "" {
		if t.Wish.Throw, err = works.ParseThrow(q.Throw); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// unsaidOf puts words that are asked about as the page shows them.
func unsaidOf(open []works.Unsaid, kind words.Kind, lib *profile.Library) []unsaid {
	var asked []unsaid
	for _, o := range open {
		one := unsaid{Word: o.Word, Column: o.Column, Example: o.Example, Line: o.Line, Likely: []choice{}}
		for _, name := range o.Likely {
			title := name
			if g := lib.Ingredients[name]; g != nil && !o.Column {
				title = g.Title
			}
			if at := slices.IndexFunc(kind.Columns, func(c words.Column) bool { return c.Name == name }); at >= 0 && o.Column {
				title = name + ": " + kind.Columns[at].About
			}
			one.Likely = append(one.Likely, choice{name, title})
		}
		asked = append(asked, one)
	}
	return asked
}

// wordsQuestion asks what the words of a table mean, and keeps what is said of them beside it.
type wordsQuestion struct {
	// File is a table in the folder, and As what it is read as: ingredients, lots, prices or recipe.
	File    string            `json:"file"`
	As      string            `json:"as"`
	Columns map[string]string `json:"columns"`
	Names   map[string]string `json:"names"`
	// Sheet, Currency and Decimal are as the command has them.
	Sheet    string `json:"sheet"`
	Currency string `json:"currency"`
	Decimal  string `json:"decimal"`
}

// words reads a table, as the command of that name does. Without a table it says what there is to choose from.
func (s *Server) words(_ context.Context, q *wordsQuestion, w io.Writer) (string, error) {
	lib, err := s.ownLibrary()
	if err != nil {
		return "", err
	}
	if q.File == "" {
		return asJSON, json.NewEncoder(w).Encode(map[string]any{"tables": s.tables(), "names": lib.Names()})
	}
	at, err := s.within(q.File, "table", ".csv", ".xlsx")
	if err != nil {
		return "", err
	}
	if err := s.mine(words.Beside(at)); err != nil {
		return "", err
	}
	kind, ok := works.TableKind(q.As, lib)
	if !ok {
		return "", wrong(http.StatusBadRequest, "a table is read as one of %s", strings.Join(works.TableNames, ", "))
	}
	s.writing.Lock()
	defer s.writing.Unlock()
	t := &works.Wording{File: at, Kind: kind, Columns: q.Columns, Names: q.Names, Sheet: q.Sheet, Money: q.Currency, Decimal: q.Decimal}
	table, open, err := t.Settle(lib)
	if err != nil {
		return "", err
	}
	if len(open) > 0 {
		return asJSON, json.NewEncoder(w).Encode(map[string]any{"asked": unsaidOf(open, kind, lib), "columns": kind.Names()})
	}
	if err := t.Keep(); err != nil {
		return "", err
	}
	var says bytes.Buffer
	report.Words(&says, table)
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"says": s.short(says.String())})
}

// uploadQuestion puts a recipe into the folder.
type uploadQuestion struct {
	Name    string `json:"name"`
	Data    []byte `json:"data"`
	Replace bool   `json:"replace"`
}

// upload writes a recipe that was chosen elsewhere on this machine into the folder, under its name.
func (s *Server) upload(_ context.Context, q *uploadQuestion, w io.Writer) (string, error) {
	if !slices.Contains(recipeEndings, path.Ext(q.Name)) || len(q.Data) == 0 {
		return "", wrong(http.StatusBadRequest, "%q is no recipe: a file .csv, .xlsx or .toml is needed, which holds something", q.Name)
	}
	at, err := s.place("", q.Name)
	if err != nil {
		return "", err
	}
	s.writing.Lock()
	defer s.writing.Unlock()
	files := works.Outputs{Force: q.Replace}
	files.Add("Recipe", at, func(old []byte) bool { return bytes.Equal(old, q.Data) })
	if err := files.Check(); err != nil {
		return "", err
	}
	if err := files.Write(at, q.Data); err != nil {
		return "", err
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"name": q.Name})
}
