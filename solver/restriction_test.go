package solver

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCheckNamesTheMalformedRestriction(t *testing.T) {
	base := func() *Problem {
		return &Problem{Columns: []Column{{Name: "x", Upper: 1}, {Name: "z", Upper: 1, Kind: Integer}}}
	}
	require.NoError(t, base().Check())
	for _, c := range []struct {
		change func(*Problem)
		want   string
	}{
		{func(p *Problem) { p.Cones = []Cone{{Name: "c", Scale: -1}} }, `solver: cone 0 "c": scale is -1`},
		{func(p *Problem) { p.Cones = []Cone{{Name: "c", Upper: math.NaN()}} }, `solver: cone 0 "c": upper bound is NaN`},
		{func(p *Problem) { p.Cones = []Cone{{Name: "c", Constants: []float64{1}}} }, `solver: cone 0 "c": 1 constants go with 0 factors`},
		{func(p *Problem) {
			p.Cones = []Cone{{Name: "c", Factors: [][]Term{{{0, 1}}}, Constants: []float64{math.Inf(1)}}}
		}, `solver: cone 0 "c": a constant is +Inf`},
		{func(p *Problem) { p.Cones = []Cone{{Name: "c", Linear: []Term{{7, 1}}}} }, `solver: cone 0 "c": there is no column 7`},
		{func(p *Problem) { p.Cones = []Cone{{Name: "c", Factors: [][]Term{{{0, 1}, {0, 2}}}}} }, `solver: cone 0 "c": column 0 stands twice`},
	} {
		p := base()
		c.change(p)
		assert.EqualError(t, p.Check(), c.want)
	}
}

func TestCloneSharesNoRestriction(t *testing.T) {
	p := &Problem{
		Columns: []Column{{Upper: 1}, {Upper: 1, Kind: Integer}},
		Cones:   []Cone{{Linear: []Term{{0, 1}}, Scale: 1, Factors: [][]Term{{{0, 1}}}, Constants: []float64{1}}},
	}
	q := p.Clone()
	require.Equal(t, p, q)
	q.Cones[0].Linear[0].Value = 2
	q.Cones[0].Factors[0][0].Value = 2
	q.Cones[0].Constants[0] = 2
	assert.Equal(t, 1.0, p.Cones[0].Linear[0].Value)
	assert.Equal(t, 1.0, p.Cones[0].Factors[0][0].Value)
	assert.Equal(t, 1.0, p.Cones[0].Constants[0])
}

func TestConeActivity(t *testing.T) {
	// 2·3 + 0.5·‖(3, 4)‖ = 8.5, with 4 = x + 1.
	c := Cone{Linear: []Term{{0, 2}}, Scale: 0.5, Factors: [][]Term{{{0, 1}}, {{0, 1}}}, Constants: []float64{0, 1}}
	assert.InDelta(t, 8.5, c.Activity([]float64{3}), 1e-15)
}
