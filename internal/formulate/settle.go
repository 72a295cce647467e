package formulate

import (
	"context"
	"errors"
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/liquor"
	"bittersum/solver"
)

// ErrUnsettled is returned, wrapped, when recipe and state did not come to agree.
var ErrUnsettled = errors.New("volumes and activities do not settle")

// mostRounds bounds the solves of Settle. A state moves the recipe by a hundredth of its own move or less,
// so four or five rounds are usual; after damped rounds two states that the program hops between are met
// halfway.
const (
	mostRounds   = 40
	dampedRounds = 10
)

// Settle solves the program of a job and takes it anew at the state of the liquor it finds, until the two
// agree. It returns the last program with its solution, whatever its status. When the program has no
// solution the state is that of the mixture which misses the brief by least. An error wraps ErrUnsettled
// or comes from the solver.
func Settle(ctx context.Context, j *brief.Job, opt solver.Options) (*Formulation, *solver.Solution, error) {
	return SettleFrom(ctx, j, liquor.Guess(), opt)
}

// SettleFrom is Settle beginning at a state that is near: that of a neighbouring job.
func SettleFrom(ctx context.Context, j *brief.Job, state liquor.State, opt solver.Options) (*Formulation, *solver.Solution, error) {
	f := At(j, state)
	for round := range mostRounds {
		s, err := solver.Solve(ctx, f.Problem, opt)
		if err != nil || j.Kind != brief.Drink {
			return f, s, err
		}
		x := s.X
		switch s.Status {
		case solver.Optimal:
			opt.Start = s.Basis
		case solver.Infeasible:
			if opt.Start = nil; round > dampedRounds {
				return f, s, nil // no recipe at any of the states tried
			}
			if x, err = f.nearest(ctx); err != nil || x == nil {
				return f, s, err
			}
		default:
			return f, s, nil
		}
		next, err := f.StateOf(x)
		if err != nil {
			return f, s, fmt.Errorf("%w: %w", ErrUnsettled, err)
		}
		if next.Near(f.State) {
			return f, s, nil
		}
		if round >= dampedRounds {
			next = next.Between(f.State)
		}
		f = At(j, next)
	}
	return nil, nil, fmt.Errorf("%w in %d rounds", ErrUnsettled, mostRounds)
}

// StateOf returns the state of the liquor that the columns x make.
func (f *Formulation) StateOf(x []float64) (liquor.State, error) {
	if f.Job.Kind != brief.Drink {
		return f.State, nil
	}
	parts := make([]brief.Part, len(f.Job.Sources))
	for n, s := range f.Job.Sources {
		parts[n] = brief.Part{Source: s, Amount: math.Max(0, x[n])}
	}
	return liquor.Mix(f.Job, parts).State()
}

// nearest returns a mixture that misses the limits of brief and law by least, each counted in shares of
// its value; the kettle's own rows and the bounds of columns hold. It is nil when there is none.
func (f *Formulation) nearest(ctx context.Context) ([]float64, error) {
	p := f.Problem.Clone()
	p.Cones = nil // how sure it is moves no liquor
	for j := range p.Columns {
		p.Columns[j].Cost = 0
	}
	for _, l := range f.Limits {
		if l.Row < 0 || l.Kind == Recovery || l.Kind == Volume {
			continue
		}
		weight := 1 / math.Max(math.Abs(l.Value), 1e-3)
		for _, sign := range []float64{1, -1} {
			miss := p.AddColumn(solver.Column{Name: fmt.Sprintf("miss %d %g", l.Row, sign), Cost: weight, Upper: solver.Inf})
			p.Rows[l.Row].Terms = append(p.Rows[l.Row].Terms, solver.Term{Column: miss, Value: sign})
		}
	}
	s, err := solver.Solve(ctx, p, solver.Options{})
	if err != nil {
		return nil, err
	}
	if s.Status == solver.Infeasible {
		return nil, nil // bounds on amounts alone leave no litre
	}
	if s.Status != solver.Optimal {
		return nil, fmt.Errorf("%w: the kettle alone is %s", ErrUnsettled, s.Status)
	}
	return s.X[:len(f.Problem.Columns)], nil
}
