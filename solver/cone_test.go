package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ball returns a cone that keeps the columns first.. within radius of centre.
func ball(radius float64, centre ...float64) Cone {
	c := Cone{Name: "ball", Scale: 1, Upper: radius}
	for j, v := range centre {
		c.Factors = append(c.Factors, []Term{{j, 1}})
		c.Constants = append(c.Constants, -v)
	}
	return c
}

func freeColumns(costs ...float64) []Column {
	var columns []Column
	for _, c := range costs {
		columns = append(columns, Column{Cost: c, Lower: -Inf, Upper: Inf})
	}
	return columns
}

func solveWell(t *testing.T, p *Problem) *Solution {
	t.Helper()
	s, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	return s
}

func TestConesClosedForm(t *testing.T) {
	for name, c := range map[string]struct {
		p    *Problem
		want float64
		x    []float64
		dual []float64
	}{
		// The least c·x over a ball is c·centre - radius·‖c‖, at centre - radius·c/‖c‖.
		"ball": {&Problem{Columns: freeColumns(3, 4), Cones: []Cone{ball(2, 1, -1)}},
			3 - 4 - 2*5, []float64{1 - 2*0.6, -1 - 2*0.8}, []float64{-5}},
		"ball, the other way": {&Problem{Sense: Maximize, Offset: 1, Columns: freeColumns(1, 1, 1), Cones: []Cone{ball(1, 0, 0, 0)}},
			1 + math.Sqrt(3), []float64{1 / math.Sqrt(3), 1 / math.Sqrt(3), 1 / math.Sqrt(3)}, []float64{math.Sqrt(3)}},
		// Maximise 2x + y with x + ‖(x, y)‖ <= 1, a parabola y² = 1 - 2x: at y = 1/2, x = 3/8.
		"parabola": {&Problem{Sense: Maximize, Columns: freeColumns(2, 1),
			Cones: []Cone{{Linear: []Term{{0, 1}}, Scale: 1, Factors: [][]Term{{{0, 1}}, {{1, 1}}}, Upper: 1}}},
			1.25, []float64{0.375, 0.5}, nil},
		// Two balls of radius 1 about 0 and (1, 0): the highest common point is (1/2, √3/2).
		"two balls": {&Problem{Sense: Maximize, Columns: freeColumns(0, 1), Cones: []Cone{ball(1, 0, 0), ball(1, 1, 0)}},
			math.Sqrt(3) / 2, []float64{0.5, math.Sqrt(3) / 2}, nil},
		"scale of zero": {&Problem{Columns: []Column{{Cost: -1, Upper: 9}},
			Cones: []Cone{{Linear: []Term{{0, 2}}, Factors: [][]Term{{{0, 5}}}, Upper: 3}}}, -1.5, []float64{1.5}, []float64{-0.5}},
		"no limit in the cone": {&Problem{Columns: []Column{{Cost: -1, Upper: 9}}, Cones: []Cone{{Scale: 1, Factors: [][]Term{{{0, 5}}}, Upper: Inf}}},
			-9, []float64{9}, []float64{0}},
	} {
		t.Run(name, func(t *testing.T) {
			s := solveWell(t, c.p)
			require.Equal(t, Optimal, s.Status, s.Reason)
			assert.InDelta(t, c.want, s.Objective, 1e-7)
			assert.InDeltaSlice(t, c.x, s.X, 1e-3) // a flat optimum: the point is known to the square root
			if c.dual != nil {
				assert.InDeltaSlice(t, c.dual, s.ConeDual, 1e-3)
			}
			assert.LessOrEqual(t, s.Certificate.PrimalResidual, 1e-8)
			assert.Len(t, s.Activity, len(c.p.Rows))
		})
	}
}

func TestConesWithoutAnswer(t *testing.T) {
	apart := &Problem{Columns: freeColumns(1, 1), Cones: []Cone{ball(1, 0, 0), ball(1, 2.1, 0.1)}}
	s := solveWell(t, apart)
	assert.Equal(t, Infeasible, s.Status)
	assert.Nil(t, s.Farkas)

	// ‖(x, y)‖ <= x + 1 leaves the direction x open.
	open := &Problem{Columns: freeColumns(-1, 0), Cones: []Cone{{Linear: []Term{{0, -1}}, Scale: 1, Factors: [][]Term{{{0, 1}}, {{1, 1}}}, Upper: 1}}}
	s = solveWell(t, open)
	require.Equal(t, Unbounded, s.Status)
	assert.Greater(t, s.Ray[0], 0.0)
	// ... but no other: with the cost on y the parabola bounds x + y/2 from below.
	open.Columns[0].Cost, open.Columns[1].Cost = 1, 0.5
	s = solveWell(t, open)
	require.Equal(t, Optimal, s.Status)
	// y² <= 1 + 2x: the least of (y² - 1)/2 + y/2 is at y = -1/2.
	assert.InDelta(t, (0.25-1)/2-0.25, s.Objective, 1e-7)
}
