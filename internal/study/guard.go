package study

import (
	"context"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/formulate"
	"bittersum/internal/liquor"
	"bittersum/solver"
)

// GuardMethod is what is supposed of the lots.
type GuardMethod string

// The methods: lots that vary independently, lognormal as stress takes them; whatever their distributions are, by
// Cantelli's inequality; or so many of them far off at once.
const (
	Independent GuardMethod = "independent"
	AnyShape    GuardMethod = "any-shape"
	FewBad      GuardMethod = "few-bad"
)

// Counting says what the risk counts.
type Counting string

// The countings: each limit by itself; the sum of all chances, which bounds that of breaking any, whatever goes
// together; or the batches that break any, as drawn with one source independent of the other.
const (
	EachAlone Counting = "each"
	Sum       Counting = "sum"
	Drawn     Counting = "drawn"
)

// GuardOptions say how sure a recipe is to be.
type GuardOptions struct {
	StressOptions
	// Risk is the largest chance allowed, between 0 and 1.
	Risk float64
	// Targets guards the targets too, and not the caps alone.
	Targets  bool
	Method   GuardMethod
	Counting Counting
	// Bad is how many sources stray at once for FewBad; zero for as many as the risk asks for.
	Bad float64
}

// GuardedRecipe is the cheapest recipe that is as sure as asked.
type GuardedRecipe struct {
	Job     *brief.Job
	Options GuardOptions
	// Plain is the cheapest recipe without a guard, or why there is none.
	Plain *Answer
	// Assessment judges the recipe; nil when none is that sure.
	Assessment *assess.Assessment
	// Bound is what no recipe with these deviations kept free can undercut, proved in rational arithmetic: of the
	// program at the liquor's own state.
	Bound  float64
	Proof  *solver.Proof
	Limits []GuardedLimit
	// Any is the chance of breaking any of the limits as drawn, for Drawn.
	Any chance.Estimate
	// AtMost bounds the chance that is asked about: the largest of the limits', their sum, or that of Any.
	AtMost float64
	// Exactly counts the limits whose deviations were checked in rational arithmetic on the printed amounts.
	Exactly int
	// UnknownCaps are those that an accepted unknown content of the recipe counts toward: no chance covers them.
	UnknownCaps []assess.Cap
	// Left are targets that count as certain, Unknown contents that no chance covers, and Assumed the sources
	// some of whose variation is assumed.
	Left    []string
	Unknown []brief.Accept
	Assumed []string
	// Surest is set when no recipe is as sure as asked.
	Surest *Surest
}

// Surest is the smallest risk that a recipe within the brief can have, to two digits.
type Surest struct {
	*GuardedRecipe
	// InTheWay are the limits without any one of which recipes could be surer still.
	InTheWay []GuardedLimit
}

// Dearer is what the guard costs per litre.
func (r *GuardedRecipe) Dearer() float64 {
	return r.Assessment.Cost.PerLitre - r.Plain.Assessment.Cost.PerLitre
}

// guarding is a search for one brief; what it learns of one risk it brings to the next.
type guarding struct {
	Job     *brief.Job
	Options GuardOptions
	variation
	plain  *Answer
	limits []GuardedLimit
	left   []string
	state  liquor.State
}

// Guard finds the cheapest recipe that breaks the caps, and if asked misses the targets, with at most the chance
// o.Risk. Every recipe passes the checks of Cheapest. A brief that cannot be met at all is told by Plain.Conflict,
// one that cannot be met so surely by Surest. The error wraps ErrUnproved when no recipe held on fresh draws.
func Guard(ctx context.Context, j *brief.Job, o GuardOptions) (*GuardedRecipe, error) {
	g, err := newGuarding(ctx, j, o)
	if err != nil {
		return nil, err
	}
	if g.plain.Conflict != nil {
		return &GuardedRecipe{Job: j, Options: o, Plain: g.plain}, nil
	}
	r, err := g.at(ctx, o.Risk)
	if err != nil || r.Assessment != nil {
		return r, err
	}
	r.Surest, err = g.surest(ctx, o.Risk)
	return r, err
}

func newGuarding(ctx context.Context, j *brief.Job, o GuardOptions) (*guarding, error) {
	if j.Kind != brief.Drink {
		return nil, ErrBlend
	}
	g := &guarding{Job: j, Options: o, variation: newVariation(o.StressOptions)}
	var err error
	if g.plain, err = Cheapest(ctx, j); err != nil || g.plain.Conflict != nil {
		return g, err
	}
	g.state = g.plain.Formulation.State
	g.limits, g.left = g.guardedLimits()
	return g, nil
}

// answer is a recipe of one program with what was guarded in it.
type answer struct {
	f *formulate.Formulation
	s *solver.Solution
	a *assess.Assessment
}

