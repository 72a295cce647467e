package solver

import "slices"

// before orders breakpoints by place, the larger pivot first, then by number, so that no order of
// work can change a choice.
func before(a, b breakpoint) bool {
	if a.at != b.at {
		return a.at < b.at
	}
	if a.size != b.size {
		return a.size > b.size
	}
	return a.which < b.which
}

func sortBreakpoints(points []breakpoint) {
	slices.SortFunc(points, func(a, b breakpoint) int {
		switch {
		case before(a, b):
			return -1
		case before(b, a):
			return 1
		}
		return 0
	})
}
