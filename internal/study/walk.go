package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/tomlfile"
	"bittersum/solver"
)

// node is a value of the attribute with the program there, at the state of its own recipe.
type node struct {
	value       float64
	job         *brief.Job
	formulation *formulate.Formulation
	solution    *solver.Solution
}

// step is a stretch of the walk on which the program stayed at one state: it was taken at anchor.
type step struct {
	from, to, anchor float64
	piece            solver.PathPiece
	// lean is what the move of the state adds to the cost per unit of the value.
	lean float64
}

// at returns the cost at a value of the step.
func (s *step) at(value float64) float64 {
	cost, _ := s.piece.At(value - s.anchor)
	return cost + s.lean*(value-s.anchor)
}

// The volumes and charges in a program are those of a state of the liquor, which moves with the recipe. So
// a step is shortened until the cost at its end, at the state of the step's beginning, is that of the
// recipe there to within stateTolerance of itself; the rest is spread evenly over the step. On the way to a
// break-point that is far, what the step before was off by is foreseen, and only the rest counts.
const (
	stateTolerance = 1e-4
	mostSteps      = 2000
)

// follow walks up and down from the cheapest recipe, from break-point to break-point, and then proves and
// assesses the recipes found there.
func (r *Reached) follow(ctx context.Context, up, down bool) error {
	today := r.Today
	start, err := r.node(ctx, node{formulation: today.Formulation, solution: today.Solution}, r.Start, 0)
	if err != nil {
		return err
	}
	if start.solution.Status != solver.Optimal {
		return fmt.Errorf("%w: at the value of the cheapest recipe the program is %s", ErrUnproved, start.solution.Status)
	}
	var below, above []node
	var lower, upper []Stretch
	err = each(2, func(k int) (err error) {
		switch {
		case k == 0 && down:
			below, lower, err = r.walk(ctx, start, false)
		case k == 1 && up:
			above, upper, err = r.walk(ctx, start, true)
		}
		return err
	})
	if err != nil {
		return err
	}
	slices.Reverse(below)
	slices.Reverse(lower)
	nodes := slices.Concat(below, []node{start}, above)
	steps := slices.Concat(lower, upper)
	kept := nodes[:1]
	for n, s := range steps {
		if m := len(r.Stretches); m > 0 && r.Stretches[m-1].same(&s) {
			r.Stretches[m-1].lengthen(&s)
			kept[len(kept)-1] = nodes[n+1]
			continue
		}
		r.add(s)
		kept = append(kept, nodes[n+1])
	}
	return r.prove(ctx, kept)
}

// node solves at a value, beginning at a node nearby. Where rounding leaves no recipe it is taken inward by
// less than amounts are printed to.
func (r *Reached) node(ctx context.Context, near node, value, inward float64) (n node, err error) {
	if math.Abs(value) < 1e-9*math.Abs(r.Start) {
		value = 0
	}
	for _, share := range []float64{0, 1e-10, 1e-8, 1e-7} {
		n.value = value
		if inward != 0 {
			n.value = rounded(value+inward*share*math.Abs(value), 11, inward)
		}
		if n.job, err = r.with(n.value); err != nil {
			return n, err
		}
		if n.formulation, n.solution, err = settledFrom(ctx, n.job, near.formulation.State, near.solution.Basis); err != nil || n.solution.Status == solver.Optimal || inward == 0 {
			return n, err
		}
	}
	return n, nil
}

// walk returns the nodes to one side of start, and the steps that lead to each, outward.
func (r *Reached) walk(ctx context.Context, start node, up bool) (nodes []node, stretches []Stretch, err error) {
	at, inward, lean := start, -1.0, 0.0
	if !up {
		inward = 1
	}
	for len(nodes) < mostSteps {
		end := solver.Inf
		if !up {
			end = at.value
		}
		if !up && end <= r.hair(end) {
			return nodes, stretches, nil
		}
		l := limitOf(at.formulation, formulate.Target, r.Attribute.Name)
		piece, status, err := solver.Advance(ctx, at.formulation.Problem, at.solution, at.formulation.Direction(l), up, end)
		if err != nil {
			return nil, nil, err
		}
		reached := piece.To
		if !up {
			reached = piece.From
		}
		if status == solver.Optimal && math.IsInf(reached, 0) {
			return nil, nil, tomlfile.Faults{{File: r.Job.File, What: r.Attribute.Name + " can grow for ever", Hint: "bound an amount under limits or total"}}
		}
		next, ok := node{}, false
		if status == solver.Optimal && math.Abs(reached) > r.hair(at.value) {
			if next, ok, err = r.step(ctx, at, &piece, lean, reached, inward); err != nil {
				return nil, nil, err
			}
		}
		if !ok || math.Abs(next.value-at.value) <= r.hair(at.value) {
			// No recipe at this state; there may be one at the state a little further on.
			if next, ok, err = r.hop(ctx, at, up); err != nil || !ok {
				return nodes, stretches, err
			}
			piece = secant(at, next)
		}
		s := r.stretch(at, next, piece)
		nodes, stretches = append(nodes, next), append(stretches, s)
		at, lean = next, s.steps[0].lean
	}
	return nil, nil, fmt.Errorf("%w: the curve has more than %d steps", ErrUnproved, mostSteps)
}

