package chance

import "math"

// Share is how much of an outcome's variance a group of inputs makes: First alone, Total together with all
// others.
type Share struct{ First, Total float64 }

// Shares returns the shares of groups of inputs, each a list of indices, in an outcome's variance, and the
// variance. For a sum of independent inputs they are exact; else they are estimated from about draws
// points for each group (first order: Saltelli et al. 2010, Comput. Phys. Commun. 181: 259, table 2 (b);
// total order: Jansen 1999, table 2 (f) there). Correlated inputs of different groups are an error of the
// caller: a share has no meaning then.
func (m *Model) Shares(o *Outcome, groups [][]int, draws int) (shares []Share, variance float64) {
	shares = make([]Share, len(groups))
	if o.Of == nil && m.root == nil && !m.anyCut() {
		for i, w := range o.Weights {
			variance += w * w * m.Inputs[i].SD * m.Inputs[i].SD
		}
		for g, members := range groups {
			for _, i := range members {
				shares[g].First += o.Weights[i] * o.Weights[i] * m.Inputs[i].SD * m.Inputs[i].SD
			}
			if variance > 0 {
				shares[g].First /= variance
			}
			shares[g].Total = shares[g].First
		}
		return shares, variance
	}
	n := len(m.Inputs)
	each := (draws + replicates - 1) / replicates
	type sums struct{ mean, square, first, total []float64 }
	parts := make([]sums, replicates)
	double := &Model{Inputs: make([]Distribution, 2*n), Seed: m.Seed}
	double.run(func(replicate int, scores func([]float64)) {
		y, mixed := make([]float64, 2*n), make([]float64, n)
		x, scratch := make([]float64, n), make([]float64, n)
		value := func(y []float64) float64 {
			m.values(x, y, scratch)
			return o.value(x)
		}
		s := sums{make([]float64, 1), make([]float64, 1), make([]float64, len(groups)), make([]float64, len(groups))}
		for range each {
			scores(y)
			a, b := value(y[:n]), value(y[n:])
			s.mean[0] += (a + b) / 2
			s.square[0] += (a*a + b*b) / 2
			for g, members := range groups {
				copy(mixed, y[:n])
				for _, i := range members {
					mixed[i] = y[n+i]
				}
				ab := value(mixed)
				s.first[g] += b * (ab - a)
				s.total[g] += (a - ab) * (a - ab) / 2
			}
		}
		parts[replicate] = s
	})
	count := float64(each * replicates)
	mean, square := 0.0, 0.0
	for _, s := range parts {
		mean += s.mean[0] / count
		square += s.square[0] / count
		for g := range groups {
			shares[g].First += s.first[g] / count
			shares[g].Total += s.total[g] / count
		}
	}
	variance = square - mean*mean
	for g := range shares {
		if variance > 0 {
			shares[g].First = math.Max(0, shares[g].First/variance)
			shares[g].Total /= variance
		} else {
			shares[g] = Share{}
		}
	}
	return shares, variance
}

func (m *Model) anyCut() bool {
	for i := range m.Inputs {
		if m.Inputs[i].varies() && m.Inputs[i].cut() {
			return true
		}
	}
	return false
}
