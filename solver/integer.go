package solver

import (
	"container/heap"
	"context"
	"math"
)

// integrality is how far a column may be from a whole number, and a semi-continuous column or a set
// from what it may be, before the search branches on it. Every answer is solved again with whole values
// held exactly, so this decides only how the search goes.
const integrality = 1e-6

// proofGap is the distance between the bound and the best answer at which the search ends, relative to
// the size of the terms of the objective, and to its costs since values are good to 1e-9 only.
const proofGap = 2e-9

// tightenAfter is the number of nodes from which a search is taken to be long enough for tighter doses to pay, and
// tightenAgain by how many times more they are tightened again.
const tightenAfter, tightenAgain = 60, 4

// diveEvery is how many nodes lie between dives in the beginning, and diveEveryUnanswered while nothing is found.
const diveEvery, diveEveryUnanswered = 50, 10

// gapEvery is how many nodes lie between looks at the gap, which go through all open nodes.
const gapEvery = 10

// search is a branch-and-bound search (Land and Doig, "An automatic method of solving discrete
// programming problems", Econometrica 28 (1960), 497-520) on a warm-started relaxation. It always
// minimises; sign turns the problem's objective into that.
type search struct {
	p         *Problem
	opt       Options
	sign      float64
	lp        *relaxation
	costs     pseudoCosts
	nearAt    int     // the node from which a search near a point is due, if positive
	nearTimes int     // how many there were
	divedAt   int     // the node of the last dive
	tightenAt int     // the node at which doses are tightened next
	step      float64 // all answers differ by multiples of step, if it is not zero

	open  nodeHeap
	nodes int

	iterations int

	best      []float64 // the best answer so far
	bestValue float64   // its sign·objective, else infinite
	bestSize  float64   // how large the terms of its objective are
	lost      float64   // the least bound of a node that could not be settled
	rootBound float64
	rootX     []float64 // the point of the relaxation at the root
	rootCosts []float64 // sign·reduced costs at the root
	ended     string    // why the search stopped early
}

// node is a part of the search space: the bounds of its ancestors and its own changes.
type node struct {
	parent  *node
	changes []boundChange
	bound   float64 // no answer within is better
	guess   branching
	basis   *Basis
	depth   int
	number  int
}

// boundChange narrows the bounds of one column.
type boundChange struct {
	column       int
	lower, upper float64
}

// solveInteger solves a problem with integers or cones.
func solveInteger(ctx context.Context, p *Problem, opt Options) (*Solution, error) {
	if !p.HasIntegers() {
		return solveConic(ctx, p, opt)
	}
	if opt.Time > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, opt.Time)
		defer cancel()
	}
	s, err := newSearch(p, opt)
	if err != nil {
		return nil, err
	}
	root, err := s.root(ctx)
	if err != nil || root != nil {
		return root, err
	}
	if err := s.run(ctx); err != nil {
		return nil, err
	}
	return s.result(), nil
}

// newSearch prepares a search on p, which has integers.
func newSearch(p *Problem, opt Options) (*search, error) {
	s := &search{p: p, opt: opt, sign: 1, bestValue: Inf, lost: Inf, rootBound: -Inf, nearAt: nearAfter, tightenAt: tightenAfter}
	if p.Sense == Maximize {
		s.sign = -1
	}
	s.step = objectiveStep(p)
	s.costs = newPseudoCosts(len(p.Columns))
	var err error
	s.lp, err = newRelaxation(p, opt)
	return s, err
}

// root solves the first relaxation, strengthens it by cuts and looks for a first answer. It returns a
// solution if that settles the problem.
func (s *search) root(ctx context.Context) (*Solution, error) {
	if s.lp.crossed {
		return &Solution{Status: Infeasible}, nil
	}
	r, err := s.lp.solve(ctx)
	if err != nil {
		return nil, err
	}
	s.iterations += r.Iterations
	if r.Status == Unbounded {
		return s.unbounded(ctx, r)
	}
	if r.Status != Optimal {
		if r.Status == Limit && ctx.Err() != nil {
			r.Reason = LimitReason(ctx.Err())
		}
		bound := -s.sign * Inf
		if r.Status == Limit {
			bound = r.Bound
		}
		r = &Solution{Status: r.Status, Reason: r.Reason, Iterations: s.iterations, Bound: bound}
		return r, nil
	}
	if r, err = s.cutRoot(ctx, r); err != nil {
		return nil, err
	}
	s.rootBound = s.sign * r.Objective
	s.rootX = append([]float64(nil), r.X...)
	s.rootCosts = make([]float64, len(s.p.Columns))
	for j := range s.rootCosts {
		s.rootCosts[j] = s.sign * r.ReducedCost[j]
	}
	s.push(&node{bound: s.rootBound, basis: r.Basis})
	if len(s.lp.violations(r.X)) > 0 {
		if _, err := s.round(ctx, r.X); err != nil {
			return nil, err
		}
		return nil, s.dive(ctx, nil, r.X)
	}
	return nil, nil
}

