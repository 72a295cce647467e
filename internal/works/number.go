package works

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/register"
	"bittersum/internal/tomlfile"
)

// numbers are the batch numbers that are in use, each with where it was found.
type numbers map[string]string

// numbered finds batch numbers in records, also in one that can no longer be read as a whole.
var numbered = regexp.MustCompile(`(?m)^[ \t]*batch[ \t]*=[ \t]*["']([^"'\n]+)["']`)

// takenNumbers looks at what the lots file says was drawn, at the records in the brief's folder and in those
// of the files named, and at the register.
func takenNumbers(job *brief.Job, beside ...string) (numbers, error) {
	taken := numbers{}
	for n := range job.Lots {
		for _, d := range job.Lots[n].Draws {
			taken.note(d.Batch, job.LotsFile+" holds what it drew")
		}
	}
	var folders []string
	for _, file := range append([]string{job.File}, beside...) {
		if _, demo := brief.IsDemo(file); !demo && file != "" {
			folders = append(folders, filepath.Dir(file))
		}
	}
	if job.RegisterFile != "" {
		r, err := register.Open(job.RegisterFile)
		if err != nil {
			return nil, err
		}
		defer func() { // a record says more
			for _, number := range r.Batches() {
				taken.note(number, job.RegisterFile+" has it")
			}
		}()
	}
	slices.Sort(folders)
	for _, folder := range slices.Compact(folders) {
		if err := taken.look(folder); err != nil {
			return nil, err
		}
	}
	return taken, nil
}

func (n numbers) note(number, where string) {
	if n[number] == "" {
		n[number] = where
	}
}

// look notes the numbers of a folder's records.
func (n numbers) look(folder string) error {
	files, err := filepath.Glob(filepath.Join(folder, "*.toml"))
	if err != nil {
		return err
	}
	for _, file := range files {
		if is, err := os.Stat(file); err != nil || !is.Mode().IsRegular() || is.Size() > tomlfile.MaxBytes {
			continue
		}
		data, err := os.ReadFile(file)
		if err != nil {
			continue // what cannot be read is no record of ours
		}
		if lots, err := brief.ParseLots(file, string(data)); err == nil && len(lots.Lots) > 0 {
			continue
		}
		for _, found := range numbered.FindAllSubmatch(data, -1) {
			n.note(string(found[1]), file+" is its record")
		}
	}
	return nil
}

// free returns the first number of a day that is not in use: drink, date and a running letter.
func (n numbers) free(drink string, day time.Time) string {
	base := drink + "-" + day.Format(time.DateOnly)
	if n[base] != "" { // numbers of before had no letter
		n.note(base+"-a", n[base])
	}
	for at := 1; ; at++ {
		if number := base + "-" + letters(at); n[number] == "" {
			return number
		}
	}
}

// letters counts a, b, ... z, aa, ab, ...
func letters(at int) string {
	text := ""
	for ; at > 0; at = (at - 1) / 26 {
		text = string(rune('a'+(at-1)%26)) + text
	}
	return text
}

// chooseNumber gives a batch a number that is free, or says that the one asked for is not. The form of the
// same batch, as long as nothing is filled in, does not stand in the way of planning it again.
func chooseNumber(job *brief.Job, o *kettle.Options, drink, record string, force bool) error {
	taken, err := takenNumbers(job, record)
	if err != nil {
		return err
	}
	if o.Number == "" {
		o.Number = taken.free(drink, job.Day)
		return nil
	}
	if !OneLine(o.Number) {
		return Usage("--number: %q holds control characters", o.Number)
	}
	where := taken[o.Number]
	if where == "" || force || blankForm(record, o.Number) != nil && strings.HasPrefix(where, record+" ") {
		return nil
	}
	return Usage("--number: %s is taken: %s; leave --number out for a free one, or plan it again with --force", o.Number, where)
}

// OneLine reports whether a text can stand on one line of a file and of a terminal.
func OneLine(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f || r == '\uFFFD' })
}

// blankForm returns the form in a file if it is that batch's and nothing is filled in, else nil.
func blankForm(file, number string) *kettle.Record {
	if file == "" {
		return nil
	}
	r, err := kettle.ReadRecord(file)
	if err != nil || r.Batch != number || r.Started() {
		return nil
	}
	return r
}

// ownForm reports whether data is the blank form of that batch.
func ownForm(file, number string) func(data []byte) bool {
	return func([]byte) bool { return blankForm(file, number) != nil }
}
