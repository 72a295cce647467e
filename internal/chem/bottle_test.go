package chem

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Six grams of carbon dioxide a litre, 4 % of headspace closed at 4 °C with air: 2.1, 3.7 and 6.3 bar at 4, 20
// and 40 °C by a balance of its own, worked by hand; without air 5.2 at 40.
func TestAirMakesABottleStandHigher(t *testing.T) {
	b := Bottle{GramsPerLitre: 6, WaterPerLitre: 0.945, Headspace: 0.04, FilledC: 4}
	for celsius, want := range map[float64]float64{4: 2.1, 20: 3.7, 40: 6.3} {
		p, err := b.At(celsius)
		require.NoError(t, err)
		assert.InDelta(t, want, p.Gauge, 0.12, "%g °C", celsius)
	}
}

// Bottles in a tunnel, carbon dioxide alone, filled at 4 °C, bar gauge (calculated from the Henry constants of
// phreeqc.dat and the expansion of water: 1.7, 2.0, 2.3, 2.6 % at 60, 65, 70, 75 °C).
func TestBottlesInATunnel(t *testing.T) {
	c := newTally(t, "gauge pressure of carbon dioxide in a heated bottle, bar", 0.25)
	for _, row := range []struct {
		volumes, headspace float64
		gauge              [5]float64
	}{
		{2.5, 0.04, [5]float64{1.8, 5.6, 6.1, 6.7, 7.2}}, {3.0, 0.04, [5]float64{2.3, 6.9, 7.5, 8.2, 8.8}},
		{3.5, 0.06, [5]float64{2.8, 7.8, 8.5, 9.2, 9.9}}, {4.0, 0.04, [5]float64{3.5, 9.5, 10.4, 11.3, 12.1}},
	} {
		for n, celsius := range []float64{20, 60, 65, 70, 75} {
			p, err := Bottle{GramsFromVolumes(row.volumes), 0.998, row.headspace, 4}.At(celsius)
			require.NoError(t, err)
			c.row(row.gauge[n], p.CarbonDioxide-barPerAtmosphere, row.volumes, celsius)
		}
	}
}

// Sugar that ferments: from 3.5 volumes with 5 % of headspace 20 g/L of sucrose reach 11.0 bar absolute at
// 25 °C, 10 bar gauge; 5 g/L 6.1 and 40 g/L 17.6 absolute (calculated, carbon dioxide alone).
func TestSugarThatFermentsBurstsBottles(t *testing.T) {
	for sugar, want := range map[float64]float64{0: 4.4, 5: 6.1, 10: 7.7, 20: 11.0, 40: 17.6} {
		p, err := Bottle{GramsFromVolumes(3.5) + sugar*GramsFromSucrose, 0.998, 0.05, 25}.At(25)
		require.NoError(t, err)
		assert.InDelta(t, want, p.CarbonDioxide, 0.1, "%g g/L", sugar)
	}
}

func TestBottlesThatCannotBe(t *testing.T) {
	for name, b := range map[string]Bottle{
		"full": {6, 0.95, 0, 4}, "empty": {6, 0.95, 1, 4}, "fills as it warms": {6, 0.95, 0.005, 4},
		"ice": {6, 0.95, 0.04, -5}, "no water": {6, 0, 0.04, 4},
	} {
		_, err := b.At(60)
		assert.ErrorIs(t, err, ErrRange, name)
	}
}

// Warmer, more gas, more air and less room never lower the pressure.
func TestPressureGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Bottle{rapid.Float64Range(0, 10).Draw(t, "gas"), rapid.Float64Range(0.6, 1).Draw(t, "water"), rapid.Float64Range(0.03, 0.3).Draw(t, "headspace"), rapid.Float64Range(0, 25).Draw(t, "filled")}
		celsius := rapid.Float64Range(b.FilledC, 59).Draw(t, "celsius")
		at := func(b Bottle, celsius float64) float64 {
			p, err := b.At(celsius)
			if err != nil {
				t.Fatal(err)
			}
			if open, _ := BottlePressure(b.GramsPerLitre, b.WaterPerLitre, celsius); p.CarbonDioxide > open.CarbonDioxide+1e-9 {
				t.Fatal("gas that went into the headspace raised its own pressure")
			}
			return p.Gauge
		}
		now := at(b, celsius)
		if at(b, celsius+1) < now {
			t.Fatal("warmer lowers it")
		}
		b.GramsPerLitre++
		if at(b, celsius) < now {
			t.Fatal("more gas lowers it")
		}
	})
}

// From 20 to 65 °C in 20 minutes, 10 minutes there, to 30 °C in 15: 66.26603 units at 60 °C with 1.393 a degree
// (z 6.9468), exactly; 20 minutes at 62 °C are 38.61 with z 7 and 72 °C for 15 seconds 12.95 (Del Vecchio et
// al. 1951); 80 °C for 30 seconds is half a unit of 80 °C.
func TestHeatUnits(t *testing.T) {
	curve, err := HeatUnits([]Heat{{0, 20}, {20, 65}, {30, 65}, {45, 30}}, 60, 6.946776)
	require.NoError(t, err)
	assert.InDelta(t, 66.26603, curve, 5e-4)
	for _, c := range []struct{ minutes, celsius, reference, z, want float64 }{
		{20, 62, 60, 7, 38.61}, {10, 65, 60, 7, 51.79}, {0.25, 72, 60, 7, 12.95}, {0.5, 80, 60, 7, 359.8}, {0.5, 80, 80, 10, 0.5},
	} {
		units, err := HeatUnits([]Heat{{0, c.celsius}, {c.minutes, c.celsius}}, c.reference, c.z)
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, units, 2e-4)
	}
	_, err = HeatUnits([]Heat{{5, 60}, {4, 60}}, 60, 7)
	assert.ErrorIs(t, err, ErrRange)
}
