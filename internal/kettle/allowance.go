package kettle

import (
	"context"
	"math"
	"slices"
	"strconv"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
)

// Allowance says how far a plan stays clear of its limits, so that a batch meets its brief although every
// amount is off by its scale's division and every reading by its instrument's error, all to the bad at once.
type Allowance struct {
	// Asked is the share of that which was asked for, and Kept the share that the brief leaves room for.
	Asked, Kept float64
	// Cost is what it costs, on scales without divisions.
	Cost float64
}

// tries are the shares of an allowance that are tried in turn.
var tries = []float64{1, 0.75, 0.5, 0.25}

// allow plans the batch again within limits that are drawn in, and takes that plan over. It leaves the plan
// as it is when no share of the allowance leaves a plan.
func (p *Plan) allow(ctx context.Context) error {
	asked := p.Options.Allowance
	p.Allowance.Asked = asked
	m := &margins{job: p.Job, effects: effects(p.Assessment, p.division)}
	for _, share := range tries {
		job, err := m.drawnIn(asked * share)
		if err != nil {
			continue // a lot or a rule that the narrower brief does not open with
		}
		o := p.Options
		o.Allowance = 0
		inner, err := plan(ctx, job, o)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil || inner.Assessment == nil {
			continue
		}
		recipe, missing := p.Job.Here(inner.Assessment.Recipe)
		recipe.Batch = true
		a, err := assess.Assess(p.Job, recipe)
		if err != nil || len(missing) > 0 || !a.KeepsCaps() || len(a.Misses()) > 0 || a.Recovered < o.Litres*(1-litresTolerance) {
			continue
		}
		p.take(inner, a)
		p.Allowance.Kept = asked * share
		return nil
	}
	return nil
}

// take takes over the plan of a narrower brief, judged by the plan's own.
func (p *Plan) take(inner *Plan, a *assess.Assessment) {
	least := p.Cost.Least
	p.Assessment, p.Batch, p.Nodes, p.Complete, p.weighed, p.Cost = a, inner.Batch, inner.Nodes, inner.Complete, inner.weighed, inner.Cost
	for n := range p.weighed {
		p.weighed[n].Source = p.Job.Source(p.weighed[n].Source.Name)
	}
	p.Allowance.Cost = math.Max(0, inner.Cost.Least-least)
	p.Cost.Least = least
}

// division is the smallest step with which a part of the plan is weighed.
func (p *Plan) division(part brief.Part) float64 {
	for _, l := range p.weighed {
		if l.Source == part.Source {
			return l.DivisionG
		}
	}
	return 0
}

// effects returns how far each value of an assessment moves, at most, when every amount is off by its
// division, by the keys of list and "c" with the cap's place.
func effects(a *assess.Assessment, division func(brief.Part) float64) map[string]float64 {
	values := func(a *assess.Assessment) map[string]float64 {
		all := map[string]float64{}
		for _, q := range list(a) {
			all[q.key] = q.value
		}
		for n, c := range a.Caps {
			all[capKey(n)] = c.Guarded
		}
		return all
	}
	off := map[string]float64{}
	base := values(a)
	for n, part := range a.Recipe.Parts {
		moved := *a.Recipe
		moved.Parts = slices.Clone(moved.Parts)
		moved.Parts[n].Amount += division(part)
		b, err := assess.Assess(a.Job, &moved)
		if err != nil {
			continue
		}
		for key, value := range values(b) {
			if d := math.Abs(value - base[key]); !math.IsNaN(d) {
				off[key] += d
			}
		}
	}
	return off
}

func capKey(n int) string { return "c " + strconv.Itoa(n) }

// margins draw the limits of a job in.
type margins struct {
	job     *brief.Job
	effects map[string]float64
	// weightsOnly leaves the instruments out.
	weightsOnly bool
}

// drawnIn returns the job with each limit drawn in by a share of what divisions and instruments may do to it.
func (m *margins) drawnIn(share float64) (*brief.Job, error) {
	j := m.job
	job, err := j.Changed(func(b *brief.Brief) {
		for n := range b.Targets {
			t := &b.Targets[n]
			t.Range = m.narrow(t.Range, "a "+t.Attribute, kettleMeasure(j, t.Attribute), perUnit(t.Attribute), share)
		}
		for n := range b.Readings {
			t := &b.Readings[n]
			t.Range = m.narrow(t.Range, "r "+string(t.Reading), readingMeasure(j, t.Reading), 1, share)
		}
		b.Ratios = slices.Clone(b.Ratios)
		for n := range b.Ratios {
			b.Ratios[n].Range = m.narrow(b.Ratios[n].Range, "q "+b.Ratios[n].Name, "", 1, share)
		}
		for name, limit := range b.Limits {
			limit.Range = m.narrow(limit.Range, "u "+name, "", 1, share)
			b.Limits[name] = limit
		}
		for n := range b.Groups {
			b.Groups[n].Range = m.narrow(b.Groups[n].Range, "u "+b.Groups[n].Name, "", 1, share)
		}
	})
	if err != nil {
		return nil, err
	}
	job.Caps = slices.Clone(job.Caps)
	for n := range job.Caps {
		job.Caps[n].Max = math.Max(0, job.Caps[n].Max-share*m.effects[capKey(n)])
	}
	return job, nil
}

// narrow draws a range in on the sides that it has; a range with no room for that keeps to its middle, and
// one that asks for a single value stays.
func (m *margins) narrow(r brief.Range, key, measure string, per, share float64) brief.Range {
	by := func(limit float64) float64 {
		off := m.effects[key]
		if measure != "" && !m.weightsOnly {
			off += m.job.Instrument(measure).Off(limit/per) * per
		}
		return share * off
	}
	least, most := r.Min, r.Max
	if !math.IsInf(least, -1) && least > 0 {
		least += by(least)
	}
	if !math.IsInf(most, 1) && most > 0 {
		most -= by(most)
	}
	if least > most || most < 0 {
		if r.Min == r.Max {
			return r
		}
		room := r.Max - r.Min
		least, most = math.Max(r.Min, r.Min+0.45*room), math.Min(r.Max, r.Max-0.45*room)
	}
	return brief.Range{Min: least, Max: most}
}

// kettleMeasure is the measurement that an attribute is read by in the kettle, or empty.
func kettleMeasure(j *brief.Job, attribute string) string {
	if j.Throw > 0 {
		return ""
	}
	return map[string]string{brief.Acidity: MeasureAcidity, brief.Alcohol: MeasureAlcohol}[attribute]
}

func perUnit(attribute string) float64 {
	if attribute == brief.Alcohol {
		return brief.EthanolPerPercent
	}
	return 1
}

// readingMeasure is the measurement of a reading in the kettle, or empty when that is not the drink's.
func readingMeasure(j *brief.Job, r brief.Reading) string {
	if j.Throw > 0 {
		return ""
	}
	return map[brief.Reading]string{brief.PH: MeasurePH, brief.Brix: MeasureBrix, brief.Density: MeasureDensity}[r]
}