// tightenDoses tightens the doses of indicators by what the best answer costs, and says when to do so again.
func (s *search) tightenDoses(ctx context.Context) error {
	s.tightenAt *= tightenAgain
	cutoff := s.sign * Inf
	if s.best != nil {
		cutoff = s.sign*(s.bestValue+s.slack()) - s.p.Offset
	}
	s.lp.enter(nil, true)
	_, err := s.lp.tightenDoses(ctx, cutoff)
	return err
}

// unbounded settles a problem whose relaxation has no limit: it has none either if any answer exists.
// Bounds given as decimals make this so, since some multiple of the ray is whole.
func (s *search) unbounded(ctx context.Context, r *Solution) (*Solution, error) {
	if ctx.Err() != nil {
		return &Solution{Status: Limit, Reason: LimitReason(ctx.Err())}, nil
	}
	flat := s.p.Clone()
	for j := range flat.Columns {
		flat.Columns[j].Cost = 0
	}
	opt := s.opt
	opt.Time = 0
	found, err := solveInteger(ctx, flat, opt)
	if err != nil {
		return nil, err
	}
	if found.Status == Optimal {
		return &Solution{Status: Unbounded, Ray: r.Ray, Iterations: s.iterations + found.Iterations, Nodes: found.Nodes}, nil
	}
	return found, nil
}

// run takes nodes until none is left or a limit is reached. It goes down from each node taken, child
// by child, and otherwise takes the one with the least bound.
func (s *search) run(ctx context.Context) error {
	for s.open.Len() > 0 && s.ended == "" {
		next := heap.Pop(&s.open).(*node)
		warm := false
		for next != nil && s.ended == "" {
			if s.hopeless(next.bound) {
				break
			}
			if s.limit(ctx) {
				heap.Push(&s.open, next)
				return nil
			}
			var err error
			if next, err = s.visit(ctx, next, warm); err != nil {
				return err
			}
			if next != nil && s.ended != "" {
				s.push(next)
			}
			warm = true
		}
	}
	return nil
}

// limit reports whether a limit stops the search, and notes which.
func (s *search) limit(ctx context.Context) bool {
	switch {
	case ctx.Err() != nil:
		s.ended = LimitReason(ctx.Err())
	case s.opt.Nodes > 0 && s.nodes >= s.opt.Nodes:
		s.ended = "node limit"
	case s.opt.Gap > 0 && s.best != nil && s.nodes >= s.opt.Enough && s.nodes%gapEvery == 0 && s.bestValue-s.bound() <= s.opt.Gap*math.Abs(s.bestValue):
		s.ended = "gap"
	}
	return s.ended != ""
}

// hopeless reports whether nothing better than the best answer can have this bound.
func (s *search) hopeless(bound float64) bool {
	if math.IsInf(s.bestValue, 1) {
		return false
	}
	needed := s.bestValue - s.slack()
	if s.step > 0 {
		needed = s.bestValue - s.step*(1-1e-6) + s.slack()
	}
	return bound >= math.Min(needed, s.bestValue-s.slack())
}

// solveWhileHopeful solves the relaxation, or goes no further than a bound that is hopeless.
func (s *search) solveWhileHopeful(ctx context.Context) (*Solution, error) {
	if math.IsInf(s.bestValue, 1) {
		return s.lp.solve(ctx)
	}
	return s.lp.solveUnless(ctx, func(bound float64) bool { return s.hopeless(s.sign * bound) })
}

// slack is the absolute distance that counts as no difference between objectives.
func (s *search) slack() float64 { return proofGap * s.bestSize }

// objectiveSize is the sum of the terms of the objective in magnitude, each at least its cost.
func objectiveSize(p *Problem, x []float64) float64 {
	size := math.Abs(p.Offset)
	for j, c := range p.Columns {
		size += math.Abs(c.Cost) * math.Max(1, math.Abs(x[j]))
	}
	return size
}