// hair is a difference in the value that no one can weigh.
func (r *Reached) hair(value float64) float64 { return 1e-7 * (math.Abs(value) + math.Abs(r.Start)) }

// hop returns the node just beyond at, if there is a recipe.
func (r *Reached) hop(ctx context.Context, at node, up bool) (next node, ok bool, err error) {
	for _, hairs := range []float64{10, 100, 1000} {
		beyond := hairs * r.hair(at.value)
		if !up {
			beyond = -math.Min(beyond, at.value)
		}
		next, err = r.node(ctx, at, at.value+beyond, 0)
		if err != nil && !errors.Is(err, ErrUnproved) {
			return next, false, err
		}
		if err == nil && next.solution.Status == solver.Optimal {
			return next, true, nil
		}
	}
	return next, false, nil
}

// secant joins two nodes that are no further apart than rounding and the state of the liquor put them.
func secant(at, next node) solver.PathPiece {
	length := next.value - at.value
	p := solver.PathPiece{Objective: at.solution.Objective, Slope: (next.solution.Objective - at.solution.Objective) / length, X: at.solution.X}
	for n, x := range next.solution.X {
		p.Rate = append(p.Rate, (x-p.X[n])/length)
	}
	return p
}

// step goes along a piece from a node as far as its state holds.
func (r *Reached) step(ctx context.Context, at node, piece *solver.PathPiece, lean, reached, inward float64) (node, bool, error) {
	halved := false
	for math.Abs(reached) > r.hair(at.value) {
		next, err := r.node(ctx, at, at.value+reached, inward)
		if err != nil && !errors.Is(err, ErrUnproved) {
			return next, false, err
		}
		if err == nil && next.solution.Status == solver.Optimal {
			cost, _ := piece.At(next.value - at.value)
			off := next.solution.Objective - cost
			if halved {
				off -= lean * (next.value - at.value)
			}
			if math.Abs(off) <= stateTolerance*math.Abs(cost)+1e-12 {
				return next, true, nil
			}
		}
		reached /= 2
		halved = true
	}
	return node{}, false, nil
}

// stretch is a single step between two nodes.
func (r *Reached) stretch(at, next node, piece solver.PathPiece) Stretch {
	low, high := at, next
	if next.value < at.value {
		low, high = next, at
	}
	s := Stretch{From: low.value, To: high.value, CostFrom: low.solution.Objective, CostTo: high.solution.Objective}
	cost, _ := piece.At(next.value - at.value)
	lean := (next.solution.Objective - cost) / (next.value - at.value)
	s.SlopeFrom, s.SlopeTo = piece.SlopeAt(low.value-at.value)+lean, piece.SlopeAt(high.value-at.value)+lean
	s.steps = []step{{s.From, s.To, at.value, piece, lean}}
	_, x := piece.At((low.value+high.value)/2 - at.value)
	s.Binding = binding(at.formulation, x, r.Attribute.Name)
	for n := range at.job.Sources {
		s.used = append(s.used, used(x[n]))
	}
	return s
}

// same reports whether nothing changes from s to the stretch after it that a maker sees.
func (s *Stretch) same(after *Stretch) bool {
	return slices.Equal(s.used, after.used) && slices.EqualFunc(s.Binding, after.Binding, formulate.Limit.Same)
}

// lengthen adds the stretch after it.
func (s *Stretch) lengthen(after *Stretch) {
	s.To, s.CostTo, s.SlopeTo = after.To, after.CostTo, after.SlopeTo
	s.steps = append(s.steps, after.steps...)
}

// add appends a stretch and says what enters and leaves.
func (r *Reached) add(s Stretch) {
	if n := len(r.Stretches); n > 0 {
		for k, source := range r.Job.Sources {
			switch before := r.Stretches[n-1].used[k]; {
			case s.used[k] && !before:
				s.Enter = append(s.Enter, source)
			case before && !s.used[k]:
				s.Leave = append(s.Leave, source)
			}
		}
	}
	r.Stretches = append(r.Stretches, s)
}

// prove has the recipes at the ends of the stretches proved and assessed.
func (r *Reached) prove(ctx context.Context, nodes []node) error {
	r.Stops = make([]Stop, len(nodes))
	return each(len(nodes), func(k int) error {
		inward := 0.0
		switch k {
		case 0:
			inward = 1
		case len(nodes) - 1:
			inward = -1
		}
		n := nodes[k]
		for _, share := range []float64{1e-10, 1e-8, 1e-7, 1e-6} {
			a := &Answer{Job: n.job, Formulation: n.formulation, Solution: n.solution}
			possible, err := a.settleExactly(ctx)
			if err != nil {
				return err
			}
			if possible {
				r.Stops[k] = Stop{nodes[k].value, a}
				return nil
			}
			if n, err = r.node(ctx, n, nodes[k].value+inward*share*math.Abs(nodes[k].value), inward); err != nil {
				return err
			}
			if n.solution.Status != solver.Optimal {
				break
			}
		}
		return fmt.Errorf("%w: there is no recipe at %s %.9g, where the curve has one", ErrUnproved, r.Attribute.Name, nodes[k].value)
	})
}
