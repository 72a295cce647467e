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
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/fit"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/sensory"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
)

// tasteQuestion asks about a tasting: which of the fields count hangs on Ask.
type tasteQuestion struct {
	// Ask is tasters, sheet, score, method, noticed, panel or bitter.
	Ask  string `json:"ask"`
	Test string `json:"test"`
	// Notice, Power and Alike are percentages.
	Notice  float64 `json:"notice"`
	Power   float64 `json:"power"`
	Alike   float64 `json:"alike"`
	Tasters int     `json:"tasters"`
	Seed    uint64  `json:"seed"`
	A       string  `json:"a"`
	B       string  `json:"b"`
	Right   int     `json:"right"`
	Of      int     `json:"of"`
	// Keep is a file in the folder that the answers of a score are added to; Attribute, Base and Changed say in what
	// alone B differs.
	Keep      string  `json:"keep"`
	Note      string  `json:"note"`
	Attribute string  `json:"attribute"`
	Base      float64 `json:"base"`
	Changed   float64 `json:"changed"`
	// File is what noticed, panel and bitter read; Into writes what was found over the folder's own profiles.
	File    string `json:"file"`
	Into    bool   `json:"into"`
	Replace bool   `json:"replace"`
}

func (s *Server) taste(_ context.Context, q *tasteQuestion, w io.Writer) (string, error) {
	var says bytes.Buffer
	err := s.tasted(q, &says)
	if err != nil {
		return "", err
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]string{"says": inBoxes(says.String())})
}

func (s *Server) tasted(q *tasteQuestion, w io.Writer) error {
	switch q.Ask {
	case "method":
		report.BitterMethod(w)
		return nil
	case "bitter", "panel", "noticed":
		return s.tastedFile(q, w)
	}
	test, err := works.DifferenceTest(q.Test)
	if err != nil {
		return err
	}
	switch q.Ask {
	case "tasters":
		p, err := works.TastersNeeded(test, q.Notice, q.Power)
		if err != nil {
			return err
		}
		report.Tasters(w, p)
		return nil
	case "sheet":
		servings, err := works.Servings(test, q.Tasters, q.Seed)
		if err != nil {
			return err
		}
		report.Servings(w, test, q.A, q.B, servings)
		return nil
	case "score":
		return s.scored(q, test, w)
	}
	return wrong(http.StatusBadRequest, "%q is nothing to ask of a tasting", q.Ask)
}

// scored judges the answers of a test and keeps them, if a file is named.
func (s *Server) scored(q *tasteQuestion, test sensory.Test, w io.Writer) error {
	score, err := works.ScoreOf(test, q.Right, q.Of, q.Alike)
	if err != nil {
		return err
	}
	if q.Keep != "" {
		at, err := s.named(q.Keep, ".toml")
		if err != nil {
			return err
		}
		for _, text := range []string{q.A, q.B, q.Note} {
			if !works.OneLine(text) {
				return wrong(http.StatusBadRequest, "what A, B and the note say must be a line of text each")
			}
		}
		s.writing.Lock()
		defer s.writing.Unlock()
		a := sensory.Answers{Test: test, Right: q.Right, Of: q.Of, A: q.A, B: q.B, Note: q.Note, On: works.DateText(works.Day(s.now()))}
		if err := works.KeepAnswers(at, a, works.Changed{Attribute: q.Attribute, Base: q.Base, Changed: q.Changed}); err != nil {
			return err
		}
	}
	report.Score(w, score)
	return nil
}

// named returns the path of a file of that ending in the folder itself, whether it is there or not.
func (s *Server) named(name, ending string) (string, error) {
	if path.Base(name) != name || strings.HasPrefix(name, ".") || !filepath.IsLocal(name) || path.Ext(name) != ending {
		return "", wrong(http.StatusBadRequest, "%q is no name of a %s file in this folder", name, ending)
	}
	if at, err := s.root.Lstat(name); err == nil && at.Mode()&os.ModeSymlink != 0 {
		if _, err := s.root.Stat(name); err != nil { // a link out of the folder
			return "", wrong(http.StatusNotFound, "%q leads out of this folder", name)
		}
	}
	return filepath.Join(s.folder, name), nil
}

// ownProfiles is the folder of the maker's own profiles, with the library that it makes; where there is none, the
// library as it is.
const ownProfiles = "profiles"

func (s *Server) ownLibrary() (*profile.Library, error) {
	if at, err := s.root.Stat(ownProfiles); err != nil || !at.IsDir() {
		return s.library, nil
	}
	return s.library.Overlay(filepath.Join(s.folder, ownProfiles))
}

