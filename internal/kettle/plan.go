// Package kettle turns a brief into a batch that can be made: amounts that the scales show, from lots that
// are on the shelf, in the order of work, with what to expect at each step and what to buy.
package kettle

import (
	"context"
	"errors"
	"fmt"
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/study"
	"bittersum/solver"
)

// Options says how a batch is to be planned.
type Options struct {
	// Number is what the batch is called.
	Number string
	// Litres of drink are to be recovered at least.
	Litres float64
	// Cheapest lets lots be used in any order; otherwise what expires first goes first.
	Cheapest bool
	// Nodes caps the search for the rounding; 0 stands for a usual cap. The answer depends on it, never
	// on the time it takes.
	Nodes int
	// Allowance is the share of what divisions and instruments may do that the plan stays clear of its limits
	// by; see Allowance.
	Allowance float64
}

// A search ends by itself or goes on to usualNodes; from easyNodes on, or fewer where a program is large, it also
// ends once nothing could be closeEnough cheaper. TestRandomBatchesAgainstCBC holds that against another solver.
const (
	usualNodes  = 40000
	easyNodes   = 4000
	easyColumns = 100
	closeEnough = 0.005
)

// searching returns how long to search for whole numbers in a program.
func searching(p *solver.Problem, nodes int) solver.Options {
	return solver.Options{Nodes: nodes, Gap: closeEnough, Enough: min(easyNodes, easyNodes*easyColumns*easyColumns/(len(p.Columns)*len(p.Columns)))}
}

// slack is the share of the batch's size by which it may turn out larger, for the sake of whole divisions.
const slack = 0.01

// Plan is a batch that can be made.
type Plan struct {
	Job     *brief.Job
	Options Options
	// Answer is the cheapest recipe per litre; its Conflict says why there is none, and then nothing
	// else is set but Job and Options.
	Answer *study.Answer
	// Coarse is set when the scales are too coarse for the brief; then there is no plan either.
	Coarse *Coarse
	// NoOrder says that the brief cannot be met when what expires first is used first, while it can in
	// another order; then there is no plan.
	NoOrder bool

	// Batch is the program on the divisions; also where no amounts were found.
	Batch *formulate.Batch
	// Assessment judges the very amounts that are to be weighed.
	Assessment *assess.Assessment
	Lines      []Line
	Cost       Cost
	Allowance  Allowance
	// Nodes is how many nodes the search took and Complete whether it ended by itself.
	Nodes    int
	Complete bool

	Steps    []Step
	Yield    Yield
	Shopping []Purchase
	Holds    []Hold

	weighed []Line // how each source is weighed
}

// Cost takes the cost of a batch apart, in the brief's currency.
type Cost struct {
	// Least is the proved least cost of so many litres on scales without divisions, lots in any order.
	Least float64
	// FirstOut is what it costs more to use first what expires first, and Rounding what it costs more to
	// keep to the divisions.
	FirstOut, Rounding float64
	// Total is the cost of the plan.
	Total float64
	// Bound is proved to be the least that any amounts on these divisions can cost, so that Total-Bound
	// is the most that could be saved by weighing otherwise.
	Bound float64
}

// Gap is the most that other amounts on the same divisions could save, as a share of the cost.
func (c Cost) Gap() float64 {
	if c.Total == 0 {
		return 0
	}
	return math.Max(0, c.Total-c.Bound) / math.Abs(c.Total)
}

// New plans a batch. The job must have been opened for so many litres. Why there is no plan is said in
// Answer.Conflict, NoOrder or Coarse; the error wraps study.ErrUnproved when an answer did not pass its own checks.
func New(ctx context.Context, j *brief.Job, o Options) (*Plan, error) {
	if j.Kind != brief.Drink {
		return nil, errors.New("kettle: a blend has no litres and no lots; only a drink can be made as a batch")
	}
	if o.Nodes == 0 {
		o.Nodes = usualNodes
	}
	p, err := plan(ctx, j, o)
	if err != nil || p.Assessment == nil {
		return p, err
	}
	if o.Allowance > 0 {
		if err := p.allow(ctx); err != nil {
			return p, err
		}
	}
	p.lines(p.weighed)
	p.yield()
	p.Steps = p.steps()
	p.shopping()
	p.holds()
	return p, nil
}

// plan finds the amounts.
func plan(ctx context.Context, j *brief.Job, o Options) (*Plan, error) {
	p := &Plan{Job: j, Options: o}
	var err error
	if p.Answer, err = study.Cheapest(ctx, j); err != nil || p.Answer.Conflict != nil {
		return p, err
	}
	f := p.Answer.Formulation
	free, cost, err := ideal(ctx, f, o)
	if err != nil {
		return p, err
	}
	if free == nil {
		p.NoOrder = true
		return p, nil
	}
	p.Cost.Least = p.Answer.LeastCost * o.Litres
	p.Cost.FirstOut = math.Max(0, cost-p.Cost.Least)
	lines, s, batch, err := onScales(ctx, f, o, free, false)
	if err == nil && s.X == nil {
		lines, s, batch, err = onScales(ctx, f, o, free, true)
	}
	if err != nil {
		return p, err
	}
	p.Batch = batch
	if s.X == nil {
		p.Coarse, err = tooCoarse(ctx, f, o, lines, free, s.Status == solver.Infeasible)
		return p, err
	}
	if p.Assessment, s, batch, err = settle(ctx, f, o, lines, s, batch); err != nil {
		return p, err
	}
	p.Batch, p.Nodes, p.Complete = batch, s.Nodes, s.Status == solver.Optimal
	for _, part := range p.Assessment.Recipe.Parts {
		p.Cost.Total += part.Source.CostPerGram * part.Amount
	}
	p.Cost.Bound = math.Max(s.Bound, p.Cost.Least)
	p.Cost.Rounding = p.Cost.Total - p.Cost.Least - p.Cost.FirstOut
	p.weighed = lines
	return p, nil
}

