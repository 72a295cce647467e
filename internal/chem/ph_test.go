package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mix makes a solution from amounts in mol/L.
type mix map[Species]float64

func (m mix) solution() *Solution {
	var s Solution
	for k, a := range m {
		s.Amounts[k] = a
	}
	return &s
}

func (m mix) pH(t *testing.T) float64 {
	t.Helper()
	r, err := PH(m.solution())
	require.NoError(t, err)
	return r.PH
}

func TestStandardBuffers(t *testing.T) {
	c := newTally(t, "primary pH standards at 25 °C, pH", 0.013)
	for _, row := range []struct {
		name   string
		m      mix
		want   float64
		source string
	}{
		{"0.05 m KH2 citrate", mix{Citric: 0.05, Potassium: 0.05}, 3.776, "Staples, Bates, J. Res. NBS 73A (1969) 37"},
		{"0.05 m KH phthalate", mix{Phthalic: 0.05, Potassium: 0.05}, 4.005, "Hamer, Pinching, Acree, J. Res. NBS 36 (1946) 47"},
		{"0.05 m KH phthalate", mix{Phthalic: 0.05, Potassium: 0.05}, 4.006, "Hetzer et al. 1977, equation"},
		{"saturated KH tartrate, 0.0341 m", mix{Tartaric: 0.0341, Potassium: 0.0341}, 3.557, "NIST/IUPAC primary standard (memory)"},
		{"0.025 m KH2PO4 + 0.025 m Na2HPO4", mix{Phosphoric: 0.05, Potassium: 0.025, Sodium: 0.05}, 6.865, "NIST/IUPAC primary standard (memory)"},
	} {
		c.row(row.want, row.m.pH(t), row.name, row.source)
	}
}

func TestPureAcids(t *testing.T) {
	table := newTally(t, "acids at 1, 10, 100 mmol/L, calculated table of a hydrochemistry program, pH", 0.015)
	phreeqc := newTally(t, "acids, PHREEQC with minteq.v4.dat, pH", 0.003)
	for _, row := range []struct {
		acid    Species
		want    [3]float64
		phreeqc [3]float64
	}{
		{Citric, [3]float64{3.24, 2.62, 2.08}, [3]float64{3.237, 2.622, 2.081}},
		{Lactic, [3]float64{3.51, 2.96, 2.44}, [3]float64{}},
		{Acetic, [3]float64{3.91, 3.39, 2.88}, [3]float64{0, 0, 2.881}},
		{Phosphoric, [3]float64{3.06, 2.26, 1.63}, [3]float64{0, 0, 1.643}},
		{Carbonic, [3]float64{4.68, 4.18, 3.68}, [3]float64{}},
	} {
		for i, amount := range []float64{0.001, 0.01, 0.1} {
			got := mix{row.acid: amount}.pH(t)
			table.row(row.want[i], got, row.acid, amount)
			if row.phreeqc[i] != 0 {
				phreeqc.row(row.phreeqc[i], got, row.acid, amount)
			}
		}
	}
	handbook := newTally(t, "citric and tartaric acid in handbook lists (memory, to one decimal), pH", 0.15)
	handbook.row(2.2, mix{Citric: 0.1 / 3}.pH(t), "citric 0.1 N")
	handbook.row(2.2, mix{Citric: 0.1}.pH(t), "citric 0.1 M")
	handbook.row(2.25, mix{Citric: 10 / 192.123}.pH(t), "citric 10 g/L, 2.2 to 2.3")
	handbook.row(2.2, mix{Tartaric: 0.05}.pH(t), "tartaric 0.1 N")
	phreeqc.row(2.334, mix{Citric: 0.1 / 3}.pH(t), "citric 0.1 N")
	phreeqc.row(2.230, mix{Citric: 10 / 192.123}.pH(t), "citric 10 g/L")
	phreeqc.row(2.195, mix{Tartaric: 0.05}.pH(t), "tartaric 0.1 N")
}

