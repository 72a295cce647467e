package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestEquivalentMasses(t *testing.T) {
	aoac := newTally(t, "AOAC 942.15 factors, g per mL of 1 M alkali", 0.0005)
	exact := newTally(t, "equivalent masses from molar masses, g", 0.01)
	for _, row := range []struct {
		acid        Species
		aoac, exact float64
	}{
		{Malic, 0.067, 67.04}, {Tartaric, 0.075, 75.04}, {Lactic, 0.090, 0}, {Acetic, 0.060, 0}, {Citric, 0.064, 64.04},
	} {
		mass, err := EquivalentMass(row.acid)
		require.NoError(t, err)
		aoac.row(row.aoac, mass/1000, row.acid)
		if row.exact != 0 {
			exact.row(row.exact, mass, row.acid)
		}
	}
	monohydrate, err := FindCompound("citric acid monohydrate")
	require.NoError(t, err)
	aoac.row(0.070, monohydrate.MolarMass/3000, "citric acid monohydrate")
	for _, s := range []Species{Sodium, Quinine, Sulfate, Benzoic, Species(99)} {
		_, err := EquivalentMass(s)
		require.ErrorIs(t, err, ErrTitration)
	}
}

// A titration to pH 8.1 reads 99.8 % of citric acid: its mean charge there is -2.993 (AOAC 942.15 B
// end point; charge by an independent balance at ionic strength 0.06).
func TestCitricAcidTitrates(t *testing.T) {
	c := newTally(t, "mean charge of citrate at I = 0.06", 0.001)
	c.row(2.993, ChargePerMole(Citric, 8.1, Medium{IonicStrength: 0.06}), "8.1")
	c.row(2.995, ChargePerMole(Citric, 8.2, Medium{IonicStrength: 0.06}), "8.2")
	s := mix{Citric: 10 / 192.123}.solution()
	for _, end := range []float64{EndPointAOAC, EndPoint82} {
		g, err := TitratableAcidity(s, end, Citric)
		require.NoError(t, err)
		assert.InDelta(t, 9.98, g, 0.01)
	}
	asMalic, err := TitratableAcidity(s, EndPointIFU7, Malic)
	require.NoError(t, err)
	// By hand: at I = 0.31 Davies lowers pK3 by 5 × 0.509 × 0.265 = 0.674 to 5.722, so at pH 7 a share
	// of 0.950 has lost its third proton and 0.983 of the acid is found.
	assert.InDelta(t, 10*67.04/64.04*0.983, asMalic, 0.02)
}

// Potassium hydrogen phthalate is the standard substance for setting alkali: one equivalent a mole
// (any textbook of quantitative analysis).
func TestPhthalateSetsAlkali(t *testing.T) {
	p, err := BaseToReach(mix{Phthalic: 0.05, Potassium: 0.05}.solution(), 8.4)
	require.NoError(t, err)
	assert.InDelta(t, 0.05, p.Base, 5e-5)
}

// Combined acid is what potassium has already neutralised: a titration finds total less combined
// (Sinclair, Eny, The organic acids of lemon fruits).
func TestCombinedAcidIsNotTitrated(t *testing.T) {
	free, err := TitratableAcidity(mix{Citric: 0.25}.solution(), EndPoint82, Citric)
	require.NoError(t, err)
	juice, err := TitratableAcidity(mix{Citric: 0.25, Potassium: 0.0265}.solution(), EndPoint82, Citric)
	require.NoError(t, err)
	assert.InDelta(t, 0.0265*192.123/3, free-juice, 0.002)
}

// With no salt effects the capacity of a weak acid is greatest at its pK, 0.576 of its amount
// (Van Slyke, J. Biol. Chem. 52 (1922) 525).
func TestVanSlykeMaximum(t *testing.T) {
	s := mix{Acetic: 1e-4}.solution()
	p, err := BaseToReach(s, 4.757)
	require.NoError(t, err)
	water := math.Ln10 * 2 * math.Pow(10, -4.757) // hydrogen ions buffer too; the factor is halved below
	assert.InDelta(t, 0.576e-4+water/2, p.BufferCapacity, 0.01e-4)
}

