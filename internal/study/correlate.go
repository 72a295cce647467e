package study

import (
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chance"

	"gonum.org/v1/gonum/mat"
)

// drawnInput is a content of a source, its recovery in the kettle, or all its acids.
type drawnInput struct {
	source    *brief.Source
	substance string
	recovery  bool
}

// together returns how two contents of a source go together from lot to lot, by their logarithms. What a
// certificate states is off by its own errors, which know nothing of each other unless the lot says how they do.
func together(s *brief.Source, a, b string) float64 {
	if s.Lot != nil && s.Lot.Correlations == nil {
		_, first := s.Lot.Contents[a]
		_, second := s.Lot.Contents[b]
		if first || second {
			return 0
		}
	}
	return s.Correlations().Between(a, b)
}

// correlate tells a model which of its inputs go together.
func correlate(m *chance.Model, inputs []drawnInput) error {
	var r *mat.SymDense
	for i, a := range inputs {
		for k := i + 1; k < len(inputs); k++ {
			b := inputs[k]
			if a.source != b.source || a.recovery || b.recovery {
				continue
			}
			c := together(a.source, a.substance, b.substance)
			if c == 0 {
				continue
			}
			if r == nil {
				r = mat.NewSymDense(len(inputs), nil)
				for n := range inputs {
					r.SetSym(n, n, 1)
				}
			}
			r.SetSym(i, k, c)
		}
	}
	if r == nil {
		return nil
	}
	return m.Correlate(r)
}

// covariance returns that of two lognormal quantities by the correlation of their logarithms.
func covariance(meanA, sdA, meanB, sdB, correlation float64) float64 {
	if correlation == 0 || meanA == 0 || meanB == 0 {
		return 0
	}
	a, b := math.Sqrt(math.Log1p(sdA*sdA/(meanA*meanA))), math.Sqrt(math.Log1p(sdB*sdB/(meanB*meanB)))
	return meanA * meanB * math.Expm1(correlation*a*b)
}
