package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTasteExponents(t *testing.T) {
	sucrose, err := FindTasteExponent("sucrose")
	require.NoError(t, err)
	i, err := sucrose.Relative(200, 100)
	require.NoError(t, err)
	// Stevens: exponent 1.3 for sucrose, so doubling makes it 2.46 times as sweet.
	assert.InDelta(t, 2.462, i.Value, 0.001)

	quinine, err := FindTasteExponent("quinine")
	require.NoError(t, err)
	require.Equal(t, Recalled, quinine.Basis)
	for _, c := range []float64{0, 10, 50, 200} {
		i, err := quinine.Relative(c, 50)
		require.NoError(t, err)
		assert.True(t, i.Low <= i.Value && i.Value <= i.High, "%v", i)
	}
	i, err = quinine.Relative(50, 50)
	require.NoError(t, err)
	assert.Equal(t, Intensity{1, 1, 1}, i)

	for _, e := range tasteExponents {
		require.NotEmpty(t, e.Source)
		require.True(t, e.Low <= e.Value && e.Value <= e.High)
	}
	_, err = FindTasteExponent("umami")
	require.ErrorIs(t, err, ErrUnknownTastant)
	require.ErrorContains(t, err, "sucrose")
	for _, pair := range [][2]float64{{-1, 1}, {1, 0}, {math.NaN(), 1}, {1, math.NaN()}, {math.Inf(1), 1}, {1, math.Inf(1)}} {
		_, err := sucrose.Relative(pair[0], pair[1])
		require.ErrorIs(t, err, ErrRange)
	}
}

// Ph. Eur. 2.8.15 gives quinine hydrochloride the value 200 000, which is a threshold of 5 mg/L.
func TestQuinineEquivalents(t *testing.T) {
	assert.Equal(t, 5.0, QuinineThreshold)
	assert.InDelta(t, 1000.0, QuinineEquivalent(200000, 1), 1e-9)
	// Gentian root of 20 000 at 1 g/L.
	assert.InDelta(t, 100.0, QuinineEquivalent(20000, 1), 1e-9)
	// 61 mg/L of quinine base is 74.6 mg/L of the hydrochloride dihydrate, 14.9 times the threshold.
	salt, err := FindCompound("quinine hydrochloride dihydrate")
	require.NoError(t, err)
	assert.InDelta(t, 74.6, 61/salt.Share(Quinine), 0.05)
	assert.InDelta(t, 14.9, 61/salt.Share(Quinine)/QuinineThreshold, 0.05)
}
