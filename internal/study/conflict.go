package study

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"
)

// Conflict is why a brief cannot be met.
type Conflict struct {
	// Members are limits that exclude each other; without any one of them the others can be met.
	Members []formulate.Limit
	// Relaxations are the single changes that would make the brief possible, cheapest first.
	Relaxations []Relaxation
}

// Relaxation is the least change of one limit that makes the brief possible.
type Relaxation struct {
	formulate.Limit
	// To is the value the limit has to move to, and Cost the least cost per litre there.
	To, Cost float64
}

// conflict finds the limits in conflict and prices what would help.
func (a *Answer) conflict(ctx context.Context) error {
	if err := a.members(ctx); err != nil {
		return err
	}
	return a.relaxations(ctx)
}

// members proves that there is no recipe and finds limits that exclude each other.
func (a *Answer) members(ctx context.Context) error {
	f := a.Formulation
	var err error
	if a.Proof, err = solver.Prove(ctx, f.Problem, a.Solution, solver.Options{}); err != nil {
		return err
	}
	if a.Proof.Status != solver.Infeasible {
		return fmt.Errorf("%w: exact arithmetic finds the program %s", ErrUnproved, a.Proof.Status)
	}
	apart := limitsApart(f)
	found, err := solver.FindConflict(ctx, apart.Problem, solver.ConflictOptions{
		Reluctance: func(b solver.Bound) int { return reluctance(apart, b) },
	})
	if err != nil {
		return fmt.Errorf("%w: %w", ErrUnproved, err)
	}
	a.Conflict = &Conflict{}
	for n, l := range apart.Limits {
		if slices.ContainsFunc(found.Members, func(b solver.Bound) bool { return concerns(b, l) }) {
			a.Conflict.Members = append(a.Conflict.Members, f.Limits[n])
		}
	}
	return nil
}

// limitsApart returns the program with the limits of use that stand as bounds of columns in rows of their own.
// A column keeps what holds without them: that no amount is negative, and what a lot has. A conflict that needs
// no more than that then does not name the limit.
func limitsApart(f *formulate.Formulation) *formulate.Formulation {
	apart := *f
	apart.Problem = f.Problem.Clone()
	apart.Limits = slices.Clone(f.Limits)
	for n, l := range f.Limits {
		if l.Kind != formulate.Use || l.Row >= 0 {
			continue
		}
		without := f.Without(l).Columns[l.Column]
		column := &apart.Problem.Columns[l.Column]
		row := solver.Row{Name: column.Name, Lower: -solver.Inf, Upper: solver.Inf, Terms: []solver.Term{{Column: l.Column, Value: 1}}}
		if l.Side != formulate.Max {
			row.Lower, column.Lower = l.Value, without.Lower
		}
		if l.Side != formulate.Min {
			row.Upper, column.Upper = l.Value, without.Upper
		}
		apart.Limits[n].Row = apart.Problem.AddRow(row)
	}
	return &apart
}

// relaxations prices the single changes that would help, cheapest first.
func (a *Answer) relaxations(ctx context.Context) error {
	f := a.Formulation
	for _, l := range a.Conflict.Members {
		if l.Hard() {
			continue
		}
		r, ok, err := relax(ctx, f, l)
		if err != nil {
			return err
		}
		if ok {
			if beyondSense(f.Job, r) {
				continue
			}
			a.Conflict.Relaxations = append(a.Conflict.Relaxations, r)
		}
	}
	slices.SortStableFunc(a.Conflict.Relaxations, func(x, y Relaxation) int { return cmp.Compare(x.Cost, y.Cost) })
	return nil
}

// beyondSense reports whether a change is no advice: far beyond what drinks are customarily made with.
func beyondSense(j *brief.Job, r Relaxation) bool {
	if j.Kind != brief.Drink || r.Side == formulate.Min {
		return false
	}
	customary := math.Inf(1)
	switch r.Kind {
	case formulate.Use:
		if g := j.Library.Ingredients[r.Name]; g != nil && g.Customary > 0 {
			customary = farBeyondCustom * g.Customary * j.Dilution()
		}
	case formulate.Target:
		if a := j.Library.Attributes[r.Name]; a != nil && a.SensibleMax > 0 {
			customary = a.SensibleMax
		}
	}
	return r.Line == brief.Custom && r.To > farBeyondCustom*r.Value || r.To > math.Max(customary, r.Value)
}

