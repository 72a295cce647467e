package formulate

import (
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/solver"
)

// guards adds what keeps limits although contents vary (brief.Guard). With content and deviations as forms over
// the sources, of which each varies by itself, a limit that is not to be passed is the cone
//
//	Σ m_j x_j - max·basis + reach·√(Σ (s_j x_j)²) <= 0
//
// and one that is not to be fallen below its mirror image. With Most set the root gives way to the largest sum
// of so many of the reach·s_j x_j.
func (f *Formulation) guards() {
	for _, g := range f.Job.Guard {
		mean, excess, upper := f.guarded(g)
		var strays []solver.Term
		for _, t := range mean {
			if t.Column < len(f.Job.Sources) {
				if deviation := math.Abs(t.Value) * g.CV[t.Column]; deviation > 0 {
					strays = append(strays, solver.Term{Column: t.Column, Value: deviation})
				}
			}
		}
		name := "sure of " + g.Name
		if g.Most > 0 {
			for n := range strays {
				strays[n].Value *= g.Reach
			}
			f.Problem.AddBudget(name, excess, strays, upper, g.Most)
			continue
		}
		cone := solver.Cone{Name: name, Linear: excess, Scale: g.Reach, Upper: upper}
		for _, t := range strays {
			cone.Factors = append(cone.Factors, []solver.Term{t})
		}
		f.Problem.Cones = append(f.Problem.Cones, cone)
	}
}

// guarded returns what a guarded limit speaks of as a form, and the form that is at most upper where the mean
// keeps it.
func (f *Formulation) guarded(g brief.Guarded) (mean, excess []solver.Term, upper float64) {
	var basis []solver.Term
	switch {
	case g.Mean != nil:
		for n, v := range g.Mean {
			if v != 0 {
				mean = append(mean, solver.Term{Column: n, Value: v})
			}
		}
		basis = f.capBasis(g.Cap.Per)
	case g.Name == string(brief.PH):
		l := Limit{Kind: Reading, Name: g.Name, Side: Min, medium: f.State.Lowest}
		if g.Above {
			l.Side, l.medium = Max, f.State.Highest
		}
		mean = f.acid(l, g.Value)
		excess = mean
	default:
		mean, basis = f.Content(f.Job.Library.Attributes[g.Name])
		if basis == nil {
			upper = g.Value
		}
	}
	if excess == nil {
		excess = mean
		if basis != nil {
			excess = f.less(mean, g.Value, basis)
		}
	}
	if g.Above {
		return mean, excess, upper
	}
	excess = append([]solver.Term(nil), excess...)
	for n := range excess {
		excess[n].Value = -excess[n].Value
	}
	return mean, excess, -upper
}

// Room returns how many deviations beyond g.Reach the columns x keep free, below zero where they keep less.
func (f *Formulation) Room(g brief.Guarded, x []float64) float64 {
	mean, excess, upper := f.guarded(g)
	var strays []float64
	for _, t := range mean {
		if t.Column < len(f.Job.Sources) {
			strays = append(strays, math.Abs(t.Value*x[t.Column])*g.CV[t.Column])
		}
	}
	spread := 0.0
	if g.Most > 0 {
		slices.Sort(strays)
		slices.Reverse(strays)
		left := g.Most
		for _, s := range strays {
			spread += math.Min(left, 1) * s
			left = math.Max(0, left-1)
		}
	} else {
		for _, s := range strays {
			spread = math.Hypot(spread, s)
		}
	}
	room := upper - Dot(excess, x)
	if spread == 0 {
		return math.Copysign(math.Inf(1), room)
	}
	return room/spread - g.Reach
}
