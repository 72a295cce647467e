package works

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/fit"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// Fitting learns contents from what was weighed and measured.
type Fitting struct {
	// Brief names the brief for the maker; Open reads it over a library, with settings.
	Brief string
	Open  func(lib *profile.Library, settings ...brief.Setting) (*brief.Job, error)
	// Records and Infusions are files, Without measurements to leave out, as BATCH/NAME.
	Records, Infusions, Without []string
	// Assumed is the variation in percent of natural products without a known deviation.
	Assumed float64
	// On is the day that stands beside what is written.
	On time.Time
	Measured
}

// Fitted is what was learned; Told is what was, or would be, written, nil for nothing.
type Fitted struct {
	Job    *brief.Job
	Result *fit.Result
	Told   []byte
}

// Fit reads the records, learns and writes, if a folder to write into is named.
func (f *Fitting) Fit(lib *profile.Library) (*Fitted, error) {
	if !(f.Assumed > 0 && f.Assumed <= 200) {
		return nil, Usage("--assume %v: a variation is above 0 and at most 200 percent", f.Assumed)
	}
	if err := noShare("--assume", f.Assumed, "from 1 on"); err != nil {
		return nil, err
	}
	if len(f.Records) == 0 && len(f.Infusions) == 0 {
		return nil, Usage("fit needs records of batches, or --infusions: what was not measured tells nothing")
	}
	f.Name, f.Own = "fit.toml", fit.OwnOverlay
	if err := f.Check(); err != nil {
		return nil, err
	}
	job, batches, err := f.batches(lib)
	if err != nil {
		return nil, err
	}
	r, err := fit.Fit(batches, f.Assumed/100)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Brief, err)
	}
	told := fit.Overlay(r, job, f.On)
	return &Fitted{job, r, told}, f.Write(job.Library, told)
}

// batches reads the brief, the records and the infusions.
func (f *Fitting) batches(lib *profile.Library) (*brief.Job, []fit.Batch, error) {
	without := *lib
	without.LeaveFits = true
	job, err := f.Open(&without, brief.WithEveryLot(), brief.Litres(1))
	if err != nil {
		return nil, nil, err
	}
	if job.Kind != brief.Drink {
		return nil, nil, Usage("%s is a blend: what is measured at a kettle tells of drinks", f.Brief)
	}
	var batches []fit.Batch
	for _, path := range f.Records {
		r, err := kettle.ReadRecord(path)
		if err != nil {
			return nil, nil, err
		}
		b, err := fit.FromRecord(job, r)
		if err != nil {
			return nil, nil, err
		}
		batches = append(batches, b)
	}
	for _, path := range f.Infusions {
		more, err := fit.ReadInfusions(path, job)
		if err != nil {
			return nil, nil, err
		}
		batches = append(batches, more...)
	}
	if twice := named(batches); twice != "" {
		return nil, nil, tomlfile.Faults{{File: f.Brief, What: fmt.Sprintf("there are two batches %q among the records: each counts once", twice)}}
	}
	if found := fit.CountedTwice(batches); len(found) > 0 {
		return nil, nil, tomlfile.Faults{{File: f.Brief, What: "a figure rests on one of these batches already: " + strings.Join(found, "; "), Hint: "leave the record out, or take the figure away"}}
	}
	for _, text := range f.Without {
		if err := leaveOut(batches, text); err != nil {
			return nil, nil, err
		}
	}
	return job, batches, nil
}

// named returns a name that two batches have, or nothing.
func named(batches []fit.Batch) string {
	for n, b := range batches {
		if slices.ContainsFunc(batches[:n], func(o fit.Batch) bool { return o.Name == b.Name }) {
			return b.Name
		}
	}
	return ""
}

// leaveOut takes a measurement out of its batch.
func leaveOut(batches []fit.Batch, text string) error {
	batch, name, ok := strings.Cut(text, "/")
	if !ok {
		return Usage("--without %s: it is BATCH/NAME, such as BL-42/ph", text)
	}
	var known []string
	for n := range batches {
		for k, m := range batches[n].Measured {
			if batches[n].Name == batch && m.Name == name {
				batches[n].Measured = slices.Delete(batches[n].Measured, k, k+1)
				return nil
			}
			known = append(known, batches[n].Name+"/"+m.Name)
		}
	}
	return Usage("--without %s: there is no such measurement%s", text, spaced(Hinted(tomlfile.DidYouMean(text, known))))
}
