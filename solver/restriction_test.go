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
		{func(p *Problem) { p.SOS1 = []SOS1{{"s", []int{0, 2}}} }, `solver: set 0 "s": there is no column 2`},
		{func(p *Problem) { p.SOS1 = []SOS1{{"s", []int{1, 1}}} }, `solver: set 0 "s": column 1 stands twice`},
		{func(p *Problem) { p.Indicators = []Indicator{{Name: "i", Column: 5}} }, `solver: indicator 0 "i": there is no column 5`},
		{func(p *Problem) { p.Indicators = []Indicator{{Name: "i", Column: 0}} }, `solver: indicator 0 "i": column 0 "x" is not an integer column within [0, 1]`},
		{func(p *Problem) { p.Indicators = []Indicator{{Name: "i", Column: 1, Active: 2}} }, `solver: indicator 0 "i": active is 2, not 0 or 1`},
		{func(p *Problem) { p.Indicators = []Indicator{{Name: "i", Column: 1, Row: Row{Lower: math.NaN()}}} }, `solver: indicator 0 "i": a bound is not a number`},
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
		Columns:    []Column{{Upper: 1}, {Upper: 1, Kind: Integer}},
		SOS1:       []SOS1{{Columns: []int{0, 1}}},
		Indicators: []Indicator{{Column: 1, Row: Row{Terms: []Term{{0, 1}}}}},
		Cones:      []Cone{{Linear: []Term{{0, 1}}, Scale: 1, Factors: [][]Term{{{0, 1}}}, Constants: []float64{1}}},
	}
	q := p.Clone()
	require.Equal(t, p, q)
	q.SOS1[0].Columns[0] = 1
	q.Indicators[0].Row.Terms[0].Value = 2
	q.Cones[0].Linear[0].Value = 2
	q.Cones[0].Factors[0][0].Value = 2
	q.Cones[0].Constants[0] = 2
	assert.Equal(t, 0, p.SOS1[0].Columns[0])
	assert.Equal(t, 1.0, p.Indicators[0].Row.Terms[0].Value)
	assert.Equal(t, 1.0, p.Cones[0].Linear[0].Value)
	assert.Equal(t, 1.0, p.Cones[0].Factors[0][0].Value)
	assert.Equal(t, 1.0, p.Cones[0].Constants[0])
}

func TestConeActivity(t *testing.T) {
	// 2·3 + 0.5·‖(3, 4)‖ = 8.5, with 4 = x + 1.
	c := Cone{Linear: []Term{{0, 2}}, Scale: 0.5, Factors: [][]Term{{{0, 1}}, {{0, 1}}}, Constants: []float64{0, 1}}
	assert.InDelta(t, 8.5, c.Activity([]float64{3}), 1e-15)
}
