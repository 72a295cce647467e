package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// value fails the test on an error.
func value(t *testing.T) func(float64, error) float64 {
	return func(v float64, err error) float64 {
		t.Helper()
		require.NoError(t, err)
		return v
	}
}

func TestWaterDensity(t *testing.T) {
	c := newTally(t, "water density, calculated from Bubník et al. 1995, kg/m³", 0.001)
	for _, row := range [][2]float64{{4, 999.972}, {18, 998.595}, {20, 998.203}, {25, 997.043}} {
		c.row(row[1], value(t)(WaterDensity(row[0])), row[0])
	}
}

// Each row: °Bx, density, specific gravity, g/L, apparent specific volume (0 for none) and the error
// of additive volumes at 0.6185 mL/g. All but the index are calculated apart from the ICUMSA
// polynomial; the index is the ICUMSA table's, from memory (0 where none is given).
var sucroseTable = [][7]float64{
	{0, 998.20, 1.00000, 0, 0, 0, 1.33299},
	{5, 1017.80, 1.01964, 50.9, 0.6159, -0.13, 0},
	{10, 1038.11, 1.03998, 103.8, 0.6166, -0.20, 1.34782},
	{15, 1059.16, 1.06107, 158.9, 0.6174, -0.18, 0},
	{20, 1080.98, 1.08292, 216.2, 0.6182, -0.06, 1.36384},
	{25, 1103.59, 1.10558, 275.9, 0.6191, 0.19, 0},
	{30, 1127.03, 1.12906, 338.1, 0.6201, 0.60, 1.38115},
	{35, 1151.33, 1.15340, 403.0, 0.6211, 1.21, 0},
	{40, 1176.52, 1.17864, 470.6, 0.6222, 2.06, 1.39986},
	{45, 1202.62, 1.20478, 541.2, 0.6234, 3.20, 0},
	{50, 1229.65, 1.23187, 614.8, 0.6247, 4.69, 1.42009},
	{55, 1257.65, 1.25991, 691.7, 0.6261, 6.60, 0},
	{60, 1286.61, 1.28893, 772.0, 0.6275, 9.03, 1.44193},
	{65, 1316.55, 1.31893, 855.8, 0.6291, 12.08, 1.45348},
}

func TestSucroseTable(t *testing.T) {
	density := newTally(t, "sucrose density at 20 °C, ICUMSA 1990 (calculated), kg/m³", 0.01)
	gravity := newTally(t, "specific gravity 20/20", 1e-5)
	grams := newTally(t, "sucrose, g/L", 0.051)
	volume := newTally(t, "apparent specific volume of sucrose, mL/g", 6e-5)
	additive := newTally(t, "error of additive volumes at 0.6185 mL/g, kg/m³", 0.011)
	index := newTally(t, "refractive index nD20, ICUMSA (memory)", 1e-5)
	shown := newTally(t, "°Bx from nD20", 0.005)
	for _, row := range sucroseTable {
		b := row[0]
		d := value(t)(SucroseDensity(b, 20))
		density.row(row[1], d, b)
		gravity.row(row[2], SpecificGravity(d), b)
		grams.row(row[3], GramsPerLitre(b, d), b)
		if row[4] != 0 {
			volume.row(row[4], value(t)(SpecificVolume(b, 20)), b)
		}
		constant := value(t)(AdditiveDensity(1000-10*b, Part{10 * b, 0.6185}))
		additive.row(row[5], constant-d, b)
		if row[6] != 0 {
			index.row(row[6], value(t)(RefractiveIndex(b)), b)
			shown.row(b, value(t)(RefractometerBrix(row[6])), b)
		}
	}
}

func TestSucroseAt18Degrees(t *testing.T) {
	c := newTally(t, "sucrose density at 18 °C, Cracow University of Technology, kg/m³", 0.11)
	for _, row := range [][2]float64{
		{5, 1018.3}, {10, 1038.6}, {15, 1059.7}, {20, 1081.5}, {25, 1104.2}, {30, 1127.7}, {35, 1152.0}, {40, 1177.3},
	} {
		c.row(row[1], value(t)(SucroseDensity(row[0], 18)), row[0])
	}
}