// at finds the recipe of a risk; its Assessment is nil when no recipe is that sure.
func (g *guarding) at(ctx context.Context, risk float64) (*GuardedRecipe, error) {
	g.share(risk)
	hair := 0.0
	var held *GuardedRecipe // that holds, and is surer than it has to be
	for try := range verifyRounds {
		last, err := g.search(ctx, hair)
		if err != nil {
			return nil, err
		}
		if last.a == nil && held != nil {
			return held, nil
		}
		if last.a == nil {
			return g.recipe(ctx, last, risk, g.StressOptions)
		}
		exactly, keeps := g.exactly(last.a)
		if !keeps { // the rounding of amounts took what the program left
			hair = math.Max(1e-6, 10*hair)
			continue
		}
		fresh := g.StressOptions
		fresh.Seed += uint64(try) + 1
		if !g.holds(last.a, fresh, risk) {
			continue
		}
		r, err := g.recipe(ctx, last, risk, fresh)
		if err != nil || r.Assessment == nil {
			return r, err
		}
		if r.Exactly = exactly; held == nil || r.Assessment.Cost.PerLitre < held.Assessment.Cost.PerLitre {
			held = r
		}
		if g.Options.Counting != Drawn || try > 3 || !g.loosen(last.a, fresh, risk) {
			return held, nil
		}
	}
	if held != nil {
		return held, nil
	}
	return nil, fmt.Errorf("%w: on fresh draws no recipe of the search stays within a chance of %g", ErrUnproved, risk)
}

// exactly checks the deviations that the recipe keeps free on its printed amounts, and counts those that are sums.
func (g *guarding) exactly(a *assess.Assessment) (count int, keeps bool) {
	for n := range g.limits {
		keeps, ok := a.Keeps(g.limits[n].Guarded)
		if ok && !keeps {
			return 0, false
		}
		if ok {
			count++
		}
	}
	return count, true
}

// holds stresses the recipe on fresh draws, and tightens what breaks too often.
func (g *guarding) holds(a *assess.Assessment, o StressOptions, risk float64) bool {
	sums := map[int]float64{}
	for n := range g.limits {
		l := &g.limits[n]
		var err error
		if l.Broken, err = g.broken(a, l, o, curvedDraws); err != nil {
			return false
		}
		k := 0
		if g.Options.Counting == EachAlone {
			k = l.group
		}
		sums[k] += l.Broken.AtMost
	}
	if g.Options.Counting == Drawn {
		sums = map[int]float64{0: g.any(a, o).AtMost}
	}
	worst := 0.0
	for _, sum := range sums {
		worst = math.Max(worst, sum)
	}
	if worst <= risk {
		return true
	}
	for n := range g.limits {
		l := &g.limits[n]
		l.tighten(risk, worst)
		if g.Options.Method == AnyShape {
			l.Reach *= 1.05
		}
	}
	return false
}

// tighten takes from what a limit may break, from as often as it does, in proportion to the logarithm of the batches
// that break nothing: what is left of chances that go together, and of small ones that add up.
func (l *GuardedLimit) tighten(risk, worst float64) {
	share := 0.5
	if worst < 1 {
		share = math.Min(0.99, math.Log1p(-risk)/math.Log1p(-worst))
	}
	if l.Broken.Chance > 0.01*l.Allowed { // others take next to nothing
		l.Allowed = -math.Expm1(share * math.Log1p(-math.Min(l.Allowed, l.Broken.Chance)))
	}
}

// loosen gives the limits more of the risk than their sum allows where batches that break one break another too.
func (g *guarding) loosen(a *assess.Assessment, o StressOptions, risk float64) bool {
	any := g.any(a, o)
	if any.AtMost >= nearEnough*risk || any.Chance == 0 {
		return false
	}
	loosened := false
	for n := range g.limits {
		l := &g.limits[n]
		if l.Binding && l.Allowed < risk {
			l.Allowed = math.Min(risk, l.Allowed*math.Min(3, 0.99*risk/any.AtMost))
			loosened = true
		}
	}
	return loosened
}

// recipe makes the answer of what was found, with its proof; fresh are the draws on which it held.
func (g *guarding) recipe(ctx context.Context, found answer, risk float64, fresh StressOptions) (*GuardedRecipe, error) {
	r := &GuardedRecipe{Job: g.Job, Options: g.Options, Plain: g.plain, Limits: slices.Clone(g.limits), Left: g.left, Unknown: g.Job.Accepted}
	r.Options.Risk = risk
	var err error
	if r.Proof, err = solver.ProveBound(ctx, found.f.Problem, found.s, solver.Options{}); err != nil {
		return nil, err
	}
	switch r.Proof.Status {
	case solver.Infeasible:
		return r, nil
	case solver.Optimal:
		if found.a == nil {
			return nil, fmt.Errorf("%w: exact arithmetic finds a recipe where the search found none", ErrUnproved)
		}
		r.Bound, _ = r.Proof.Objective.Float64()
	default:
		return nil, fmt.Errorf("%w: exact arithmetic finds the program %s", ErrUnproved, r.Proof.Status)
	}
	r.Assessment = found.a
	for _, c := range found.a.Caps {
		if len(c.Accepted) > 0 {
			r.UnknownCaps = append(r.UnknownCaps, c)
		}
	}
	for _, l := range r.Limits {
		switch g.Options.Counting {
		case EachAlone:
			r.AtMost = math.Max(r.AtMost, g.groupAtMost(r.Limits, l.group))
		default:
			r.AtMost += l.Broken.AtMost
		}
	}
	if g.Options.Counting == Drawn {
		r.Any = g.any(found.a, fresh)
		r.AtMost = r.Any.AtMost
	}
	for _, p := range found.a.Recipe.Parts {
		if g.assumed[p.Source.Name] {
			r.Assumed = append(r.Assumed, p.Source.Name)
		}
	}
	return r, nil
}

func (g *guarding) groupAtMost(limits []GuardedLimit, group int) (sum float64) {
	for _, l := range limits {
		if l.group == group {
			sum += l.Broken.AtMost
		}
	}
	return sum
}