// farBeyondCustom is how many times what drinks are customarily made with is no advice any more.
const farBeyondCustom = 3

// reluctance ranks what a conflict names: that amounts are not negative is no limit anyone set and is
// not shown, and neither is held back what the kettle forces; a wish of the brief is named, and law only where
// wishes alone do not conflict.
func reluctance(f *formulate.Formulation, b solver.Bound) int {
	rank := 0
	for _, l := range f.Limits {
		if concerns(b, l) {
			if l.Kind == formulate.Recovery || l.Kind == formulate.Volume || l.Kind == formulate.Liquor {
				continue // the kettle holds whatever is asked, so that no wish is named in its place
			}
			rank = max(rank, 1)
			if l.Hard() {
				rank = 2
			}
		}
	}
	return rank
}

// relax finds the value of limit l that is nearest to what the brief asks and can be met with all its
// other limits, and the least cost there. The recipe that takes shape has volumes and activities of its
// own, so that the program is taken anew at each recipe until the two agree.
func relax(ctx context.Context, f *formulate.Formulation, l formulate.Limit) (r Relaxation, ok bool, err error) {
	at := slices.IndexFunc(f.Limits, l.Same)
	for range 10 {
		var s *solver.Solution
		if r, s, err = relaxAt(ctx, f, f.Limits[at]); err != nil || s == nil {
			return r, false, err
		}
		state, err := f.StateOf(s.X)
		if err != nil {
			return r, false, nil // no drink has that state
		}
		if state.Near(f.State) {
			return r, true, nil
		}
		f = formulate.At(f.Job, state)
	}
	return r, false, nil
}

// relaxAt is relax at the state of f; the solution is nil when no value of the limit is enough.
func relaxAt(ctx context.Context, f *formulate.Formulation, l formulate.Limit) (r Relaxation, s *solver.Solution, err error) {
	senses := []solver.Sense{solver.Maximize, solver.Minimize} // an exact limit may be missed either way
	switch l.Side {
	case formulate.Min:
		senses = senses[:1]
	case formulate.Max:
		senses = senses[1:]
	}
	for _, sense := range senses {
		value, ok, err := extreme(ctx, f, l, sense)
		if err != nil || !ok {
			return r, nil, err
		}
		// A hair looser than the extreme value, so that rounding does not make it impossible again.
		slack := 1e-7 * (1 + math.Abs(value))
		if sense == solver.Maximize {
			slack = -slack
		}
		if (value > l.Value) == (sense == solver.Maximize) {
			continue // the asked value lies on the other side of what can be had
		}
		s, err := solver.Solve(ctx, f.With(l, value+slack), solver.Options{})
		if err != nil || s.Status != solver.Optimal {
			return r, nil, err
		}
		return Relaxation{Limit: l, To: loosened(value, sense), Cost: s.Objective}, s, nil
	}
	return r, nil, nil
}

// loosened rounds the value that a limit has to move to, to five digits and never to the tight side.
func loosened(value float64, sense solver.Sense) float64 {
	const digits = 5
	last := math.Pow(10, math.Floor(math.Log10(math.Abs(value)))+1-digits)
	if near := rounded(value, digits, 0); math.Abs(near-value) <= 1e-6*last {
		return near // it is that number but for rounding
	}
	if sense == solver.Maximize {
		return rounded(value, digits, -1)
	}
	return rounded(value, digits, 1)
}

// extreme returns the largest (Maximize) or smallest value that what limit l speaks of can take under
// all other limits. It is not ok when the others have no recipe, or the value no end.
func extreme(ctx context.Context, f *formulate.Formulation, l formulate.Limit, sense solver.Sense) (value float64, ok bool, err error) {
	return best(ctx, f.Without(l), quotient{
		excess: func(value float64) []solver.Term { return f.Excess(l, value) },
		at:     func(x []float64) float64 { return f.ValueAt(l, x) },
		linear: l.Linear(),
	}, sense, l.Value, nil)
}

// concerns reports whether bound b is a side of limit l.
func concerns(b solver.Bound, l formulate.Limit) bool {
	if b.Row && l.Row != b.Index || !b.Row && (l.Row >= 0 || l.Column != b.Index) {
		return false
	}
	switch l.Side {
	case formulate.Min:
		return b.Side == solver.LowerSide
	case formulate.Max:
		return b.Side == solver.UpperSide
	}
	return true
}
