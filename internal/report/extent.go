package report

// Extent is how much of an answer is printed as text; other forms hold all of it.
type Extent int

const (
	// Short is what a maker acts on: the recipe, what was asked, caps that are close or not shown to hold,
	// and the cautions that matter here. It leaves out no cap that breaks or is unknown, and no grave caution.
	Short Extent = iota
	// InFull is all that is known.
	InFull
)

// ExtentOf returns InFull when all is asked for.
func ExtentOf(all bool) Extent {
	if all {
		return InFull
	}
	return Short
}
