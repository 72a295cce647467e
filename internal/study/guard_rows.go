package study

import (
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/formulate"
	"bittersum/internal/profile"
)

// GuardedLimit is one side of a limit that is kept although lots vary.
type GuardedLimit struct {
	brief.Guarded
	Unit string
	// Allowed is the chance of breaking it that the search left it, and Broken what the stress run finds.
	Allowed float64
	Broken  chance.Estimate
	// Binding says that it holds the recipe.
	Binding bool

	group int     // limits of a group share its risk
	room  float64 // the deviations that the recipe keeps free beyond Reach
	pH    brief.ReadingTarget
	// sources is how many of the job's sources vary in it.
	sources int
}

// guardedLimits lists what is to be kept: the caps that some source counts toward, and the sides of targets if
// asked. The names of targets that are left as certain are returned too.
func (g *guarding) guardedLimits() (limits []GuardedLimit, left []string) {
	groups := 0
	next := func(sides ...GuardedLimit) {
		for _, s := range sides {
			if s.sources = varying(s.CV); s.sources > 0 {
				s.group = groups
				limits = append(limits, s)
			}
		}
		groups++
	}
	for n := range g.Job.Caps {
		c := &g.Job.Caps[n]
		if c.Max == 0 { // nothing of it: the cap's own row says so
			continue
		}
		mean, cv := g.capContent(c.Cap)
		next(GuardedLimit{Guarded: brief.Guarded{Name: c.Substance, Cap: c, Above: true, Value: c.Max, Mean: mean, CV: cv}, Unit: c.Unit()})
	}
	if !g.Options.Targets {
		return limits, nil
	}
	for _, t := range g.Job.Targets {
		a := g.Job.Library.Attributes[t.Attribute]
		if t.Min == t.Max || a.Per == profile.PerBatch || a.Per == profile.PerUnit {
			left = append(left, a.Name)
			continue
		}
		next(sides(GuardedLimit{Guarded: brief.Guarded{Name: a.Name, CV: g.targetCV(a.Name)}, Unit: a.Unit + "/" + perWord(a.Per)}, t.Range)...)
	}
	for _, t := range g.Job.Readings {
		if t.Reading != brief.PH || t.Min == t.Max {
			left = append(left, string(t.Reading))
			continue
		}
		next(sides(GuardedLimit{Guarded: brief.Guarded{Name: string(t.Reading), CV: g.targetCV(brief.Acidity)}, pH: t}, t.Range)...)
	}
	for _, q := range g.Job.Ratios {
		left = append(left, q.Name)
	}
	return limits, left
}

// sides returns a limit for each end of a range.
func sides(l GuardedLimit, r brief.Range) (out []GuardedLimit) {
	if !math.IsInf(r.Min, -1) {
		low := l
		low.Value = r.Min
		out = append(out, low)
	}
	if !math.IsInf(r.Max, 1) {
		l.Above, l.Value = true, r.Max
		out = append(out, l)
	}
	return out
}

func varying(cv []float64) (count int) {
	for _, v := range cv {
		if v > 0 {
			count++
		}
	}
	return count
}

// capContent returns what a gram of each source brings to a cap on average, and its coefficient of variation.
func (g *guarding) capContent(c profile.Cap) (mean, cv []float64) {
	for _, s := range g.Job.Sources {
		m, variance := 0.0, 0.0
		type brought struct {
			substance string
			mean, sd  float64
		}
		var before []brought
		for _, share := range c.Counted() {
			content, reaches, carries := carried(s, share.Substance, true)
			if !carries {
				continue
			}
			center, deviation := content.PerGram, content.SD*math.Sqrt(1-2/math.Pi)
			if content.PerGram == 0 { // known by a bound alone: half of a normal distribution
				center = content.SD * math.Sqrt(2/math.Pi)
			} else if d, err := g.content(s, share.Substance, content, false); err == nil {
				deviation = d.SD
			}
			center *= reaches / share.Max
			deviation *= reaches / share.Max
			m += center
			variance += deviation * deviation
			for _, o := range before {
				variance += 2 * covariance(o.mean, o.sd, center, deviation, together(s, o.substance, share.Substance))
			}
			before = append(before, brought{share.Substance, center, deviation})
		}
		mean = append(mean, m)
		if m > 0 {
			cv = append(cv, math.Sqrt(math.Max(0, variance))/m)
		} else {
			cv = append(cv, 0)
		}
	}
	return mean, cv
}

