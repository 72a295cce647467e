package chem

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// atomicWeights are the IUPAC standard atomic weights 2021, abridged to five figures (Prohaska et
// al., Pure Appl. Chem. 94 (2022) 573, table 2; from memory).
var atomicWeights = map[string]float64{
	"H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305,
	"P": 30.974, "S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078,
}

// formulaMass adds up a formula of element symbols, counts and parentheses.
func formulaMass(formula string) (float64, error) {
	mass, rest, err := groupMass(formula)
	if err == nil && rest != "" {
		err = fmt.Errorf("%q left over in %q", rest, formula)
	}
	return mass, err
}

func groupMass(f string) (mass float64, rest string, err error) {
	for f != "" && f[0] != ')' {
		var unit float64
		if f[0] == '(' {
			if unit, f, err = groupMass(f[1:]); err != nil {
				return 0, "", err
			}
			if f == "" {
				return 0, "", fmt.Errorf("unclosed group")
			}
			f = f[1:]
		} else {
			n := 1
			for n < len(f) && f[n] >= 'a' && f[n] <= 'z' {
				n++
			}
			var known bool
			if unit, known = atomicWeights[f[:n]]; !known {
				return 0, "", fmt.Errorf("no element %q", f[:n])
			}
			f = f[n:]
		}
		n := 0
		for n < len(f) && f[n] >= '0' && f[n] <= '9' {
			n++
		}
		count := 1
		if n > 0 {
			count, _ = strconv.Atoi(f[:n])
		}
		mass += unit * float64(count)
		f = f[n:]
	}
	return mass, f, nil
}

func TestMolarMassesFollowFromAtomicWeights(t *testing.T) {
	c := newTally(t, "molar mass from standard atomic weights, g/mol", 0.0015)
	for s := range Species(NumSpecies) {
		k := s.Constants()
		mass, err := formulaMass(k.Formula)
		require.NoError(t, err, k.Name)
		c.row(mass, k.MolarMass, k.Name)
	}
	for _, k := range compounds {
		mass, err := formulaMass(k.Formula)
		require.NoError(t, err, k.Name)
		c.row(mass, k.MolarMass, k.Name)
	}
}

func TestMolarMassesOfHandbooks(t *testing.T) {
	c := newTally(t, "molar mass of handbooks, g/mol", 0.02)
	for _, row := range []struct {
		name   string
		mass   float64
		source string
	}{
		{"citric acid", 192.12, "UMass citric acid buffer table"},
		{"citric acid monohydrate", 210.14, "UMass citric acid buffer table"},
		{"quinine", 324.42, "general chemistry textbook, problem on quinine"},
		{"carbon dioxide", 44.01, "memory"},
		{"malic acid", 134.09, "memory"},
		{"tartaric acid", 150.09, "memory"},
		{"ascorbic acid", 176.12, "memory"},
		{"phosphoric acid", 97.99, "memory"},
		{"lactic acid", 90.08, "memory"},
		{"acetic acid", 60.05, "memory"},
		{"benzoic acid", 122.12, "memory"},
		{"sorbic acid", 112.13, "memory"},
		{"trisodium citrate dihydrate", 294.10, "memory"},
		{"quinine hydrochloride dihydrate", 396.91, "memory"},
		{"quinine sulfate dihydrate", 782.94, "memory"},
	} {
		k, err := FindCompound(row.name)
		require.NoError(t, err)
		c.row(row.mass, k.MolarMass, row.name, row.source)
	}
}

// The species that a compound brings account for its mass but for hydrogen, hydroxide and water.
func TestCompoundsBringTheirMass(t *testing.T) {
	for _, k := range compounds {
		var charge, mass float64
		for _, p := range k.Brings {
			charge += p.Moles * float64(p.Species.Constants().Charge)
			mass += p.Moles * p.Species.Constants().MolarMass
		}
		require.NotEmpty(t, k.Brings, k.Name)
		assert.InDelta(t, k.MolarMass, mass, 7*18.015+3*1.008, k.Name)
		assert.GreaterOrEqual(t, charge, -1.0, k.Name)
	}
}

func TestQuinineInItsSalts(t *testing.T) {
	c := newTally(t, "quinine in salts, mass share", 2e-4)
	for _, row := range []struct {
		name   string
		share  float64
		source string
	}{
		{"quinine hydrochloride dihydrate", 0.8173, "British Pharmaceutical Codex 1911"},
		{"quinine hydrochloride dihydrate", 0.8174, "calculated from modern masses"},
		{"quinine sulfate dihydrate", 0.8287, "calculated from modern masses"},
	} {
		k, err := FindCompound(row.name)
		require.NoError(t, err)
		c.row(row.share, k.Share(Quinine), row.name, row.source)
	}
}

func TestNames(t *testing.T) {
	for _, name := range SpeciesNames() {
		s, err := ParseSpecies(name)
		require.NoError(t, err)
		require.Equal(t, name, s.String())
		k := s.Constants()
		require.Contains(t, []string{Published, Recalled}, k.Basis, name)
		require.NotEmpty(t, k.Source, name)
		for i := 1; i < k.Steps; i++ {
			require.Greater(t, k.PKa[i], k.PKa[i-1], name)
		}
	}
	for _, name := range []string{"citrc", "", "Citric", "phthalic"} {
		_, err := ParseSpecies(name)
		require.ErrorIs(t, err, ErrUnknownSpecies)
		require.ErrorContains(t, err, "citric, malic, tartaric")
	}
	_, err := FindCompound("salt of the earth")
	require.ErrorIs(t, err, ErrUnknownCompound)
	require.ErrorContains(t, err, "sodium chloride")
	require.Zero(t, Species(200).Constants())
	require.Equal(t, "species(200)", Species(200).String())
	require.False(t, Species(NumSpecies).Valid())
}
