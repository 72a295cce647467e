package solver

import (
	"context"
	"math/big"
)

// exactSearch proves the optimum of a program with integer and semi-continuous columns by a tree of linear
// programs (Land and Doig, Econometrica 28 (1960), 497-520), depth first. A node is closed by a bound or a
// contradiction that holds in rational arithmetic: that of the dual values which floating point finds, where
// it is enough, else the exact optimum of the node.
type exactSearch struct {
	p       *Problem
	program *exactProgram // without the integers; its bounds are those of the present node
	session *Session      // the same in floating point, to guide and to begin from
	run     *run
	most    int      // the nodes allowed
	step    *big.Rat // all answers differ by multiples of step; nil if nothing is known

	best  *big.Rat // objective of the best answer so far, minimised; nil is none
	point *Proof
	ray   *Proof // set when the program without integers has no limit
	nodes int
}

// mostNodes is how many nodes a proof takes unless told otherwise. A tree over columns without bounds need not
// end at all.
const mostNodes = 100_000

// proveInteger is Prove for a program with integer or semi-continuous columns. s may hold an answer to begin
// from.
func proveInteger(ctx context.Context, p *Problem, s *Solution, opt Options, r *run) (*Proof, error) {
	linear := p.Clone()
	for j := range linear.Columns {
		linear.Columns[j].Kind = Continuous
	}
	e := newExactProgram(linear)
	if v := e.wholeBounds(p); v >= 0 {
		return &Proof{Status: Infeasible, Reason: "the bounds of " + p.variableName(v) + " leave no value"}, nil
	}
	for j := range linear.Columns {
		c := &linear.Columns[j]
		c.Lower, c.Upper = nearest(e.lower[j], -Inf), nearest(e.upper[j], Inf)
	}
	session, err := NewSession(linear, Options{Feasibility: opt.Feasibility, Optimality: opt.Optimality})
	if err != nil {
		return nil, err
	}
	search := &exactSearch{p: p, program: e, session: session, run: r, most: opt.Nodes, step: e.objectiveStep(p)}
	if search.most == 0 {
		search.most = mostNodes
	}
	if s != nil && len(s.X) == len(p.Columns) {
		search.begin(ctx, s.X)
	}
	done := search.visit(ctx)
	switch {
	case search.ray != nil:
		return search.unbounded(ctx, opt)
	case !done:
		return search.stopped(), nil
	case search.point == nil:
		return &Proof{Status: Infeasible, Reason: "no whole values meet all limits", Nodes: search.nodes}, nil
	}
	return search.answer(), nil
}

// nearest returns the float64 nearest to a bound, or what stands for an infinite one.
func nearest(bound *big.Rat, infinite float64) float64 {
	if bound == nil {
		return infinite
	}
	return float(bound)
}

// wholeBounds narrows the bounds of integer columns to whole numbers and widens those of semi-continuous ones
// to zero. It returns a column that is left without a value, or -1.
func (e *exactProgram) wholeBounds(p *Problem) int {
	for j, c := range p.Columns {
		switch c.Kind {
		case Integer:
			e.lower[j], e.upper[j] = ceiling(e.lower[j]), floor(e.upper[j])
		case SemiContinuous:
			if e.lower[j].Cmp(e.upper[j]) > 0 {
				e.upper[j] = new(big.Rat)
			}
			e.lower[j] = new(big.Rat)
		}
	}
	return e.crossed()
}

// floor returns the greatest whole number that is not above x, and nil for nil.
func floor(x *big.Rat) *big.Rat {
	if x == nil {
		return nil
	}
	var rest big.Int
	whole, _ := new(big.Int).DivMod(x.Num(), x.Denom(), &rest) // Euclidean: the rest is at least zero
	return new(big.Rat).SetInt(whole)
}

func ceiling(x *big.Rat) *big.Rat {
	if x == nil {
		return nil
	}
	down := floor(new(big.Rat).Neg(x))
	return down.Neg(down)
}

// objectiveStep returns the number by whose multiples the objectives of any two answers differ, or nil if
// columns that need not be whole have a cost.
func (e *exactProgram) objectiveStep(p *Problem) *big.Rat {
	var whole content
	for j, c := range e.cost {
		if c.Sign() != 0 && p.Columns[j].Kind != Integer {
			return nil
		}
		whole.add(c)
	}
	if !whole.started {
		return nil
	}
	return whole.value()
}

