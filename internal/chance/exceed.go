package chance

import "math"

// Method says how a chance was found.
type Method string

// The methods.
const (
	Exact      Method = "exact"      // in closed form
	Points     Method = "points"     // share of quasi-random points
	Importance Method = "importance" // quasi-random points about the likeliest way to pass the limit, weighted back
)

// Estimate is a chance.
type Estimate struct {
	Chance float64
	// Error is its standard error, 0 for a closed form. AtMost holds with 97.5 % confidence.
	Error, AtMost float64
	Method        Method
}

func exactly(p float64) Estimate { return Estimate{Chance: p, AtMost: p, Method: Exact} }

// student is the 97.5 % quantile of Student's distribution with replicates-1 degrees of freedom.
const student = 2.1314

// Above estimates the chance that an outcome passes a limit, from about draws points. One varying input,
// or a sum of independent normal ones, is exact. A small chance is sampled about the likeliest points that
// pass (importance sampling at design points: Melchers 1989, Structural Safety 6: 3), so that one of
// a millionth has a relative error of about a hundredth too. There are several where any of several inputs
// can pass the limit by itself; points are laid about each, and about the mean, and each weighs what its own
// density is to that of all of them (Owen and Zhou 2000, Journal of the American Statistical Association 95: 135).
func (m *Model) Above(o *Outcome, limit float64, draws int) Estimate {
	if estimate, ok := m.closedForm(o, limit); ok {
		return estimate
	}
	mix := m.mixture(o, limit)
	each := (draws + replicates - 1) / replicates
	results := make([]float64, replicates)
	m.run(func(replicate int, scores func([]float64)) {
		x, y, scratch := make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs))
		sum := 0.0
		for n := range each {
			scores(y)
			if mix != nil {
				for i, s := range mix.at(n) {
					y[i] += s
				}
			}
			m.values(x, y, scratch)
			if v := o.value(x); v > limit || math.IsNaN(v) {
				sum += mix.weight(y)
			}
		}
		results[replicate] = sum / float64(each)
	})
	estimate := Estimate{Method: Points}
	if mix != nil {
		estimate.Method = Importance
	}
	estimate.Chance, estimate.Error = meanAndError(results)
	estimate.AtMost = math.Min(1, estimate.Chance+student*estimate.Error)
	if estimate.Chance == 0 { // none of the points passed: at most three in so many (the rule of three)
		estimate.AtMost = math.Min(1, -math.Log(0.025)/float64(each*replicates))
	}
	return estimate
}

// closedForm returns the chance where it needs no points.
func (m *Model) closedForm(o *Outcome, limit float64) (Estimate, bool) {
	if o.Of != nil {
		return Estimate{}, false
	}
	rest, varying, normal := limit-o.Offset, []int(nil), true
	mean, variance := 0.0, 0.0
	for i, w := range o.Weights {
		d := &m.Inputs[i]
		switch {
		case w == 0:
		case !d.varies():
			rest -= w * d.Mean
		default:
			varying = append(varying, i)
			normal = normal && d.Shape == Normal && !d.cut()
			mean += w * d.Mean
			variance += w * w * d.SD * d.SD
		}
	}
	switch {
	case len(varying) == 0:
		return exactly(share(rest < 0)), true
	case len(varying) == 1:
		i := varying[0]
		w, d := o.Weights[i], &m.Inputs[i]
		if w > 0 {
			return exactly(d.Above(rest / w)), true
		}
		return exactly(1 - d.Above(rest/w)), true
	case normal && m.root == nil:
		return exactly(above((rest - mean) / math.Sqrt(variance))), true
	}
	return Estimate{}, false
}
