// Package stock keeps a lots file: what was delivered and what batches took. It only ever adds to the
// file, so that what a maker wrote there stays as it is, and it writes whole files or nothing.
package stock

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
)

// Book is a lots file that is open for adding.
type Book struct {
	*brief.Lots
	// text is what the file is to hold, before what it said when it was opened, and opened its very bytes.
	text, before, opened string
	// exists says that the file was there when it was opened.
	exists bool
}

// Open reads the lots file at path. A file that is not there is an empty book. The error is a
// tomlfile.Faults for what the maker can mend.
func Open(path string) (*Book, error) {
	if ending := strings.ToLower(filepath.Ext(path)); ending != ".toml" && ending != ".csv" {
		hint := ""
		if sheet.IsTable(path) {
			hint = "a workbook is read and never written: bittersum lots list shows it, and saved as CSV it can be kept here"
		}
		return nil, tomlfile.Faults{{File: path, What: "a lots file ends in .toml or .csv", Hint: hint}}
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return &Book{Lots: &brief.Lots{File: path}}, nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, tomlfile.Faults{{File: path, What: "cannot be read: " + err.Error()}}
	}
	text, err := tomlfile.ReadText(path)
	if err != nil {
		return nil, err
	}
	lots, err := brief.ParseLots(path, text)
	if err != nil {
		return nil, err
	}
	return &Book{Lots: lots, text: text, before: text, opened: string(data), exists: true}, nil
}

// Add adds a lot. The error is a tomlfile.Faults when there is one of that number or the lot contradicts
// itself.
func (b *Book) Add(lot brief.Lot) error {
	if old := b.Find(lot.Number); old != nil {
		return tomlfile.Faults{{File: b.File, Line: old.Line, Key: "number", What: fmt.Sprintf("there is a lot %q already", lot.Number)}}
	}
	var text string
	var err error
	if brief.IsCSV(b.File) {
		text, err = withRow(b.File, b.text, lotCells(lot))
	} else {
		text = withTable(b.text, lotTable(lot))
	}
	if err != nil {
		return err
	}
	return b.added(b.take(text))
}

// Change adds a change of a lot. The error is a tomlfile.Faults when there is no such lot, or when what it
// says cannot be.
func (b *Book) Change(number string, c brief.Change) error {
	lot := b.Find(number)
	if lot == nil {
		var known []string
		for _, l := range b.Lots.Lots {
			known = append(known, l.Number)
		}
		return tomlfile.Faults{{File: b.File, What: fmt.Sprintf("there is no lot %q", number), Hint: tomlfile.DidYouMean(number, known)}}
	}
	if c.Kg = rounded(c.Kg); lot.LeftKg()+c.Kg < -smallest {
		return tomlfile.Faults{{File: b.File, What: fmt.Sprintf("lot %q has %.7g kg left: %.7g kg of it cannot be written off", number, lot.LeftKg(), -c.Kg)}}
	}
	text := withTable(b.text, changeTable(number, c))
	if brief.IsCSV(b.File) {
		var err error
		if text, err = withRow(b.File, b.text, changeCells(number, c)); err != nil {
			return err
		}
	}
	return b.added(b.take(text))
}

// added takes the lines from faults about what is about to be added: no file has them.
func (b *Book) added(err error) error {
	var faults tomlfile.Faults
	if !errors.As(err, &faults) {
		return err
	}
	for n := range faults {
		if faults[n].Line > strings.Count(b.before, "\n") {
			faults[n].Line = 0
		}
	}
	return faults
}

// Check looks up the names that the lots use. The error is a tomlfile.Faults.
func (b *Book) Check(lib *profile.Library) error { return b.added(brief.CheckLots(b.Lots, lib)) }

// take makes text the book's after reading it, so that what is saved can be read back.
func (b *Book) take(text string) error {
	lots, err := brief.ParseLots(b.File, text)
	if err != nil {
		return err
	}
	b.Lots, b.text = lots, text
	return nil
}

// smallest is the step to which drawn amounts are kept, in kg; a milligram is 1e-6.
const smallest = 1e-9

// rounded returns an amount as the decimal nearest to it on that step.
func rounded(kg float64) float64 { return math.Round(kg*(1/smallest)) / (1 / smallest) }

// Batch names whose draw it is.
type Batch struct {
	Number string
	// Record is the identity of the batch's record.
	Record string
	// Adopt takes draws of that number that carry no identity for this record's, as files of before do.
	Adopt bool
}

