package kettle

import (
	"context"

	"bittersum/internal/formulate"
	"bittersum/solver"
)

// longQueue is from how many lots of an ingredient on it is looked how many of them a batch can reach.
const longQueue = 6

// withinReach leaves out lots that no batch of so many litres at most comes to: those before them, used first,
// hold more than a batch can take. What it can take is the most that the program allows without divisions and
// without an order of lots, which holds all batches, so that nothing is lost.
func withinReach(ctx context.Context, f *formulate.Formulation, o Options, mostLitres float64, weighed []formulate.Weighed) error {
	if o.Cheapest {
		return nil
	}
	var b *formulate.Batch
	for _, queue := range f.Queues() {
		if len(queue) < longQueue {
			continue
		}
		if b == nil {
			b = f.Batch(formulate.BatchOptions{Litres: o.Litres, MostLitres: mostLitres, Weighed: weighed, Free: true})
			b.Problem.Sense = solver.Maximize
		}
		for n := range b.Problem.Columns {
			b.Problem.Columns[n].Cost = 0
		}
		for _, j := range queue {
			b.Problem.Columns[j].Cost = 1
		}
		s, err := solver.Solve(ctx, b.Problem, solver.Options{})
		if err != nil {
			return err
		}
		if s.Status != solver.Optimal {
			continue // nothing is known of this one
		}
		before := 0.0
		for _, j := range queue {
			if before > s.Objective*reachSlack+weighed[j].DivisionG {
				weighed[j].MostG = 0
			}
			// All but a division, and the crumb that a scale does not take, is used up before the next is opened.
			if held := b.Held(j) - weighed[j].DivisionG - weighed[j].LeastG; held > 0 {
				before += held
			}
		}
	}
	return nil
}

// reachSlack is kept for what the sums of floating point are off by.
const reachSlack = 1 + 1e-6
