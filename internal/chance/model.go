package chance

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// Model is a set of quantities that vary, alone or together.
type Model struct {
	Inputs []Distribution
	// root turns independent scores into correlated ones (Cholesky); nil when all are independent.
	root *mat.TriDense
	// Seed chooses the shifts of the points; the same seed gives the same answers.
	Seed uint64
}

// ErrCorrelation says that a table of correlations is none that quantities can have.
var ErrCorrelation = errors.New("no quantities can be correlated so")

// Correlate states how the scores of the inputs are correlated: a symmetric matrix with ones on its
// diagonal, as many rows as inputs. An error wraps ErrCorrelation.
func (m *Model) Correlate(r *mat.SymDense) error {
	if r.SymmetricDim() != len(m.Inputs) {
		return fmt.Errorf("correlations of %d quantities for %d: %w", r.SymmetricDim(), len(m.Inputs), ErrCorrelation)
	}
	for i := range m.Inputs {
		if r.At(i, i) != 1 {
			return fmt.Errorf("a quantity's correlation with itself is %g: %w", r.At(i, i), ErrCorrelation)
		}
	}
	var factored mat.Cholesky
	if !factored.Factorize(r) {
		return ErrCorrelation
	}
	m.root = mat.NewTriDense(len(m.Inputs), mat.Lower, nil)
	factored.LTo(m.root)
	return nil
}

// Nearest returns the correlations nearest to r that quantities can have: its negative eigenvalues raised
// to a small share and the diagonal scaled back to one (Rebonato and Jäckel 1999, section 3).
func Nearest(r *mat.SymDense) *mat.SymDense {
	const least = 1e-6
	n := r.SymmetricDim()
	var eigen mat.EigenSym
	eigen.Factorize(r, true)
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	raised := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sum := 0.0
			for k, value := range values {
				sum += vectors.At(i, k) * vectors.At(j, k) * math.Max(value, least)
			}
			raised.SetSym(i, j, sum)
		}
	}
	scaled := mat.NewSymDense(n, nil)
	for i := range n {
		scaled.SetSym(i, i, 1)
		for j := i + 1; j < n; j++ {
			scaled.SetSym(i, j, raised.At(i, j)/math.Sqrt(raised.At(i, i)*raised.At(j, j)))
		}
	}
	return scaled
}

// values writes the inputs' values at independent standard normal scores y. scratch has their length.
func (m *Model) values(x, y, scratch []float64) {
	scores := y
	if m.root != nil {
		for i := range scratch {
			scratch[i] = 0
			for j := range i + 1 {
				scratch[i] += m.root.At(i, j) * y[j]
			}
		}
		scores = scratch
	}
	for i := range m.Inputs {
		x[i] = m.Inputs[i].at(scores[i])
	}
}

// Outcome is what is made of the inputs' values: a weighted sum, or any function.
type Outcome struct {
	// Offset and Weights make a sum; Weights has the inputs' length, or is nil with Of set.
	Offset  float64
	Weights []float64
	// Of is a function of the inputs' values that may be called from several goroutines at once. A value
	// that is no number counts as passing every limit.
	Of func(x []float64) float64
}

func (o *Outcome) value(x []float64) float64 {
	if o.Of != nil {
		return o.Of(x)
	}
	sum := o.Offset
	for i, w := range o.Weights {
		if w != 0 {
			sum += w * x[i]
		}
	}
	return sum
}

// Mirrored returns the outcome with its sign turned, so that Above tells of values below a limit. What is
// no number stays none.
func (o *Outcome) Mirrored() Outcome {
	if of := o.Of; of != nil {
		return Outcome{Of: func(x []float64) float64 { return -of(x) }}
	}
	mirrored := Outcome{Offset: -o.Offset}
	for _, w := range o.Weights {
		mirrored.Weights = append(mirrored.Weights, -w)
	}
	return mirrored
}

// replicates is how often the points are shifted anew; the spread between them gives each error.
const replicates = 16

// run calls work for each replicate, as many at once as there are processors, with scores yielding the
// independent standard normal scores of one point after another.
func (m *Model) run(work func(replicate int, scores func(y []float64))) {
	seed := m.Seed
	if seed == 0 {
		seed = 1
	}
	var group sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for replicate := range replicates {
		slots <- struct{}{}
		group.Go(func() {
			defer func() { <-slots }()
			sequence := newPoints(len(m.Inputs), seed, uint64(replicate))
			u := make([]float64, len(m.Inputs))
			work(replicate, func(y []float64) {
				sequence.next(u)
				for i := range u {
					y[i] = score(u[i])
				}
			})
		})
	}
	group.Wait()
}

// Draw returns the outcomes' values at about draws points, one row an outcome; the points of one
// replicate stand together.
func (m *Model) Draw(outcomes []Outcome, draws int) [][]float64 {
	each := (draws + replicates - 1) / replicates
	rows := make([][]float64, len(outcomes))
	for o := range rows {
		rows[o] = make([]float64, each*replicates)
	}
	m.run(func(replicate int, scores func([]float64)) {
		x, y, scratch := make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs)), make([]float64, len(m.Inputs))
		for n := range each {
			scores(y)
			m.values(x, y, scratch)
			for o := range outcomes {
				rows[o][replicate*each+n] = outcomes[o].value(x)
			}
		}
	})
	return rows
}

// meanAndError returns the mean of the replicates' results and its standard error.
func meanAndError(results []float64) (mean, standardError float64) {
	mean, deviation := stat.MeanStdDev(results, nil)
	return mean, deviation / math.Sqrt(float64(len(results)))
}