// tastedFile judges a file of what tasters found, and writes it over the own profiles if asked to.
func (s *Server) tastedFile(q *tasteQuestion, w io.Writer) error {
	at, err := s.local(q.File)
	if err != nil {
		return err
	}
	lib, err := s.ownLibrary()
	if err != nil {
		return err
	}
	kept := works.Measured{Own: fit.OwnTasted}
	kept.Force = q.Replace
	if q.Into {
		kept.Folder = filepath.Join(s.folder, ownProfiles)
	}
	day, name := works.Day(s.now()), path.Base(q.File)
	var data []byte
	switch q.Ask {
	case "bitter":
		tasting, err := sensory.OpenTasting(at)
		if err != nil {
			return err
		}
		found, err := sensory.Panel(tasting.Tasters)
		if err != nil {
			return err
		}
		report.Bitter(w, tasting, found)
		return nil
	case "noticed":
		all, err := sensory.OpenAnswers(at)
		if err != nil {
			return err
		}
		n, err := fit.OfAnswers(q.File, all, lib)
		if err != nil {
			return err
		}
		kept.Name, data = "noticed.toml", fit.NoticedOverlay(n.Found, name, day)
		report.WriteNoticed(w, n)
	case "panel":
		lines, err := sensory.OpenPanel(at)
		if err != nil {
			return err
		}
		r, err := lines.Judge()
		if err != nil {
			return err
		}
		tasted, err := fit.OfPanel(r, lib)
		if err != nil {
			return err
		}
		kept.Name, data = "panel-"+strings.TrimSuffix(name, path.Ext(name))+".toml", fit.PanelOverlay(r, tasted, name, day)
		report.LinePanel(w, lib, r, tasted, nil)
	}
	return s.keep(&kept, lib, data, w)
}

// keep writes what was measured, if a folder is named, and says so.
func (s *Server) keep(kept *works.Measured, lib *profile.Library, data []byte, w io.Writer) error {
	if kept.Folder == "" {
		return nil
	}
	s.writing.Lock()
	defer s.writing.Unlock()
	if err := kept.Check(); err != nil {
		return err
	}
	if err := kept.Write(lib, data); err != nil {
		return err
	}
	report.FitKept(w, path.Join(ownProfiles, "measured", kept.Name), data != nil)
	return nil
}

// fitQuestion asks what batches of a brief, and infusions, teach.
type fitQuestion struct {
	File      string   `json:"file"`
	Records   []string `json:"records"`
	Infusions []string `json:"infusions"`
	Without   []string `json:"without"`
	// Assumed is the variation in percent of natural products without a known deviation.
	Assumed float64 `json:"assumed"`
	Into    bool    `json:"into"`
	Replace bool    `json:"replace"`
}

// learn answers what batches teach, and writes it over the profiles that the brief names if asked to.
func (s *Server) learn(_ context.Context, q *fitQuestion, w io.Writer) (string, error) {
	f := works.Fitting{Brief: q.File, Without: q.Without, Assumed: q.Assumed, On: works.Day(s.now())}
	f.Open = func(lib *profile.Library, settings ...brief.Setting) (*brief.Job, error) {
		return s.openOver(lib, q.File, settings...)
	}
	for _, list := range []struct {
		names []string
		into  *[]string
	}{{q.Records, &f.Records}, {q.Infusions, &f.Infusions}} {
		for _, name := range list.names {
			at, err := s.local(name)
			if err != nil {
				return "", err
			}
			*list.into = append(*list.into, at)
		}
	}
	if q.Into {
		folder, err := s.profilesOf(q.File)
		if err != nil {
			return "", err
		}
		f.Folder, f.Force = folder, q.Replace
	}
	s.writing.Lock()
	defer s.writing.Unlock()
	fitted, err := f.Fit(s.library)
	if err != nil {
		return "", err
	}
	var answer, says bytes.Buffer
	if err := report.FitJSON(&answer, fitted.Job, fitted.Result); err != nil {
		return "", err
	}
	report.Fit(&says, fitted.Job, fitted.Result)
	if q.Into {
		report.FitKept(&says, f.Path(), fitted.Told != nil)
	}
	return asJSON, json.NewEncoder(w).Encode(told{Answer: answer.Bytes(), Says: inBoxes(says.String())})
}

// profilesOf returns the folder of profiles that a brief of the folder names, which lies within it.
func (s *Server) profilesOf(file string) (string, error) {
	text, err := s.text(file)
	if err != nil {
		return "", err
	}
	doc, err := tomlfile.Parse(file, []byte(text))
	if err != nil {
		return "", err
	}
	name := path.Join(path.Dir(file), filepath.ToSlash(doc.Root().String("profiles")))
	if doc.Root().String("profiles") == "" || strings.HasPrefix(file, "demo:") || !filepath.IsLocal(filepath.FromSlash(name)) {
		return "", wrong(http.StatusConflict, "%s names no folder of profiles within this one: give it profiles = %q", file, ownProfiles)
	}
	if at, err := s.root.Stat(filepath.FromSlash(name)); err != nil || !at.IsDir() {
		return "", wrong(http.StatusConflict, "there is no folder %s here", name)
	}
	return filepath.Join(s.folder, filepath.FromSlash(name)), nil
}
