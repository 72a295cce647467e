package page

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"math"
	"net/http"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"
	"bittersum/internal/wholefile"
	"bittersum/profiles"
)

// number is null in JSON where there is none.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// listed is a brief in the list: how it stands, or what is wrong with it.
type listed struct {
	File     string   `json:"file"`
	Name     string   `json:"name"`
	Currency string   `json:"currency,omitempty"`
	Litre    *float64 `json:"cost_per_litre,omitempty"`
	Bottle   *float64 `json:"cost_per_bottle,omitempty"`
	// HeadRoom is the least share of a cap that is left; null where no cap applies.
	HeadRoom *float64 `json:"least_head_room,omitempty"`
	Cap      string   `json:"cap,omitempty"`
	Unmet    bool     `json:"unmet,omitempty"`
	// Register is the register of batches that it names.
	Register string   `json:"register,omitempty"`
	Faults   []string `json:"faults,omitempty"`
}

// briefs lists the briefs of the folder and the demos, each with the cost of its cheapest recipe.
func (s *Server) briefs(w http.ResponseWriter, r *http.Request) {
	names, err := s.files()
	if err != nil {
		refuse(w, err)
		return
	}
	demos, _ := fs.ReadDir(profiles.FS, "demo")
	for _, d := range demos {
		names = append(names, "demo:"+strings.TrimSuffix(d.Name(), ".toml"))
	}
	list := []listed{}
	for _, name := range names {
		if one, ok := s.stands(r.Context(), name); ok {
			list = append(list, one)
		}
	}
	send(w, map[string]any{"folder": filepath.Base(s.folder), "briefs": list})
}

func send(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", asJSON)
	_ = json.NewEncoder(w).Encode(v)
}

const mostFiles = 500

// files returns the folder's TOML files that may be briefs, two folders deep.
func (s *Server) files() ([]string, error) {
	var names []string
	err := fs.WalkDir(s.root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return nil // what cannot be read is left out
		case entry.IsDir() && (strings.HasPrefix(entry.Name(), ".") && name != "." || strings.Count(name, "/") >= 2 || entry.Name() == "profiles"):
			return fs.SkipDir
		case len(names) >= mostFiles:
			return fs.SkipAll
		case strings.HasSuffix(name, ".toml"):
			names = append(names, name)
		}
		return nil
	})
	sort.Strings(names)
	return names, err
}

// stands says how a brief stands; ok is false for a file that is no brief.
func (s *Server) stands(ctx context.Context, name string) (one listed, ok bool) {
	one = listed{File: name, Name: name}
	job, err := s.open(name)
	if err != nil {
		if !s.looksLikeBrief(name) {
			return one, false
		}
		one.Faults = faultOf(err).lines
		return one, true
	}
	one.Name, one.Currency = job.Name, job.Currency
	if job.RegisterFile != "" {
		one.Register = filepath.Base(job.RegisterFile)
	}
	answer, err := study.Cheapest(ctx, job)
	switch {
	case err != nil:
		one.Faults = faultOf(err).lines
	case answer.Conflict != nil:
		one.Unmet = true
	default:
		a := answer.Assessment
		one.Litre = number(a.Cost.PerLitre)
		if job.BottleML > 0 {
			one.Bottle = number(a.Cost.PerBottle)
		}
		least, unshown := math.Inf(1), 0
		for _, c := range a.Caps {
			switch {
			case len(c.Accepted) > 0:
				unshown++
			case c.HeadRoom < least:
				least, one.Cap = c.HeadRoom, c.Substance+", "+c.Market.Name
			}
		}
		if unshown > 0 {
			one.Cap = strings.TrimPrefix(fmt.Sprintf("%s; %d not shown to hold", one.Cap, unshown), "; ")
		}
		one.HeadRoom = number(least)
	}
	return one, true
}

// looksLikeBrief tells a brief with faults from another TOML file: it names what may be used.
func (s *Server) looksLikeBrief(name string) bool {
	text, err := s.text(name)
	return err == nil && !looksLikePlan(text) && strings.Contains("\n"+text, "\nuse") && strings.Contains("\n"+text, "\nname")
}

// text returns a brief's text.
func (s *Server) text(name string) (string, error) {
	if demo, ok := brief.IsDemo(name); ok {
		data, err := fs.ReadFile(profiles.FS, "demo/"+demo+".toml")
		return string(data), err
	}
	if _, err := s.local(name); err != nil {
		return "", err
	}
	data, err := s.root.ReadFile(filepath.FromSlash(name))
	return string(data), err
}

func fingerprint(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

type asked struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Unit  string `json:"unit"`
	Note  string `json:"note,omitempty"`
	// Reading says that an instrument shows it: no curve follows it.
	Reading bool     `json:"reading,omitempty"`
	Min     *float64 `json:"min"`
	Max     *float64 `json:"max"`
}

type used struct {
	Name   string   `json:"name"`
	Title  string   `json:"title"`
	Price  *float64 `json:"price_per_kg"`
	From   string   `json:"price_from"`
	Min    *float64 `json:"min"`
	Max    *float64 `json:"max"`
	Places []string `json:"lots,omitempty"`
}

