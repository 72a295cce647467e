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
	"strconv"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/report"
	"bittersum/internal/works"
)

// batchQuestion asks for a batch of a brief as it is saved.
type batchQuestion struct {
	File string `json:"file"`
	// Litres and Day are the brief's own and today when they are not given.
	Litres *float64 `json:"litres"`
	Day    string   `json:"day"`
	// Without are numbers of lots that are left out; Cheapest uses lots in the cheapest order.
	Without  []string `json:"without"`
	Cheapest bool     `json:"cheapest"`
	// Throw (as 1+5), Scale and Allowance (a share) are as the command has them; the brief's own and all when not given.
	Throw     string   `json:"throw"`
	Scale     string   `json:"scale"`
	Allowance *float64 `json:"allowance"`
	// Number is what the batch is called; the first free one when it is empty.
	Number string `json:"number"`
	Paper  string `json:"paper"`
	// Sheet and Record are the files to write, beside the brief; Shown is the print of the plan that was shown.
	Sheet   string `json:"sheet"`
	Record  string `json:"record"`
	Shown   string `json:"shown"`
	Replace bool   `json:"replace"`
}

// batch reads a question about a batch: nothing is solved yet.
func (s *Server) batch(q *batchQuestion) (*works.Batch, error) {
	day, err := s.dayOf(q.Day)
	if err != nil {
		return nil, err
	}
	settings := []brief.Setting{brief.OnDay(day), brief.LeavingOut(q.Without...)}
	if q.Litres != nil {
		if !(*q.Litres > 0) {
			return nil, wrong(http.StatusBadRequest, "%v is no batch size", *q.Litres)
		}
		settings = append(settings, brief.Litres(*q.Litres))
	}
	if q.Throw != "" {
		soda, err := works.ParseThrow(q.Throw)
		if err != nil {
			return nil, err
		}
		settings = append(settings, brief.Thrown(soda))
	}
	if q.Scale != "" {
		scales, err := works.ParseScales(q.Scale)
		if err != nil {
			return nil, err
		}
		settings = append(settings, brief.OnScales(scales))
	}
	job, err := s.open(q.File, settings...)
	if err != nil {
		return nil, err
	}
	b := &works.Batch{Job: job, Drink: works.DrinkOf(q.File), Paper: q.Paper, Force: q.Replace, Plan: kettle.Options{Cheapest: q.Cheapest, Allowance: 1, Number: q.Number}}
	if q.Allowance != nil {
		b.Plan.Allowance = *q.Allowance
	}
	if b.Paper == "" {
		b.Paper = works.Papers[0]
	}
	if q.Sheet != "" {
		file, err := s.place(q.File, q.Sheet)
		if err != nil {
			return nil, err
		}
		b.Sheets = []string{file}
	}
	if q.Record != "" {
		if b.Record, err = s.place(q.File, q.Record); err != nil {
			return nil, err
		}
		if err := s.mine(job.RegisterFile); err != nil {
			return nil, err
		}
	}
	return b, b.Settle()
}

// planned plans a batch; it returns the plan with the print that tells it from any other.
func (s *Server) planned(ctx context.Context, q *batchQuestion) (*works.Batch, *kettle.Plan, []byte, error) {
	b, err := s.batch(q)
	if err != nil {
		return nil, nil, nil, err
	}
	plan, err := b.New(ctx)
	if err != nil {
		return nil, nil, nil, err
	}
	var out bytes.Buffer
	err = report.BatchJSON(&out, plan)
	return b, plan, out.Bytes(), err
}

// shelfLot is a lot that a batch may be made of.
type shelfLot struct {
	Number     string  `json:"number"`
	Ingredient string  `json:"ingredient"`
	LeftKg     float64 `json:"left_kg"`
	BestBefore string  `json:"best_before,omitempty"`
	WhyNot     string  `json:"not_usable_because,omitempty"`
	Out        bool    `json:"left_out,omitempty"`
}

// lotsFor lists the lots of what a brief may use.
func lotsFor(job *brief.Job) []shelfLot {
	lots := []shelfLot{}
	for n := range job.Lots {
		l := &job.Lots[n]
		if !slices.ContainsFunc(job.Use, func(r brief.Ref) bool { return r.Name == l.Ingredient }) {
			continue
		}
		lots = append(lots, shelfLot{l.Number, l.Ingredient, l.LeftKg(), works.DateText(l.BestBefore), l.WhyNot(job.Day), slices.Contains(job.WithoutLots, l.Number)})
	}
	return lots
}

// plan answers with a batch, or with why there is none in the words of the command.
func (s *Server) plan(ctx context.Context, q *batchQuestion, w io.Writer) (string, error) {
	b, plan, data, err := s.planned(ctx, q)
	if err != nil {
		return "", err
	}
	var says bytes.Buffer
	if plan.Assessment == nil {
		report.Batch(&says, plan)
	}
	number := plan.Options.Number
	return asJSON, json.NewEncoder(w).Encode(map[string]any{
		"plan": json.RawMessage(data), "shown": fingerprint(string(data)), "says": says.String(), "name": b.Job.Name, "litres": b.Job.BatchL, "day": works.DateText(b.Job.Day),
		"number": number, "lots": lotsFor(b.Job), "sheet": fileName(number) + ".html", "record": fileName(number) + ".toml", "writes": filepath.Base(s.folderPath(q.File)),
	})
}