// visit solves a node and returns a child to go on with; the other child waits in the heap.
func (s *search) visit(ctx context.Context, n *node, warm bool) (*node, error) {
	s.nodes++
	if len(s.lp.indicators) > 0 && s.nodes >= s.tightenAt {
		if err := s.tightenDoses(ctx); err != nil {
			return nil, err
		}
		warm = false
	}
	if s.nearAt > 0 && s.nodes >= s.nearAt {
		if err := s.near(ctx); err != nil {
			return nil, err
		}
	}
	s.lp.enter(n, warm)
	r, err := s.solveWhileHopeful(ctx)
	if err != nil {
		return nil, err
	}
	s.iterations += r.Iterations
	if r.Status == Unproved || r.Status == Unbounded {
		s.lp.restart()
		if r, err = s.lp.solve(ctx); err != nil {
			return nil, err
		}
	}
	switch r.Status {
	case Infeasible:
		return nil, nil
	case Limit:
		if r.Reason == pastHope {
			s.costs.learn(n.guess, s.sign*r.Bound)
			return nil, nil
		}
		s.ended = r.Reason
		if ctx.Err() != nil {
			s.ended = LimitReason(ctx.Err())
		}
		s.push(n)
		return nil, nil
	case Optimal:
	default:
		s.lost = math.Min(s.lost, n.bound)
		return nil, nil
	}
	value := s.sign * r.Objective
	s.costs.learn(n.guess, value)
	n.bound = math.Max(n.bound, value)
	s.report(n)
	if s.hopeless(n.bound) {
		return nil, nil
	}
	violations := s.lp.violations(r.X)
	if len(violations) == 0 {
		return s.accept(ctx, n, r)
	}
	if changes := s.fixed(r); len(changes) > 0 {
		n.changes = append(n.changes[:len(n.changes):len(n.changes)], changes...)
		s.lp.enter(n, true)
	}
	if s.diveDue() {
		if err := s.dive(ctx, n, r.X); err != nil {
			return nil, err
		}
		s.lp.enter(n, false)
		if s.hopeless(n.bound) {
			return nil, nil
		}
	}
	return s.branch(ctx, n, r, violations)
}

// diveDue reports whether to dive from this node: often while there is no answer; with doses, which fill nodes by the
// thousand, ever more rarely.
func (s *search) diveDue() bool {
	every := diveEvery
	if s.best == nil {
		every = diveEveryUnanswered
	}
	if len(s.lp.indicators) == 0 {
		return s.nodes%every == 0
	}
	if s.nodes < s.divedAt+max(diveEveryUnanswered, s.nodes/2) {
		return false
	}
	s.divedAt = s.nodes
	return true
}

// accept takes the point of a node that violates nothing. Solved again with whole values it may cost
// more than the relaxation said, since that allows for a little violation; then the node is parted where
// it still leaves a choice. Without a choice it is the same program, and done.
func (s *search) accept(ctx context.Context, n *node, r *Solution) (*node, error) {
	found, err := s.round(ctx, r.X)
	if err != nil {
		return nil, err
	}
	if s.hopeless(n.bound) {
		return nil, nil
	}
	s.lp.enter(n, false)
	if b, ok := s.lp.choice(r.X); ok {
		b.at = s.sign * r.Objective
		return s.split(n, r, b), nil
	}
	if !found && !s.p.breaksWholeRow(r.X) {
		s.lost = math.Min(s.lost, n.bound)
	}
	return nil, nil
}

// split makes two children, leaves one in the heap and returns the other, which is the one that the
// relaxation leans to.
func (s *search) split(n *node, r *Solution, b branching) *node {
	down := &node{parent: n, changes: b.down, bound: n.bound, guess: b, basis: r.Basis, depth: n.depth + 1}
	up := &node{parent: n, changes: b.up, bound: n.bound, guess: b, basis: r.Basis, depth: n.depth + 1}
	up.guess.upward = true
	if b.value-math.Floor(b.value) > 0.5 || b.preferUp {
		down, up = up, down
	}
	s.push(up)
	return down
}

func (s *search) push(n *node) {
	s.open.count++
	n.number = s.open.count
	heap.Push(&s.open, n)
}

// bound is the proven bound on sign·objective.
func (s *search) bound() float64 {
	bound := math.Min(s.lost, s.bestValue)
	for _, n := range s.open.nodes {
		bound = math.Min(bound, n.bound)
	}
	return bound
}

func (s *search) report(n *node) {
	if s.opt.Progress != nil && (s.nodes%100 == 1 || s.nodes < 10) {
		s.opt.Progress(Progress{
			Phase: "branch and bound", Iteration: s.iterations, Node: s.nodes,
			Objective: s.sign * s.bestValue, Bound: s.sign * math.Min(n.bound, s.bound()),
		})
	}
}

// result states the outcome in the problem's own sense.
func (s *search) result() *Solution {
	r := &Solution{Iterations: s.iterations, Nodes: s.nodes, Bound: s.sign * s.bound()}
	if s.best != nil {
		r.X = s.best
		r.Activity = s.p.Activity(r.X)
		r.Objective = s.p.Value(r.X)
		r.Certificate = Certificate{PrimalResidual: s.p.residual(r.X), Gap: math.Abs(r.Objective - r.Bound)}
	}
	switch {
	case s.ended != "":
		r.Status, r.Reason = Limit, s.ended
	case !s.hopeless(s.lost) && !math.IsInf(s.lost, 1):
		r.Status, r.Reason = Unproved, "a node of the search did not settle"
	case s.best != nil:
		r.Status = Optimal
	default:
		r.Status, r.Bound = Infeasible, 0
	}
	return r
}
