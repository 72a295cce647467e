// Package study answers the maker's questions: each is a small composition over the formulation, the
// solver and the assessment. Nothing here prints.
package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/liquor"
	"bittersum/internal/tomlfile"
	"bittersum/solver"
)

// ErrUnproved is returned, wrapped with the reason, when an answer did not pass its own checks. No
// recipe goes with it.
var ErrUnproved = errors.New("not proved")

// Answer is the cheapest recipe of a job with its explanation, or why there is none.
type Answer struct {
	Job         *brief.Job
	Formulation *formulate.Formulation
	Solution    *solver.Solution
	// Proof is the proof of the solution in exact rational arithmetic.
	Proof *solver.Proof

	// Assessment judges the recipe; nil when the brief cannot be met.
	Assessment *assess.Assessment
	// LeastCost is the optimum of the program before amounts were rounded.
	LeastCost float64
	// Limits are the costs of the brief's limits, in the formulation's order.
	Limits []LimitCost
	// Entries are the unused sources with the price at which each would come in.
	Entries []Entry
	// Others are further recipes of the same least cost, if there are any.
	Others []*assess.Assessment

	// Second is an independent solver's opinion, when it was asked.
	Second *Second

	// Conflict is set when the brief cannot be met.
	Conflict *Conflict
}

// LimitCost is what a limit costs.
type LimitCost struct {
	formulate.Limit
	// Binding says that the limit holds the recipe.
	Binding bool
	// Down and Up are the changes of cost per litre for one unit less and more of Value.
	Down, Up Rate
}

// Rate is the slope of the least cost to one side of a limit, and how far it holds.
type Rate struct {
	// Cost is the change of the least cost per unit of the limit, in the direction of the limit's growth.
	Cost float64
	// To is the value of the limit up to which the rate holds (infinite when for ever).
	To float64
	// Blocked says that no recipe exists to this side, however close.
	Blocked bool
}

// Entry is a source that is not used.
type Entry struct {
	Source *brief.Source
	// Price is the price per kg (per unit for a blend) below which it would come in; NaN when it
	// would not come in even for nothing.
	Price float64
}

// Blend finds the cheapest recipe of a job. A brief that cannot be met is an answer with a Conflict;
// an answer that fails its own checks is an error that wraps ErrUnproved.
func Blend(ctx context.Context, j *brief.Job) (*Answer, error) {
	a, err := Cheapest(ctx, j)
	if err != nil || a.Conflict != nil {
		return a, err
	}
	return a, a.explain(ctx)
}

// Cheapest is Blend without what its limits and unused ingredients cost: recipe, proof and assessment, or
// the conflict. Every study solves its jobs through it.
func Cheapest(ctx context.Context, j *brief.Job) (*Answer, error) {
	f, s, err := settled(ctx, j)
	if err != nil {
		return nil, err
	}
	a := &Answer{Job: j, Formulation: f, Solution: s}
	switch s.Status {
	case solver.Optimal:
		return a, a.prove(ctx)
	case solver.Infeasible:
		return a, a.conflict(ctx)
	case solver.Unbounded:
		return nil, tomlfile.Faults{{File: j.File, What: "the cost has no lower end: " + growing(j, s.Ray) + " can grow for ever at a gain", Hint: "bound it under limits or total"}}
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return nil, fmt.Errorf("%w: %s", ErrUnproved, s.Reason)
}

// settled returns the program of a job at the state of its own recipe, with its solution. The error wraps
// ErrUnproved when recipe and state do not settle.
func settled(ctx context.Context, j *brief.Job) (*formulate.Formulation, *solver.Solution, error) {
	return settledFrom(ctx, j, liquor.Guess(), nil)
}

// settledFrom is settled beginning at the state and the basis of a neighbouring job.
func settledFrom(ctx context.Context, j *brief.Job, state liquor.State, start *solver.Basis) (*formulate.Formulation, *solver.Solution, error) {
	f, s, err := formulate.SettleFrom(ctx, j, state, solver.Options{Start: start})
	if errors.Is(err, formulate.ErrUnsettled) {
		err = fmt.Errorf("%w: %w", ErrUnproved, err)
	}
	return f, s, err
}

// growing names the sources that grow along a ray.
func growing(j *brief.Job, ray []float64) string {
	var names []string
	for n, s := range j.Sources {
		if ray[n] > 0 {
			names = append(names, s.Name)
		}
	}
	return strings.Join(names, ", ")
}

// prove proves the solution, and has the recipe assessed.
func (a *Answer) prove(ctx context.Context) error {
	possible, err := a.settleExactly(ctx)
	if err == nil && !possible {
		return a.conflict(ctx)
	}
	return err
}

// settleExactly is prove, but for the conflict when exact arithmetic finds no recipe.
func (a *Answer) settleExactly(ctx context.Context) (possible bool, err error) {
	if a.Proof, err = solver.Prove(ctx, a.Formulation.Problem, a.Solution, solver.Options{}); err != nil {
		return false, err
	}
	if a.Proof.Status == solver.Infeasible { // by less than floating point can tell
		a.Solution = a.Proof.Solution()
		return false, nil
	}
	if a.Proof.Status != solver.Optimal {
		return false, fmt.Errorf("%w: exact arithmetic finds the program %s", ErrUnproved, a.Proof.Status)
	}
	certificate := a.Solution.Certificate // of the floating-point answer, before the exact one replaces it
	a.Solution = a.Proof.Solution()
	a.Solution.Certificate = certificate
	a.LeastCost = a.Solution.Objective
	a.Assessment, err = settle(a.Formulation, a.Solution.X)
	return true, err
}

// explain adds what limits cost, when unused sources would come in, and recipes of the same cost.
func (a *Answer) explain(ctx context.Context) error {
	a.entries()
	if err := a.limitCosts(ctx); err != nil {
		return err
	}
	return a.others(ctx)
}

// settle rounds a solution to the amounts that are printed and has them assessed, lowering capped
// ingredients by single last places where rounding broke a cap. The error wraps ErrUnproved.
func settle(f *formulate.Formulation, x []float64) (*assess.Assessment, error) {
	recipe := f.Recipe(x)
	for range 20 {
		a, err := assess.Assess(f.Job, recipe)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrUnproved, err)
		}
		var broken *brief.Cap
		for n := range a.Caps {
			if !a.Caps[n].Holds {
				broken = &a.Caps[n].Cap
			}
		}
		if broken == nil {
			if misses := a.Misses(); len(misses) > 0 {
				return nil, fmt.Errorf("%w: the assessment disagrees with the program: %s", ErrUnproved, misses[0])
			}
			return a, nil
		}
		if !f.Lower(recipe, *broken) {
			break
		}
	}
	return nil, fmt.Errorf("%w: rounding leaves a cap broken", ErrUnproved)
}

// entries works out at which price each unused source would come in.
func (a *Answer) entries() {
	for n, s := range a.Job.Sources {
		if a.Solution.X[n] > 1e-9 || a.Solution.ReducedCost[n] <= 0 {
			continue
		}
		fall := a.Solution.ReducedCost[n]
		if a.Job.Kind == brief.Drink {
			fall *= 1000
		}
		price := s.PricePerKg - fall*(1-s.Ingredient.TrimmingLoss)
		if price < 0 {
			price = math.NaN()
		}
		a.Entries = append(a.Entries, Entry{s, price})
	}
}
