package chance

import "math"

// Passing is an outcome with a limit that it is not to pass.
type Passing struct {
	Outcome
	Limit float64
}

// Any estimates the chance that any of several outcomes of the same inputs passes its limit, from about draws
// points laid evenly: no weighting could serve them all. What is no number passes.
func (m *Model) Any(outcomes []Passing, draws int) Estimate {
	each := (draws + replicates - 1) / replicates
	results := make([]float64, replicates)
	m.run(func(replicate int, scores func([]float64)) {
		x, y, scratch := make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs))
		count := 0
		for range each {
			scores(y)
			m.values(x, y, scratch)
			for o := range outcomes {
				if v := outcomes[o].value(x); v > outcomes[o].Limit || math.IsNaN(v) {
					count++
					break
				}
			}
		}
		results[replicate] = float64(count) / float64(each)
	})
	estimate := Estimate{Method: Points}
	estimate.Chance, estimate.Error = meanAndError(results)
	// The points' own error can come out as nothing where few of them pass: never less than what as many
	// independent ones would have, by the rule of three where none does.
	n := float64(each * replicates)
	independent := math.Sqrt(estimate.Chance * (1 - estimate.Chance) / n)
	estimate.AtMost = math.Min(1, math.Max(estimate.Chance+student*math.Max(estimate.Error, independent), -math.Log(0.025)/n))
	return estimate
}