// McIlvaine gave his pH on the Sørensen scale, at room temperature; against today's scale the table
// drifts upward with the ionic strength. The same rows by an independent charge balance tell an
// error of ours from that drift.
func TestMcIlvaineBuffers(t *testing.T) {
	measured := newTally(t, "McIlvaine, J. Biol. Chem. 49 (1921) 183, pH", 0.20)
	sour := newTally(t, "McIlvaine below pH 5, pH", 0.15)
	again := newTally(t, "McIlvaine by an independent charge balance, pH", 0.002)
	for _, row := range []struct{ pH, phosphate, citric, independent float64 }{
		{2.2, 0.40, 19.60, 2.230}, {2.4, 1.24, 18.76, 0}, {2.6, 2.18, 17.82, 2.698}, {2.8, 3.17, 16.83, 0},
		{3.0, 4.11, 15.89, 3.094}, {3.2, 4.94, 15.06, 0}, {3.4, 5.70, 14.30, 3.463}, {3.6, 6.44, 13.56, 0},
		{3.8, 7.10, 12.90, 0}, {4.0, 7.71, 12.29, 4.076}, {4.2, 8.28, 11.72, 0}, {4.4, 8.82, 11.18, 0},
		{4.6, 9.35, 10.65, 4.700}, {4.8, 9.86, 10.14, 0}, {5.0, 10.30, 9.70, 5.164}, {5.2, 10.72, 9.28, 0},
		{5.4, 11.15, 8.85, 0}, {5.6, 11.60, 8.40, 0}, {5.8, 12.09, 7.91, 0}, {6.0, 12.63, 7.37, 6.188},
		{6.2, 13.22, 6.78, 0}, {6.4, 13.85, 6.15, 0}, {6.6, 14.55, 5.45, 0}, {6.8, 15.45, 4.55, 0},
		{7.0, 16.47, 3.53, 7.126},
	} {
		got := mix{Phosphoric: 0.2 * row.phosphate / 20, Sodium: 0.4 * row.phosphate / 20, Citric: 0.1 * row.citric / 20}.pH(t)
		measured.row(row.pH, got, row.pH)
		if row.pH < 5 {
			sour.row(row.pH, got, row.pH)
		}
		if row.independent != 0 {
			again.row(row.independent, got, row.pH)
		}
	}
	per100 := newTally(t, "citric acid and Na2HPO4 per 100 mL, laboratory buffer tables (UMass), pH", 0.20)
	for _, row := range []struct{ pH, citric, phosphate float64 }{
		{2.6, 89.10, 10.90}, {3.0, 79.45, 20.55}, {3.4, 71.50, 28.50}, {4.0, 61.45, 38.55},
		{5.0, 48.50, 51.50}, {6.0, 36.85, 63.15}, {7.0, 17.65, 82.35},
	} {
		per100.row(row.pH, mix{Phosphoric: 0.002 * row.phosphate, Sodium: 0.004 * row.phosphate, Citric: 0.001 * row.citric}.pH(t), row.pH)
	}
}

func TestCitrateBuffers(t *testing.T) {
	measured := newTally(t, "citric acid and trisodium citrate, Dawson et al., Data for Biochemical Research (5.4 read, others memory), pH", 0.08)
	again := newTally(t, "citrate buffers by an independent charge balance, pH", 0.002)
	for _, row := range []struct{ pH, citric, citrate, independent float64 }{
		{3.0, 82.0, 18.0, 3.076}, {3.4, 73.0, 27.0, 3.452}, {4.0, 59.0, 41.0, 4.038}, {4.4, 49.5, 50.5, 4.399},
		{4.8, 40.0, 60.0, 4.765}, {5.2, 30.5, 69.5, 5.164}, {5.4, 25.5, 74.5, 5.379}, {5.6, 21.0, 79.0, 5.573},
		{6.0, 11.5, 88.5, 6.025},
	} {
		got := mix{Citric: 0.1, Sodium: 0.003 * row.citrate}.pH(t)
		measured.row(row.pH, got, row.pH)
		again.row(row.independent, got, row.pH)
	}
	acid, err := FindCompound("citric acid monohydrate")
	require.NoError(t, err)
	citrate, err := FindCompound("trisodium citrate dihydrate")
	require.NoError(t, err)
	var s Solution
	s.AddGrams(acid, 5.358)
	s.AddGrams(citrate, 21.910)
	r, err := PH(&s)
	require.NoError(t, err)
	measured.row(5.4, r.PH, "weighed: 5.358 g and 21.910 g per litre")
}

