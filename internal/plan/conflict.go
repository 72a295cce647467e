package plan

import (
	"context"
	"math"

	"bittersum/solver"
)

// lacks are the limits that a solution misses, by more than a share of their value.
func (p *program) lacks(x []float64, share float64) []Lack {
	var out []Lack
	for _, l := range p.lack {
		if by := x[l.column]; by > share*(1+math.Abs(l.limit.Value)) {
			out = append(out, Lack{l.limit, by})
		}
	}
	return out
}

// conflict finds limits that exclude each other with the recipes known.
func (s *planner) conflict(ctx context.Context, a *Answer) error {
	p := s.program(s.usedMost())
	p.hold()
	for _, l := range p.lack {
		p.problem.Columns[l.column].Upper = 0
	}
	for j := range p.problem.Columns {
		p.problem.Columns[j].Kind = solver.Continuous
		p.problem.Columns[j].Cost = 0
	}
	limits := map[int]*Limit{}
	for _, q := range p.parts {
		for _, l := range q.limits {
			limits[l.row] = l
		}
		for k, stock := range s.pool.stocks {
			if stock.at > 0 {
				continue // told of its youngest age
			}
			for t := range s.Periods() {
				if !s.pool.covered(q, k, t) {
					limits[q.need[k][t]] = &Limit{What: "nothing", Name: stock.base(), Period: t}
				}
			}
		}
	}
	found, err := solver.FindConflict(ctx, p.problem, solver.ConflictOptions{Reluctance: func(b solver.Bound) int {
		if !b.Row {
			return 2
		}
		if limits[b.Index] != nil {
			return 0
		}
		return 1
	}})
	if err != nil || found.Feasible { // it takes the whole numbers to exclude them
		return err
	}
	for _, b := range found.Members {
		if l := limits[b.Index]; b.Row && l != nil {
			a.Conflict = append(a.Conflict, l)
		}
	}
	return nil
}

// covered reports whether there can be some of a stock in period t, at any age of it.
func (l *pool) covered(q *part, stock, t int) bool {
	for k, base := range l.base {
		if base == stock && len(q.covers[k][t]) > 0 {
			return true
		}
	}
	return false
}
