package regress

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Source is one line of an analysis of variance.
type Source struct {
	DF          float64
	Sum, Square float64 // of squares, and the mean square
	// F is the mean square over that of what it is held against, and P the chance of as large a one by chance; NaN
	// where there is nothing to hold it against.
	F, P float64
}

func source(df int, sum float64) Source {
	return Source{DF: float64(df), Sum: sum, Square: sum / float64(df), F: math.NaN(), P: math.NaN()}
}

func (s *Source) against(error Source) {
	if s.DF > 0 && error.DF > 0 && error.Square > 0 {
		s.F = s.Square / error.Square
		s.P = distuv.F{D1: s.DF, D2: error.DF}.Survival(s.F)
	}
}

// ErrLayout says that observations do not make an analysis of variance.
var ErrLayout = errors.New("the observations make no analysis of variance")

// accurate adds up numbers with the rounding of each step carried along (Neumaier 1974).
type accurate struct{ sum, low float64 }

func (a *accurate) add(x float64) {
	next := a.sum + x
	if math.Abs(a.sum) >= math.Abs(x) {
		a.low += (a.sum - next) + x
	} else {
		a.low += (x - next) + a.sum
	}
	a.sum = next
}

func (a accurate) value() float64 { return a.sum + a.low }

// mean returns the mean of values less a first guess, and that guess, so that leading digits which all of them have
// cost none of the others.
func mean(values []float64, from float64) float64 {
	var sum accurate
	for _, v := range values {
		sum.add(v - from)
	}
	return sum.value() / float64(len(values))
}

// OneWay is the analysis of variance of groups of observations.
func OneWay(groups [][]float64) (between, within Source, err error) {
	if len(groups) < 2 {
		return between, within, fmt.Errorf("%w: %d groups", ErrLayout, len(groups))
	}
	n := 0
	var all []float64
	for _, g := range groups {
		if len(g) == 0 {
			return between, within, fmt.Errorf("%w: a group is empty", ErrLayout)
		}
		n += len(g)
		all = append(all, g...)
	}
	from := all[0]
	grand := mean(all, from)
	var outer, inner accurate
	for _, g := range groups {
		m := mean(g, from)
		outer.add(float64(len(g)) * (m - grand) * (m - grand))
		for _, v := range g {
			inner.add((v - from - m) * (v - from - m))
		}
	}
	between, within = source(len(groups)-1, outer.value()), source(n-len(groups), inner.value())
	between.against(within)
	return between, within, nil
}

// Crossed is the analysis of variance of a crossed layout whose second factor is drawn from many, as tasters are:
// the first is held against the interaction of both.
type Crossed struct {
	First, Second, Interaction, Error Source
	// Means are those of the levels of the first factor and Cells those of both.
	Means []float64
	Cells [][]float64
}

// Cross analyses cells[first][second], each with the same number of observations. With one observation a cell there
// is no error of its own and the interaction stands in for it.
func Cross(cells [][][]float64) (*Crossed, error) {
	a := len(cells)
	if a < 2 || len(cells[0]) < 2 || len(cells[0][0]) < 1 {
		return nil, fmt.Errorf("%w: it takes two levels of each factor", ErrLayout)
	}
	b, r := len(cells[0]), len(cells[0][0])
	from := cells[0][0][0]
	c := &Crossed{}
	rows, columns := make([]float64, a), make([]float64, b)
	grand := 0.0
	for i, row := range cells {
		if len(row) != b {
			return nil, fmt.Errorf("%w: level %d lacks some of the other factor's", ErrLayout, i+1)
		}
		var means []float64
		for k, cell := range row {
			if len(cell) != r {
				return nil, fmt.Errorf("%w: a cell has %d observations and another %d", ErrLayout, len(cell), r)
			}
			m := mean(cell, from)
			means = append(means, m+from)
			rows[i] += m / float64(b)
			columns[k] += m / float64(a)
			grand += m / float64(a*b)
		}
		c.Cells = append(c.Cells, means)
	}
	var first, second, both, inner accurate
	for i, row := range cells {
		first.add(float64(b*r) * (rows[i] - grand) * (rows[i] - grand))
		c.Means = append(c.Means, rows[i]+from)
		for k, cell := range row {
			m := mean(cell, from)
			rest := m - rows[i] - columns[k] + grand
			both.add(float64(r) * rest * rest)
			for _, v := range cell {
				inner.add((v - from - m) * (v - from - m))
			}
		}
	}
	for k := range columns {
		second.add(float64(a*r) * (columns[k] - grand) * (columns[k] - grand))
	}
	c.First, c.Second = source(a-1, first.value()), source(b-1, second.value())
	c.Interaction, c.Error = source((a-1)*(b-1), both.value()), source(a*b*(r-1), inner.value())
	c.First.against(c.Interaction)
	if r > 1 {
		c.Second.against(c.Error)
		c.Interaction.against(c.Error)
	} else {
		c.Second.against(c.Interaction)
	}
	return c, nil
}

// Student returns the quantile of Student's distribution that a share p lies below.
func Student(p, df float64) float64 { return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p) }
