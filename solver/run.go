package solver

import (
	"context"
	"math"
	"time"
)

// begin prepares a run: limits, counters and tolerances.
func (s *simplex) begin(ctx context.Context, opt Options) {
	s.ctx, s.options = ctx, opt
	s.deadline = time.Time{}
	if opt.Time > 0 {
		s.deadline = time.Now().Add(opt.Time)
	}
	s.cap = opt.Iterations
	if s.cap == 0 {
		s.cap = 50*(s.n+s.m) + 10000
	}
	s.iterations, s.reason, s.random = 0, "", 0x9E3779B97F4A7C15
	s.primalTolerance, s.dualTolerance = 1e-9, 1e-9
	if opt.Feasibility > 0 {
		s.primalTolerance = opt.Feasibility
	}
	if opt.Optimality > 0 {
		s.dualTolerance = opt.Optimality
	}
	s.factor.threshold = 0.1
	if s.m > 500 {
		s.factor.stop = s.expired
	}
}

// maxRounds is how often primal and dual method may take turns.
const maxRounds = 30

// run solves from the present basis. It looks at freshly computed values before it believes any
// outcome: each round factorises, takes away perturbations, recomputes, and only then decides whether
// anything is left to do and for which method.
func (s *simplex) run() outcome {
	troubles := 0
	for range maxRounds {
		wrong := s.refresh()
		outside, _ := s.infeasibilities()
		if s.expired() {
			return halted
		}
		if outside == 0 && wrong == 0 {
			return finished
		}
		useDual := outside > 0 && (wrong == 0 || troubles == 0)
		if troubles%2 == 1 {
			useDual = !useDual && outside > 0
		}
		var o outcome
		if useDual {
			o = s.dual()
		} else {
			o = s.primal()
		}
		switch o {
		case halted:
			return o
		case undecided:
			troubles++
			s.factor.threshold = min(0.9, 3*s.factor.threshold)
			s.factor.updates++ // factorise anew
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

// refresh removes perturbations, brings factors, values and reduced costs up to date and returns the
// number of wrong signs that no flip can mend.
func (s *simplex) refresh() int {
	s.restoreBounds()
	s.restoreCosts()
	if s.factor.updates > 0 || !s.factor.ready {
		s.refactor()
		s.factor.ready = true
	}
	s.computePrimal()
	s.computeDual()
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
