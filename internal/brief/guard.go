package brief

// Guard asks a recipe to keep limits although contents vary from lot to lot. It is set by what-ifs; no file asks
// for it.
type Guard []Guarded

// Guarded is one limit to keep: the mean of what it speaks of and Reach standard deviations of it stay on the
// right side of Value.
type Guarded struct {
	// Name is the attribute or reading of the limit; Cap is set for a cap.
	Name string
	Cap  *Cap
	// Above says that Value is not to be passed; else nothing is to fall below it.
	Above bool
	Value float64
	// Mean is what a gram of each source brings on average, in the job's order; nil where that is what the
	// liquor's own form says. CV is the coefficient of variation of that.
	Mean, CV []float64
	// Reach is how many deviations are kept free.
	Reach float64
	// Most is how many sources stray at once, each by Reach of its own deviations. At zero all of them vary
	// independently, and Reach counts the deviations of the sum.
	Most float64
}
