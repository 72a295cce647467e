package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
	"bittersum/profiles"
)

// Question is what the page asks: a brief and how it is changed without saving.
type Question struct {
	// File is a brief in the folder, with slashes, or demo:NAME.
	File string `json:"file"`
	// Targets are new ranges by attribute or reading; an absent side asks for nothing.
	Targets map[string]Span `json:"targets"`
	// Without are ingredients crossed out, Prices new prices per kg by ingredient.
	Without []string           `json:"without"`
	Prices  map[string]float64 `json:"prices"`
	// Attribute is what a curve is asked for, and Picture which picture.
	Attribute string `json:"attribute"`
	Picture   string `json:"picture"`
	// Quick leaves out what each limit costs, which takes longer than all the rest.
	Quick bool `json:"quick"`
	// Text is the whole text of a brief, for saving what was edited by hand.
	Text *string `json:"text"`
	// Fingerprint is that of the file as the page last read it, for saving.
	Fingerprint string `json:"fingerprint"`
}

// Span is a range; an absent side is nil.
type Span struct {
	Min *float64 `json:"min"`
	Max *float64 `json:"max"`
}

func (s Span) within() brief.Range {
	r := brief.Unbounded()
	if s.Min != nil {
		r.Min = *s.Min
	}
	if s.Max != nil {
		r.Max = *s.Max
	}
	return r
}

// readQuestion reads a question and checks what can be checked without its files.
func readQuestion[Q any](body io.Reader) (*Q, error) {
	decoder := json.NewDecoder(body)
	decoder.DisallowUnknownFields()
	var q Q
	if err := decoder.Decode(&q); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return nil, wrong(http.StatusRequestEntityTooLarge, "the question is larger than %d bytes", large.Limit)
		}
		return nil, wrong(http.StatusBadRequest, "the question cannot be read: %v", err)
	}
	if checks, ok := any(&q).(interface{ check() error }); ok {
		return &q, checks.check()
	}
	return &q, nil
}

func (q *Question) check() error {
	for name, span := range q.Targets {
		r := span.within()
		if r.Min > r.Max {
			return wrong(http.StatusBadRequest, "%s: at least %g and at most %g exclude each other", name, r.Min, r.Max)
		}
	}
	for name, price := range q.Prices {
		if !(price >= 0) || math.IsInf(price, 0) {
			return wrong(http.StatusBadRequest, "%s: a price of %g is none", name, price)
		}
	}
	return nil
}

// faultOf turns an error into what the page shows: a maker's faults line by line.
func faultOf(err error) fault {
	var known fault
	var refused works.Refused
	var there works.There
	switch {
	case errors.As(err, &known):
		return known
	case errors.As(err, &there):
		return fault{status: http.StatusConflict, lines: []string{there.Path + " is there already and holds something else"}, there: filepath.Base(there.Path)}
	case errors.As(err, &refused):
		status := map[works.Kind]int{works.Asked: http.StatusBadRequest, works.Unmet: http.StatusConflict, works.Contradicts: http.StatusUnprocessableEntity}[refused.Kind]
		return fault{status: status, lines: []string{inBoxes(refused.Text)}}
	case tomlfile.IsFault(err):
		return fault{status: http.StatusUnprocessableEntity, lines: strings.Split(inBoxes(err.Error()), "\n")}
	case errors.Is(err, fs.ErrNotExist):
		return fault{status: http.StatusNotFound, lines: []string{"there is no such file in this folder"}}
	case errors.Is(err, context.DeadlineExceeded):
		return fault{status: http.StatusGatewayTimeout, lines: []string{fmt.Sprintf("no answer within %v", longest)}}
	case errors.Is(err, study.ErrUnproved):
		return fault{status: http.StatusConflict, lines: []string{err.Error()}}
	}
	return fault{status: http.StatusInternalServerError, lines: []string{err.Error()}}
}

// local returns the path of a brief within the folder, or an error when the name leads out of it.
func (s *Server) local(name string) (string, error) {
	if !strings.HasSuffix(name, ".toml") || !filepath.IsLocal(filepath.FromSlash(name)) || path.Clean(name) != name {
		return "", wrong(http.StatusNotFound, "%q is no brief in this folder", name)
	}
	if _, err := s.root.Stat(filepath.FromSlash(name)); err != nil { // follows no link out of the folder
		return "", wrong(http.StatusNotFound, "%q is no brief in this folder", name)
	}
	return filepath.Join(s.folder, filepath.FromSlash(name)), nil
}