// fileName makes a file's name of a batch's number.
func fileName(number string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, number)
}

// writeBatch writes the sheet and the record's form of the plan that was shown.
func (s *Server) writeBatch(ctx context.Context, q *batchQuestion, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	if q.Sheet == "" && q.Record == "" {
		return "", wrong(http.StatusBadRequest, "no file is named to write")
	}
	b, plan, data, err := s.planned(ctx, q)
	if err != nil {
		return "", err
	}
	if fingerprint(string(data)) != q.Shown {
		return "", wrong(http.StatusConflict, "the brief, the shelf or the number's use changed since this batch was shown: nothing was written; plan it again")
	}
	if plan.Assessment == nil {
		return "", wrong(http.StatusConflict, "there is no such batch, so there is nothing to write")
	}
	if err := b.Write(plan, s.now()); err != nil {
		return "", err
	}
	written := []string{}
	for _, name := range []string{q.Sheet, q.Record} {
		if name != "" {
			written = append(written, path.Join(s.folderOf(q.File), name))
		}
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"written": written})
}

// sheet sends the sheet of a batch, to print: a page without scripts, its style in it.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request) {
	get := r.URL.Query()
	q := &batchQuestion{File: get.Get("file"), Day: get.Get("day"), Number: get.Get("number"), Paper: get.Get("paper"), Record: get.Get("record"), Without: get["without"], Cheapest: get.Get("cheapest") != ""}
	q.Throw, q.Scale = get.Get("throw"), get.Get("scale")
	for name, at := range map[string]**float64{"litres": &q.Litres, "allowance": &q.Allowance} {
		if x, err := strconv.ParseFloat(get.Get(name), 64); err == nil {
			*at = &x
		}
	}
	ctx, cancel := context.WithTimeout(r.Context(), longest)
	defer cancel()
	ends, ok := s.turn(ctx)
	if !ok {
		return
	}
	defer ends()
	b, plan, _, err := s.planned(ctx, q)
	if err == nil && plan.Assessment == nil {
		err = wrong(http.StatusConflict, "there is no such batch")
	}
	if err != nil {
		refuse(w, err)
		return
	}
	s.printed(w, func(out io.Writer) error { return report.BatchHTML(out, plan, b.Paper) })
}

// printed sends a page that report wrote to be printed.
func (s *Server) printed(w http.ResponseWriter, write func(io.Writer) error) {
	var out bytes.Buffer
	if err := write(&out); err != nil {
		refuse(w, err)
		return
	}
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; form-action 'none'; frame-ancestors 'self'; base-uri 'none'")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(out.Bytes())
}

// dayOf reads a day, today when none is given.
func (s *Server) dayOf(text string) (time.Time, error) {
	if text == "" {
		return works.Day(s.now()), nil
	}
	return works.ParseDay("--date", text)
}

// folderOf returns the folder of a brief within the server's, with slashes; that of a demo is the server's own.
func (s *Server) folderOf(file string) string {
	if _, demo := brief.IsDemo(file); demo {
		return "."
	}
	return path.Dir(file)
}

func (s *Server) folderPath(file string) string {
	at, err := filepath.Abs(filepath.Join(s.folder, filepath.FromSlash(s.folderOf(file))))
	if err != nil {
		return s.folder
	}
	return at
}

// short names files as the page does, without the folder.
func (s *Server) short(text string) string {
	if folder := filepath.Clean(s.folder); folder != "." {
		text = strings.ReplaceAll(text, folder+string(filepath.Separator), "")
	}
	return text
}

// place returns the path of a file to be written beside a brief; a name that leads elsewhere is refused.
func (s *Server) place(file, name string) (string, error) {
	if name != path.Base(name) || !filepath.IsLocal(name) || strings.HasPrefix(name, ".") || strings.ContainsAny(name, `/\`) {
		return "", wrong(http.StatusBadRequest, "%q is no name of a file beside the brief", name)
	}
	at := filepath.Join(s.folder, filepath.FromSlash(s.folderOf(file)), name)
	if err := s.mine(at); err != nil {
		return "", err
	}
	return at, s.mine(at + ".bak")
}

// mine refuses a file that lies outside of the server's folder, or is a link out of it; "" is no file.
func (s *Server) mine(file string) error {
	if file == "" {
		return nil
	}
	elsewhere := wrong(http.StatusForbidden, "%s lies outside of this folder: the page leaves it alone, the commands do not", file)
	folder, err := filepath.Abs(s.folder)
	if err != nil {
		return err
	}
	at, err := filepath.Abs(file)
	if err != nil {
		return err
	}
	within, err := filepath.Rel(folder, at)
	if err != nil || !filepath.IsLocal(within) {
		return elsewhere
	}
	if _, err := s.root.Stat(within); err != nil && !os.IsNotExist(err) { // follows no link out of the folder
		return elsewhere
	}
	return nil
}
