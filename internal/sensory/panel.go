package sensory

import (
	"errors"
	"fmt"
	"math"

	"bittersum/internal/regress"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// LineScale is a tasting on a line: each taster marks how strong each sample seems, each sample as often as any
// other. Some samples are references of known strength.
type LineScale struct {
	// Attribute is what is marked, and Scale the length of the line.
	Attribute string
	Scale     float64
	Samples   []LineSample
	Tasters   []string
	// Scores[sample][taster] are the marks, one for each cup.
	Scores [][][]float64
}

// LineSample is one thing that was tasted.
type LineSample struct {
	Name string
	// Strength is that of a reference in the attribute's unit a litre; 0 for what is to be found out.
	Strength float64
	// Ingredient and GramsPerLitre say what else was tasted, Ingredient empty for a drink.
	Ingredient    string
	GramsPerLitre float64
}

// PanelResult is what a panel says.
type PanelResult struct {
	*LineScale
	Variance *regress.Crossed
	// Means are those of the samples, with Error the standard error of each and Least the least significant
	// difference of two at 5 %.
	Means        []float64
	Error, Least float64
	// Each says how each taster did.
	Each []TasterResult
	// Power is the house's scale: how strong a strength seems; nil with fewer than three references.
	Power *PowerLaw
	// Found are the strengths of the samples that are no references, in their order; NaN for references and where
	// there is no scale.
	Found []Strength
}

// TasterResult is how one taster used the line.
type TasterResult struct {
	Name string
	// Mean is of all marks; Agrees the correlation of their means with those of the other tasters; P the chance
	// that their marks tell the samples apart as well by chance, NaN with one cup of each.
	Mean, Agrees, P float64
}

// PowerLaw is Stevens's law on the house's line: score = Factor · strength^Exponent.
type PowerLaw struct {
	Factor, Exponent, ExponentSD float64
	// Least and Most are the strengths of the references, and Residual how far their scores lie off the law, as a
	// share.
	Least, Most, Residual float64
	fit                   *regress.Fit
	df                    int
}

// Strength is what a sample's score stands for.
type Strength struct {
	PerLitre, SD float64
	// PerGram and PerGramSD are of the ingredient that was tasted; NaN for a drink.
	PerGram, PerGramSD float64
	// Beyond says that the score lies outside those of the references, so that the law is only carried on.
	Beyond bool
}

// ErrPanel says that a panel's marks cannot be judged.
var ErrPanel = errors.New("the panel's marks cannot be judged")

// Judge works out what a panel says.
func (l *LineScale) Judge() (*PanelResult, error) {
	variance, err := regress.Cross(l.Scores)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPanel, err)
	}
	r := &PanelResult{LineScale: l, Variance: variance, Means: variance.Means}
	cups := float64(len(l.Tasters) * len(l.Scores[0][0]))
	r.Error = math.Sqrt(variance.Interaction.Square / cups)
	r.Least = regress.Student(0.975, variance.Interaction.DF) * math.Sqrt2 * r.Error
	for k, name := range l.Tasters {
		r.Each = append(r.Each, l.taster(k, name, variance))
	}
	if r.Power, err = l.powerLaw(r.Means); err != nil {
		return nil, err
	}
	for n := range l.Samples {
		r.Found = append(r.Found, r.strength(n))
	}
	return r, nil
}

func (l *LineScale) taster(k int, name string, c *regress.Crossed) TasterResult {
	t := TasterResult{Name: name, P: math.NaN()}
	var own, others []float64
	var groups [][]float64
	for i := range l.Samples {
		own = append(own, c.Cells[i][k])
		others = append(others, (c.Means[i]*float64(len(l.Tasters))-c.Cells[i][k])/float64(len(l.Tasters)-1))
		groups = append(groups, l.Scores[i][k])
	}
	t.Mean = stat.Mean(own, nil)
	t.Agrees = stat.Correlation(own, others, nil)
	if len(groups[0]) > 1 {
		if between, _, err := regress.OneWay(groups); err == nil {
			t.P = between.P
		}
	}
	return t
}

// powerLaw fits the law to the references' mean scores, by least squares of the logarithms.
func (l *LineScale) powerLaw(means []float64) (*PowerLaw, error) {
	var x, y []float64
	p := &PowerLaw{Least: math.Inf(1)}
	for n, s := range l.Samples {
		if s.Strength == 0 {
			continue
		}
		if !(means[n] > 0) {
			return nil, fmt.Errorf("%w: nobody marked anything for reference %s: leave it out, or take a stronger one", ErrPanel, s.Name)
		}
		x, y = append(x, 1, math.Log(s.Strength)), append(y, math.Log(means[n]))
		p.Least, p.Most = math.Min(p.Least, s.Strength), math.Max(p.Most, s.Strength)
	}
	if len(y) < 3 || p.Least == p.Most {
		return nil, nil
	}
	fit, err := (&regress.Model{X: mat.NewDense(len(y), 2, x), Y: y}).Solve()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPanel, err)
	}
	p.Factor, p.Exponent, p.ExponentSD = math.Exp(fit.Mean[0]), fit.Mean[1], fit.SD(1)
	p.Residual, p.fit, p.df = fit.Residual, fit, fit.DF
	if p.Exponent <= 2*p.ExponentSD {
		return nil, fmt.Errorf("%w: what is stronger does not seem stronger to them (exponent %.2g ± %.2g): the references are too alike, or the panel needs training", ErrPanel, p.Exponent, p.ExponentSD)
	}
	return p, nil
}

// strength returns what a sample's score stands for, by the law.
func (r *PanelResult) strength(n int) Strength {
	nan := math.NaN()
	s, sample := Strength{nan, nan, nan, nan, false}, r.Samples[n]
	if r.Power == nil || sample.Strength > 0 || r.Means[n] <= 0 {
		return s
	}
	p := r.Power
	log := (math.Log(r.Means[n]) - math.Log(p.Factor)) / p.Exponent
	// The score's own error, how far scores lie off the law, and the law's error at that strength.
	share := r.Error / r.Means[n]
	variance := share*share + p.Residual*p.Residual + p.fit.Cov.At(0, 0) + log*log*p.fit.Cov.At(1, 1) + 2*log*p.fit.Cov.At(0, 1)
	s.PerLitre = math.Exp(log)
	s.SD = s.PerLitre * math.Sqrt(variance) / p.Exponent
	s.Beyond = s.PerLitre < p.Least || s.PerLitre > p.Most
	if sample.Ingredient != "" {
		s.PerGram, s.PerGramSD = s.PerLitre/sample.GramsPerLitre, s.SD/sample.GramsPerLitre
	}
	return s
}

// Score returns how strong a strength seems on the line, between which bounds 95 % of such panels' means lie, and
// whether the law is only carried on to it.
func (p *PowerLaw) Score(strength float64) (score, low, high float64, beyond bool) {
	if !(strength > 0) {
		return 0, 0, 0, true
	}
	log := math.Log(strength)
	variance := p.Residual*p.Residual + p.fit.Cov.At(0, 0) + log*log*p.fit.Cov.At(1, 1) + 2*log*p.fit.Cov.At(0, 1)
	score = p.Factor * math.Pow(strength, p.Exponent)
	factor := math.Exp(regress.Student(0.975, float64(p.df)) * math.Sqrt(variance))
	return score, score / factor, score * factor, strength < p.Least || strength > p.Most
}
