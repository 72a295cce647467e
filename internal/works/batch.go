package works

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
)

// Batch is a batch to be planned, with the files that are written of it.
type Batch struct {
	Job  *brief.Job
	Plan kettle.Options
	// Drink begins the number that the batch is given when Plan has none.
	Drink string
	// Sheets are the files for the sheet, in the forms that their names say, on that Paper; Record is the file
	// for the record's form, empty for none.
	Sheets        []string
	Paper, Record string
	// Force replaces what is there.
	Force bool

	files Outputs
}

// Papers are what a sheet can be printed on.
var Papers = []string{"a4", "letter"}

// Settle gives the batch its litres and its number and looks whether its files can be written.
func (b *Batch) Settle() error {
	if !slices.Contains(Papers, b.Paper) {
		return Usage("--paper: %q is not known; it is %s", b.Paper, strings.Join(Papers, " or "))
	}
	if !(b.Plan.Allowance >= 0 && b.Plan.Allowance <= 1) {
		return Usage("--allowance: %v is no share from 0 to 1", b.Plan.Allowance)
	}
	if b.Plan.Litres = b.Job.BatchL; b.Plan.Litres == 0 && b.Job.Kind == brief.Drink {
		return Usage("batch needs --litres, or batch_l in the brief")
	}
	if err := knownLots(b.Job); err != nil {
		return err
	}
	if err := chooseNumber(b.Job, &b.Plan, b.Drink, b.Record, b.Force); err != nil {
		return err
	}
	b.files = Outputs{Force: b.Force}
	for _, file := range b.Sheets {
		b.files.Add("--out", file, func(data []byte) bool { return report.OwnSheet(file, data) }, report.SheetEndings...)
	}
	b.files.Add("--record", b.Record, ownForm(b.Record, b.Plan.Number), ".toml")
	return b.files.Check()
}

// knownLots refuses to leave out a lot that is not there.
func knownLots(j *brief.Job) error {
	var known []string
	for _, lot := range j.Lots {
		known = append(known, lot.Number)
	}
	for _, number := range j.WithoutLots {
		if !slices.Contains(known, number) {
			return Usage("--without-lot: there is no lot %q %s", number, Hinted(tomlfile.DidYouMean(number, known)))
		}
	}
	return nil
}

// New plans the batch; Settle must have been called.
func (b *Batch) New(ctx context.Context) (*kettle.Plan, error) { return kettle.New(ctx, b.Job, b.Plan) }

// Write makes every file before it writes the first, and enters the plan in the brief's register when a record
// is written.
func (b *Batch) Write(plan *kettle.Plan, now time.Time) error {
	var made []*bytes.Buffer
	for _, file := range b.Sheets {
		made = append(made, &bytes.Buffer{})
		if err := report.Sheet(made[len(made)-1], plan, file, b.Paper); err != nil {
			return err
		}
	}
	for n, file := range b.Sheets {
		if err := b.files.Write(file, made[n].Bytes()); err != nil {
			return err
		}
	}
	if b.Record == "" {
		return nil
	}
	form := kettle.NewRecord(plan)
	if old := blankForm(b.Record, form.Batch); old != nil && old.ID != "" {
		form.ID = old.ID // the same batch, planned anew
	}
	if err := registerPlan(plan, form, now); err != nil {
		return err
	}
	return b.files.Write(b.Record, form.TOML())
}

// DrinkOf returns the name of a brief without folder and ending, as batches are numbered by.
func DrinkOf(arg string) string {
	if name, ok := brief.IsDemo(arg); ok {
		return name
	}
	base := filepath.Base(arg)
	return strings.ReplaceAll(strings.TrimSuffix(base, filepath.Ext(base)), " ", "-")
}

// drawnText says what a draw did to the lots.
func drawnText(file, backup string, changes []string) string {
	if len(changes) == 0 {
		return fmt.Sprintf("%s holds these amounts already.\n", file)
	}
	text := fmt.Sprintf("Booked in %s; its last state is %s.\n", file, backup)
	for _, change := range changes {
		text += "  " + change + "\n"
	}
	return text
}