// begin takes an answer found in floating point, its whole values made exact, if it holds so.
func (s *exactSearch) begin(ctx context.Context, x []float64) {
	lower, upper := s.program.lower, s.program.upper
	defer func() { s.program.lower, s.program.upper = lower, upper }()
	s.program.lower = append([]*big.Rat(nil), lower...)
	s.program.upper = append([]*big.Rat(nil), upper...)
	for j, c := range s.p.Columns {
		value := new(big.Rat)
		if value.SetFloat64(x[j]) == nil {
			return
		}
		switch {
		case c.Kind == Integer:
			value = floor(value.Add(value, big.NewRat(1, 2)))
			s.program.lower[j], s.program.upper[j] = value, value
		case c.Kind == SemiContinuous && x[j] < c.Lower/2:
			s.program.upper[j] = new(big.Rat)
		case c.Kind == SemiContinuous:
			s.program.lower[j] = s.p.columnLower(j)
		}
	}
	if s.program.crossed() >= 0 {
		return
	}
	guide, _ := s.guided(ctx)
	s.take(s.exact(ctx, guide))
}

func (p *Problem) columnLower(j int) *big.Rat {
	lower, _ := p.ExactBounds(ColumnVariable(j))
	return lower
}

// guided solves the node in floating point.
func (s *exactSearch) guided(ctx context.Context) (*Solution, error) {
	for j := range s.p.Columns {
		s.session.SetColumnBounds(j, nearest(s.program.lower[j], -Inf), nearest(s.program.upper[j], Inf))
	}
	return s.session.Solve(ctx)
}

// exact returns the exact outcome of the node, from the basis of a solution.
func (s *exactSearch) exact(ctx context.Context, guide *Solution) *Proof {
	var basis *Basis
	if guide != nil {
		basis = guide.Basis
	}
	d := s.program.liftedDictionary(ctx)
	if !d.load(ctx, basis) {
		return s.run.limit(d)
	}
	return d.prove(s.run)
}

// take keeps a proved point that is better than the best, if its values are what they may be.
func (s *exactSearch) take(proof *Proof) {
	if proof.Status != Optimal || s.violated(proof.X) >= 0 {
		return
	}
	if value := s.minimized(proof); s.best == nil || value.Cmp(s.best) < 0 {
		s.best, s.point = value, proof
	}
}

func (s *exactSearch) minimized(proof *Proof) *big.Rat {
	return new(big.Rat).Set(s.program.minimized(proof.Objective))
}

// violated returns the column whose value is farthest from what it may be, or -1: for an integer column from
// the nearest whole number, for a semi-continuous one from zero and its lower bound.
func (s *exactSearch) violated(x []*big.Rat) int {
	worst, most := -1, 0.0
	for j, c := range s.p.Columns {
		off := 0.0
		switch {
		case c.Kind == Integer && !x[j].IsInt():
			part := float(new(big.Rat).Sub(x[j], floor(x[j])))
			off = max(min(part, 1-part), 1e-300)
		case c.Kind == SemiContinuous && x[j].Sign() > 0 && x[j].Cmp(s.p.columnLower(j)) < 0:
			off = max(min(float(x[j]), c.Lower-float(x[j]))/c.Lower, 1e-300)
		}
		if off > most {
			worst, most = j, off
		}
	}
	return worst
}

// visit settles the present node and all below it, and returns false if a limit ran out before.
func (s *exactSearch) visit(ctx context.Context) bool {
	if ctx.Err() != nil || s.nodes >= s.most {
		return false
	}
	s.nodes++
	guide, err := s.guided(ctx)
	if err != nil {
		return false
	}
	if s.closed(guide) {
		return true
	}
	proof := s.exact(ctx, guide)
	switch proof.Status {
	case Infeasible:
		return true
	case Unbounded:
		s.ray = proof
		return false
	case Optimal:
	default:
		return false
	}
	if s.hopeless(s.minimized(proof)) {
		return true
	}
	j := s.violated(proof.X)
	if j < 0 {
		s.take(proof)
		return true
	}
	return s.branch(ctx, j, proof.X[j])
}

// branch parts the node at column j, the nearer side first.
func (s *exactSearch) branch(ctx context.Context, j int, x *big.Rat) bool {
	lower, upper := s.program.lower[j], s.program.upper[j]
	below, above := floor(x), ceiling(x)
	if s.p.Columns[j].Kind == SemiContinuous {
		below, above = new(big.Rat), s.p.columnLower(j)
	}
	sides := [][2]*big.Rat{{lower, below}, {above, upper}}
	if new(big.Rat).Sub(above, x).Cmp(new(big.Rat).Sub(x, below)) < 0 {
		sides[0], sides[1] = sides[1], sides[0]
	}
	done := true
	for _, side := range sides {
		s.program.lower[j], s.program.upper[j] = side[0], side[1]
		if done = s.visit(ctx); !done {
			break
		}
	}
	s.program.lower[j], s.program.upper[j] = lower, upper
	return done
}

