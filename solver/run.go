package solver

import (
	"context"
	"errors"
	"math"
	"time"

	"bittersum/solver/internal/lu"
)

// limits are what a solve may use up, shared by its parts.
type limits struct {
	options    Options
	ctx        context.Context
	deadline   time.Time
	cap        int
	iterations int
	reason     string
}

func newLimits(ctx context.Context, opt Options, variables int) *limits {
	l := &limits{options: opt, ctx: ctx, cap: opt.Iterations}
	if opt.Time > 0 {
		l.deadline = time.Now().Add(opt.Time)
	}
	if l.cap == 0 {
		l.cap = 50*variables + 10000
	}
	return l
}

// expired reports whether the context ended or the time ran out, and notes the reason.
func (l *limits) expired() bool {
	select {
	case <-l.ctx.Done():
		l.reason = LimitReason(l.ctx.Err())
		return true
	default:
	}
	if !l.deadline.IsZero() && time.Now().After(l.deadline) {
		l.reason = "time limit"
		return true
	}
	return false
}

// LimitReason says in a word what ended a context: the time limit, or an interrupt.
func LimitReason(err error) string {
	if errors.Is(err, context.DeadlineExceeded) {
		return "time limit"
	}
	return "interrupted"
}

// begin prepares a run: limits and tolerances.
func (s *simplex) begin(l *limits) {
	s.limits = l
	s.random = 0x9E3779B97F4A7C15
	opt := l.options
	s.finalPrimal, s.finalDual = 1e-9, 1e-9
	if opt.Feasibility > 0 {
		s.finalPrimal = opt.Feasibility
	}
	if opt.Optimality > 0 {
		s.finalDual = opt.Optimality
	}
	s.primalTolerance, s.dualTolerance = s.finalPrimal, s.finalDual
	if s.m >= lu.HyperMin {
		s.primalTolerance = max(s.finalPrimal, roughTolerance)
		s.dualTolerance = max(s.finalDual, roughTolerance)
	}
	s.factor.Threshold = 0.1
	s.factor.Stop = nil
	if s.m > 500 {
		s.factor.Stop = l.expired
	}
}

// roughTolerance serves until a larger problem is solved to it: ratio tests with more room find larger
// pivots. The final tolerances follow.
const roughTolerance = 1e-7

// maxRounds is how often primal and dual method may take turns.
const maxRounds = 30

// run solves from the present basis. It looks at freshly computed values before it believes any
// outcome: each round factorises, takes away perturbations, recomputes, and only then decides whether
// anything is left to do and for which method.
func (s *simplex) run() outcome {
	troubles := 0
	phaseOneDone := s.m < lu.HyperMin || !s.fresh
	for range maxRounds {
		wrong := s.refresh()
		outside, _ := s.infeasibilities()
		if s.expired() {
			return halted
		}
		if outside == 0 && wrong == 0 {
			if s.primalTolerance <= s.finalPrimal && s.dualTolerance <= s.finalDual {
				return finished
			}
			s.primalTolerance, s.dualTolerance = s.finalPrimal, s.finalDual
			continue
		}
		var o outcome
		switch s.method(outside, wrong, troubles, phaseOneDone) {
		case byPhaseOne:
			phaseOneDone = true
			if o = s.dualPhaseOne(); o == noPoint {
				o = undecided // that problem has a feasible point
			}
		case byDual:
			o = s.dual()
		case byPrimal:
			o = s.primal()
		}
		switch o {
		case halted, hopeless:
			return o
		case undecided:
			troubles++
			s.factor.Threshold = min(0.9, 3*s.factor.Threshold)
			s.factor.Ready = false
		case noPoint:
			return noPoint
		case noLimit:
			if !s.boundsChanged {
				return noLimit
			}
			// The ray may owe itself to relaxed bounds: look again without them.
			if s.refresh(); s.feasible() {
				return noLimit
			}
		}
		if troubles > 6 {
			break
		}
	}
	s.reason = "the simplex method did not settle"
	return undecided
}

type method int8

const (
	byDual method = iota
	byPrimal
	byPhaseOne
)

// largeMin is the number of rows from which a start that violates many bounds goes to the primal method,
// even if it is dual feasible: the dual method's rows and weights grow dense there.
const largeMin = 2500

// method chooses how to go on from a basis with so many violated bounds and wrong signs.
func (s *simplex) method(outside, wrong, troubles int, phaseOneDone bool) method {
	switch {
	case outside == 0:
		return byPrimal
	case troubles%2 == 1:
		// What was tried got stuck.
		if wrong == 0 {
			return byPrimal
		}
		return byDual
	case wrong == 0 && s.m >= largeMin && 8*outside > s.m && troubles == 0 && s.fresh:
		return byPrimal
	case wrong == 0:
		return byDual
	case troubles > 0:
		return byPrimal
	case !phaseOneDone:
		return byPhaseOne
	}
	return byDual
}

// refresh removes perturbations, brings factors, values and reduced costs up to date and returns the
// number of wrong signs that no flip can mend.
func (s *simplex) refresh() int {
	s.restoreBounds()
	s.restoreCosts()
	if s.factor.Updates > s.options.updates || !s.factor.Ready {
		s.refactor()
		s.factor.Ready = true
	}
	s.computePrimal()
	s.computeDual()
	if s.feasible() {
		// Flips would spoil what the primal method can start from.
		return s.wrongSigns()
	}
	wrong, moved := s.dualInfeasibilities()
	if moved {
		s.computePrimal()
	}
	return wrong
}

func (s *simplex) feasible() bool {
	count, _ := s.infeasibilities()
	return count == 0
}

// report calls the progress callback.
func (s *simplex) report(phase string) {
	_, sum := s.infeasibilities()
	value := 0.0
	for j := range s.n {
		value += s.trueCost[j] * s.x[j]
	}
	value /= s.scaling.cost
	s.options.Progress(Progress{Phase: phase, Iteration: s.iterations, Objective: value, Bound: math.Inf(-1), Infeasibility: sum})
}
