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
// or a sum of independent normal ones, is exact. A small chance is sampled about the likeliest point that
// passes (importance sampling at the design point: Melchers 1989, Structural Safety 6: 3), so that one of
// a millionth has a relative error of about a hundredth too.
func (m *Model) Above(o *Outcome, limit float64, draws int) Estimate {
	if estimate, ok := m.closedForm(o, limit); ok {
		return estimate
	}
	shift, distance := m.designPoint(o, limit)
	if distance < 1 { // passing is no rare thing
		clear(shift)
	}
	weigh := distance >= 1
	each := (draws + replicates - 1) / replicates
	results := make([]float64, replicates)
	m.run(func(replicate int, scores func([]float64)) {
		x, y, scratch := make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs))
		sum := 0.0
		for range each {
			scores(y)
			exponent := 0.0
			if weigh {
				for i, s := range shift {
					exponent -= s*y[i] + s*s/2
					y[i] += s
				}
			}
			m.values(x, y, scratch)
			if v := o.value(x); v > limit || math.IsNaN(v) {
				sum += math.Exp(exponent)
			}
		}
		results[replicate] = sum / float64(each)
	})
	estimate := Estimate{Method: Points}
	if weigh {
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

// designPoint returns the independent scores nearest to the mean at which the outcome reaches the limit,
// and their distance, by the iteration of Rackwitz and Fiessler (1978, Computers and Structures 9: 489).
// It only steers where points are laid: an estimate about any point is unbiased. A distance of 0 says that
// the outcome passes at the mean already or moves with no input there.
func (m *Model) designPoint(o *Outcome, limit float64) (at []float64, distance float64) {
	n := len(m.Inputs)
	x, scratch, y, gradient := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	gap := func(y []float64) float64 { // above zero: short of the limit
		m.values(x, y, scratch)
		return limit - o.value(x)
	}
	if !(gap(y) > 0) {
		return y, 0
	}
	const step, rounds, farthest = 1e-4, 60, 9.0
	for range rounds {
		here := gap(y)
		square, along := 0.0, 0.0
		for i := range y {
			gradient[i] = 0
			if !m.Inputs[i].varies() && m.root == nil {
				continue
			}
			y[i] += step
			up := gap(y)
			y[i] -= 2 * step
			down := gap(y)
			y[i] += step
			gradient[i] = (up - down) / (2 * step)
			square += gradient[i] * gradient[i]
			along += gradient[i] * y[i]
		}
		if square == 0 || math.IsNaN(square) {
			return make([]float64, n), 0
		}
		next := make([]float64, n)
		for i := range next {
			next[i] = (along - here) / square * gradient[i]
		}
		change := 0.0
		for i := range y {
			change = math.Max(change, math.Abs(next[i]-y[i]))
		}
		y = next
		if distance = norm(y); distance > farthest {
			for i := range y {
				y[i] *= farthest / distance
			}
		}
		if change < 1e-6 {
			break
		}
	}
	return y, norm(y)
}

func norm(y []float64) float64 {
	sum := 0.0
	for _, v := range y {
		sum += v * v
	}
	return math.Sqrt(sum)
}