// targetCV returns the coefficients of variation of what the sources bring to a target.
func (g *guarding) targetCV(attribute string) []float64 {
	cv := make([]float64, len(g.Job.Sources))
	for n, s := range g.Job.Sources {
		if attribute == brief.Acidity {
			brought, _ := s.Solutes()
			if content, _ := s.Content(attribute); brought != (brief.Solutes{}) || content.PerGram != 0 {
				cv[n] = g.sourness(s)
			}
			continue
		}
		content, _, carries := carried(s, attribute, false)
		if !carries || content.PerGram == 0 {
			continue
		}
		if d, err := g.content(s, attribute, content, content.Drawn()); err == nil {
			cv[n] = d.SD / d.Mean
		}
	}
	return cv
}

// broken returns the chance that a recipe breaks a guarded limit, from at most so many points where each takes an
// equilibrium.
func (g *guarding) broken(a *assess.Assessment, l *GuardedLimit, o StressOptions, curved int) (chance.Estimate, error) {
	model, outcome, err := modelOf(newStress(a, o), l)
	if err != nil {
		return chance.Estimate{}, err
	}
	if outcome.Of != nil {
		o.Draws = min(o.Draws, curved)
	}
	if l.Above {
		return model.Above(&outcome, l.Value, o.Draws), nil
	}
	mirrored := outcome.Mirrored()
	return model.Above(&mirrored, -l.Value, o.Draws), nil
}

// modelOf returns the model of what a guarded limit speaks of.
func modelOf(st *stress, l *GuardedLimit) (model *chance.Model, outcome chance.Outcome, err error) {
	switch {
	case l.Cap != nil:
		model, outcome, _, err = st.cap(l.Cap.Cap)
	case l.Name == string(brief.PH):
		model, outcome, _, err = st.pHOf(l.Above)
	default:
		model, outcome, _, err = st.target(st.Job.Library.Attributes[l.Name])
	}
	return model, outcome, err
}

// budgeted is the smallest number of sources of so many that may stray at once for which a row breaks with a
// chance of at most risk, by the bound of Bertsimas and Sim (2004), theorem 3, for symmetric bounded quantities:
// all of them where even that is no bound.
func budgeted(sources int, risk float64) float64 {
	for most := 1; most < sources; most++ {
		if budgetBound(sources, float64(most)) <= risk {
			return float64(most)
		}
	}
	return float64(sources)
}

// budgetBound is B(n, Γ) = 2^-n ((1-μ) C(n, ⌊ν⌋) + Σ_{l > ⌊ν⌋} C(n, l)) with ν = (Γ+n)/2, μ = ν - ⌊ν⌋.
func budgetBound(n int, most float64) float64 {
	nu := (most + float64(n)) / 2
	floor := math.Floor(nu)
	bound := 0.0
	for l := n; l >= int(floor); l-- {
		share := 1.0
		if l == int(floor) {
			share -= nu - floor
		}
		bound += share * math.Exp(logFactorial(n)-logFactorial(l)-logFactorial(n-l)-float64(n)*math.Ln2)
	}
	return bound
}

func logFactorial(n int) float64 {
	v, _ := math.Lgamma(float64(n + 1))
	return v
}

// room returns the deviations that each limit keeps free beyond its reach.
func room(f *formulate.Formulation, limits []GuardedLimit, x []float64) []float64 {
	out := make([]float64, len(limits))
	for n := range limits {
		out[n] = f.Room(limits[n].Guarded, x)
	}
	return out
}