// hopeless reports whether nothing better than the best answer can have an objective of bound or more.
func (s *exactSearch) hopeless(bound *big.Rat) bool {
	switch {
	case s.best == nil:
		return false
	case s.step == nil:
		return bound.Cmp(s.best) >= 0
	}
	return new(big.Rat).Add(bound, s.step).Cmp(s.best) > 0
}

// closed reports whether the vectors found in floating point, read as the rationals that they are, prove that
// the node holds nothing better.
func (s *exactSearch) closed(guide *Solution) bool {
	switch {
	case guide.Status == Infeasible && guide.Farkas != nil:
		return s.program.faultOfFarkas(rationals(guide.Farkas)) == ""
	case guide.Status == Optimal && s.best != nil:
		bound := s.program.dualBound(rationals(guide.Dual))
		return bound != nil && s.hopeless(bound)
	}
	return false
}

func rationals(x []float64) []*big.Rat {
	y := make([]*big.Rat, len(x))
	for i, v := range x {
		if y[i] = new(big.Rat); v != 0 {
			y[i].SetFloat64(v)
		}
	}
	return y
}

// dualBound returns a number below which the minimised objective of no point lies, or nil if the row prices y
// give none (A. Neumaier, O. Shcherbina, Safe bounds in linear and mixed-integer linear programming,
// Mathematical Programming 99 (2004), 283-296): c·x = (c - y·A) x + y·(A x), each part at the bound where it
// is least. A price that points to an infinite bound is left out first.
func (e *exactProgram) dualBound(y []*big.Rat) *big.Rat {
	bound, product := new(big.Rat).Set(e.minimized(e.offset)), new(big.Rat)
	least := func(v int, price *big.Rat) *big.Rat {
		if price.Sign() > 0 {
			return e.lower[v]
		}
		return e.upper[v]
	}
	for i := range y {
		y[i] = e.minimized(y[i])
		if y[i].Sign() == 0 {
			continue
		}
		at := least(e.columns+i, y[i])
		if at == nil {
			y[i] = new(big.Rat)
			continue
		}
		bound.Add(bound, product.Mul(y[i], at))
	}
	combined := e.combination(y)
	for j, c := range e.cost {
		price := new(big.Rat).Sub(c, combined[j])
		if price.Sign() == 0 {
			continue
		}
		at := least(j, price)
		if at == nil {
			return nil
		}
		bound.Add(bound, product.Mul(price, at))
	}
	return bound
}

// answer is the proof of the best point, checked against the program's own figures.
func (s *exactSearch) answer() *Proof {
	proof := &Proof{
		Status: Optimal, Objective: s.point.Objective, X: s.point.X, Activity: s.point.Activity,
		Pivots: s.point.Pivots, Nodes: s.nodes,
	}
	if fault := s.program.faultOfPoint(proof); fault != "" || s.violated(proof.X) >= 0 {
		return &Proof{Status: Unproved, Reason: "the exact check failed: " + fault, Nodes: s.nodes}
	}
	return proof
}

// stopped is the outcome of a search that a limit cut short: the best point, exact but not proved to be best.
func (s *exactSearch) stopped() *Proof {
	proof := s.run.limit(nil)
	if s.nodes >= s.most {
		proof.Reason = "nodes ran out"
	}
	proof.Nodes = s.nodes
	if s.point != nil {
		proof.Objective, proof.X, proof.Activity = s.point.Objective, s.point.X, s.point.Activity
	}
	return proof
}

// unbounded settles a program that has no limit without its integers: it has none either if any answer
// exists, since some multiple of a rational direction is whole.
func (s *exactSearch) unbounded(ctx context.Context, opt Options) (*Proof, error) {
	flat := s.p.Clone()
	for j := range flat.Columns {
		flat.Columns[j].Cost = 0
	}
	found, err := proveInteger(ctx, flat, nil, opt, s.run)
	if err != nil || found.Status != Optimal {
		return found, err
	}
	found.Status, found.Ray = Unbounded, s.ray.Ray
	found.Objective = s.program.objective(found.X)
	found.Nodes += s.nodes
	return found, nil
}
