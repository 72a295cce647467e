package works

import (
	"context"
	"maps"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/label"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
)

// Labelling asks for the drafts of the labels of a drink.
type Labelling struct {
	// Job is the brief; for a Record opened as RecordSettings say.
	Job *brief.Job
	// Recipe or Record is a file; with neither the recipe is the brief's cheapest one.
	Recipe, Record string
	// Nutrients are figures that the profiles do not know, in g per 100 mL as served.
	Nutrients map[string]float64
}

// Labels drafts a label for each market. There is none for what may not be sold.
func (l *Labelling) Labels(ctx context.Context) (*assess.Assessment, []label.Label, error) {
	o := label.Options{Nutrients: l.Nutrients}
	if l.Recipe != "" && l.Record != "" {
		return nil, nil, Usage("--recipe and --record exclude each other")
	}
	for _, name := range slices.Sorted(maps.Keys(l.Nutrients)) {
		if !slices.Contains(label.Nutrients, name) {
			return nil, nil, Usage("--nutrient: %q is not known; it is one of %s %s", name, strings.Join(label.Nutrients, ", "), Hinted(tomlfile.DidYouMean(name, label.Nutrients)))
		}
		if grams := l.Nutrients[name]; !(grams >= 0 && grams <= 100) {
			return nil, nil, Usage("--nutrient: %s: %v g in 100 mL cannot be", name, grams)
		}
	}
	if l.Job.Kind != brief.Drink {
		return nil, nil, Usage("only a drink has a label; %s is a blend", l.Job.File)
	}
	a, err := l.labelled(ctx, &o)
	if err != nil {
		return nil, nil, err
	}
	if !a.KeepsCaps() {
		return nil, nil, unmet("the recipe breaks a cap: it may not be sold, so there is no label (see bittersum assess)")
	}
	return a, label.New(a, o), nil
}

// labelled returns the assessed recipe that a label is for; of a batch it notes the lot and the date of its bottles.
func (l *Labelling) labelled(ctx context.Context, o *label.Options) (*assess.Assessment, error) {
	switch {
	case l.Recipe != "":
		r, err := l.Job.OpenRecipe(l.Recipe)
		if err != nil {
			return nil, err
		}
		return assess.Assess(l.Job, r)
	case l.Record != "":
		return l.made(o)
	}
	answer, err := study.Cheapest(ctx, l.Job)
	if err != nil {
		return nil, err
	}
	if answer.Conflict != nil {
		return nil, unmet("the brief cannot be met, so there is nothing to label (see bittersum blend)")
	}
	return answer.Assessment, nil
}

// made judges the batch of the record.
func (l *Labelling) made(o *label.Options) (*assess.Assessment, error) {
	r, err := kettle.ReadRecord(l.Record)
	if err != nil {
		return nil, err
	}
	made, err := kettle.Judge(l.Job, r)
	if err != nil {
		return nil, err
	}
	if made.Assessment == nil || len(made.Missing) > 0 {
		return nil, tomlfile.Faults{{File: l.Record, What: "not all is written down yet: " + strings.Join(made.Missing, ", ")}}
	}
	if len(made.Wrong) > 0 {
		return nil, unmet("batch %s may not be sold as it is, so there is no label: %s (see bittersum record)", r.Batch, strings.Join(made.Wrong, "; "))
	}
	if o.Lot = r.LotCode; o.Lot == "" {
		o.Lot = r.Batch
	}
	if o.BestBefore = r.BestBefore; o.BestBefore.IsZero() {
		o.BestBefore = l.Job.BestBefore(r.MadeOn)
	}
	return made.Assessment, nil
}
