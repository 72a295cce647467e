package solver

import (
	"context"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A direction that is too long by its own rounding is drawn in, so that its length is at most 1 exactly; a good one
// loses next to nothing.
func TestDirectionsAreNoLongerThanOne(t *testing.T) {
	length := func(u []float64) float64 {
		square := new(big.Rat)
		for _, x := range inside(u) {
			square.Add(square, new(big.Rat).Mul(x, x))
		}
		assert.LessOrEqual(t, square.Cmp(big.NewRat(1, 1)), 0, "%v", u)
		v, _ := square.Float64()
		return v
	}
	assert.InDelta(t, 1, length([]float64{1, 1e-3}), 1e-5)
	assert.InDelta(t, 1, length([]float64{0.6, -0.8}), 1e-9)
	assert.InDelta(t, 0.5, length([]float64{0.5, 0.5}), 1e-9)
	assert.Zero(t, length([]float64{0, 0}))
}

// The least 3x + 4y in a ball of radius 2 about (5, 5) is 35 - 2·5: the bound lies a hair below, with constants in
// the cone. With y counted downwards from zero it is the same, and over columns without a sign nothing is proved
// whose cuts would have to be rounded.
func TestBoundOfABall(t *testing.T) {
	bound := func(columns []Column, c Cone) *Proof {
		p := &Problem{Columns: columns, Cones: []Cone{c}}
		s, err := Solve(context.Background(), p, Options{})
		require.NoError(t, err)
		require.Equal(t, Optimal, s.Status)
		proof, err := ProveBound(context.Background(), p, s, Options{})
		require.NoError(t, err)
		return proof
	}
	for _, c := range []struct {
		columns []Column
		cone    Cone
	}{
		{[]Column{{Cost: 3, Upper: 9}, {Cost: 4, Upper: 9}}, ball(2, 5, 5)},
		{[]Column{{Cost: 3, Upper: 9}, {Cost: -4, Lower: -9}}, ball(2, 5, -5)},
	} {
		proof := bound(c.columns, c.cone)
		require.Equal(t, Optimal, proof.Status, proof.Reason)
		value, _ := proof.Objective.Float64()
		assert.InDelta(t, 25, value, 1e-6)
		assert.Less(t, value, 25.0)
	}
	free := []Column{{Cost: 3, Lower: -Inf, Upper: Inf}, {Cost: 4, Lower: -Inf, Upper: Inf}}
	assert.Equal(t, Optimal, bound(free, ball(2, 5, 5)).Status, "short decimals need no rounding")
	long := ball(2, 5, 5)
	long.Factors[0][0].Value = 1.0 / 3
	open := bound(free, long)
	assert.Equal(t, Unproved, open.Status)
	assert.Contains(t, open.Reason, "without a sign")
}

// A figure is rounded to the side that is asked for, and never past what it is.
func TestShortDecimalsBesideAFigure(t *testing.T) {
	third := big.NewRat(1, 3)
	for _, sign := range []int64{1, -1} {
		r := new(big.Rat).Mul(third, big.NewRat(sign, 1))
		up, down := Decimal(shortBeside(r, true)), Decimal(shortBeside(r, false))
		assert.Equal(t, 1, up.Cmp(r))
		assert.Equal(t, -1, down.Cmp(r))
		gap, _ := new(big.Rat).Sub(up, down).Float64()
		assert.Less(t, gap, 1e-11)
	}
	assert.Equal(t, 0.25, shortBeside(big.NewRat(1, 4), true))
	assert.Equal(t, 0.0, shortBeside(new(big.Rat), false))
}
