package solver

import "context"

// The functions of this file stand in for explaining functions; each
// is deleted together with its types when the real one of the same name comes in.

// Member is one side of a row (Row >= 0) or of a column's bounds in a conflict.
type Member struct {
	Row, Column int
	Side        Side
}

// Conflict is an irreducible infeasible set.
type Conflict struct{ Members []Member }

// FindConflict finds an irreducible conflict by deletion.
func FindConflict(ctx context.Context, p *Problem, opt Options) (*Conflict, error) {
	q := p.Clone()
	found := &Conflict{}
	try := func(bound *float64, free float64, m Member) error {
		if *bound == free {
			return nil
		}
		old := *bound
		*bound = free
		s, err := Solve(ctx, q, opt)
		if err == nil && s.Status != Infeasible {
			*bound = old
			found.Members = append(found.Members, m)
		}
		return err
	}
	for j := range q.Columns {
		if err := try(&q.Columns[j].Upper, Inf, Member{-1, j, UpperSide}); err != nil {
			return nil, err
		}
	}
	for i := range q.Rows {
		if err := try(&q.Rows[i].Lower, -Inf, Member{i, -1, LowerSide}); err != nil {
			return nil, err
		}
		if err := try(&q.Rows[i].Upper, Inf, Member{i, -1, UpperSide}); err != nil {
			return nil, err
		}
	}
	for j := range q.Columns {
		if err := try(&q.Columns[j].Lower, -Inf, Member{-1, j, LowerSide}); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// AlternativeOptima finds none yet.
func AlternativeOptima(context.Context, *Problem, *Solution) ([][]float64, error) { return nil, nil }
