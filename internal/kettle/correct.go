package kettle

import (
	"context"
	"math"
	"slices"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/liquor"
	"bittersum/solver"
)

// Correction is the cheapest addition that brings a batch back within its brief; nothing is taken out.
type Correction struct {
	Add []Addition
	// After judges the batch with it; nil when no addition does.
	After *assess.Assessment
	// Cost is what it costs, in the brief's currency.
	Cost float64
}

// Addition is what to add of one source, on the scale that it is weighed on.
type Addition struct {
	Source           *brief.Source
	Grams, DivisionG float64
}

const (
	// mostGrown is how much larger a batch may become by what is added.
	mostGrown = 1.5
	// waterWorth is a price in the brief's currency per gram that keeps water from being added for nothing.
	waterWorth = 1e-7
)

// Correct works out what to add to what was weighed so far, so that with it, and with what is not weighed
// yet, the batch meets the brief. It sets Correction where the batch as it stands does not meet it.
func (m *Made) Correct(ctx context.Context) error {
	if m.Standing == nil || m.Standing.KeepsCaps() && len(m.Standing.Misses()) == 0 && !m.short() {
		return nil
	}
	m.Correction = &Correction{}
	for _, kept := range []float64{1, 0.5, 0} { // a share of the divisions' effect that is kept clear of limits
		c, err := m.added(ctx, kept)
		if err != nil || c != nil {
			if c != nil {
				m.Correction = c
			}
			return err
		}
	}
	return nil
}

// short reports whether fewer litres will be recovered than were planned.
func (m *Made) short() bool {
	return m.Standing.Recovered < m.Record.PlannedL*(1-2*litresOffShare)
}

// added solves for the additions with limits drawn in by that share of what divisions do, and returns nil
// when there are none that hold when they are rounded.
func (m *Made) added(ctx context.Context, kept float64) (*Correction, error) {
	job, err := m.drawnIn(kept)
	if err != nil {
		return nil, nil // drawn in so far there is no room left
	}
	in := m.inKettle(job)
	parts := slices.Clone(m.Standing.Recipe.Parts)
	for range mostRounds {
		state, err := liquor.Mix(job, here(job, parts)).State()
		if err != nil {
			return nil, nil
		}
		grams, err := m.cheapest(ctx, job, formulate.At(job, state), in)
		if err != nil || grams == nil {
			return nil, err
		}
		c := m.rounded(job, in, grams)
		if a, err := assess.Assess(m.Job, c.recipe(m.Job, in)); err == nil && a.KeepsCaps() && len(a.Misses()) == 0 {
			c.After = a
			return c, nil
		}
		parts = c.recipe(job, in).Parts
	}
	return nil, nil
}

// here returns parts in terms of the job's own sources.
func here(j *brief.Job, parts []brief.Part) []brief.Part {
	own := make([]brief.Part, 0, len(parts))
	for _, p := range parts {
		if s := j.Source(p.Source.Name); s != nil {
			own = append(own, brief.Part{Source: s, Amount: p.Amount})
		}
	}
	return own
}

// drawnIn returns the job with its limits drawn in by a share of what the divisions of the scales do.
func (m *Made) drawnIn(kept float64) (*brief.Job, error) {
	if kept == 0 {
		return m.Job, nil
	}
	return (&margins{job: m.Job, effects: effects(m.Standing, m.division), weightsOnly: true}).drawnIn(kept)
}

// inKettle is what was weighed of each of the job's sources so far.
func (m *Made) inKettle(job *brief.Job) []float64 {
	in := make([]float64, len(job.Sources))
	for _, l := range m.Lines {
		for n, s := range job.Sources {
			if s.Name == l.Source.Name && l.Grams > 0 {
				in[n] += l.Grams
			}
		}
	}
	return in
}

// cheapest returns the grams in all of each source at the least cost, none below what is in the kettle; nil
// when no addition meets the brief.
func (m *Made) cheapest(ctx context.Context, job *brief.Job, f *formulate.Formulation, in []float64) ([]float64, error) {
	planned := m.Record.PlannedL
	if math.IsNaN(planned) {
		planned = 0
	}
	weighed := make([]formulate.Weighed, len(job.Sources))
	for n := range weighed {
		weighed[n] = formulate.Weighed{DivisionG: 1, MostG: m.most(job.Sources[n], in[n])}
	}
	b := f.Batch(formulate.BatchOptions{Litres: planned, MostLitres: mostGrown * math.Max(planned, m.Standing.Recovered), Weighed: weighed, Free: true})
	for n, s := range job.Sources {
		b.Problem.Columns[n].Lower = in[n]
		b.Problem.Columns[n].Upper = math.Max(in[n], weighed[n].MostG)
		if s.Water() {
			b.Problem.Columns[n].Cost = math.Max(b.Problem.Columns[n].Cost, waterWorth)
		}
	}
	s, err := solver.Solve(ctx, b.Problem, solver.Options{})
	if err != nil {
		return nil, err
	}
	if s.Status != solver.Optimal {
		return nil, ctx.Err()
	}
	return b.Grams(s.X), nil
}

// most is how much of a source can be in the batch in all: of a lot, what it still has with what this batch
// took of it already.
func (m *Made) most(s *brief.Source, in float64) float64 {
	if s.Lot == nil {
		return math.Inf(1)
	}
	day := m.Day()
	if day.IsZero() {
		day = time.Time{}
	}
	if s.Lot.WhyNot(day) != "" {
		return in
	}
	left := s.Lot.LeftKg()
	for _, d := range s.Lot.Draws {
		if d.Batch == m.Record.Batch {
			left += d.Kg
		}
	}
	return math.Max(in, left*1000*(1-s.Ingredient.TrimmingLoss))
}

// rounded puts additions on the divisions of the scales that they are weighed on.
func (m *Made) rounded(job *brief.Job, in, grams []float64) *Correction {
	c := &Correction{}
	for n, s := range job.Sources {
		more := grams[n] - in[n]
		if more <= nothing {
			continue
		}
		division := 0.0
		for _, scale := range job.ScalesFor(s.Ingredient.Name) {
			if division = scale.DivisionG; scale.ToG >= more {
				break
			}
		}
		if steps := math.Round(more / division); steps > 0 {
			c.Add = append(c.Add, Addition{Source: m.Job.Source(s.Name), Grams: formulate.Times(steps, division), DivisionG: division})
			c.Cost += s.CostPerGram * steps * division
		}
	}
	return c
}

// recipe is the batch with the additions, in terms of a job's sources.
func (c *Correction) recipe(j *brief.Job, in []float64) *brief.Recipe {
	r := &brief.Recipe{Name: j.Name, Batch: true}
	for n, s := range j.Sources {
		grams := in[n]
		for _, a := range c.Add {
			if a.Source.Name == s.Name {
				grams += a.Grams
			}
		}
		if grams > 0 {
			r.Parts = append(r.Parts, brief.Part{Source: s, Amount: grams})
		}
	}
	return r
}
