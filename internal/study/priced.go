package study

import (
	"context"
	"fmt"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/liquor"
	"bittersum/solver"
)

// Pricing finds the cheapest recipes of one job at costs that move, each from the last one's state and basis.
// It is for callers that solve a job hundreds of times; it is not safe for use by several goroutines.
type Pricing struct {
	Job   *brief.Job
	state liquor.State
	start *solver.Basis
}

// NewPricing starts with a copy of a job whose lots are not bounded by what is left of them.
func NewPricing(j *brief.Job) *Pricing {
	own := *j
	own.Sources = make([]*brief.Source, len(j.Sources))
	for n, s := range j.Sources {
		copied := *s
		if copied.Lot != nil {
			copied.Max = solver.Inf
		}
		own.Sources[n] = &copied
	}
	return &Pricing{Job: &own, state: liquor.Guess()}
}

// At returns the cheapest recipe when source n costs costs[n] a gram (a unit of a blend) and may be taken
// where open[n], rounded and assessed, with its least cost before rounding. The assessment is nil when that cost
// is not below a limit; the cost is infinite when there is no recipe.
func (p *Pricing) At(ctx context.Context, costs []float64, open []bool, below float64) (*assess.Assessment, float64, error) {
	job := *p.Job
	job.Sources = make([]*brief.Source, len(p.Job.Sources))
	for n, s := range p.Job.Sources {
		copied := *s
		copied.CostPerGram = costs[n]
		if !open[n] {
			copied.Max = 0
		}
		job.Sources[n] = &copied
	}
	f, s, err := settledFrom(ctx, &job, p.state, p.start)
	if err != nil || s.Status == solver.Infeasible {
		return nil, solver.Inf, err
	}
	if s.Status != solver.Optimal {
		return nil, 0, fmt.Errorf("%w: the cheapest recipe of %s is %s", ErrUnproved, job.Name, s.Status)
	}
	p.state, p.start = f.State, s.Basis
	if !(s.Objective < below) || len(f.Recipe(s.X).Parts) == 0 {
		return nil, s.Objective, nil
	}
	a, err := settle(f, s.X)
	if err != nil {
		return nil, 0, err
	}
	here, _ := p.Job.Here(a.Recipe)
	a, err = assess.Assess(p.Job, here)
	return a, s.Objective, err
}

// Judged assesses a recipe of the job that the pricing was made from.
func (p *Pricing) Judged(r *brief.Recipe) (*assess.Assessment, error) {
	here, _ := p.Job.Here(r)
	return assess.Assess(p.Job, here)
}

// Mixed returns the recipe that a mixture of recipes makes, so many litres (batches of a blend) of each,
// rounded and assessed. An error wraps ErrUnproved when the mixture misses what each of them meets.
func (p *Pricing) Mixed(recipes []*brief.Recipe, litres []float64) (*assess.Assessment, error) {
	f := formulate.At(p.Job, p.state)
	x := make([]float64, len(f.Problem.Columns))
	total := 0.0
	for _, l := range litres {
		total += l
	}
	for k, r := range recipes {
		for n, s := range p.Job.Sources {
			x[n] += r.Amount(s.Name) * litres[k] / total
		}
	}
	return settle(f, x)
}

// Most returns the most of a weighted sum of sources that a recipe can hold, weights by source, per litre (batch
// of a blend); infinite when nothing bounds it.
func (p *Pricing) Most(ctx context.Context, weights []float64) (float64, error) {
	f := formulate.At(p.Job, p.state)
	for n := range f.Problem.Columns {
		f.Problem.Columns[n].Cost = 0
		if n < len(weights) {
			f.Problem.Columns[n].Cost = -weights[n]
		}
	}
	s, err := solver.Solve(ctx, f.Problem, solver.Options{Start: p.start})
	switch {
	case err != nil:
		return 0, err
	case s.Status == solver.Optimal:
		return -s.Objective, nil
	}
	return solver.Inf, nil
}
