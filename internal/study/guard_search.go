package study

import (
	"context"
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/solver"

	"gonum.org/v1/gonum/stat/distuv"
)

// The search draws few points, tries so often to come near the risk, and lets a limit stay so far below its part.
const (
	searchDraws   = 1 << 12
	searchCurved  = 1 << 10 // of an outcome that takes an equilibrium for each
	reallotRounds = 6
	beginRounds   = 4
	searchRounds  = 14
	nearEnough    = 0.97
	verifyRounds  = 8
)

// share gives each limit an equal part of its purse's risk, and the deviations that it means. Where the batches are
// counted that break any, each limit begins with all of it, as good as alone, and holds tightens them together.
func (g *guarding) share(risk float64) {
	for n := range g.limits {
		l := &g.limits[n]
		count := 0
		for k := range g.limits {
			if g.purse(&g.limits[k]) == g.purse(l) {
				count++
			}
		}
		l.Allowed = risk / float64(count)
		l.Reach = math.Max(0, g.reach(l.Allowed))
		if g.Options.Method == FewBad {
			l.Most, l.Reach = g.Options.Bad, brief.Deviates(g.Job.Assurance)
			if l.Most == 0 {
				l.Most = budgeted(l.sources, l.Allowed)
			}
		}
	}
}

// purse returns which limits share one risk with a limit: all of them where chances are added up, else those of the
// two ends of one range.
func (g *guarding) purse(l *GuardedLimit) int {
	if g.Options.Counting == Sum {
		return 0
	}
	return l.group
}

// reach returns the deviations beyond which a sum lies with a chance of p.
func (g *guarding) reach(p float64) float64 {
	if g.Options.Method == AnyShape { // Cantelli: P(X >= mean + k·sd) <= 1/(1+k²)
		return math.Sqrt((1 - p) / p)
	}
	return distuv.UnitNormal.Quantile(1 - p)
}

// search solves and moves the deviations until each limit that holds the recipe breaks about as often as it may.
// The answer's assessment is nil when no recipe keeps them.
func (g *guarding) search(ctx context.Context, hair float64) (answer, error) {
	last := make([]probe, len(g.limits))
	begun := 0
	for round := range searchRounds {
		found, err := g.solve(ctx, hair)
		if err != nil {
			return found, err
		}
		if found.a == nil {
			if round != begun || round == beginRounds {
				return found, nil
			}
			// Parts of the risk that are no use where they were given may leave no recipe: begin with fewer
			// deviations and see who needs them.
			begun++
			for n := range g.limits {
				g.limits[n].Reach *= 0.75
			}
			continue
		}
		if err := g.look(found); err != nil {
			return found, err
		}
		if round < begun+reallotRounds {
			g.reallot()
		}
		moved := false
		for n := range g.limits {
			moved = g.move(&g.limits[n], &last[n]) || moved
		}
		if !moved {
			return found, nil
		}
	}
	return answer{}, fmt.Errorf("%w: the deviations to keep free do not settle", ErrUnproved)
}

// solve finds the cheapest recipe that keeps the deviations as they stand, and a hair more.
func (g *guarding) solve(ctx context.Context, hair float64) (answer, error) {
	return g.solveFor(ctx, hair, func(*GuardedLimit) bool { return true })
}

// solveFor is solve with some of the limits guarded.
func (g *guarding) solveFor(ctx context.Context, hair float64, in func(*GuardedLimit) bool) (answer, error) {
	b := *g.Job.Brief
	b.Guard = nil
	for n := range g.limits {
		if in(&g.limits[n]) {
			one := g.limits[n].Guarded
			one.Reach *= 1 + hair
			b.Guard = append(b.Guard, one)
		}
	}
	j := *g.Job
	j.Brief = &b
	f, s, err := settledFrom(ctx, &j, g.state, nil)
	if err != nil {
		return answer{}, err
	}
	switch s.Status {
	case solver.Infeasible:
		return answer{f: f, s: s}, nil
	case solver.Optimal:
		g.state = f.State
		a, err := settle(f, s.X)
		return answer{f, s, a}, err
	}
	if ctx.Err() != nil {
		return answer{}, ctx.Err()
	}
	return answer{}, fmt.Errorf("%w: %s", ErrUnproved, s.Reason)
}