// choice is something to choose, by its name and what people call it.
type choice struct {
	Name  string `json:"name"`
	Title string `json:"title"`
}

// places are the markets to choose from.
func places(lib *profile.Library) []choice {
	all := []choice{}
	for _, name := range lib.MarketNames() {
		all = append(all, choice{name, lib.Markets[name].Title})
	}
	return all
}

// brief sends what a brief asks for, and its text.
func (s *Server) brief(w http.ResponseWriter, r *http.Request) {
	name := r.URL.Query().Get("file")
	text, err := s.text(name)
	if err != nil {
		refuse(w, err)
		return
	}
	out := struct {
		File        string   `json:"file"`
		Name        string   `json:"name"`
		Currency    string   `json:"currency"`
		Markets     []string `json:"markets"`
		Sold        []string `json:"sold"` // the same by their names
		Demo        bool     `json:"demo"`
		Fingerprint string   `json:"fingerprint"`
		Text        string   `json:"text"`
		Faults      []string `json:"faults,omitempty"`
		Targets     []asked  `json:"targets"`
		Use         []used   `json:"use"`
		// Recipes are files of the folder that hold recipes, and Places all markets there are.
		Recipes []string `json:"recipes"`
		Places  []choice `json:"places"`
	}{File: name, Name: name, Fingerprint: fingerprint(text), Text: text, Targets: []asked{}, Use: []used{}}
	_, out.Demo = brief.IsDemo(name)
	job, err := s.open(name)
	if err != nil {
		out.Faults = faultOf(err).lines
		send(w, out)
		return
	}
	out.Name, out.Currency = job.Name, job.Currency
	for _, m := range job.Markets {
		out.Markets, out.Sold = append(out.Markets, m.Title), append(out.Sold, m.Name)
	}
	out.Recipes, out.Places = s.recipes(), places(job.Library)
	for _, t := range job.Targets {
		a := job.Library.Attributes[t.Attribute]
		out.Targets = append(out.Targets, asked{t.Attribute, a.Title, a.Unit + " per " + string(a.Per), a.Note, false, number(t.Min), number(t.Max)})
	}
	for _, t := range job.Readings {
		out.Targets = append(out.Targets, asked{string(t.Reading), readingTitle[t.Reading], t.Unit(), "", true, number(t.Min), number(t.Max)})
	}
	for _, source := range job.Sources {
		i := source.Ingredient
		at := slices.IndexFunc(out.Use, func(u used) bool { return u.Name == i.Name })
		if at < 0 {
			limit, limited := job.Limits[i.Name]
			if !limited {
				limit.Range = brief.Unbounded()
			}
			out.Use = append(out.Use, used{i.Name, i.Title, number(source.PricePerKg), source.PriceFrom, number(limit.Min), number(limit.Max), nil})
			at = len(out.Use) - 1
		}
		if source.Lot != nil {
			out.Use[at].Places = append(out.Use[at].Places, source.Name)
		}
	}
	send(w, out)
}

var readingTitle = map[brief.Reading]string{brief.PH: "pH", brief.Brix: "Refractometer, °Bx", brief.Density: "Density"}

// changes answers with what saving would write: the new text and the lines that differ.
func (s *Server) changes(_ context.Context, q *Question, w io.Writer) (string, error) {
	before, after, err := s.edited(q)
	if err != nil {
		return "", err
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"lines": difference(before, after)})
}

// edited returns a brief's text before and after the changes of a question, once it is known that the new
// text is a brief.
func (s *Server) edited(q *Question) (before, after string, err error) {
	if _, demo := brief.IsDemo(q.File); demo {
		return "", "", wrong(http.StatusConflict, "a demo cannot be changed: copy it into the folder first")
	}
	if before, err = s.text(q.File); err != nil {
		return "", "", err
	}
	if fingerprint(before) != q.Fingerprint {
		return "", "", wrong(http.StatusConflict, "%s was changed by someone else meanwhile: nothing was written; load it anew", q.File)
	}
	after, err = edit(before, q)
	return before, after, err
}

// save writes the changes of a question into the brief; what stood there is kept beside it (.bak).
func (s *Server) save(_ context.Context, q *Question, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	before, after, err := s.edited(q)
	if err != nil {
		return "", err
	}
	file, err := s.local(q.File)
	if err != nil {
		return "", err
	}
	if err := s.checks(q.File, after); err != nil {
		return "", err
	}
	if err := wholefile.Write(file+".bak", []byte(before)); err != nil {
		return "", err
	}
	if err := wholefile.Write(file, []byte(after)); err != nil {
		return "", err
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"fingerprint": fingerprint(after), "lines": difference(before, after)})
}

// checks reads the new text as a brief before it replaces the old one.
func (s *Server) checks(name, text string) error {
	file, err := s.local(name)
	if err != nil {
		return err
	}
	_, err = brief.OpenText(file, text, s.library)
	return err
}
