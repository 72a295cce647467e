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
	"slices"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
)

// Book is a lots file that is open for adding.
type Book struct {
	*brief.Lots
	// text is what the file is to hold and opened what it held.
	text, opened string
	// exists says that the file was there when it was opened.
	exists bool
}

// Open reads the lots file at path. A file that is not there is an empty book. The error is a
// tomlfile.Faults for what the maker can mend.
func Open(path string) (*Book, error) {
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
	return &Book{Lots: lots, text: text, opened: string(data), exists: true}, nil
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
		text, err = withRow(b.text, lotCells(lot))
	} else {
		text = withTable(b.text, lotTable(lot))
	}
	if err != nil {
		return err
	}
	return b.take(text)
}

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

// Draw makes the draws of a batch add up to the given amounts in kg by lot number: it adds what is
// missing, and takes back what an earlier record of the same batch had too much. It reports whether there
// was anything to do. The error is a tomlfile.Faults when a lot is not there or has too little left.
func (b *Book) Draw(batch string, on time.Time, kg map[string]float64) (changed bool, err error) {
	var faults tomlfile.Faults
	fault := func(what, hint string) {
		faults = append(faults, tomlfile.Fault{File: b.File, What: what, Hint: hint})
	}
	missing := map[string]float64{}
	for _, number := range slices.Sorted(maps.Keys(kg)) {
		lot := b.Find(number)
		if lot == nil {
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
		if more := missing[lot.Number]; more > lot.LeftKg()+smallest {
			fault(fmt.Sprintf("batch %q needs %.6g kg of lot %q, which has %.6g kg left", batch, more, lot.Number, lot.LeftKg()), "weigh from another lot too, or correct quantity_kg")
		}
	}
	if err := faults.Err(); err != nil {
		return false, err
	}
	var numbers []string
	for number, amount := range missing {
		missing[number] = rounded(amount)
		if math.Abs(amount) > smallest {
			numbers = append(numbers, number)
		}
	}
	slices.Sort(numbers)
	text := b.text
	for _, number := range numbers {
		d := brief.Draw{Batch: batch, Kg: missing[number], On: on}
		if brief.IsCSV(b.File) {
			if text, err = withRow(text, drawCells(number, d)); err != nil {
				return false, err
			}
		} else {
			text = withTable(text, drawTable(number, d))
		}
	}
	return len(numbers) > 0, b.take(text)
}
