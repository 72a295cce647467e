package study

import "context"

// Second is what an independent solver says of the same program.
type Second struct {
	Solver string `json:"solver"`
}

func (a *Answer) AskSecond(ctx context.Context) {}