func TestSucroseOfOlderTables(t *testing.T) {
	c := newTally(t, "NBS Circular C440 table 109 (memory), kg/m³", 0.65)
	for _, row := range [][2]float64{
		{5, 1017.85}, {10, 1038.14}, {20, 1080.99}, {30, 1126.98}, {40, 1176.45}, {50, 1229.57}, {60, 1286.46}, {65, 1315.99},
	} {
		c.row(row[1], value(t)(SucroseDensity(row[0], 20)), row[0])
	}
}

func TestWeightInAir(t *testing.T) {
	const gallon = 3.785411784e-3 // m³, exact
	const pound = 0.45359237      // kg, exact
	c := newTally(t, "weight in air, lb per US gallon, NBS C440 via Chen 1992", 0.0012)
	for _, row := range [][2]float64{{0, 8.322}, {1, 8.354}, {2, 8.387}, {3, 8.419}, {4, 8.452}, {5, 8.486}} {
		c.row(row[1], WeightInAir(value(t)(SucroseDensity(row[0], 20)))*gallon/pound, row[0])
	}
	sg := newTally(t, "apparent specific gravity 20/20, USDA AMS 135-A-50", 2.5e-5)
	for _, row := range [][2]float64{
		{0.10, 1.00039}, {0.20, 1.00078}, {3.80, 1.01490}, {3.90, 1.01529}, {4.00, 1.01569}, {7.60, 1.03017}, {7.90, 1.03139},
	} {
		sg.row(row[1], ApparentSpecificGravity(value(t)(SucroseDensity(row[0], 20))), row[0])
	}
}

func TestSucroseSolubility(t *testing.T) {
	c := newTally(t, "sucrose solubility, Bubník, Kadlec 1995, mass %", 0.05)
	c.row(64.9, value(t)(SucroseSolubility(5)))
	c.row(66.7, value(t)(SucroseSolubility(20)))
}

func TestOtherSolutes(t *testing.T) {
	c := newTally(t, "density of acids, CRC-type table at 20 °C, kg/m³", 0.55)
	citric := newTally(t, "density of citric acid alone, kg/m³", 0.55)
	volumes := map[string]float64{}
	for _, s := range Solutes() {
		volumes[s.Name] = s.SpecificVolume
	}
	for _, row := range []struct {
		name             string
		percent, density float64
	}{
		{"citric acid", 1, 1002.2}, {"citric acid", 5, 1018.9}, {"citric acid", 10, 1040.2}, {"citric acid", 20, 1085.8}, {"citric acid", 30, 1134.6},
		{"acetic acid", 1, 999.6}, {"acetic acid", 5, 1005.2}, {"acetic acid", 10, 1012.1},
		{"lactic acid", 1, 1000.2}, {"lactic acid", 5, 1008.6}, {"lactic acid", 10, 1019.9},
	} {
		require.Contains(t, volumes, row.name)
		d := value(t)(AdditiveDensity(100-row.percent, Part{row.percent, volumes[row.name]}))
		c.row(row.density, d, row.name, row.percent)
		if row.name == "citric acid" {
			citric.row(row.density, d, row.percent)
		}
	}
}

// A 10 % citric acid solution has nD20 1.3459 (chemister.ru property tables).
func TestCitricAcidOnTheRefractometer(t *testing.T) {
	assert.InDelta(t, CitricRefractometerShare, value(t)(RefractometerBrix(1.3459))/10, 0.001)
}

func TestSucroseInverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.Float64Range(0, 75).Draw(t, "brix")
		celsius := rapid.Float64Range(0, 80).Draw(t, "celsius")
		d, err := SucroseDensity(b, celsius)
		require.NoError(t, err)
		back, err := BrixFromDensity(d, celsius)
		require.NoError(t, err)
		require.InDelta(t, b, back, 1e-9)
		back, err = BrixFromGramsPerLitre(GramsPerLitre(b, d), celsius)
		require.NoError(t, err)
		require.InDelta(t, b, back, 1e-9)
		n, err := RefractiveIndex(b)
		require.NoError(t, err)
		back, err = RefractometerBrix(n)
		require.NoError(t, err)
		require.InDelta(t, b, back, 1e-9)
		require.InDelta(t, b, MassPercent(GramsPerLitre(b, d), d), 1e-9)
		d20, err := SucroseDensity(b, 20)
		require.NoError(t, err)
		back, err = BrixFromSpecificGravity(SpecificGravity(d20))
		require.NoError(t, err)
		require.InDelta(t, b, back, 1e-9)

		// Volumes of sucrose and water add up to the solution's, at any strength.
		v, err := SpecificVolume(b, celsius)
		require.NoError(t, err)
		w := b / 100
		require.InEpsilon(t, 1000/d, w*v+(1-w)*1000/waterDensity(celsius), 1e-12)
	})
}

func TestDensityRisesWithSugarAndFallsWithHeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.Float64Range(1, 80).Draw(t, "brix")
		celsius := rapid.Float64Range(10, 75).Draw(t, "celsius")
		d := sucroseDensity(b, celsius)
		require.Greater(t, sucroseDensity(b+0.1, celsius), d)
		require.Less(t, sucroseDensity(b, celsius+0.5), d)
	})
}

func TestMilligramsPerKilogram(t *testing.T) {
	assert.InDelta(t, 83/1.03811, MilligramsPerKilogram(83, value(t)(SucroseDensity(10, 20))), 0.001)
}

// An instrument's last digit may put plain water a little below water.
func TestReadingsOfPlainWater(t *testing.T) {
	assert.Zero(t, value(t)(BrixFromDensity(998.20, 20)))
	assert.Zero(t, value(t)(BrixFromSpecificGravity(0.99999)))
	assert.Zero(t, value(t)(RefractometerBrix(1.33295)))
	assert.InDelta(t, 0.06, value(t)(RefractometerBrix(1.33307)), 0.01)
}

func TestFiguresOutOfRange(t *testing.T) {
	nan := math.NaN()
	for name, call := range map[string]func() (float64, error){
		"cold water":       func() (float64, error) { return WaterDensity(-1) },
		"NaN water":        func() (float64, error) { return WaterDensity(nan) },
		"less than none":   func() (float64, error) { return SucroseDensity(-0.1, 20) },
		"more than syrup":  func() (float64, error) { return SucroseDensity(86, 20) },
		"NaN brix":         func() (float64, error) { return SucroseDensity(nan, 20) },
		"hot syrup":        func() (float64, error) { return SucroseDensity(10, 81) },
		"lighter":          func() (float64, error) { return BrixFromDensity(998, 20) },
		"heavier":          func() (float64, error) { return BrixFromDensity(1500, 20) },
		"NaN density":      func() (float64, error) { return BrixFromDensity(nan, 20) },
		"density cold":     func() (float64, error) { return BrixFromDensity(1000, -4) },
		"gravity":          func() (float64, error) { return BrixFromSpecificGravity(0.99) },
		"grams":            func() (float64, error) { return BrixFromGramsPerLitre(-1, 20) },
		"grams, cold":      func() (float64, error) { return BrixFromGramsPerLitre(1, -4) },
		"volume":           func() (float64, error) { return SpecificVolume(90, 20) },
		"solubility":       func() (float64, error) { return SucroseSolubility(-4) },
		"index of none":    func() (float64, error) { return RefractiveIndex(-1) },
		"index of crystal": func() (float64, error) { return RefractiveIndex(80) },
		"brix of air":      func() (float64, error) { return RefractometerBrix(1) },
		"brix of glass":    func() (float64, error) { return RefractometerBrix(1.5) },
		"water":            func() (float64, error) { return AdditiveDensity(-1) },
		"nothing":          func() (float64, error) { return AdditiveDensity(0) },
		"part":             func() (float64, error) { return AdditiveDensity(1, Part{-1, 0.6}) },
		"flat part":        func() (float64, error) { return AdditiveDensity(1, Part{1, 0}) },
	} {
		_, err := call()
		require.ErrorIs(t, err, ErrRange, name)
	}
}
