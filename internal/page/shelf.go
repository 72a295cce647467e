package page

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"math"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/stock"
	"bittersum/internal/works"
)

// shelfQuestion asks about a lots file, or changes a lot in it.
type shelfQuestion struct {
	// File is a lots file in the folder, with slashes.
	File string `json:"file"`
	Day  string `json:"day"`
	// Name is a lot's number, for a trace also a batch's.
	Name string `json:"name"`
	// What is a change of a lot, Kg what is gone or left, with who did it and why.
	What   string   `json:"what"`
	Kg     *float64 `json:"kg"`
	Reason string   `json:"reason"`
	By     string   `json:"by"`
	Lot    *newLot  `json:"lot"`
}

// newLot is a lot to be added.
type newLot struct {
	Number       string                  `json:"number"`
	Ingredient   string                  `json:"ingredient"`
	Kg           *float64                `json:"kg"`
	Price        *float64                `json:"price"`
	PackKg       float64                 `json:"pack_kg"`
	Moisture     float64                 `json:"moisture"`
	Received     string                  `json:"received"`
	BestBefore   string                  `json:"best_before"`
	Supplier     string                  `json:"supplier"`
	DeliveryNote string                  `json:"delivery_note"`
	Held         bool                    `json:"held"`
	Reason       string                  `json:"reason"`
	Contents     map[string]certificated `json:"contents"`
	Sure         string                  `json:"sure"`
}

// certificated is what a certificate states of a gram.
type certificated struct {
	PerGram float64 `json:"per_g"`
	SD      float64 `json:"sd"`
}

// lot returns the lot as the command would add it.
func (n *newLot) lot() (brief.Lot, error) {
	lot := brief.Lot{Number: n.Number, Ingredient: n.Ingredient, QuantityKg: orNone(n.Kg), PricePerKg: orNone(n.Price), PackKg: n.PackKg, Moisture: n.Moisture,
		Supplier: n.Supplier, DeliveryNote: n.DeliveryNote, State: brief.Accepted, Reason: n.Reason, Contents: map[string]profile.Content{}, Sure: map[string]string{}}
	if n.Held {
		lot.State = brief.Held
	}
	for name, c := range n.Contents {
		lot.Contents[name] = profile.Content{PerGram: c.PerGram, SD: c.SD, Recovery: math.NaN(), CapRecovery: math.NaN()}
	}
	var err error
	if n.Received != "" {
		if lot.Received, err = works.ParseDay("--received", n.Received); err != nil {
			return lot, err
		}
	}
	if n.BestBefore != "" {
		lot.BestBefore, err = works.ParseDay("--best-before", n.BestBefore)
	}
	return lot, err
}

func orNone(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}

// lotsFile returns the path of a lots file within the folder, which need not be there yet.
func (s *Server) lotsFile(name string) (string, error) {
	if ending := path.Ext(name); !filepath.IsLocal(filepath.FromSlash(name)) || path.Clean(name) != name || ending != ".toml" && ending != ".csv" {
		return "", wrong(http.StatusNotFound, "%q is no lots file in this folder", name)
	}
	at := filepath.Join(s.folder, filepath.FromSlash(name))
	return at, s.mine(at)
}

// around returns the profiles that a lots file is looked up in and the register of its batches, by the briefs that
// name it; without one the profiles are the library's, with those of a folder beside it over them.
func (s *Server) around(at string) (lib *profile.Library, register string, err error) {
	files, err := s.files()
	if err != nil {
		return nil, "", err
	}
	for _, name := range files {
		if !s.looksLikeBrief(name) {
			continue
		}
		job, err := s.open(name, works.RecordSettings()...)
		if err != nil || !sameFile(job.LotsFile, at) {
			continue
		}
		if job.RegisterFile == "" || s.mine(job.RegisterFile) != nil || missing(job.RegisterFile) {
			return job.Library, "", nil
		}
		return job.Library, job.RegisterFile, nil
	}
	own := filepath.Join(filepath.Dir(at), "profiles")
	if is, err := os.Stat(own); err == nil && is.IsDir() && s.mine(own) == nil {
		lib, err = s.library.Overlay(own)
		return lib, "", err
	}
	return s.library, "", nil
}

func missing(file string) bool {
	_, err := os.Stat(file)
	return errors.Is(err, fs.ErrNotExist)
}

