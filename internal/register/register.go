// Package register keeps the register of batches: a plain file to which lines are only ever added. Each line
// begins with the SHA-256 of all that stands before it, so that a change of an older line shows:
//
//	head -n 3 register.txt | sha256sum
//
// prints what line 4 begins with. The last line has none after it; Seal returns the sum to note elsewhere.
package register

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bittersum/internal/tomlfile"

	"github.com/rogpeppe/go-internal/lockedfile"
)

// What an entry says.
const (
	Planned  = "planned"
	Made     = "made"
	Released = "released"
	Withheld = "withheld"
	Sold     = "sold"
)

// Entry is one line. Amounts are in grams by source, measurements in their own units by name.
type Entry struct {
	What  string    `json:"what"`
	Batch string    `json:"batch"`
	At    time.Time `json:"at"`
	// Record is the identity of the batch's record.
	Record string `json:"record,omitempty"`
	// Brief is the name of the brief, BriefPrint the SHA-256 of its file.
	Brief      string `json:"brief,omitempty"`
	BriefPrint string `json:"brief_sha256,omitempty"`
	// Program is the version of the program and Rules the SHA-256 of the library that it judged by.
	Program string `json:"program,omitempty"`
	Rules   string `json:"rules_sha256,omitempty"`
	// Litres are those planned, or found.
	Litres   float64            `json:"litres,omitempty"`
	Plan     map[string]float64 `json:"plan_g,omitempty"`
	Weighed  map[string]float64 `json:"weighed_g,omitempty"`
	Lots     map[string]string  `json:"lots_used,omitempty"`
	Measured map[string]float64 `json:"measured,omitempty"`
	MadeOn   string             `json:"made_on,omitempty"`
	Verdict  string             `json:"verdict,omitempty"`
	Findings []string           `json:"findings,omitempty"`
	// By, Reason, Bottles, LotCode, BestBefore and To belong to releases and sales.
	By         string `json:"by,omitempty"`
	Reason     string `json:"reason,omitempty"`
	Bottles    int    `json:"bottles,omitempty"`
	LotCode    string `json:"lot_code,omitempty"`
	BestBefore string `json:"best_before,omitempty"`
	To         string `json:"to,omitempty"`
	On         string `json:"on,omitempty"`
}

// Register is what a file holds.
type Register struct {
	File    string
	Entries []Entry
	// Torn are the numbers of lines that cannot be read, as after a loss of power.
	Torn []int
	data []byte
}

// Open reads the register at path; one that is not there is empty. The error is a tomlfile.Faults when a line
// was changed after it was written.
func Open(path string) (*Register, error) {
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("register: %w", err)
	}
	return parse(path, data)
}

func parse(path string, data []byte) (*Register, error) {
	r := &Register{File: path, data: data}
	before := 0
	for n, line := range bytes.SplitAfter(data, []byte("\n")) {
		if len(line) == 0 {
			continue
		}
		sum, text, _ := strings.Cut(strings.TrimSuffix(string(line), "\n"), " ")
		if len(sum) != sha256.Size*2 {
			if bytes.HasSuffix(line, []byte("\n")) && bytes.ContainsRune(line, ' ') {
				return nil, r.fault(n+1, "does not begin with the SHA-256 of what stands above it")
			}
			r.Torn = append(r.Torn, n+1)
		} else if sum != hash(data[:before]) {
			return nil, r.fault(n+1, fmt.Sprintf("begins with %s…, and what stands above it has the SHA-256 %s…: something above was changed", sum[:12], hash(data[:before])[:12]))
		} else {
			var e Entry
			if err := json.Unmarshal([]byte(text), &e); err != nil {
				r.Torn = append(r.Torn, n+1)
			} else {
				r.Entries = append(r.Entries, e)
			}
		}
		before += len(line)
	}
	return r, nil
}

func (r *Register) fault(line int, what string) error {
	return tomlfile.Faults{{File: r.File, Line: line, What: what}}
}

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Seal is the SHA-256 of the whole file: what the next line will begin with.
func (r *Register) Seal() string { return hash(r.data) }

// Append adds an entry to the register at path, which is made when it is not there. It reads the register
// first, while no other program of ours writes it, and lets may, if not nil, refuse by what it finds or fill the entry in.
func Append(path string, e *Entry, may func(*Register) error) (*Register, error) {
	if is, err := os.Stat(filepath.Dir(path)); err != nil || !is.IsDir() {
		return nil, tomlfile.Faults{{File: path, What: "there is no folder " + filepath.Dir(path)}}
	}
	f, err := lockedfile.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return nil, fmt.Errorf("register: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(f)
	if err != nil {
		return nil, fmt.Errorf("register: %w", err)
	}
	r, err := parse(path, data)
	if err != nil {
		return nil, err
	}
	if may != nil {
		if err := may(r); err != nil {
			return nil, err
		}
	}
	line := ""
	if len(data) > 0 && data[len(data)-1] != '\n' {
		line = "\n" // a torn line stays as it is
	}
	text, err := json.Marshal(e)
	if err != nil {
		return nil, fmt.Errorf("register: %w", err)
	}
	line += hash(append(data[:len(data):len(data)], line...)) + " " + string(text) + "\n"
	if _, err := f.WriteString(line); err != nil {
		return nil, fmt.Errorf("register: %w", err)
	}
	if err := f.Sync(); err != nil {
		return nil, fmt.Errorf("register: %w", err)
	}
	return parse(path, append(data, line...))
}

// Of returns the entries of a batch, in their order.
func (r *Register) Of(batch string) []Entry {
	var own []Entry
	for _, e := range r.Entries {
		if e.Batch == batch {
			own = append(own, e)
		}
	}
	return own
}

// Last returns the last entry of a batch that says one of these things, or nil.
func (r *Register) Last(batch string, what ...string) *Entry {
	for n := len(r.Entries) - 1; n >= 0; n-- {
		e := &r.Entries[n]
		for _, w := range what {
			if e.Batch == batch && e.What == w {
				return e
			}
		}
	}
	return nil
}

// Decided returns the entry by which a batch is released or withheld, or nil when neither is so: a release
// counts only for what had been entered as made when it was given.
func (r *Register) Decided(batch string) *Entry {
	var decided *Entry
	for n := range r.Entries {
		e := &r.Entries[n]
		switch {
		case e.Batch != batch:
		case e.What == Released || e.What == Withheld:
			decided = e
		case e.What == Made && decided != nil && decided.What == Released:
			decided = nil
		}
	}
	return decided
}

// Batches returns the numbers of all batches, in the order in which they came in.
func (r *Register) Batches() []string {
	var all []string
	seen := map[string]bool{}
	for _, e := range r.Entries {
		if !seen[e.Batch] {
			seen[e.Batch] = true
			all = append(all, e.Batch)
		}
	}
	return all
}
