package solver

import (
	"context"
	"errors"
	"fmt"
)

// errNotLinear is returned by functions that explain linear programs alone.
var errNotLinear = errors.New("solver: only linear programs can be explained")

// errNotOptimal is returned by functions that explain an optimum when the problem has none.
type errNotOptimal Status

func (e errNotOptimal) Error() string {
	return fmt.Sprintf("solver: there is no optimum to explain: the problem is %v", Status(e))
}

// settledDictionary returns an optimal dictionary of p, begun from the basis of s.
func settledDictionary(ctx context.Context, p *Problem, s *Solution) (*dictionary, *run, error) {
	if err := p.Check(); err != nil {
		return nil, nil, err
	}
	if !p.linear() {
		return nil, nil, errNotLinear
	}
	e := newExactProgram(p)
	if e.crossed() >= 0 {
		return nil, nil, errNotOptimal(Infeasible)
	}
	d := e.dictionary(ctx)
	r := &run{ctx: ctx, pivots: -1}
	if s != nil && !d.load(ctx, s.Basis) {
		return nil, nil, ctx.Err()
	}
	_, row, column := d.solve(r)
	switch {
	case ctx.Err() != nil:
		return nil, nil, ctx.Err()
	case row >= 0:
		return nil, nil, errNotOptimal(Infeasible)
	case column >= 0:
		return nil, nil, errNotOptimal(Unbounded)
	}
	return d, r, nil
}

// orDefect returns err, or else an error that says what a check of our own found wrong.
func orDefect(err error, found string) error {
	if err != nil {
		return err
	}
	return errors.New("solver: " + found)
}
