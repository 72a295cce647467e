package solver

import "bittersum/solver/internal/lp"

// Status says how a solve ended.
type Status int8

const (
	// Unproved: the arithmetic did not settle; nothing is claimed.
	Unproved Status = iota
	// Optimal: X is optimal within the tolerances of the certificate.
	Optimal
	// Infeasible: no x satisfies the rows and bounds; Farkas says why.
	Infeasible
	// Unbounded: the objective has no limit; Ray says along which direction.
	Unbounded
	// Limit: an iteration, node or time limit ran out, or the context ended; see Solution.Reason.
	Limit
)

func (s Status) String() string {
	switch s {
	case Optimal:
		return "optimal"
	case Infeasible:
		return "infeasible"
	case Unbounded:
		return "unbounded"
	case Limit:
		return "limit"
	}
	return "unproved"
}

// Place says where a variable rests in a basis.
type Place = lp.Place

const (
	// AtLower: nonbasic at its lower bound.
	AtLower = lp.AtLower
	// AtUpper: nonbasic at its upper bound.
	AtUpper = lp.AtUpper
	// Zero: nonbasic without finite bounds, held at zero.
	Zero = lp.Zero
	// Basic: its value follows from the nonbasic ones.
	Basic = lp.Basic
)

// Basis is a place for every column and for every row's logical variable; as many are Basic as there
// are rows. It fits any problem of the same shape, so it can start the solve of a changed one.
type Basis struct {
	Columns []Place
	Rows    []Place
}

// Clone returns a copy that shares nothing with b.
func (b *Basis) Clone() *Basis {
	if b == nil {
		return nil
	}
	return &Basis{
		Columns: append([]Place(nil), b.Columns...),
		Rows:    append([]Place(nil), b.Rows...),
	}
}

// Solution is the outcome of one solve. Vectors that mean nothing for the status are nil.
type Solution struct {
	Status Status
	// Reason says in a few words what ran out (Limit) or what did not settle (Unproved).
	Reason string
	// Objective is the value at X, in the problem's own sense and with its offset.
	Objective float64
	// X holds a value per column (Optimal; Limit where one is known: the best answer with integers, else the
	// last point, which oversteps limits by Certificate.PrimalResidual).
	X []float64
	// Activity holds Σ a_ij x_j per row, whenever X is set.
	Activity []float64
	// Dual holds per row the derivative of the objective with respect to its binding limit, and
	// ReducedCost per column that with respect to the value it is held at (Optimal, no integers).
	Dual        []float64
	ReducedCost []float64
	// ConeDual holds per cone the derivative of the objective with respect to its upper bound (Optimal,
	// no integers).
	ConeDual []float64
	// Cuts are those that stand for the cones (no integers).
	Cuts *Cuts
	// Basis is the last basis (none for problems with integers or cones).
	Basis *Basis
	// Farkas holds row multipliers y (Infeasible, no integers or cones): the row combination y·A x has,
	// within the column bounds, a smallest value that exceeds the largest value y·s that the row
	// bounds allow.
	Farkas []float64
	// Ray holds a direction per column (Unbounded) along which the objective improves for ever.
	Ray []float64
	// Iterations counts simplex pivots and bound flips; Nodes counts branch-and-bound nodes.
	Iterations int
	Nodes      int
	// Bound is the proven bound on the objective of an integer problem, and at a Limit the bound of any, which
	// is infinite where none is known.
	Bound float64
	// Certificate measures the answer against the problem as stated, after all scaling is undone.
	Certificate Certificate
}

// Certificate holds the checks of an answer in the problem's own units, computed from the problem and
// the returned vectors alone.
type Certificate struct {
	// PrimalResidual is the largest amount by which X oversteps a bound of a column or row.
	PrimalResidual float64
	// DualResidual is the largest amount by which a reduced cost or dual value has the wrong sign for
	// where its variable rests.
	DualResidual float64
	// Gap is the objective of X less the dual objective, in absolute value.
	Gap float64
}
