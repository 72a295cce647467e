package solver

import (
	"context"
	"math"
)

// Cones are kept by cutting planes (Kelley, "The cutting-plane method for solving convex programs",
// Journal of the SIAM 8 (1960), 703-712): since ‖v‖ >= u·v for every u with ‖u‖ = 1, the row
//
//	linear(x) + Scale·u·(F x + g) <= Upper
//
// holds wherever the cone does, and with u along F x + g it cuts off a point x that violates the cone.

// coneTolerance is how far a cone may be overstepped, relative to 1 + |Upper| + Scale·‖F x + g‖ and the terms of
// its linear part, whose own rounding is of that size.
const coneTolerance = 1e-9

// coneRounds caps the rounds of cuts for one relaxation.
const coneRounds = 1000

// tangent returns the cut for direction u, which has one entry per factor and length 1 or less.
func (c *Cone) tangent(u []float64) Row {
	sum := map[int]float64{}
	order := []int{}
	add := func(terms []Term, by float64) {
		for _, t := range terms {
			if _, ok := sum[t.Column]; !ok {
				order = append(order, t.Column)
			}
			sum[t.Column] += by * t.Value
		}
	}
	add(c.Linear, 1)
	row := Row{Name: c.Name, Lower: -Inf, Upper: c.Upper}
	for i, factor := range c.Factors {
		add(factor, c.Scale*u[i])
		if len(c.Constants) > 0 {
			row.Upper -= c.Scale * u[i] * c.Constants[i]
		}
	}
	for _, j := range order {
		if v := sum[j]; v != 0 {
			row.Terms = append(row.Terms, Term{j, v})
		}
	}
	return row
}

// binds reports whether the cone is any limit at all.
func (c *Cone) binds() bool { return c.Upper < Huge }

// outline returns the directions of the first cuts: the linear part alone and each factor alone, either way.
func (c *Cone) outline() [][]float64 {
	directions := [][]float64{make([]float64, len(c.Factors))}
	if c.Scale == 0 {
		return directions
	}
	for i := range c.Factors {
		for _, sign := range []float64{1, -1} {
			u := make([]float64, len(c.Factors))
			u[i] = sign
			directions = append(directions, u)
		}
	}
	return directions
}

// excess returns by how much x oversteps the cone, and how large the terms are.
func (c *Cone) excess(x []float64) (excess, size float64) {
	spread := c.Scale * c.norm(x)
	size = 1 + math.Abs(c.Upper) + spread
	for _, t := range c.Linear {
		size += math.Abs(t.Value * x[t.Column])
	}
	return formAt(c.Linear, x) + spread - c.Upper, size
}

// cut returns the direction of the cut at x, and false if the cone holds there.
func (c *Cone) cut(x []float64) ([]float64, bool) {
	excess, size := c.excess(x)
	norm := c.norm(x)
	if !c.binds() || excess <= coneTolerance*size || norm == 0 {
		return nil, false
	}
	u := make([]float64, len(c.Factors))
	for i := range u {
		u[i] = c.factor(i, x) / norm
	}
	return u, true
}

// cutRay returns the direction of the cut that stops a ray, and false if the cone does not stop it.
func (c *Cone) cutRay(ray []float64) ([]float64, bool) {
	norm, size := 0.0, 0.0
	u := make([]float64, len(c.Factors))
	for i, factor := range c.Factors {
		u[i] = formAt(factor, ray)
		norm = math.Hypot(norm, u[i])
	}
	for _, t := range c.Linear {
		size += math.Abs(t.Value * ray[t.Column])
	}
	if !c.binds() || norm == 0 || formAt(c.Linear, ray)+c.Scale*norm <= coneTolerance*(size+c.Scale*norm) {
		return nil, false
	}
	for i := range u {
		u[i] /= norm
	}
	return u, true
}

// coneKeeper adds cuts for the cones of a problem to a session.
type coneKeeper struct {
	cones []Cone
	cuts  []Cut
	first int // the row index of the first cut; the others follow it
}