func TestAcetateBuffers(t *testing.T) {
	measured := newTally(t, "acetic acid and sodium acetate, Walpole's table in Pearse 1980, pH", 0.06)
	again := newTally(t, "acetate buffers by an independent charge balance, pH", 0.002)
	for _, row := range []struct{ pH, acid, acetate, independent float64 }{
		{3.6, 185, 15, 3.641}, {4.0, 164, 36, 4.044}, {4.6, 102, 98, 4.655}, {5.0, 59, 141, 5.040}, {5.6, 19, 181, 5.632},
	} {
		got := mix{Acetic: 0.1, Sodium: 0.1 * row.acetate / 200}.pH(t)
		measured.row(row.pH, got, row.pH)
		again.row(row.independent, got, row.pH)
	}
}

// The juice's citric acid is from Penniston et al. 2008 and Karadeniz 2004, its minerals from USDA SR
// (memory); the range of pH is that of general science pages. The figures to 0.02 are an independent
// charge balance's, which has no pairs of calcium and magnesium: with them the juice is 0.014 to 0.017 sourer. Without its potassium the juice would come out far too sour.
func TestLemonJuice(t *testing.T) {
	again := newTally(t, "lemon juice by an independent charge balance without pairs (to 0.02), pH", 0.02)
	for _, row := range []struct{ citric, independent float64 }{{48.0, 2.36}, {54.0, 2.31}, {60.3, 2.26}} {
		m := mix{
			Citric: row.citric / 192.123, Potassium: 0.0265, Calcium: 0.003,
			Magnesium: 0.003, Sodium: 0.001, Phosphoric: 0.0026,
		}
		got := m.pH(t)
		assert.True(t, got >= 2.0 && got <= 2.6, "published range 2.0 to 2.6, got %.3f", got)
		again.row(row.independent, got, row.citric)
	}
	again.row(1.88, mix{Citric: 48.0 / 192.123}.pH(t), "without minerals")
}

func TestCarbonatedWater(t *testing.T) {
	c := newTally(t, "34 mmol/L carbon dioxide by an independent charge balance, pH", 0.006)
	c.row(3.91, mix{Carbonic: 0.034}.pH(t))
	plain, sparkling := mix{Citric: 0.01, Sodium: 0.005}, mix{Citric: 0.01, Sodium: 0.005, Carbonic: 0.12}
	fall := plain.pH(t) - sparkling.pH(t)
	assert.True(t, fall > 0 && fall < 0.02, "carbon dioxide hardly moves a sour drink: %g", fall)
}

func TestWater(t *testing.T) {
	r, err := PH(&Solution{})
	require.NoError(t, err)
	assert.InDelta(t, pKw/2, r.PH, 1e-3)
	assert.InDelta(t, 1e-7, r.IonicStrength, 2e-9)
}

func TestStrongElectrolytes(t *testing.T) {
	// Mean activity coefficients of HCl 0.796, 0.904, 0.965 at 0.1, 0.01, 0.001 mol/kg (Robinson,
	// Stokes, Electrolyte Solutions, app. 8.10; memory), taken for that of H+.
	c := newTally(t, "hydrochloric acid, Robinson and Stokes (memory), pH", 0.02)
	c.row(1.099, mix{Chloride: 0.1}.pH(t), "0.1 m")
	c.row(2.044, mix{Chloride: 0.01}.pH(t), "0.01 m")
	c.row(3.016, mix{Chloride: 0.001}.pH(t), "0.001 m")
	assert.InDelta(t, pKw-3+math.Log10(ActivityCoefficient(1, 0.001)), mix{Sodium: 0.001}.pH(t), 1e-6)
}

func TestActivityCoefficients(t *testing.T) {
	c := newTally(t, "Davies coefficients, textbook values (memory)", 0.01)
	c.row(0.966, ActivityCoefficient(1, 0.001), "z=1, I=0.001")
	c.row(0.90, ActivityCoefficient(-1, 0.01), "z=1, I=0.01")
	c.row(0.78, ActivityCoefficient(1, 0.1), "z=1, I=0.1")
	c.row(0.37, ActivityCoefficient(-2, 0.1), "z=2, I=0.1")
	assert.Equal(t, 1.0, ActivityCoefficient(0, 0.3))
	assert.Equal(t, 1.0, ActivityCoefficient(3, 0))
	assert.Equal(t, ActivityCoefficient(2, DaviesLimit), ActivityCoefficient(2, 9))
}