// open reads a brief as it stands.
func (s *Server) open(name string, settings ...brief.Setting) (*brief.Job, error) {
	return s.openOver(s.library, name, settings...)
}

func (s *Server) openOver(lib *profile.Library, name string, settings ...brief.Setting) (*brief.Job, error) {
	if demo, ok := brief.IsDemo(name); ok {
		return brief.OpenFS(profiles.FS, "demo/"+demo+".toml", "demo:", lib, settings...)
	}
	file, err := s.local(name)
	if err != nil {
		return nil, err
	}
	return brief.Open(file, lib, settings...)
}

// changed returns the job that a question asks about.
func (s *Server) changed(q *Question) (*brief.Job, error) {
	job, err := s.open(q.File)
	if err != nil {
		return nil, err
	}
	for name := range q.Targets {
		if job.Library.Attributes[name] == nil && !slices.Contains(brief.Readings, brief.Reading(name)) {
			return nil, wrong(http.StatusBadRequest, "%q is no attribute", name)
		}
	}
	for _, name := range append(slices.Clone(q.Without), keys(q.Prices)...) {
		if !slices.ContainsFunc(job.Sources, func(s *brief.Source) bool { return s.Ingredient.Name == name || s.Name == name }) {
			return nil, wrong(http.StatusBadRequest, "%q is not in use", name)
		}
	}
	return job.Changed(func(b *brief.Brief) {
		for name, span := range q.Targets {
			b.Ask(name, span.within())
		}
		for _, name := range q.Without {
			b.Withhold(name, 0)
		}
		for name, price := range q.Prices {
			b.SetPrice(name, price)
		}
	})
}

func keys[V any](m map[string]V) []string {
	var names []string
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

const asJSON, asSVG = "application/json", "image/svg+xml"

func (s *Server) blend(ctx context.Context, q *Question, w io.Writer) (string, error) {
	job, err := s.changed(q)
	if err != nil {
		return "", err
	}
	solve := study.Blend
	if q.Quick {
		solve = study.Cheapest
	}
	answer, err := solve(ctx, job)
	if err != nil {
		return "", err
	}
	return asJSON, report.BlendJSON(w, answer)
}

func (s *Server) followed(ctx context.Context, q *Question) (*study.Reached, error) {
	job, err := s.changed(q)
	if err != nil {
		return nil, err
	}
	return study.Reach(ctx, job, q.Attribute, true, true)
}

func (s *Server) reach(ctx context.Context, q *Question, w io.Writer) (string, error) {
	reached, err := s.followed(ctx, q)
	if err != nil {
		return "", err
	}
	return asJSON, report.ReachJSON(w, reached)
}

func (s *Server) stressed(ctx context.Context, q *Question) (*study.Stressed, error) {
	job, err := s.changed(q)
	if err != nil {
		return nil, err
	}
	answer, err := study.Cheapest(ctx, job)
	if err != nil {
		return nil, err
	}
	if answer.Conflict != nil {
		return nil, wrong(http.StatusConflict, "the brief cannot be met: there is no recipe to stress")
	}
	return study.Stress(answer.Assessment, study.StressOptions{Assumed: study.UsualVariation, Draws: 1 << 15, Seed: 1})
}

func (s *Server) stress(ctx context.Context, q *Question, w io.Writer) (string, error) {
	stressed, err := s.stressed(ctx, q)
	if err != nil {
		return "", err
	}
	return asJSON, report.StressJSON(w, stressed)
}

// picture draws what a command draws with --plot.
func (s *Server) picture(ctx context.Context, q *Question, w io.Writer) (string, error) {
	var drawn report.Picture
	switch q.Picture {
	case "reach":
		reached, err := s.followed(ctx, q)
		if err != nil {
			return "", err
		}
		if reached.Conflict != nil {
			return "", wrong(http.StatusConflict, "the brief cannot be met: there is no curve to draw")
		}
		if drawn, err = report.ReachPicture(reached); err != nil {
			return "", err
		}
	case "stress":
		stressed, err := s.stressed(ctx, q)
		if err != nil {
			return "", err
		}
		if drawn, err = report.StressPicture(stressed); err != nil {
			return "", err
		}
	default:
		return "", wrong(http.StatusBadRequest, "there is no picture %q; there are reach and stress", q.Picture)
	}
	data, err := drawn.Draw("svg")
	if err != nil {
		return "", err
	}
	_, err = w.Write(data)
	return asSVG, err
}
