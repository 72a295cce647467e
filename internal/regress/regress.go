// Package regress fits linear models: by least squares, and by Bayes with a normal prior. It knows nothing of
// drinks.
package regress

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Model is y = X b + e, with what was known of b before and how far each y may be off.
type Model struct {
	// X has a row for each observation and a column for each coefficient.
	X *mat.Dense
	Y []float64
	// SD are the standard deviations of the observations; nil for one unknown deviation of all.
	SD []float64
	// Mean and PriorSD describe independent normal coefficients before the observations; an infinite deviation
	// says that nothing is known. Nil for nothing known of any.
	Mean, PriorSD []float64
}

// Fit is what the observations say of the coefficients.
type Fit struct {
	// Mean and Cov are those of the coefficients; Cov of least squares without SD is scaled by Residual².
	Mean []float64
	Cov  *mat.SymDense
	// Condition is the condition number of the scaled equations: of sixteen digits so many are lost as it has.
	Condition float64
	// Residuals are y - X Mean. Apart are the observations against what all others and the prior foretell, each in
	// standard deviations; NaN where the others foretell nothing.
	Residuals, Apart []float64
	// Residual is the residual standard deviation of least squares (no SD), with DF degrees of freedom.
	Residual float64
	DF       int
}

// ErrUntold says that observations and prior leave a coefficient open.
var ErrUntold = errors.New("the observations do not tell the coefficients apart")

// Solve fits the model by a QR factorization of the scaled equations, the prior standing among them as observations
// of the coefficients (A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 14.8). The error wraps ErrUntold
// when a coefficient is left open.
func (m *Model) Solve() (*Fit, error) {
	a, y, scale, err := m.equations()
	if err != nil {
		return nil, err
	}
	rows, n := a.Dims()
	if rows < n {
		return nil, fmt.Errorf("%w: %d observations for %d of them", ErrUntold, rows, n)
	}
	var qr mat.QR
	qr.Factorize(a)
	condition := qr.Cond()
	if math.IsInf(condition, 1) || math.IsNaN(condition) || condition > 1e16 {
		return nil, fmt.Errorf("%w: condition number %.1e", ErrUntold, condition)
	}
	scaled := mat.NewVecDense(n, nil)
	if err := qr.SolveVecTo(scaled, false, mat.NewVecDense(rows, y)); err != nil && !isCondition(err) {
		return nil, fmt.Errorf("%w: %w", ErrUntold, err)
	}
	refine(&qr, a, y, scaled)
	f := &Fit{Condition: condition, Mean: make([]float64, n), DF: len(m.Y) - n}
	for j := range f.Mean {
		f.Mean[j] = scaled.AtVec(j) * scale[j]
	}
	if m.Mean != nil {
		for j := range f.Mean {
			f.Mean[j] += m.Mean[j]
		}
	}
	return f, m.spread(f, &qr, scale)
}

// equations returns the rows of observations and prior, each over its deviation, for the differences from the prior
// means; columns have length one and scale turns them back.
func (m *Model) equations() (a *mat.Dense, y, scale []float64, err error) {
	rows, n := m.X.Dims()
	switch {
	case rows != len(m.Y) || m.SD != nil && len(m.SD) != rows:
		return nil, nil, nil, fmt.Errorf("regress: %d rows for %d observations", rows, len(m.Y))
	case m.Mean != nil && (len(m.Mean) != n || len(m.PriorSD) != n):
		return nil, nil, nil, fmt.Errorf("regress: a prior of %d for %d coefficients", len(m.Mean), n)
	}
	var data []float64
	for i := range rows {
		sd := 1.0
		if m.SD != nil {
			if sd = m.SD[i]; !(sd > 0) || math.IsInf(sd, 0) {
				return nil, nil, nil, fmt.Errorf("regress: observation %d has the deviation %v; it must be above 0", i+1, sd)
			}
		}
		rest := m.Y[i]
		for j := range n {
			data = append(data, m.X.At(i, j)/sd)
			if m.Mean != nil {
				rest -= m.X.At(i, j) * m.Mean[j]
			}
		}
		y = append(y, rest/sd)
	}
	if m.Mean != nil {
		for j := range n {
			switch sd := m.PriorSD[j]; {
			case !(sd > 0):
				return nil, nil, nil, fmt.Errorf("regress: coefficient %d has the prior deviation %v; it must be above 0", j+1, sd)
			case math.IsInf(sd, 1):
			default:
				row := make([]float64, n)
				row[j] = 1 / sd
				data, y = append(data, row...), append(y, 0)
				rows++
			}
		}
	}
	a = mat.NewDense(rows, n, data)
	scale = make([]float64, n)
	for j := range n {
		norm := mat.Norm(a.ColView(j), 2)
		if norm == 0 {
			return nil, nil, nil, fmt.Errorf("%w: nothing was observed of number %d", ErrUntold, j+1)
		}
		scale[j] = 1 / norm
		for i := range rows {
			a.Set(i, j, a.At(i, j)/norm)
		}
	}
	return a, y, scale, nil
}

