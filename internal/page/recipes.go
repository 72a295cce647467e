package page

import (
	"context"
	"io"
	"io/fs"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/intake"
	"bittersum/internal/report"
	"bittersum/internal/sheet"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
	"bittersum/internal/works"
)

// recipeEndings are those of files that hold recipes.
var recipeEndings = []string{".toml", ".csv", ".xlsx"}

// within returns the path of a file of those endings within the folder; what says what it is to be.
func (s *Server) within(name, what string, endings ...string) (string, error) {
	at := filepath.Join(s.folder, filepath.FromSlash(name))
	if !filepath.IsLocal(filepath.FromSlash(name)) || !slices.Contains(endings, path.Ext(name)) || s.mine(at) != nil {
		return "", wrong(http.StatusNotFound, "%q is no %s in this folder", name, what)
	}
	return at, nil
}

// recipe reads a recipe in the folder; nil when none is named.
func (s *Server) recipe(job *brief.Job, name string) (*brief.Recipe, error) {
	if name == "" {
		return nil, nil
	}
	at, err := s.within(name, "recipe", recipeEndings...)
	if err != nil {
		return nil, err
	}
	return job.OpenRecipe(at)
}

// recipes lists the files of the folder that hold recipes: TOML with a table of amounts, and tables in the folder
// itself whose heading names an ingredient and an amount.
func (s *Server) recipes() []string {
	found := []string{}
	names, err := s.files()
	if err != nil {
		return found
	}
	for _, name := range names {
		if s.looksLikeRecipe(name) {
			found = append(found, name)
		}
	}
	for _, name := range s.tables() {
		if len(found) < mostFiles && headed(filepath.Join(s.folder, name)) {
			found = append(found, name)
		}
	}
	sort.Strings(found)
	return found
}

// tables lists the tables that stand in the folder itself.
func (s *Server) tables() []string {
	found := []string{}
	names, _ := fs.Glob(s.root.FS(), "*")
	for _, name := range names {
		if is, err := s.root.Stat(name); err == nil && is.Mode().IsRegular() && is.Size() <= tomlfile.MaxBytes && sheet.IsTable(name) && !strings.HasPrefix(name, ".") && len(found) < mostFiles {
			found = append(found, name)
		}
	}
	return found
}

// looksLikeRecipe tells a recipe in TOML from another file.
func (s *Server) looksLikeRecipe(name string) bool {
	text, err := s.text(name)
	if err != nil || s.looksLikeBrief(name) {
		return false
	}
	doc, err := tomlfile.Parse(name, []byte(text))
	return err == nil && (doc.Root().Has("grams_per_litre") || doc.Root().Has("amounts"))
}

// headed reports whether the heading of a table is that of a recipe.
func headed(file string) bool {
	w, err := words.Open(file)
	if err != nil {
		return false
	}
	book, err := sheet.Open(file)
	if err != nil {
		return false
	}
	_, _, whole, err := intake.Kind.Choose(book, w)
	return err == nil && whole
}

// marketsQuestion asks for one recipe in two markets.
type marketsQuestion struct {
	Question
	// Recipe is a file in the folder; empty for the cheapest recipe of the first market.
	Recipe  string    `json:"recipe"`
	Markets [2]string `json:"markets"`
}

// markets judges a recipe in two markets, as compare --markets does.
func (s *Server) markets(ctx context.Context, q *marketsQuestion, w io.Writer) (string, error) {
	job, err := s.changed(&q.Question)
	if err != nil {
		return "", err
	}
	for _, name := range q.Markets {
		if job.Library.Markets[name] == nil {
			return "", wrong(http.StatusBadRequest, "there is no market %q", name)
		}
	}
	side := study.Side{Name: job.Name, Job: job}
	if side.Recipe, err = s.recipe(job, q.Recipe); err != nil {
		return "", err
	}
	if q.Recipe != "" {
		side.Name = path.Base(q.Recipe)
	}
	a, b, err := works.InTwoMarkets(ctx, side, q.Markets)
	if err != nil {
		return "", err
	}
	c, err := study.Compare(ctx, a, b)
	if err != nil {
		return "", err
	}
	return tell(w, c.Conflict != nil, func(w io.Writer) error { return report.CompareJSON(w, c) },
		func(w io.Writer) { report.Compare(w, c, report.InFull) }, func() (report.Picture, error) { return report.ComparePicture(c) })
}
