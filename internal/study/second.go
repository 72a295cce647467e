package study

import (
	"context"
	"math"
	"time"

	"bittersum/solver"
)

// Second is what an independent solver says of the same program.
type Second struct {
	// Status is its outcome, "no answer" when it has none; Reason says why.
	Status string `json:"status"`
	Reason string `json:"reason,omitempty"`
	// Cost is its least cost, and Agrees whether outcome and cost are ours to a millionth.
	Cost   float64 `json:"cost"`
	Agrees bool    `json:"agrees"`
}

// patience is how long a second opinion may take: the dense method can run for ever.
const patience = 10 * time.Second

// AskSecond asks gonum's dense simplex method, which shares no code with ours, for its opinion.
func (a *Answer) AskSecond(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	opinion, err := solver.SecondOpinion(ctx, a.Formulation.Problem)
	if err != nil {
		return err
	}
	a.Second = &Second{Status: opinion.Status.String(), Reason: opinion.Reason, Cost: opinion.Objective}
	if opinion.Status == solver.Unproved {
		a.Second.Status = "no answer"
		return nil
	}
	a.Second.Agrees = opinion.Status == a.Solution.Status &&
		(a.Conflict != nil || math.Abs(opinion.Objective-a.LeastCost) <= 1e-6*(1+math.Abs(a.LeastCost)))
	return nil
}
