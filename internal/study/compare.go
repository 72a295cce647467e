package study

import (
	"context"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
)

// Side is one of two things compared: a recipe under a brief.
type Side struct {
	Name string
	Job  *brief.Job
	// Recipe is nil for the brief's cheapest one.
	Recipe *brief.Recipe
}

// Comparison sets two recipes beside each other.
type Comparison struct {
	Names [2]string
	// Assessments judge each recipe by its own brief.
	Assessments [2]*assess.Assessment
	// Answers are set where the recipe is a brief's cheapest one.
	Answers [2]*Answer
	Drift   Drift
	// Conflict is set, and the assessments are not, when one brief cannot be met: it is that one's.
	Conflict *Answer
}

// Compare judges two recipes.
func Compare(ctx context.Context, a, b Side) (*Comparison, error) {
	c := &Comparison{Names: [2]string{a.Name, b.Name}}
	for n, side := range []Side{a, b} {
		if side.Recipe != nil {
			judged, err := assess.Assess(side.Job, side.Recipe)
			if err != nil {
				return nil, err
			}
			c.Assessments[n] = judged
			continue
		}
		answer, err := Cheapest(ctx, side.Job)
		if err != nil {
			return nil, err
		}
		if answer.Conflict != nil {
			c.Conflict = answer
			return c, nil
		}
		c.Answers[n], c.Assessments[n] = answer, answer.Assessment
	}
	c.Drift = DriftBetween(c.Assessments[0], c.Assessments[1])
	return c, nil
}

// InMarkets returns the job of the same brief for sale in other places. What may not be used there is told
// as a fault of the brief.
func InMarkets(j *brief.Job, markets ...string) (*brief.Job, error) {
	return j.Changed(func(b *brief.Brief) {
		b.Markets = nil
		for _, m := range markets {
			b.Markets = append(b.Markets, brief.Ref{Name: m})
		}
	})
}
