package profile

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"bittersum/internal/tomlfile"
)

// Library is everything known of attributes, ingredients and markets, by name. Those who share a
// Library do not change it.
type Library struct {
	Attributes  map[string]*Attribute
	Ingredients map[string]*Ingredient
	Markets     map[string]*Market
	// Preparations are what makers prepare of other ingredients; no name is among Ingredients as well
	// before they are worked out.
	Preparations map[string]*Preparation
	// Botany says which plants may carry which restricted substance.
	Botany *Botany
	// LeaveFits makes Overlay leave out what earlier fits measured, so that a fit does not count batches twice.
	LeaveFits bool
}

// FitMark begins the words by which measured figures say that they come from a fit.
const FitMark = "fit to "

func newLibrary() *Library {
	return &Library{Attributes: map[string]*Attribute{}, Ingredients: map[string]*Ingredient{}, Markets: map[string]*Market{}}
}

// AttributeNames returns the names of all attributes in order.
func (l *Library) AttributeNames() []string { return names(l.Attributes) }

// IngredientNames returns the names of all ingredients in order.
func (l *Library) IngredientNames() []string { return names(l.Ingredients) }

// MarketNames returns the names of all markets in order.
func (l *Library) MarketNames() []string { return names(l.Markets) }

// EveryName returns the names of all ingredients, then of all attributes, then of all markets.
func (l *Library) EveryName() []string {
	return append(append(l.IngredientNames(), l.AttributeNames()...), l.MarketNames()...)
}

// Overlay returns a copy of the library with the maker's own folder over it: attributes.toml,
// ingredients/*.toml and markets/*.toml, each optional, where what has the same name is replaced whole; and
// measured/*.toml, whose contents stand in place of single ones.
// The error is a tomlfile.Faults of all that is wrong in the folder; a folder that can be read gives a
// library beside it, so that what else is missing can be said.
func (l *Library) Overlay(dir string) (*Library, error) {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, tomlfile.Faults{{File: dir, What: "there is no such folder"}}
	case err != nil:
		return nil, tomlfile.Faults{{File: dir, What: "cannot be read: " + err.Error()}}
	case !info.IsDir():
		return nil, tomlfile.Faults{{File: dir, What: "is no folder; a folder of profiles is needed"}}
	}
	return l.overlay(os.DirFS(dir), func(name string) string { return filepath.Join(dir, filepath.FromSlash(name)) })
}

// overlay reads a folder over a copy of l; display turns a name within the folder into the one that
// faults show.
func (l *Library) overlay(fsys fs.FS, display func(string) string) (*Library, error) {
	out := newLibrary()
	out.Botany, out.LeaveFits = l.Botany, l.LeaveFits
	maps.Copy(out.Attributes, l.Attributes)
	maps.Copy(out.Ingredients, l.Ingredients)
	maps.Copy(out.Markets, l.Markets)
	for _, p := range l.Preparations {
		out.add(p)
	}
	var faults tomlfile.Faults
	if _, err := fs.Stat(fsys, "attributes.toml"); err == nil {
		for _, doc := range openAll(fsys, []string{"attributes.toml"}, display, &faults) {
			readAttributes(doc, out.Attributes)
			faults = append(faults, doc.Faults()...)
		}
	}
	if own := readBotany(fsys, display, out.Attributes, &faults); own != nil {
		out.Botany = own
	}
	ingredientFiles, marketFiles := tomlFiles(fsys, "ingredients"), tomlFiles(fsys, "markets")
	known := l.PlantNames() // nil for the library's own files, which say what plants there are
	seen := map[string]string{}
	for _, doc := range openAll(fsys, ingredientFiles, display, &faults) {
		readIngredients(doc, out, seen, known)
		faults = append(faults, doc.Faults()...)
	}
	measured := map[string]string{}
	for _, doc := range openAll(fsys, tomlFiles(fsys, "measured"), display, &faults) {
		readMeasured(doc, out, measured)
		faults = append(faults, doc.Faults()...)
	}
	seenMarket := map[string]string{}
	for _, doc := range openAll(fsys, marketFiles, display, &faults) {
		m := readMarket(doc, out.Attributes, out.Markets)
		if first, twice := seenMarket[m.Name]; twice && m.Name != "" {
			doc.Root().Fault("name", fmt.Sprintf("market %q is defined twice, first in %s", m.Name, first), "")
		}
		if known != nil {
			checkRulePlants(doc.Root(), m, withOthers(known, out.Ingredients))
		}
		seenMarket[m.Name] = doc.Name()
		out.Markets[m.Name] = m
		faults = append(faults, doc.Faults()...)
	}
	return out, faults.Err()
}

// withOthers adds the plants that only the maker's own ingredients name.
func withOthers(known []string, ingredients map[string]*Ingredient) []string {
	for _, g := range ingredients {
		known = append(known[:len(known):len(known)], g.OtherPlants...)
	}
	return known
}

// openAll parses the named files side by side, in their order, and notes the faults of those that
// cannot be parsed.
func openAll(fsys fs.FS, files []string, display func(string) string, faults *tomlfile.Faults) []*tomlfile.Document {
	docs := make([]*tomlfile.Document, len(files))
	errs := make([]error, len(files))
	var wait sync.WaitGroup
	for n, name := range files {
		wait.Go(func() { docs[n], errs[n] = tomlfile.OpenFS(fsys, name, display(name)) })
	}
	wait.Wait()
	var parsed []*tomlfile.Document
	for n, err := range errs {
		var found tomlfile.Faults
		switch {
		case err == nil:
			parsed = append(parsed, docs[n])
		case errors.As(err, &found):
			*faults = append(*faults, found...)
		default:
			*faults = append(*faults, tomlfile.Fault{File: display(files[n]), What: err.Error()})
		}
	}
	return parsed
}

// tomlFiles returns the TOML files of a folder in order of name; none if the folder is missing.
func tomlFiles(fsys fs.FS, dir string) []string {
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return nil
	}
	var files []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ".toml") {
			files = append(files, path.Join(dir, e.Name()))
		}
	}
	slices.Sort(files)
	return files
}

// Check returns one line for each ingredient that has attributes neither given, nor absent, nor said to
// be unknown, in order of name.
func (l *Library) Check() []string {
	var lines []string
	for _, name := range l.IngredientNames() {
		g := l.Ingredients[name]
		var silent []string
		for _, attribute := range l.AttributeNames() {
			if _, known := g.Content(attribute); !known && !slices.Contains(g.Unknown, attribute) {
				silent = append(silent, attribute)
			}
		}
		if len(silent) > 0 {
			lines = append(lines, fmt.Sprintf("%s: nothing is said of %s", name, strings.Join(silent, ", ")))
		}
	}
	return lines
}

func names[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// Bounded returns the attributes of which it is known how much drinks are made with, in order of name.
func (l *Library) Bounded() []*Attribute {
	var out []*Attribute
	for _, a := range l.Attributes {
		if a.SensibleMax > 0 {
			out = append(out, a)
		}
	}
	slices.SortFunc(out, func(a, b *Attribute) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// Called returns the name of the ingredient that a text names: by its name or its title, however spaces, hyphens
// and capitals stand; nothing where none has it, or several have.
func (l *Library) Called(text string) string {
	if l.Ingredients[text] != nil {
		return text
	}
	bare := func(s string) string {
		return strings.ToLower(strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), " "))
	}
	called, wanted := "", bare(text)
	for name, g := range l.Ingredients {
		if bare(name) == wanted {
			return name
		}
		if bare(g.Title) == wanted {
			if called != "" {
				return ""
			}
			called = name
		}
	}
	return called
}
