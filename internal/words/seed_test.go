package words

import (
	"flag"

	_ "pgregory.net/rapid" // registers the flag
)

// Random draws are the same in every run; RAPID_SEED=N draws others.
func init() {
	if seed := flag.Lookup("rapid.seed"); seed.Value.String() == "0" {
		_ = seed.Value.Set("1")
	}
}
