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
		b.Targets = slices.Clone(b.Targets)
		for n := range b.Targets {
			if b.Targets[n].Attribute == l.Name {
				move(&b.Targets[n].Range)
			}
		}
	case Reading:
		b.Readings = slices.Clone(b.Readings)
		for n := range b.Readings {
			if string(b.Readings[n].Reading) == l.Name {
				move(&b.Readings[n].Range)
			}
		}
	case Capped:
		j.Caps = slices.Clone(j.Caps)
		for n := range j.Caps {
			if c := &j.Caps[n]; c.Market == l.Cap.Market && c.Substance == l.Cap.Substance && c.Per == l.Cap.Per {
				c.Max = value
			}
		}
	case Ratio:
		b.Ratios = slices.Clone(b.Ratios)
		for n := range b.Ratios {
			if b.Ratios[n].Name == l.Name {
				move(&b.Ratios[n].Range)
			}
		}
	case Group:
		b.Groups = slices.Clone(b.Groups)
		for n := range b.Groups {
			if b.Groups[n].Name == l.Name {
				move(&b.Groups[n].Range)
			}
		}
	case Use:
		b.Limits = maps.Clone(b.Limits)
		limit := b.Limits[l.Name]
		move(&limit.Range)
		b.Limits[l.Name] = limit
	case Total:
		move(&b.Total)
	}
	return &j
}
