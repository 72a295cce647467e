package solver

import "time"

// Options tune a solve. The zero value is ready to use.
type Options struct {
	// Start is a basis to begin from, usually that of a neighbouring problem. If it is nil or does
	// not fit, the solve starts from a basis of its own choice.
	Start *Basis

	// Feasibility is how far a value may stray outside a bound, in that bound's own unit, before it
	// counts as a violation. If it is zero, 1e-9 is used, relative to 1 + |bound|.
	Feasibility float64

	// Optimality is how far a scaled reduced cost may have the wrong sign. If it is zero, 1e-9 is used.
	Optimality float64

	// Iterations caps the simplex iterations of one linear solve. If it is zero,
	// 50·(rows+columns) + 10000 is used. Reaching it gives status Limit.
	Iterations int

	// Nodes caps the branch-and-bound nodes. If it is zero there is no cap.
	Nodes int

	// Gap ends a search for whole values, from so many nodes as Enough on, once its best answer is within this
	// share of the bound; the status is then Limit. If it is zero the search goes on until the answer is optimal.
	Gap    float64
	Enough int

	// Time caps the wall time of a solve. If it is zero there is no cap. It makes the outcome of a
	// solve that reaches it depend on the machine; everything else is deterministic.
	Time time.Duration

	// Progress, if set, is called now and then from the solving goroutine.
	Progress func(Progress)

	// hopeless, if set by a search, says of a bound on the objective whether it is enough to end the solve, with
	// status Limit and that bound.
	hopeless func(bound float64) bool
	// updates, of a search too, is how many updates of the factors an outcome may rest on; each is judged by the
	// problem itself, and taken up again from new factors where it does not hold.
	updates int
}

// Progress is one line of the iteration log.
type Progress struct {
	Phase            string
	Iteration, Node  int
	Objective, Bound float64
	// Infeasibility is the sum of scaled bound violations.
	Infeasibility float64
}