// ideal returns the grams of each source at the least cost on scales without divisions, in the order
// that lots are to be used in, and that cost. It returns no amounts when the brief cannot be met in that
// order.
func ideal(ctx context.Context, f *formulate.Formulation, o Options) ([]float64, float64, error) {
	weighed := boundless(len(f.Job.Sources))
	if err := withinReach(ctx, f, o, o.Litres, weighed); err != nil {
		return nil, 0, err
	}
	b := f.Batch(formulate.BatchOptions{Litres: o.Litres, MostLitres: o.Litres, Weighed: weighed, FirstOut: !o.Cheapest, Free: true})
	s, err := solver.Solve(ctx, b.Problem, searching(b.Problem, max(o.Nodes, usualNodes)))
	if err != nil {
		return nil, 0, err
	}
	switch {
	case ctx.Err() != nil:
		return nil, 0, ctx.Err()
	case s.Status == solver.Infeasible && !o.Cheapest:
		return nil, 0, nil
	case s.X == nil:
		return nil, 0, fmt.Errorf("%w: %s", study.ErrUnproved, s.Reason)
	}
	return b.Grams(s.X), s.Objective, nil
}

func boundless(n int) []formulate.Weighed {
	w := make([]formulate.Weighed, n)
	for i := range w {
		w[i] = formulate.Weighed{DivisionG: 1, MostG: math.Inf(1)}
	}
	return w
}

// roundOff looks for the cheapest amounts on the divisions of the lines.
func roundOff(ctx context.Context, f *formulate.Formulation, o Options, lines []Line) (*solver.Solution, *formulate.Batch, error) {
	weighed := make([]formulate.Weighed, len(lines))
	most := o.Litres * (1 + slack)
	for n, l := range lines {
		weighed[n] = formulate.Weighed{DivisionG: l.DivisionG, LeastG: l.Scale.FromG, MostG: l.MostG}
		if l.Source.Water() {
			most = math.Max(most, o.Litres+2*l.DivisionG/1000)
		}
	}
	if err := withinReach(ctx, f, o, most, weighed); err != nil {
		return nil, nil, err
	}
	b := f.Batch(formulate.BatchOptions{Litres: o.Litres, MostLitres: most, Weighed: weighed, FirstOut: !o.Cheapest})
	s, err := solver.Solve(ctx, b.Problem, searching(b.Problem, o.Nodes))
	if err == nil {
		err = ctx.Err()
	}
	return s, b, err
}

// mostRounds is how often a batch is rounded again at the state of the liquor that it makes. Rounding moves
// volumes and activities by less than a thousandth, so once is nearly always enough.
const mostRounds = 4

// settle has a solution judged, and solves again at the state of its own liquor where it fails by what
// volumes and activities moved.
func settle(ctx context.Context, f *formulate.Formulation, o Options, lines []Line, s *solver.Solution, b *formulate.Batch) (*assess.Assessment, *solver.Solution, *formulate.Batch, error) {
	for round := 1; ; round++ {
		a, err := judged(b, s.X)
		if err == nil || round == mostRounds {
			return a, s, b, err
		}
		state, unsettled := f.StateOf(b.Grams(s.X))
		if unsettled != nil {
			return nil, s, b, err
		}
		next, nextBatch, failed := roundOff(ctx, formulate.At(f.Job, state), o, lines)
		if failed != nil || next.X == nil {
			return nil, s, b, err
		}
		s, b = next, nextBatch
	}
}

// litresTolerance is the share of the litres asked for by which a plan may make fewer.
const litresTolerance = 1e-6

// judged has the amounts assessed; the error wraps study.ErrUnproved when they make too few litres, break a
// cap or miss the brief, so that no such batch is ever shown.
func judged(b *formulate.Batch, x []float64) (*assess.Assessment, error) {
	a, err := assess.Assess(b.Job, b.Recipe(x))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", study.ErrUnproved, err)
	}
	if short := b.Options.Litres - a.Recovered; short > litresTolerance*b.Options.Litres {
		return nil, fmt.Errorf("%w: the rounded batch would make %.6g L, not %v L", study.ErrUnproved, a.Recovered, b.Options.Litres)
	}
	for _, c := range a.Caps {
		if !c.Holds {
			return nil, fmt.Errorf("%w: the rounded batch would break the %s cap of market %s", study.ErrUnproved, c.Substance, c.Market.Name)
		}
	}
	if misses := a.Misses(); len(misses) > 0 {
		return nil, fmt.Errorf("%w: the assessment disagrees with the rounded batch: %s", study.ErrUnproved, misses[0])
	}
	return a, nil
}