// adopted reports whether this record has drawn under the number before, so that draws of it that carry no
// identity are its own too.
func (b *Book) adopted(batch Batch) bool {
	for n := range b.Lots.Lots {
		for _, d := range b.Lots.Lots[n].Draws {
			if d.Batch == batch.Number && d.Record == batch.Record && d.Record != "" {
				return true
			}
		}
	}
	return false
}

// strange returns a fault when draws of that number are another record's.
func (b *Book) strange(batch Batch) error {
	adopt := batch.Adopt || b.adopted(batch)
	for n := range b.Lots.Lots {
		lot := &b.Lots.Lots[n]
		for _, d := range lot.Draws {
			if d.Batch != batch.Number || d.Record == batch.Record || d.Record == "" && adopt {
				continue
			}
			day := ""
			if !d.On.IsZero() {
				day = " on " + d.On.Format(time.DateOnly)
			}
			what := fmt.Sprintf("batch %q is booked already by another record (%.6g kg of lot %q%s)", batch.Number, d.Kg, lot.Number, day)
			hint := "two batches need two numbers: give this one its own"
			if d.Record == "" {
				what = fmt.Sprintf("batch %q is booked already (%.6g kg of lot %q%s), by which record is not said", batch.Number, d.Kg, lot.Number, day)
				hint = "if it was this one, say so with --again; else give this batch a number of its own"
			}
			return tomlfile.Faults{{File: b.File, Line: d.Line, What: what, Hint: hint}}
		}
	}
	return nil
}

// Draw makes the draws of a batch add up to the given amounts in kg by lot number: it adds what is
// missing, and gives back what an earlier state of the same record had too much. It returns a line about
// each lot that it changed. The error is a tomlfile.Faults when the number is another record's, or when a
// lot is not there or has too little left.
func (b *Book) Draw(batch Batch, on time.Time, kg map[string]float64) (changes []string, err error) {
	if err := b.strange(batch); err != nil {
		return nil, err
	}
	missing, err := b.missing(batch.Number, kg)
	if err != nil {
		return nil, err
	}
	if batch.Adopt && len(missing) == 0 && !b.adopted(batch) {
		for _, number := range slices.Sorted(maps.Keys(kg)) { // nothing to book but whose it is
			missing[number] = 0
			break
		}
	}
	text := b.text
	for _, number := range slices.Sorted(maps.Keys(missing)) {
		d := brief.Draw{Batch: batch.Number, Record: batch.Record, Kg: missing[number], On: on}
		if brief.IsCSV(b.File) {
			if text, err = withRow(b.File, text, drawCells(number, d)); err != nil {
				return nil, err
			}
		} else {
			text = withTable(text, drawTable(number, d))
		}
		lot := b.Find(number)
		left := rounded(lot.LeftKg() - d.Kg)
		if d.Kg < 0 {
			changes = append(changes, fmt.Sprintf("%.7g kg of %s, lot %s, go back on the shelf: this record had %.7g kg before; %.7g kg are left", -d.Kg, lot.Ingredient, number, rounded(kg[number]-d.Kg), left))
			continue
		}
		changes = append(changes, fmt.Sprintf("%.7g kg of %s, lot %s, taken; %.7g kg are left", d.Kg, lot.Ingredient, number, left))
	}
	return changes, b.take(text)
}

// missing returns by lot what the draws of a batch lack of the amounts, in whole smallest steps; what they
// have too much is below zero.
func (b *Book) missing(batch string, kg map[string]float64) (map[string]float64, error) {
	var faults tomlfile.Faults
	fault := func(what, hint string) {
		faults = append(faults, tomlfile.Fault{File: b.File, What: what, Hint: hint})
	}
	missing := map[string]float64{}
	for _, number := range slices.Sorted(maps.Keys(kg)) {
		if b.Find(number) == nil {
			fault(fmt.Sprintf("there is no lot %q", number), "")
			continue
		}
		missing[number] = kg[number]
	}
	for n := range b.Lots.Lots {
		lot := &b.Lots.Lots[n]
		for _, d := range lot.Draws {
			if d.Batch == batch {
				missing[lot.Number] -= d.Kg
			}
		}
		more := rounded(missing[lot.Number])
		if more > lot.LeftKg()+smallest {
			fault(fmt.Sprintf("batch %q needs %.6g kg of lot %q, which has %.6g kg left", batch, more, lot.Number, lot.LeftKg()), "weigh from another lot too, or correct quantity_kg")
		}
		if missing[lot.Number] = more; math.Abs(more) <= smallest/2 {
			delete(missing, lot.Number)
		}
	}
	return missing, faults.Err()
}
