package page

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"path/filepath"

	"bittersum/internal/register"
	"bittersum/internal/report"
	"bittersum/internal/works"
)

// registerQuestion asks for the register of a brief, or decides about a batch in it.
type registerQuestion struct {
	// File is a brief that names a register.
	File  string `json:"file"`
	Batch string `json:"batch"`
	// What is released, withheld or sold; the rest as works.Decision has it.
	What       string `json:"what"`
	By         string `json:"by"`
	Reason     string `json:"reason"`
	BestBefore string `json:"best_before"`
	To         string `json:"to"`
	Bottles    int    `json:"bottles"`
	On         string `json:"on"`
}

// registered is a batch as its register has it.
type registered struct {
	Batch   string `json:"batch"`
	MadeOn  string `json:"made_on"`
	Verdict string `json:"verdict"`
	State   string `json:"state"`
	Bottles int    `json:"bottles"`
	Sold    int    `json:"sold"`
	Says    string `json:"says"`
}

// registerOf returns the path of the register that a brief names, within the folder.
func (s *Server) registerOf(file string) (string, error) {
	job, err := s.open(file, works.RecordSettings()...)
	if err != nil {
		return "", err
	}
	if job.RegisterFile == "" {
		return "", wrong(http.StatusNotFound, `this brief names no register: register = "register.txt" at its top begins one`)
	}
	return job.RegisterFile, s.mine(job.RegisterFile)
}

// register shows the register of a brief, once something was decided about a batch if that was asked for.
func (s *Server) register(_ context.Context, q *registerQuestion, w io.Writer) (string, error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	file, err := s.registerOf(q.File)
	if err != nil {
		return "", err
	}
	done := ""
	switch q.What {
	case "":
	case register.Released, register.Withheld, register.Sold:
		d := works.Decision{What: q.What, By: q.By, Reason: q.Reason, BestBefore: q.BestBefore, To: q.To, Bottles: q.Bottles, On: q.On}
		if done, err = works.Decide(file, q.Batch, d, s.now()); err != nil {
			return "", err
		}
	default:
		return "", wrong(http.StatusBadRequest, "there is no decision %q; there are released, withheld and sold", q.What)
	}
	r, err := register.Open(file)
	if err != nil {
		return "", err
	}
	batches := []registered{}
	for _, batch := range r.Batches() {
		var says bytes.Buffer
		if err := report.RegisterBatch(&says, r.Of(batch), false); err != nil {
			return "", err
		}
		one := registered{Batch: batch, State: report.RegisterState(r, batch), Says: says.String()}
		if made := r.Last(batch, register.Made); made != nil {
			one.MadeOn, one.Verdict = made.MadeOn, made.Verdict
		}
		one.Bottles, one.Sold = report.BottlesOf(r, batch)
		batches = append(batches, one)
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"register": filepath.Base(file), "batches": batches, "done": done, "seal": r.Seal(), "torn": r.Torn})
}