func isCondition(err error) bool {
	var condition mat.Condition
	return errors.As(err, &condition)
}

// refine improves a solution of the least squares by its own residuals, reckoned with exact products.
func refine(qr *mat.QR, a *mat.Dense, y []float64, x *mat.VecDense) {
	rows, n := a.Dims()
	for range 2 {
		rest := mat.NewVecDense(rows, nil)
		for i := range rows {
			sum, low := y[i], 0.0
			for j := range n {
				product := -a.At(i, j) * x.AtVec(j)
				low += math.FMA(-a.At(i, j), x.AtVec(j), -product)
				next := sum + product // the sum's error, by Knuth's two-sum
				part := next - sum
				low += (sum - (next - part)) + (product - part)
				sum = next
			}
			rest.SetVec(i, sum+low)
		}
		step := mat.NewVecDense(n, nil)
		if err := qr.SolveVecTo(step, false, rest); err != nil && !isCondition(err) {
			return
		}
		x.AddVec(x, step)
	}
}

// spread works out the covariance, the residuals and how far each observation lies from what the others say.
func (m *Model) spread(f *Fit, qr *mat.QR, scale []float64) error {
	n := len(f.Mean)
	var r mat.Dense
	qr.RTo(&r)
	triangle := mat.NewTriDense(n, mat.Upper, nil)
	for i := range n {
		for j := i; j < n; j++ {
			triangle.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	if err := inverse.InverseTri(triangle); err != nil && !isCondition(err) {
		return fmt.Errorf("%w: %w", ErrUntold, err)
	}
	f.Cov = mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sum := 0.0
			for k := j; k < n; k++ {
				sum += inverse.At(i, k) * inverse.At(j, k)
			}
			f.Cov.SetSym(i, j, sum*scale[i]*scale[j])
		}
	}
	squares := 0.0
	for i := range m.Y {
		rest := m.Y[i]
		for j := range n {
			rest = math.FMA(-m.X.At(i, j), f.Mean[j], rest)
		}
		f.Residuals = append(f.Residuals, rest)
		squares += rest * rest
	}
	if m.SD == nil && f.DF > 0 {
		f.Residual = math.Sqrt(squares / float64(f.DF))
		f.Cov.ScaleSym(f.Residual*f.Residual, f.Cov)
	}
	f.Apart = make([]float64, len(m.Y))
	for i := range m.Y {
		sd := f.Residual
		if m.SD != nil {
			sd = m.SD[i]
		}
		row := m.X.RawRowView(i)
		leverage := mat.Inner(mat.NewVecDense(n, row), f.Cov, mat.NewVecDense(n, row)) / (sd * sd)
		f.Apart[i] = math.NaN() // without this one nothing foretells it
		if left := 1 - leverage; left > 1e-9 && sd > 0 {
			// The residual to what the others say is rest/left, and its deviation sd/√left.
			f.Apart[i] = f.Residuals[i] / (sd * math.Sqrt(left))
		}
	}
	return nil
}

// SD returns the standard deviation of a coefficient.
func (f *Fit) SD(j int) float64 { return math.Sqrt(math.Max(0, f.Cov.At(j, j))) }
