package works

import (
	"context"
	"math"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/stock"
	"bittersum/internal/tomlfile"
	"bittersum/internal/wholefile"
)

// Filling is what is written down in a record at once.
type Filling struct {
	// Weighed are grams by source, Measured values by measurement.
	Weighed, Measured []Amount
	// Goods are the lots, by ingredient, of what is in no lots file.
	Goods []Goods
	// MadeOn, By and Note are nil where they stay as they are.
	MadeOn   *time.Time
	By, Note *string
}

// Goods says which lot was used of something that is in no lots file.
type Goods struct{ Name, Lot string }

// empty reports whether nothing is to be written down.
func (f *Filling) empty() bool {
	return len(f.Weighed)+len(f.Measured)+len(f.Goods) == 0 && f.MadeOn == nil && f.By == nil && f.Note == nil
}

// Recording is a record to be filled in and judged.
type Recording struct {
	// Job is the brief, opened with every lot and for a litre; see RecordSettings.
	Job  *brief.Job
	File string
	Filling
	// Try judges what would be written, and writes nothing.
	Try bool
	// Draw books what was taken in the brief's lots file; Again takes what is booked under this number without
	// saying by which record for this one's.
	Draw, Again bool
	// Today is the day that dates are held against, zero for none, and Now the time that the register notes.
	Today, Now time.Time
}

// RecordSettings are how a brief is opened to judge a record of it.
func RecordSettings() []brief.Setting {
	return []brief.Setting{brief.WithEveryLot(), brief.Litres(1)}
}

// Record fills a record in, judges it, writes it and books what was drawn; done says what was booked.
func (r *Recording) Record(ctx context.Context) (made *kettle.Made, done string, err error) {
	record, err := kettle.ReadRecord(r.File)
	if err != nil {
		return nil, "", err
	}
	writes := (r.Draw || !r.empty()) && !r.Try
	if err := wholefile.Protected(r.File); err != nil && writes {
		return nil, "", err
	}
	old := record.Clone()
	if err := r.fillIn(record); err != nil {
		return nil, "", err
	}
	if writes && r.Draw && record.ID == "" {
		record.ID = kettle.NewIdentity()
	}
	if made, err = kettle.JudgeOn(r.Job, record, r.Today); err != nil {
		return nil, "", err
	}
	if err := made.Correct(ctx); err != nil {
		return nil, "", err
	}
	text, err := record.Edited(record.Text(), old)
	if err != nil {
		return nil, "", err
	}
	if writes && text != record.Text() {
		if err := WriteFile(r.File, []byte(text)); err != nil {
			return nil, "", err
		}
	}
	if writes && r.Draw {
		done, err = r.draw(made)
	}
	return made, done, err
}

// fillIn writes the filling into a record.
func (r *Recording) fillIn(record *kettle.Record) error {
	weighed := func(name string) *kettle.Weighed {
		at := slices.IndexFunc(record.Weighed, func(w kettle.Weighed) bool { return w.Name() == name })
		if at < 0 {
			ingredient, lot, _ := strings.Cut(name, "/")
			at = len(record.Weighed)
			record.Weighed = append(record.Weighed, kettle.Weighed{Ingredient: ingredient, Lot: lot, PlannedG: math.NaN(), Grams: math.NaN()})
		}
		return &record.Weighed[at]
	}
	for _, a := range r.Weighed {
		if a.Value < 0 {
			return Usage("--weighed: %v g is below zero", a.Value)
		}
		weighed(a.Name).Grams = a.Value
	}
	for _, g := range r.Goods {
		if g.Lot == "" || !OneLine(g.Lot) {
			return Usage("--lot: %q is not NAME=LOT", g.Name+"="+g.Lot)
		}
		if !slices.ContainsFunc(record.Weighed, func(w kettle.Weighed) bool { return w.Name() == g.Name && w.Lot == "" }) {
			return Usage("--lot: %q is no line of the record that has no lot yet", g.Name)
		}
		weighed(g.Name).LotUsed = g.Lot
	}
	if err := r.measure(record); err != nil {
		return err
	}
	if r.MadeOn != nil {
		record.MadeOn = *r.MadeOn
	}
	if r.By != nil {
		record.By = *r.By
	}
	if r.Note != nil {
		record.Note = *r.Note
	}
	return nil
}

// measure writes measurements into a record.
func (r *Recording) measure(record *kettle.Record) error {
	for _, a := range r.Measured {
		if known := record.Measures(r.Job); !slices.Contains(known, a.Name) {
			return Usage("--measured: there is no measurement %q %s", a.Name, Hinted(tomlfile.DidYouMean(a.Name, known)))
		}
		at := slices.IndexFunc(record.Measured, func(m kettle.Measured) bool { return m.Name == a.Name })
		if at < 0 {
			at = len(record.Measured)
			record.Measured = append(record.Measured, kettle.Measured{Name: a.Name, Planned: math.NaN()})
		}
		record.Measured[at].Value = a.Value
	}
	return nil
}

// draw books what a batch took, and enters it in the register.
func (r *Recording) draw(made *kettle.Made) (string, error) {
	job := r.Job
	if strings.HasPrefix(job.LotsFile, "demo:") || job.LotsFile == "" && job.RegisterFile == "" {
		return "", Usage("--draw: %s names no lots file of your own", job.File)
	}
	if job.LotsFile == "" {
		return registerMade(made, r.Now)
	}
	var changes []string
	var backup string
	err := stock.Edit(job.LotsFile, func(book *stock.Book) (err error) {
		backup = book.Backup()
		changes, err = book.Draw(stock.Batch{Number: made.Record.Batch, Record: made.Record.ID, Adopt: r.Again}, made.Day(), made.Draws())
		return err
	})
	if err != nil {
		return "", err
	}
	entered, err := registerMade(made, r.Now)
	return drawnText(job.LotsFile, backup, changes) + entered, err
}
