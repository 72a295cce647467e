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

// quotient is a value that a recipe has and that is no linear form: excess is the form that is above zero
// where it lies above a value, and at returns it for columns. It is linear when excess leaves the value out.
type quotient struct {
	excess func(value float64) []solver.Term
	at     func(x []float64) float64
	linear bool
}

// best returns the largest (Maximize) or smallest value of q in program p, whose own costs count for
// nothing, beginning at a value and a basis (nil if none is known). The best ratio of two linear forms is
// found by Dinkelbach's iteration (W. Dinkelbach, On nonlinear fractional programming, Management Science
// 13 (1967) 492-498); each step is one linear program. The least and the highest pH are found likewise. It
// is not ok when p has no solution, or the value no end.
func best(ctx context.Context, p *solver.Problem, q quotient, sense solver.Sense, value float64, start *solver.Basis) (_ float64, ok bool, err error) {
	p = p.Clone()
	p.Sense = sense
	for range 30 {
		for j := range p.Columns {
			p.Columns[j].Cost = 0
		}
		for _, t := range q.excess(value) {
			p.Columns[t.Column].Cost += t.Value
		}
		s, err := solver.Solve(ctx, p, solver.Options{Start: start})
		if err != nil || s.Status != solver.Optimal {
			return 0, false, err
		}
		start = s.Basis
		next := q.at(s.X)
		if math.IsNaN(next) || math.IsInf(next, 0) {
			return 0, false, nil
		}
		settled := math.Abs(next-value) <= 1e-10*(1+math.Abs(next))
		value = next
		if settled || q.linear {
			break
		}
	}
	return value, true, nil
}

// bestRatio returns the largest (Maximize) or smallest value of content over basis (1 if nil) in a program.
func bestRatio(ctx context.Context, p *solver.Problem, content, basis []solver.Term, sense solver.Sense, start *solver.Basis) (value float64, ok bool, err error) {
	return best(ctx, p, quotient{
		excess: func(value float64) []solver.Term {
			excess := append([]solver.Term(nil), content...)
			for _, t := range basis {
				excess = append(excess, solver.Term{Column: t.Column, Value: -value * t.Value})
			}
			return excess
		},
		at:     func(x []float64) float64 { return ratioOf(content, basis, x) },
		linear: basis == nil,
	}, sense, 0, start)
}
