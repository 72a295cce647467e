package lp

// Place says where a variable rests in a basis.
type Place int8

const (
	// AtLower: nonbasic at its lower bound.
	AtLower Place = iota
	// AtUpper: nonbasic at its upper bound.
	AtUpper
	// Zero: nonbasic without finite bounds, held at zero.
	Zero
	// Basic: its value follows from the nonbasic ones.
	Basic
)
