package chem

import (
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// 3 g/L of citric acid in water of 50 mg/L alkalinity (as CaCO3) by an independent charge balance: how far its pH
// moves from that at 25 °C.
func TestPHMovesWithTemperature(t *testing.T) {
	s := mix{Citric: 3 / 192.123, Sodium: 0.001, Carbonic: 0.001}.solution()
	room, err := PH(s)
	require.NoError(t, err)
	for _, row := range []struct{ celsius, moved float64 }{{4, 0.040}, {20, 0.007}, {25, 0}, {40, -0.012}, {60, -0.012}, {85, 0.008}} {
		at, err := PHAt(s, row.celsius)
		require.NoError(t, err)
		assert.InDelta(t, row.moved, at.PH-room.PH, 0.004, "%v °C", row.celsius)
	}
	for _, celsius := range []float64{-1, 91} {
		_, err = PHAt(s, celsius)
		require.ErrorIs(t, err, ErrRange)
	}
}

// Neutral water: pKw 14.947 at 0 °C, 13.275 at 50 and 13.02 at 60 (CRC Handbook; memory).
func TestWaterWithTemperature(t *testing.T) {
	for _, row := range []struct{ celsius, pKw float64 }{{0, 14.947}, {50, 13.275}, {60, 13.02}} {
		at, err := PHAt(&Solution{}, row.celsius)
		require.NoError(t, err)
		assert.InDelta(t, row.pKw/2, at.PH, 0.01)
	}
}

// The potassium hydrogen phthalate standard at 10 and 40 °C: 3.998 and 4.035 (Hetzer et al. 1977, equation; the phosphate
// standard 6.923 and 6.838, NIST, memory).
func TestStandardsWithTemperature(t *testing.T) {
	c := newTally(t, "primary pH standards at 10 and 40 °C, pH", 0.03)
	for _, row := range []struct{ celsius, phthalate, phosphate float64 }{{10, 3.998, 6.923}, {40, 4.035, 6.838}} {
		at, err := PHAt(mix{Phthalic: 0.05, Potassium: 0.05}.solution(), row.celsius)
		require.NoError(t, err)
		c.row(row.phthalate, at.PH, "phthalate", row.celsius)
		at, err = PHAt(mix{Phosphoric: 0.05, Potassium: 0.025, Sodium: 0.05}.solution(), row.celsius)
		require.NoError(t, err)
		c.row(row.phosphate, at.PH, "phosphate", row.celsius)
	}
}

// The table of constants from 0 to 90 °C in the folder that BITTERSUM_REFERENCE names.
func TestConstantsWithTemperature(t *testing.T) {
	table := reference.Open(t, "drink", "pka_by_temperature.csv")
	number := func(text string) float64 { return reference.Number(t, text) }
	seen := 0
	for _, row := range table.Rows {
		name, step, _ := strings.Cut(row[0], " ")
		s, err := ParseSpecies(name)
		if err != nil {
			continue // water
		}
		n, _ := strconv.Atoi(step)
		n = max(n, 1) - 1
		seen++
		for column, title := range table.Heading[5:] {
			celsius := number(strings.TrimSuffix(strings.TrimPrefix(title, "pK_"), "C"))
			moved := number(row[5+column]) - number(row[1])
			assert.InDelta(t, moved, PKaAt(s, n, celsius)-PKaAt(s, n, 25), 0.002, "%s at %v °C", row[0], celsius)
		}
	}
	assert.Greater(t, seen, 12)
}