// look notes how often each limit breaks in a recipe, and which of them hold it.
func (g *guarding) look(found answer) error {
	few := g.StressOptions
	few.Draws = min(few.Draws, searchDraws)
	rooms := room(found.f, g.limits, found.s.X)
	for n := range g.limits {
		l := &g.limits[n]
		l.room, l.Binding = rooms[n], rooms[n] < 1e-3
		if g.Options.Method == AnyShape {
			free := l.Reach + l.room
			l.Broken = chance.Estimate{Chance: 1 / (1 + free*free), Method: chance.Exact}
			continue
		}
		var err error
		if l.Broken, err = g.broken(found.a, l, few, searchCurved); err != nil {
			return err
		}
	}
	return nil
}

// reallot gives what limits that hold nothing do not use of their group's risk to those that do, in equal parts.
func (g *guarding) reallot() {
	if g.Options.Method == FewBad {
		return
	}
	type purse struct {
		total, spare float64
		all, needy   int
	}
	purses := map[int]*purse{}
	of := func(l *GuardedLimit) *purse {
		k := g.purse(l)
		if purses[k] == nil {
			purses[k] = &purse{}
		}
		return purses[k]
	}
	for n := range g.limits {
		l := &g.limits[n]
		p := of(l)
		p.total += l.Allowed
		p.all++
		if l.needs() {
			p.needy++
		}
	}
	for _, l := range g.limits {
		p := of(&l)
		if !l.needs() {
			p.spare += l.kept(p.total / float64(p.all))
		}
	}
	for n := range g.limits {
		l := &g.limits[n]
		switch p := of(l); {
		case p.needy == 0:
		case l.needs():
			l.Allowed = (p.total - p.spare) / float64(p.needy)
		default:
			l.Allowed = l.kept(p.total / float64(p.all))
		}
	}
}

// kept is what a limit that holds nothing keeps of its risk: more than it uses, and never next to nothing, since
// other recipes may come near it.
func (l *GuardedLimit) kept(equal float64) float64 {
	return math.Min(equal, math.Max(1.5*l.Broken.Chance, 0.05*equal))
}

// needs reports whether a limit holds the recipe, or is to.
func (l *GuardedLimit) needs() bool { return l.Binding || l.Broken.Chance > l.Allowed }

// probe is how many deviations a recipe kept free, with the score of the chance that it left.
type probe struct {
	reach, score float64
	tried        bool
}

// move changes the reach of a limit that breaks too often, or that holds the recipe and breaks less often than it
// may, and reports whether it did.
func (g *guarding) move(l *GuardedLimit, last *probe) bool {
	tooOften := l.Broken.Chance > l.Allowed*(1+1e-9)
	tooSeldom := l.Binding && l.Reach > 0 && l.Broken.Chance < nearEnough*l.Allowed && g.Options.Method != FewBad
	if !tooOften && !tooSeldom {
		return false
	}
	before := l.Reach
	switch {
	case g.Options.Method == AnyShape:
		l.Reach = g.reach(l.Allowed)
	case g.Options.Method == FewBad && g.Options.Bad == 0 && l.Most < float64(l.sources):
		l.Most++
		return true
	default:
		p := math.Min(math.Max(l.Broken.Chance, 1e-12), 1-1e-12)
		here := probe{l.Reach + math.Min(l.room, 50), distuv.UnitNormal.Quantile(1 - p), true}
		slope := 1.0 // of a sum that is normal
		if last.tried && math.Abs(here.reach-last.reach) > 1e-9 {
			slope = math.Min(4, math.Max(0.25, (here.score-last.score)/(here.reach-last.reach)))
		}
		*last = here
		aim := distuv.UnitNormal.Quantile(1 - l.Allowed*(1+nearEnough)/2)
		l.Reach = math.Max(0, here.reach+(aim-here.score)/slope)
	}
	return math.Abs(l.Reach-before) > 1e-9*(1+before)
}