func sameFile(a, b string) bool {
	a, errA := filepath.Abs(a)
	b, errB := filepath.Abs(b)
	return errA == nil && errB == nil && a == b
}

// shelf lists the lots of a file, first out first, as lots list does.
func (s *Server) shelf(_ context.Context, q *shelfQuestion, w io.Writer) (string, error) {
	at, err := s.lotsFile(q.File)
	if err != nil {
		return "", err
	}
	return s.shelved(at, q, "", w)
}

// shelved answers with the shelf as it stands, and what was done to it.
func (s *Server) shelved(at string, q *shelfQuestion, done string, w io.Writer) (string, error) {
	day, err := s.dayOf(q.Day)
	if err != nil {
		return "", err
	}
	lib, register, err := s.around(at)
	if err != nil {
		return "", err
	}
	lots := &brief.Lots{File: at}
	if !missing(at) {
		if lots, err = works.OpenLots(at, lib); err != nil {
			return "", err
		}
	}
	var data bytes.Buffer
	if err := report.Lots(&data, stock.FirstOut(lots), day, true); err != nil {
		return "", err
	}
	batches := []string{}
	for _, lot := range lots.Lots {
		for _, d := range lot.Draws {
			if !slices.Contains(batches, d.Batch) {
				batches = append(batches, d.Batch)
			}
		}
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{
		"file": q.File, "day": works.DateText(day), "lots": json.RawMessage(data.Bytes()), "batches": batches, "ingredients": lib.IngredientNames(), "attributes": lib.AttributeNames(), "register": register != "", "done": s.short(done),
	})
}

// changeLot holds, releases, refuses, writes off or adjusts a lot as the commands do.
func (s *Server) changeLot(_ context.Context, q *shelfQuestion, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	at, err := s.lotsFile(q.File)
	if err != nil {
		return "", err
	}
	if !slices.Contains([]string{brief.Hold, brief.Release, brief.Refuse, brief.WriteOff, brief.Adjust}, q.What) {
		return "", wrong(http.StatusBadRequest, "there is no change %q of a lot; there are hold, release, refuse, write-off and adjust", q.What)
	}
	today := works.Day(s.now())
	on, err := s.dayOf(q.Day)
	if err != nil {
		return "", err
	}
	done, err := works.ChangeLot(at, q.Name, brief.Change{What: q.What, Reason: q.Reason, By: q.By, On: on}, orNone(q.Kg), today)
	if err != nil {
		return "", err
	}
	q.Day = ""
	return s.shelved(at, q, done, w)
}

// addLot adds a lot as the command does.
func (s *Server) addLot(_ context.Context, q *shelfQuestion, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	at, err := s.lotsFile(q.File)
	if err != nil {
		return "", err
	}
	if q.Lot == nil {
		return "", wrong(http.StatusBadRequest, "there is no lot to add")
	}
	lot, err := q.Lot.lot()
	if err != nil {
		return "", err
	}
	lib, _, err := s.around(at)
	if err != nil {
		return "", err
	}
	done, err := works.AddLot(at, lib, lot, q.Lot.Sure)
	if err != nil {
		return "", err
	}
	return s.shelved(at, q, done, w)
}

// traced follows a lot or a batch both ways.
func (s *Server) traced(q *shelfQuestion) (*works.Tracing, error) {
	at, err := s.lotsFile(q.File)
	if err != nil {
		return nil, err
	}
	lib, register, err := s.around(at)
	if err != nil {
		return nil, err
	}
	lots, err := works.OpenLots(at, lib)
	if err != nil {
		return nil, err
	}
	return works.Trace(lots, register, q.Name)
}

// trace answers with what went into batches and where they went.
func (s *Server) trace(_ context.Context, q *shelfQuestion, w io.Writer) (string, error) {
	t, err := s.traced(q)
	if err != nil {
		return "", err
	}
	return asJSON, report.RecallJSON(w, t.Traced)
}

// tracePage sends a trace to be printed, as for a recall.
func (s *Server) tracePage(w http.ResponseWriter, r *http.Request) {
	q := &shelfQuestion{File: r.URL.Query().Get("file"), Name: r.URL.Query().Get("name")}
	t, err := s.traced(q)
	if err != nil {
		refuse(w, err)
		return
	}
	s.printed(w, func(out io.Writer) error {
		return report.RecallHTML(out, q.Name, works.DateText(s.now()), t.Traced)
	})
}
