package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestProveChoice(t *testing.T) {
	// Packs of 3 for 4 or singles of 1 for 1.7, at least 8.5 in all, and a dose of the third from 2 up
	// if it is used at all; its row holds only with a pack.
	p := &Problem{Columns: []Column{
		{Cost: 4, Upper: 9, Kind: Integer}, {Cost: 1.7, Upper: Inf},
		{Cost: 1, Lower: 2, Upper: 5, Kind: SemiContinuous}, {Upper: 1, Kind: Integer},
	}}
	p.AddRow(Row{Lower: 8.5, Upper: Inf, Terms: []Term{{0, 3}, {1, 1}, {2, 0.7}}})
	p.AddRow(Row{Lower: 0, Upper: Inf, Terms: []Term{{0, -1}, {3, 9}}})
	p.Indicators = []Indicator{{Column: 3, Active: 1, Row: Row{Lower: -Inf, Upper: 0.3, Terms: []Term{{1, 1}}}}}
	s, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	require.Equal(t, Optimal, s.Status)
	proof, err := ProveChoice(context.Background(), p, s, Options{})
	require.NoError(t, err)
	require.Equal(t, Optimal, proof.Status, proof.Reason)
	require.InDelta(t, s.Objective, float(proof.Objective), 1e-9)
	require.Len(t, proof.Activity, 3)
	require.True(t, proof.X[0].IsInt())

	_, err = p.Choice(nil)
	require.Error(t, err)
	cone := &Problem{Columns: []Column{{Upper: 1}}, Cones: []Cone{{Scale: 1, Upper: 1, Factors: [][]Term{{{0, 1}}}}}}
	_, err = cone.Choice([]float64{0})
	require.Error(t, err)
}

// The answer of a search, made exact, is the optimum of its own choice, and feasible for the whole.
func TestProveChoiceProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := tinyProblem().Draw(rt, "problem")
		for j := range p.Columns {
			c := &p.Columns[j]
			if !math.IsInf(c.Lower, 0) && !math.IsInf(c.Upper, 0) && rapid.Bool().Draw(rt, "whole") {
				c.Kind = Integer
			}
		}
		s, err := Solve(context.Background(), p, Options{})
		require.NoError(rt, err)
		if s.Status != Optimal {
			return
		}
		proof, err := ProveChoice(context.Background(), p, s, Options{})
		require.NoError(rt, err)
		require.Equal(rt, Optimal, proof.Status, proof.Reason)
		require.InDelta(rt, s.Objective, float(proof.Objective), 1e-7*(1+math.Abs(s.Objective)))
		for j, c := range p.Columns {
			if c.Kind == Integer {
				require.True(rt, proof.X[j].IsInt())
			}
		}
	})
}
