package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Without salt the share is 1/(1 + 10^(pH - pK)) (Henderson-Hasselbalch), pK 4.202 and 4.76.
func TestUndissociatedShare(t *testing.T) {
	c := newTally(t, "undissociated share, Henderson-Hasselbalch", 1e-12)
	for _, row := range []struct {
		acid Species
		pK   float64
	}{{Benzoic, 4.202}, {Sorbic, 4.76}} {
		for _, pH := range []float64{2, 3, 4, 4.6, 7} {
			c.row(1/(1+math.Pow(10, pH-row.pK)), value(t)(UndissociatedShare(row.acid, pH, Medium{IonicStrength: 0})), row.acid, pH)
		}
	}
	// Antimicrobials in Food (Davidson et al.; memory): benzoic acid 93.5 % at pH 3, 59.3 % at pH 4,
	// 12.8 % at pH 5; sorbic acid 98 %, 86 %, 37 %.
	book := newTally(t, "undissociated share in food texts (memory)", 0.025)
	for i, want := range []float64{0.935, 0.593, 0.128} {
		book.row(want, value(t)(UndissociatedShare(Benzoic, float64(3+i), Medium{})), "benzoic", 3+i)
	}
	for i, want := range []float64{0.98, 0.86, 0.37} {
		book.row(want, value(t)(UndissociatedShare(Sorbic, float64(3+i), Medium{})), "sorbic", 3+i)
	}
	salty := value(t)(UndissociatedShare(Benzoic, 4, Medium{IonicStrength: 0.1}))
	assert.Less(t, salty, value(t)(UndissociatedShare(Benzoic, 4, Medium{IonicStrength: 0})), "salt favours the ion")
	for _, s := range []Species{Sodium, Quinine, Sulfate, Chloride, Species(77)} {
		_, err := UndissociatedShare(s, 4, Medium{IonicStrength: 0})
		require.ErrorIs(t, err, ErrUnknownSpecies)
	}
}

// For an acid of one step the share and the charge are two views of the same thing.
func TestShareAndChargeAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		acid := rapid.SampledFrom([]Species{Benzoic, Sorbic, Lactic, Acetic, Quinic}).Draw(t, "acid")
		pH := rapid.Float64Range(1, 9).Draw(t, "pH")
		strength := rapid.Float64Range(0, 0.6).Draw(t, "ionic strength")
		share, err := UndissociatedShare(acid, pH, Medium{IonicStrength: strength})
		require.NoError(t, err)
		require.InDelta(t, 1, share+ChargePerMole(acid, pH, Medium{IonicStrength: strength}), 1e-12)
	})
}

func TestUndissociatedInADrink(t *testing.T) {
	benzoate, err := FindCompound("sodium benzoate")
	require.NoError(t, err)
	s := mix{Citric: 0.02}.solution()
	s.AddGrams(benzoate, 0.150)
	r, err := PH(s)
	require.NoError(t, err)
	g := value(t)(Undissociated(s, Benzoic, r))
	share := value(t)(UndissociatedShare(Benzoic, r.PH, r.Medium))
	assert.InDelta(t, 0.150*122.123/144.105*share, g, 1e-5)
	assert.Less(t, r.PH, AcidFoodPH)
	_, err = Undissociated(s, Sodium, r)
	require.ErrorIs(t, err, ErrUnknownSpecies)

	assert.False(t, BenzeneRisk(s))
	s.Amounts[Ascorbic] = 0.001
	assert.True(t, BenzeneRisk(s))
	assert.NotEmpty(t, BenzeneSource)
	assert.NotEmpty(t, AcidFoodSource)
}

func TestChargeOfNoSpecies(t *testing.T) {
	assert.True(t, math.IsNaN(ChargePerMole(Species(NumSpecies), 3, Medium{})))
	assert.Equal(t, -1.0, ChargePerMole(Sodium, 3, Medium{IonicStrength: 0.1}))
	assert.Equal(t, -2.0, ChargePerMole(Calcium, 3, Medium{IonicStrength: 0.1}))
	assert.Equal(t, 1.0, ChargePerMole(Chloride, 3, Medium{IonicStrength: 0.1}))
	assert.InDelta(t, -2, ChargePerMole(Quinine, 1, Medium{}), 0.01)
	assert.InDelta(t, -1, ChargePerMole(Quinine, 6.6, Medium{}), 0.01)
}