func TestAmountsThatNoSolutionHolds(t *testing.T) {
	for name, m := range map[string]mix{
		"negative": {Citric: -1e-9}, "NaN": {Malic: math.NaN()}, "infinite": {Sodium: math.Inf(1)},
		"too much": {Citric: 56}, "too much in all": {Citric: 30, Malic: 30},
	} {
		_, err := PH(m.solution())
		require.ErrorIs(t, err, ErrAmount, name)
		_, err = BaseToReach(m.solution(), 7)
		require.ErrorIs(t, err, ErrAmount, name)
		_, err = TitrationCurve(m.solution(), 0.1, 8.2, 5)
		require.ErrorIs(t, err, ErrAmount, name)
	}
	_, err := PH(mix{Citric: -1e-9}.solution())
	require.EqualError(t, err, "chem: impossible amount: citric -1e-09 mol/L")
}

func TestTargets(t *testing.T) {
	for _, pH := range []float64{1.5, 3.2, 8} {
		require.NoError(t, CheckTargetPH(pH))
	}
	for _, pH := range []float64{1.49, 8.01, math.NaN(), math.Inf(1), -3} {
		require.ErrorIs(t, CheckTargetPH(pH), ErrTarget)
	}
}

func TestExtremes(t *testing.T) {
	for name, m := range map[string]mix{
		"acid":   {Chloride: 55},
		"base":   {Sodium: 55},
		"calcic": {Calcium: 55},
		"syrup":  {Citric: 3, Potassium: 2},
		"trace":  {Citric: 1e-300},
		"salt":   {Sodium: 10, Chloride: 10},
	} {
		r, err := PH(m.solution())
		require.NoError(t, err)
		require.False(t, math.IsNaN(r.PH), name)
		require.Less(t, imbalance(m.solution(), r), 1e-12, name)
		require.Less(t, r.Iterations, 500, name)
		require.Equal(t, r.IonicStrength > DaviesLimit || r.PH > 5 && r.IonicStrength > 0.1, r.Rough, name)
	}
}

// A litre of 10 °Bx holds 0.93 kg of water, and acids are the stronger for it.
func TestWaterThatSugarDisplaces(t *testing.T) {
	water := 0.9 * value(t)(SucroseDensity(10, 20)) / 1000
	assert.InDelta(t, 0.934, water, 0.001)
	s := mix{Citric: 0.02}.solution()
	thin, err := PH(s)
	require.NoError(t, err)
	s.Water = water
	sweet, err := PH(s)
	require.NoError(t, err)
	assert.InDelta(t, mix{Citric: 0.02 / water}.pH(t), sweet.PH, 1e-9)
	assert.InDelta(t, 0.015, thin.PH-sweet.PH, 0.003)
}

// The same in a syrup: amounts per litre over the kg of water in it are what a litre of water would hold, and what
// alkali it takes stays counted per litre.
func TestALitreIsItsWater(t *testing.T) {
	syrup := mix{Citric: 0.1, Sodium: 0.05, Calcium: 0.002, Chloride: 0.004}.solution()
	syrup.Water = 0.6
	molal := syrup.Scaled(1)
	molal.Water = 0
	for i := range molal.Amounts {
		molal.Amounts[i] /= 0.6
	}
	a, err := PH(syrup)
	require.NoError(t, err)
	b, err := PH(&molal)
	require.NoError(t, err)
	assert.InDelta(t, b.PH, a.PH, 1e-9)
	assert.InDelta(t, 0.6*b.BufferCapacity, a.BufferCapacity, 1e-9)
	pa, err := BaseToReach(syrup, 7)
	require.NoError(t, err)
	pb, err := BaseToReach(&molal, 7)
	require.NoError(t, err)
	assert.InDelta(t, 0.6*pb.Base, pa.Base, 1e-12)
	for _, water := range []float64{0.05, 1.2, math.NaN(), -1} {
		_, err := PH(&Solution{Water: water})
		require.ErrorIs(t, err, ErrAmount)
	}
}
