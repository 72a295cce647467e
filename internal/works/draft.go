package works

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/plan"
	"bittersum/internal/tomlfile"
)

// PlanFile is the name of a plan that is begun.
const PlanFile = "plan.toml"

// Begun is a plan that was begun: of which briefs, and what was left out and why.
type Begun struct {
	Path          string
	Briefs, Other []string
}

// BeginPlan writes a plan of the briefs of drinks in a folder, from the first of next month when no day is given.
// open reads a brief. A plan that is there is left as it is.
func BeginPlan(dir string, from, today time.Time, open func(path string) (*brief.Job, error)) (*Begun, error) {
	if from.IsZero() {
		from = time.Date(today.Year(), today.Month(), 1, 0, 0, 0, 0, time.UTC).AddDate(0, 1, 0)
	}
	if from.Day() > 28 {
		return nil, Usage("--from %s is after the 28th, a day that some months lack", DateText(from))
	}
	b := &Begun{Path: filepath.Join(dir, PlanFile)}
	if _, err := os.Lstat(b.Path); err == nil {
		return nil, tomlfile.Faults{{File: b.Path, What: "is there already; nothing was written"}}
	}
	jobs, err := b.briefsIn(dir, open)
	if err != nil {
		return nil, err
	}
	if len(jobs) == 0 {
		return nil, tomlfile.Faults{{File: dir, What: "holds no brief of a drink that can be read", Hint: "bittersum init DIR makes one"}}
	}
	whole, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	return b, WriteFile(b.Path, []byte(plan.Draft(filepath.Base(whole), from, b.Briefs, jobs)))
}

// briefsIn opens the briefs of drinks in a folder that count in one currency, and notes of other files that look like
// briefs why they are left out.
func (b *Begun) briefsIn(dir string, open func(path string) (*brief.Job, error)) ([]*brief.Job, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var jobs []*brief.Job
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() || filepath.Ext(name) != ".toml" {
			continue
		}
		doc, err := tomlfile.Open(filepath.Join(dir, name))
		if err != nil || !doc.Root().Has("use") || !doc.Root().Has("name") {
			continue // lots, recipes, records
		}
		job, err := open(filepath.Join(dir, name))
		var faults tomlfile.Faults
		switch {
		case errors.As(err, &faults):
			b.Other = append(b.Other, faults[0].Error())
		case err != nil:
			return nil, err
		case job.Kind != brief.Drink:
			b.Other = append(b.Other, name+" is a blend and no drink")
		case len(jobs) > 0 && job.Currency != jobs[0].Currency:
			b.Other = append(b.Other, fmt.Sprintf("%s counts in %s and %s in %s", name, job.Currency, b.Briefs[0], jobs[0].Currency))
		default:
			b.Briefs, jobs = append(b.Briefs, name), append(jobs, job)
		}
	}
	slices.Sort(b.Other)
	return jobs, nil
}