// newConeKeeper appends the outlines of the cones to the rows of relaxed.
func newConeKeeper(cones []Cone, relaxed *Problem) *coneKeeper {
	k := &coneKeeper{cones: cones, first: len(relaxed.Rows)}
	for i := range cones {
		if cones[i].binds() {
			for _, u := range cones[i].outline() {
				relaxed.AddRow(cones[i].tangent(u))
				k.cuts = append(k.cuts, Cut{i, u})
			}
		}
	}
	return k
}

// solve solves the session's program, with cuts until every cone holds.
func (k *coneKeeper) solve(ctx context.Context, session *Session) (*Solution, error) {
	iterations := 0
	for round := 0; ; round++ {
		s, err := session.Solve(ctx)
		if err != nil {
			return nil, err
		}
		iterations += s.Iterations
		s.Iterations = iterations
		if len(k.cones) == 0 || (s.Status != Optimal && s.Status != Unbounded) {
			return s, nil
		}
		cuts := k.more(s)
		if len(cuts) == 0 {
			return s, nil
		}
		if round == coneRounds {
			s.Status, s.Reason = Limit, "cone cuts"
			return s, nil
		}
		for _, cut := range cuts {
			if _, err := session.AddRow(k.cones[cut.Cone].tangent(cut.Direction)); err != nil {
				return nil, err
			}
			k.cuts = append(k.cuts, cut)
		}
	}
}

// more returns the cuts that an optimal point or an unbounded direction calls for.
func (k *coneKeeper) more(s *Solution) []Cut {
	var cuts []Cut
	for i := range k.cones {
		var direction []float64
		var found bool
		if s.Status == Optimal {
			direction, found = k.cones[i].cut(s.X)
		} else {
			direction, found = k.cones[i].cutRay(s.Ray)
		}
		if found {
			cuts = append(cuts, Cut{i, direction})
		}
	}
	return cuts
}

// duals returns per cone the derivative of the objective with respect to Upper: the sum of the dual
// values of its cuts, which all have that right-hand side but for a constant.
func (k *coneKeeper) duals(rows []float64) []float64 {
	if rows == nil {
		return nil
	}
	duals := make([]float64, len(k.cones))
	for i, cut := range k.cuts {
		duals[cut.Cone] += rows[k.first+i]
	}
	return duals
}

// solveConic solves a problem that has cones and no integers.
func solveConic(ctx context.Context, p *Problem, opt Options) (*Solution, error) {
	relaxed := p.Clone()
	relaxed.Cones = nil
	keeper := newConeKeeper(p.Cones, relaxed)
	opt.Start = nil
	session, err := NewSession(relaxed, opt)
	if err != nil {
		return nil, err
	}
	s, err := keeper.solve(ctx, session)
	if err != nil {
		return nil, err
	}
	s.ConeDual = keeper.duals(s.Dual)
	m := len(p.Rows)
	s.Activity, s.Dual = head(s.Activity, m), head(s.Dual, m)
	s.Cuts = &Cuts{Cuts: keeper.cuts, Basis: s.Basis}
	s.Basis, s.Farkas = nil, nil // both need the cuts, which are no rows of p
	if s.X != nil {
		s.Certificate.PrimalResidual = math.Max(s.Certificate.PrimalResidual, p.coneResidual(s.X))
	}
	return s, nil
}

// head returns the first n entries of v, or nil.
func head(v []float64, n int) []float64 {
	if v == nil {
		return nil
	}
	return v[:n:n]
}

// coneResidual returns the largest amount by which x oversteps a cone.
func (p *Problem) coneResidual(x []float64) float64 {
	residual := 0.0
	for i := range p.Cones {
		if excess, _ := p.Cones[i].excess(x); p.Cones[i].binds() {
			residual = math.Max(residual, excess)
		}
	}
	return residual
}
