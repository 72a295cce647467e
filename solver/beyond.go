package solver

import (
	"context"
	"errors"
)

// solveInteger solves problems with more than linear restrictions.
func solveInteger(context.Context, *Problem, Options) (*Solution, error) {
	return nil, errors.New("solver: integer columns and cones are not supported")
}
