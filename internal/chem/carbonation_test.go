package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCarbonDioxideSolubility(t *testing.T) {
	grams := newTally(t, "carbon dioxide in water at 1 atm, calculated from phreeqc.dat, g/L", 0.01)
	volumes := newTally(t, "the same in volumes", 0.003)
	for _, row := range [][3]float64{
		{0, 3.43, 1.736}, {4, 2.94, 1.485}, {10, 2.37, 1.197}, {15, 2.01, 1.015}, {20, 1.72, 0.872}, {25, 1.50, 0.758}, {30, 1.31, 0.665},
	} {
		g := value(t)(SaturatedCarbonDioxide(row[0], barPerAtmosphere))
		grams.row(row[1], g, row[0])
		volumes.row(row[2], VolumesFromGrams(g), row[0])
	}
	constant := newTally(t, "Henry constant at 25 °C, Sander 2023, mol/(m³ Pa)", 0.06e-4)
	constant.row(3.35e-4, value(t)(CarbonDioxideSolubility(25))*waterDensity(25)/101325, "3.3e-4 to 3.4e-4")
	logarithm := newTally(t, "log K at 25 °C, phreeqc.dat", 0.0006)
	logarithm.row(-1.468, math.Log10(value(t)(CarbonDioxideSolubility(25))))
	// Sander 2023: d ln H / d(1/T) is 2300 to 2400 K near 25 °C.
	slope := math.Log(value(t)(CarbonDioxideSolubility(20))/value(t)(CarbonDioxideSolubility(30))) / (1/293.15 - 1/303.15)
	assert.InDelta(t, 2350, slope, 100)
}

func TestCarbonDioxideOfOlderTables(t *testing.T) {
	bunsen := newTally(t, "Bunsen coefficients, A Treatise on Beverages 1888, volumes", 0.065)
	for _, row := range [][2]float64{{0, 1.7967}, {4, 1.5126}, {10, 1.1847}, {16, 0.9753}, {20, 0.9014}} {
		bunsen.row(row[1], VolumesFromGrams(value(t)(SaturatedCarbonDioxide(row[0], barPerAtmosphere))), row[0])
	}
	// The table is for 1 atm in all, vapour included; its 0 °C row is printed 0.355 and is left out as
	// a likely misprint of 0.335.
	frey := newTally(t, "Frey, College Chemistry 1958, 1 atm in all, g/100 g", 0.0035)
	for _, row := range [][2]float64{{10, 0.232}, {20, 0.169}, {30, 0.126}, {40, 0.097}} {
		g := value(t)(SaturatedCarbonDioxide(row[0], barPerAtmosphere-vapourPressure(row[0])))
		frey.row(row[1], g/10, row[0])
	}
}

func TestVolumes(t *testing.T) {
	c := newTally(t, "g/L of one volume", 0.001)
	c.row(1.977, GramsPerVolume, "real gas")
	c.row(1.963, GramsPerIdealVolume, "ideal gas")
	assert.InDelta(t, 5.93, GramsFromVolumes(3), 0.001)
	assert.InDelta(t, 3, VolumesFromGrams(GramsFromVolumes(3)), 1e-12)
	// Another definition has one volume saturate water at 15.5 °C and 1 atm: 1.97 g/L.
	assert.InDelta(t, 1.97, value(t)(SaturatedCarbonDioxide(15.5, barPerAtmosphere)), 0.015)
}

// The table is of Henry's law alone, to 0.1 bar; vapour comes on top. At 40 °C it also takes a litre of
// water for a kilogram, which makes 0.04 bar.
func TestBottlePressure(t *testing.T) {
	c := newTally(t, "gauge pressure over carbonated water less vapour, calculated from phreeqc.dat, bar", 0.06)
	for _, row := range []struct {
		volumes float64
		gauge   [4]float64
	}{
		{3.0, [4]float64{1.0, 2.5, 3.0, 4.8}}, {3.5, [4]float64{1.4, 3.1, 3.7, 5.7}}, {4.0, [4]float64{1.7, 3.6, 4.3, 6.7}},
	} {
		for i, celsius := range []float64{4, 20, 25, 40} {
			p, err := BottlePressure(GramsFromVolumes(row.volumes), waterDensity(celsius)/1000, celsius)
			require.NoError(t, err)
			c.row(row.gauge[i], p.Gauge-p.Vapour, row.volumes, celsius)
		}
	}
}

func TestSugarRaisesPressure(t *testing.T) {
	water, err := BottlePressure(6, 0.9982, 20)
	require.NoError(t, err)
	soda, err := BottlePressure(6, 0.90*1.03811, 20)
	require.NoError(t, err)
	rise := soda.CarbonDioxide/water.CarbonDioxide - 1
	assert.True(t, rise > 0.05 && rise < 0.10, "5 to 10 %% (memory), got %g", rise)
}

func TestVapourPressure(t *testing.T) {
	// Steam tables (memory): 20 °C 2.339 kPa, 40 °C 7.384 kPa.
	c := newTally(t, "vapour pressure of water, steam tables (memory), bar", 0.0003)
	c.row(0.02339, vapourPressure(20))
	c.row(0.07384, vapourPressure(40))
}

func TestPackageStrengths(t *testing.T) {
	for _, s := range PackageStrengths() {
		require.NotEmpty(t, s.Source)
		require.Equal(t, Published, s.Basis)
		require.GreaterOrEqual(t, s.Burst, 12.0)
	}
	p, err := BottlePressure(GramsFromVolumes(4), 0.93, 40)
	require.NoError(t, err)
	assert.Less(t, p.Gauge, PackageStrengths()[1].Burst, "four volumes in the sun stay below the burst of plastic")
}

func TestCarbonationOutOfRange(t *testing.T) {
	for name, call := range map[string]func() error{
		"ice":      func() error { _, err := CarbonDioxideSolubility(-1); return err },
		"steam":    func() error { _, err := SaturatedCarbonDioxide(76, 1); return err },
		"vacuum":   func() error { _, err := SaturatedCarbonDioxide(20, -1); return err },
		"negative": func() error { _, err := BottlePressure(-1, 1, 20); return err },
		"NaN":      func() error { _, err := BottlePressure(math.NaN(), 1, 20); return err },
		"infinite": func() error { _, err := BottlePressure(math.Inf(1), 1, 20); return err },
		"no water": func() error { _, err := BottlePressure(6, 0, 20); return err },
		"hot":      func() error { _, err := BottlePressure(6, 1, 76); return err },
	} {
		require.ErrorIs(t, call(), ErrRange, name)
	}
}
