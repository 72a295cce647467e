package study

import (
	"context"
	"math"

	"bittersum/internal/formulate"
	"bittersum/solver"
)

// ratioOf returns content over basis (1 if nil).
func ratioOf(content, basis []solver.Term, x []float64) float64 {
	if basis == nil {
		return formulate.Dot(content, x)
	}
	return formulate.Dot(content, x) / formulate.Dot(basis, x)
}

// bestRatio returns the largest (Maximize) or smallest value of content over basis (1 if nil) in a program,
// by Dinkelbach's iteration as in extreme. It is not ok when there is no such value.
func bestRatio(ctx context.Context, p *solver.Problem, content, basis []solver.Term, sense solver.Sense, start *solver.Basis) (value float64, ok bool, err error) {
	p = p.Clone()
	p.Sense = sense
	for range 30 {
		for j := range p.Columns {
			p.Columns[j].Cost = 0
		}
		for _, t := range content {
			p.Columns[t.Column].Cost += t.Value
		}
		for _, t := range basis {
			p.Columns[t.Column].Cost -= value * t.Value
		}
		s, err := solver.Solve(ctx, p, solver.Options{Start: start})
		if err != nil || s.Status != solver.Optimal {
			return 0, false, err
		}
		start = s.Basis
		next := formulate.Dot(content, s.X)
		if basis != nil {
			next /= formulate.Dot(basis, s.X)
		}
		if math.IsNaN(next) || math.IsInf(next, 0) {
			return 0, false, nil
		}
		done := basis == nil || math.Abs(next-value) <= 1e-10*(1+math.Abs(next))
		value = next
		if done {
			break
		}
	}
	return value, true, nil
}
