package study

import (
	"context"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/profiles"
	"bittersum/solver"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A share of a value is no measure below what is noticed at all: 5 mg/L of bitterness, a point of aroma, a
// gram of sugars, 0.025 g/L of acid. Above, the share decides; by hand.
func TestNoticeableIsNeverBelowTheThreshold(t *testing.T) {
	for _, c := range []struct {
		attribute profile.Attribute
		value     float64
		want      float64
	}{
		{profile.Attribute{Name: "bitterness", JNDShare: 0.3}, 100, 30},
		{profile.Attribute{Name: "bitterness", JNDShare: 0.3}, 10, 5},
		{profile.Attribute{Name: "bitterness", JNDShare: 0.3}, 0, 5},
		{profile.Attribute{Name: "sugars", JNDShare: 0.1}, 2, 1},
		{profile.Attribute{Name: "sugars", JNDShare: 0.1}, 50, 5},
		{profile.Attribute{Name: "acidity", JNDShare: 0.2}, 0.1, 0.025},
		{profile.Attribute{Name: "acidity", JNDShare: 0.2}, 5, 1},
		{profile.Attribute{Name: "citrus", Family: "aroma", Unit: "points", JNDShare: 0.25}, 2, 1},
		{profile.Attribute{Name: "citrus", Family: "aroma", Unit: "points", JNDShare: 0.25}, 8, 2},
		{profile.Attribute{Name: "colour", JND: 3}, 100, 3},
		{profile.Attribute{Name: "colour"}, 100, 0},
	} {
		assert.InDelta(t, c.want, noticeable(&c.attribute, c.value), 1e-12, "%s at %v", c.attribute.Name, c.value)
	}
}

// What the assessment finds must be what the program was asked for.
func TestDisagreementsAreUnproved(t *testing.T) {
	require.NoError(t, agreesOnDrift(3, 3))
	require.NoError(t, agreesOnDrift(1, 3), "a mix may come closer than asked")
	require.NoError(t, agreesOnDrift(3.039, 3))
	require.ErrorIs(t, agreesOnDrift(3.05, 3), ErrUnproved)
	require.NoError(t, agreesOnDrift(0.009, 0))
	require.ErrorIs(t, agreesOnDrift(0.02, 0), ErrUnproved)

	require.NoError(t, agreesOnCost(2, 2))
	require.NoError(t, agreesOnCost(2.002, 2))
	require.ErrorIs(t, agreesOnCost(2.004, 2), ErrUnproved)
	require.ErrorIs(t, agreesOnCost(1.996, 2), ErrUnproved, "cheaper than the curve is as wrong")
}

// A curve that were wrong would be found out by the recipes solved afresh.
func TestAWrongPriceCurveIsRefused(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenFS(profiles.FS, "demo/bitter-orange.toml", "demo:", lib)
	require.NoError(t, err)
	price, ok := PriceOf(job, "sugar")
	require.True(t, ok)
	r, err := Reprice(context.Background(), job, []PriceMove{{Name: "sugar", From: price, To: 2 * price}}, nil)
	require.NoError(t, err)
	f, s, err := settled(t.Context(), r.Job)
	require.NoError(t, err)
	rates := make([]float64, len(f.Problem.Columns))
	curve := curveOf(s.Objective*1.01, len(r.Pieces))
	require.ErrorIs(t, r.join(f, rates, curve), ErrUnproved)
}

// curveOf is a curve of so many pieces on which all cost the same.
func curveOf(cost float64, pieces int) *solver.Curve {
	curve := &solver.Curve{}
	for range pieces {
		curve.Pieces = append(curve.Pieces, solver.Piece{ObjectiveFrom: cost, ObjectiveTo: cost})
	}
	return curve
}
