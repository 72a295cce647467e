package formulate

import (
	"maps"
	"slices"

	"bittersum/internal/brief"
)

// Moved returns a copy of the job with limit l at another value. Both share all that does not move. A
// limit of the kettle has no value to move: the job then stays as it is.
func (f *Formulation) Moved(l Limit, value float64) *brief.Job {
	b := *f.Job.Brief
	j := *f.Job
	j.Brief = &b
	move := func(r *brief.Range) {
		if l.Side != Max {
			r.Min = value
		}
		if l.Side != Min {
			r.Max = value
		}
	}
	switch l.Kind {
	case Target:
		if l.Line == brief.Custom {
			at := maps.Clone(b.SensibleAt)
			if at == nil {
				at = map[string]float64{}
			}
			at[l.Name] = value
			b.SensibleAt = at
			break
		}
		b.Targets = changed(b.Targets, func(t *brief.Target) {
			if t.Attribute == l.Name {
				move(&t.Range)
			}
		})
	case Reading:
		b.Readings = changed(b.Readings, func(t *brief.ReadingTarget) {
			if string(t.Reading) == l.Name {
				move(&t.Range)
			}
		})
	case Capped:
		j.Caps = changed(j.Caps, func(c *brief.Cap) {
			if c.Market == l.Cap.Market && c.Substance == l.Cap.Substance && c.Per == l.Cap.Per {
				c.Max = value
			}
		})
	case Ratio:
		b.Ratios = changed(b.Ratios, func(q *brief.Ratio) {
			if q.Name == l.Name {
				move(&q.Range)
			}
		})
	case Group:
		b.Groups = changed(b.Groups, func(g *brief.Group) {
			if g.Name == l.Name {
				move(&g.Range)
			}
		})
	case Use:
		b.Limits = maps.Clone(b.Limits)
		limit := b.Limit(l.Name)
		move(&limit.Range)
		b.Limits[l.Name] = limit
	case Total:
		move(&b.Total)
	case Drift:
		near := *b.Near
		near.Within = value
		b.Near = &near
	case Liquor:
		b.MostLiquor = value
	}
	return &j
}

// changed returns a copy of a list with do done to each of it.
func changed[T any](list []T, do func(*T)) []T {
	list = slices.Clone(list)
	for n := range list {
		do(&list[n])
	}
	return list
}