func TestBaseIsTheLinearRow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anything(t)
		end := rapid.Float64Range(2, 9).Draw(t, "end point")
		p, err := BaseToReach(s, end)
		require.NoError(t, err)
		row, scale := -s.water()*Proton(end, p.IonicStrength)/1000, 1e-6
		for k, a := range s.Amounts {
			q := a * ChargePerMole(Species(k), end, p.Medium)
			row, scale = row+q, scale+math.Abs(q)
		}
		require.InDelta(t, row, p.Base, 1e-9*scale)
		// Adding that base, or the acid, does bring the solution there.
		if p.Base > 0 {
			s.Amounts[Sodium] += p.Base
		} else {
			s.Amounts[Chloride] -= p.Base
		}
		r, err := PH(s)
		require.NoError(t, err)
		require.InDelta(t, end, r.PH, 1e-6)
	})
}

func TestTitrationCurve(t *testing.T) {
	s := mix{Citric: 0.02, Potassium: 0.005, Benzoic: 0.001}.solution()
	plain, err := TitrationCurve(s, math.Inf(1), EndPoint82, 41)
	require.NoError(t, err)
	diluted, err := TitrationCurve(s, 0.1, EndPoint82, 41)
	require.NoError(t, err)
	exact, err := BaseToReach(s, EndPoint82)
	require.NoError(t, err)
	start, err := PH(s)
	require.NoError(t, err)

	require.Len(t, plain, 41)
	assert.Equal(t, start.PH, plain[0].PH)
	assert.InDelta(t, exact.Base, plain[40].Base, 1e-9)
	assert.InDelta(t, EndPoint82, plain[40].PH, 1e-6)
	assert.InDelta(t, EndPoint82, diluted[40].PH, 1e-6)
	// Water alone hardly changes what a burette delivers.
	assert.InEpsilon(t, plain[40].Base, diluted[40].Base, 0.001)
	for i := 1; i < len(plain); i++ {
		require.Greater(t, plain[i].PH, plain[i-1].PH)
		require.Greater(t, diluted[i].Base, diluted[i-1].Base)
	}
}

func TestTitrationsThatCannotBe(t *testing.T) {
	s := mix{Citric: 0.01}.solution()
	for name, call := range map[string]func() error{
		"no titrant":      func() error { _, err := TitrationCurve(s, 0, 8.2, 10); return err },
		"NaN titrant":     func() error { _, err := TitrationCurve(s, math.NaN(), 8.2, 10); return err },
		"one point":       func() error { _, err := TitrationCurve(s, 0.1, 8.2, 1); return err },
		"below the start": func() error { _, err := TitrationCurve(s, 0.1, 2, 10); return err },
		"too weak a base": func() error { _, err := TitrationCurve(s, 1e-5, 11, 10); return err },
		"no such pH":      func() error { _, err := BaseToReach(s, 15); return err },
		"NaN pH":          func() error { _, err := TitratableAcidity(s, math.NaN(), Citric); return err },
		"as sodium":       func() error { _, err := TitratableAcidity(s, 8.2, Sodium); return err },
	} {
		require.ErrorIs(t, call(), ErrTitration, name)
	}
}

func TestDegassedSampleReadsTheFixedAcid(t *testing.T) {
	fixed := mix{Citric: 0.02}.solution()
	sparkling := *fixed
	sparkling.AddCarbonDioxide(6)
	want, err := TitratableAcidity(fixed, EndPoint82, Citric)
	require.NoError(t, err)
	fizzy, err := TitratableAcidity(&sparkling, EndPoint82, Citric)
	require.NoError(t, err)
	flat := sparkling.Degassed()
	still, err := TitratableAcidity(&flat, EndPoint82, Citric)
	require.NoError(t, err)
	assert.Equal(t, want, still)
	assert.Greater(t, fizzy, want+5, "carbon dioxide would read as acid")
}
