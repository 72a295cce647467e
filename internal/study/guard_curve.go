package study

import (
	"context"
	"errors"
	"math"
	"slices"

	"bittersum/internal/brief"
)

// AssuranceLevel is what a level of assurance costs.
type AssuranceLevel struct {
	Risk float64
	// Cost is that of the cheapest recipe per litre; NaN where no recipe is that sure, or where Unproved.
	Cost float64
	// More is the share by which it costs more than the cheapest recipe, and AtMost bounds the chance found.
	More, AtMost float64
	Unproved     bool
}

// AssuranceCurve is what each level of assurance costs.
type AssuranceCurve struct {
	Job     *brief.Job
	Options GuardOptions
	// Plain is the cheapest recipe without a guard, or why there is none.
	Plain  *Answer
	Levels []AssuranceLevel
	// Knee is the index of the level beyond which assurance grows dear: that farthest below the straight line
	// from the first to the last, on a logarithmic scale of risk; -1 where cost does not bend so.
	Knee int
}

// assuranceLevels are the risks of a curve, from one batch in two to one in ten thousand.
var assuranceLevels = []float64{0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 0.0005, 0.0002, 0.0001}

// GuardCurve follows what assurance costs. o.Risk, if it is above zero, is among the levels.
func GuardCurve(ctx context.Context, j *brief.Job, o GuardOptions) (*AssuranceCurve, error) {
	g, err := newGuarding(ctx, j, o)
	if err != nil {
		return nil, err
	}
	c := &AssuranceCurve{Job: j, Options: o, Plain: g.plain, Knee: -1}
	if g.plain.Conflict != nil {
		return c, nil
	}
	levels := slices.Clone(assuranceLevels)
	if o.Risk > 0 && !slices.Contains(levels, o.Risk) {
		levels = append(levels, o.Risk)
	}
	slices.Sort(levels)
	slices.Reverse(levels)
	for _, risk := range levels {
		level := AssuranceLevel{Risk: risk, Cost: math.NaN()}
		r, err := g.at(ctx, risk)
		switch {
		case errors.Is(err, ErrUnproved):
			level.Unproved = true
		case err != nil:
			return nil, err
		case r.Assessment != nil:
			level.Cost, level.AtMost = r.Assessment.Cost.PerLitre, r.AtMost
			level.More = level.Cost/g.plain.Assessment.Cost.PerLitre - 1
		}
		c.Levels = append(c.Levels, level)
	}
	c.Knee = knee(c.Levels)
	return c, nil
}

// knee returns the level farthest below the chord of cost over the logarithm of risk, or -1.
func knee(levels []AssuranceLevel) int {
	var known []int
	for n, l := range levels {
		if !math.IsNaN(l.Cost) {
			known = append(known, n)
		}
	}
	if len(known) < 3 {
		return -1
	}
	first, last := levels[known[0]], levels[known[len(known)-1]]
	rise, run := last.Cost-first.Cost, math.Log(first.Risk/last.Risk)
	at, deepest := -1, 0.02*rise
	for _, n := range known[1 : len(known)-1] {
		below := rise*math.Log(first.Risk/levels[n].Risk)/run - (levels[n].Cost - first.Cost)
		if below > deepest {
			at, deepest = n, below
		}
	}
	return at
}

// surest finds the smallest risk that a recipe can have, to about two digits, between one that none can have and 1.
func (g *guarding) surest(ctx context.Context, never float64) (*Surest, error) {
	var found *GuardedRecipe
	try := func(risk float64) (bool, error) {
		r, err := g.at(ctx, risk)
		if errors.Is(err, ErrUnproved) {
			return false, nil
		}
		if err == nil && r.Assessment != nil {
			found = r
			found.Options.Risk = math.Min(risk, r.AtMost) // it is as sure as that
		}
		return err == nil && r.Assessment != nil, err
	}
	possible := 0.0
	for risk := 4 * never; possible == 0; risk *= 4 {
		risk = math.Min(risk, 0.99)
		ok, err := try(risk)
		if err != nil {
			return nil, err
		}
		if ok {
			possible = found.Options.Risk
		} else if never = risk; risk == 0.99 {
			return nil, nil // none even then
		}
	}
	for possible > 1.03*never {
		risk := math.Sqrt(possible * never)
		ok, err := try(risk)
		if err != nil {
			return nil, err
		}
		if ok {
			possible = found.Options.Risk
		} else {
			never = risk
		}
	}
	s := &Surest{GuardedRecipe: found}
	var err error
	s.InTheWay, err = g.inTheWay(ctx, never)
	return s, err
}

// inTheWay returns the limits without any one of which a risk that no recipe has could be had.
func (g *guarding) inTheWay(ctx context.Context, never float64) (found []GuardedLimit, err error) {
	for range 5 { // a recipe near the edge may be found from one side and not from the other
		g.share(never)
		last, err := g.search(ctx, 0)
		if err != nil && !errors.Is(err, ErrUnproved) {
			return nil, err
		}
		if err == nil && last.a == nil {
			return g.freeing(ctx)
		}
		never *= 0.93
	}
	return nil, nil
}

// freeing returns the limits without any one of which there is a recipe that keeps the deviations as they stand.
func (g *guarding) freeing(ctx context.Context) (found []GuardedLimit, err error) {
	for _, l := range g.limits {
		if slices.ContainsFunc(found, func(o GuardedLimit) bool { return o.group == l.group }) {
			continue
		}
		without, err := g.solveFor(ctx, 0, func(o *GuardedLimit) bool { return o.group != l.group })
		if errors.Is(err, ErrUnproved) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if without.a != nil {
			found = append(found, l)
		}
	}
	return found, nil
}
