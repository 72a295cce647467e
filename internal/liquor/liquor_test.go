package liquor_test

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func job(t require.TestingT, dir, text string) *brief.Job {
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.Open(path, lib)
	require.NoError(t, err)
	return j
}

const plain = `name = "plain"
markets = ["us"]
use = ["water", "sugar", "citric-acid", "trisodium-citrate", "lemon-juice", "invert-syrup"]
[targets.ph]
max = 3
`

func mix(j *brief.Job, grams map[string]float64) liquor.Mixture {
	var parts []brief.Part
	for name, x := range grams {
		parts = append(parts, brief.Part{Source: j.Source(name), Amount: x})
	}
	return liquor.Mix(j, parts)
}

// Sugar and water have the densities of the ICUMSA (1990) polynomial (Bubník et al., Sugar Technologists
// Manual, 1995, p. 164), and those of NBS Circular C440 table 109 as recalled, which differ by up to 0.6
// kg/m³, at drinks and syrups alike.
func TestDensityOfSugarAndWater(t *testing.T) {
	j := job(t, t.TempDir(), plain)
	icumsa, nbs := 0.0, 0.0
	for _, c := range []struct{ brix, icumsa, nbs float64 }{
		{0, 998.20, 998.23}, {5, 1017.80, 1017.85}, {10, 1038.11, 1038.14}, {20, 1080.98, 1080.99}, {30, 1127.03, 1126.98},
		{40, 1176.52, 1176.45}, {50, 1229.65, 1229.57}, {60, 1286.61, 1286.46}, {65, 1316.55, 1315.99},
	} {
		m := mix(j, map[string]float64{"sugar": 10 * c.brix, "water": 1000 - 10*c.brix})
		got := 1000 * m.Density()
		assert.InDelta(t, c.icumsa, got, 0.02, "%v °Bx", c.brix)
		assert.InDelta(t, c.nbs, got, 0.6, "%v °Bx", c.brix)
		assert.InDelta(t, c.brix, m.Refractometer(), 1e-9)
		icumsa, nbs = max(icumsa, abs(c.icumsa-got)), max(nbs, abs(c.nbs-got))
	}
	t.Logf("largest difference: %.3f kg/m³ from ICUMSA, %.2f from NBS C440", icumsa, nbs)
}

// A 10 % solution of citric acid has 1.0402 g/cm³ and reads as nD 1.3459 (CRC-type tables; chemister.ru
// property tables), which is 8.74 °Bx.
func TestCitricAcidInWater(t *testing.T) {
	m := mix(job(t, t.TempDir(), plain), map[string]float64{"citric-acid": 100, "water": 900})
	assert.InDelta(t, 1.0402, m.Density(), 0.0005)
	index, err := chem.RefractiveIndex(m.Refractometer())
	require.NoError(t, err)
	assert.InDelta(t, 1.3459, index, 0.0001)
}

// A syrup bought at 70 °Bx keeps its own density undiluted (its profile's), and thinned to 10 °Bx the
// density of sugar at 10 °Bx within 0.5 kg/m³: invert sugar and sucrose differ by less (NBS tables).
func TestASyrupThinned(t *testing.T) {
	j := job(t, t.TempDir(), plain)
	neat := mix(j, map[string]float64{"invert-syrup": 1000})
	assert.InDelta(t, 1/0.74239, neat.Density(), 1e-6)
	thin := mix(j, map[string]float64{"invert-syrup": 100, "water": 600})
	assert.InDelta(t, 1038.11, 1000*thin.Density(), 1)
}

// The row of a pH says what the charge balance says: alkali is needed to reach every pH above the drink's
// own and none below, at the state that belongs to it.
func TestTheRowOfAPHIsTheChargeBalance(t *testing.T) {
	dir := t.TempDir()
	j := job(t, dir, plain)
	rapid.Check(t, func(t *rapid.T) {
		grams := map[string]float64{"water": 900, "sugar": 80}
		for name, most := range map[string]float64{"citric-acid": 12, "trisodium-citrate": 8, "lemon-juice": 90} {
			grams[name] = most * float64(rapid.IntRange(0, 1000).Draw(t, name)) / 1000
		}
		m := mix(j, grams)
		solution := m.Gassed()
		state, err := chem.PH(&solution)
		require.NoError(t, err)
		form := liquor.Alkali(j, state.PH, state.Medium, false)
		sum, size := form.PerLitre*m.Litres, 0.0
		for name, x := range grams {
			sum += form.PerGram(j.Source(name)) * x
			size += abs(form.PerGram(j.Source(name)) * x)
		}
		require.InDelta(t, 0, sum, 1e-7*(1+size), "mmol at the drink's own pH")
	})
}

func abs(x float64) float64 { return max(x, -x) }

func BenchmarkMixAndState(b *testing.B) {
	j := job(b, b.TempDir(), plain)
	parts := []brief.Part{{Source: j.Source("water"), Amount: 900}, {Source: j.Source("sugar"), Amount: 80}, {Source: j.Source("citric-acid"), Amount: 5}}
	for b.Loop() {
		if _, err := liquor.Mix(j, parts).State(); err != nil {
			b.Fatal(err)
		}
	}
}

// Factors on acids and ions make the mixture that scaled sources make.
func TestScalingIsMixingScaledSources(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, name := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial", "gentian-syrup"} {
		j, err := brief.OpenFS(profiles.FS, "demo/"+name+".toml", "demo:", lib)
		require.NoError(t, err)
		var parts, scaled []brief.Part
		var places []int
		var factors []float64
		for n, s := range j.Sources {
			parts = append(parts, brief.Part{Source: s, Amount: float64(1 + n)})
			places, factors = append(places, n), append(factors, 0.5+0.1*float64(n))
			scaled = append(scaled, brief.Part{Source: s.Scaled(factors[n]), Amount: float64(1 + n)})
		}
		want, got := liquor.Mix(j, scaled).Served(), liquor.Scaling(j, parts, places)(factors).Served()
		for i := range want.Solution.Amounts {
			assert.InDelta(t, want.Solution.Amounts[i], got.Solution.Amounts[i], 1e-12)
		}
		a, err := want.Acidity()
		require.NoError(t, err)
		b, err := got.Acidity()
		require.NoError(t, err)
		assert.InDelta(t, a, b, 1e-9)
		assert.InDelta(t, want.Litres, got.Litres, 1e-12)
	}
}

// Strength and volume of spirit of 96 % in water against OIML R 22: 40 % vol is 0.33299643 by mass at 948.0452 kg/m³, 10
// % is 0.08014936 at 984.7104. The volume reckons without contraction.
func TestStrengthOfSpiritAndWater(t *testing.T) {
	j := job(t, t.TempDir(), `name = "spirit"
markets = ["us"]
alcohol_percent = 40
spirit_drink = true
use = ["water", "sugar", "neutral-spirit"]
[targets.sugars]
max = 100
`)
	for _, c := range []struct{ percent, mass, density float64 }{{10, 0.08014936, 984.7104}, {20, 0.16213511, 973.5573}, {40, 0.33299643, 948.0452}} {
		spirit := 1000 * c.mass / 0.9385
		m := mix(j, map[string]float64{"neutral-spirit": spirit, "water": 1000 - spirit})
		assert.InDelta(t, c.percent, m.Strength(), 0.002, "%v %%", c.percent)
		assert.InEpsilon(t, 1000/c.density, m.Litres, 0.002, "%v %%", c.percent)
	}
	assert.Zero(t, mix(j, map[string]float64{"water": 1000}).Strength())
	sweet := mix(j, map[string]float64{"neutral-spirit": 350, "water": 500, "sugar": 150})
	dry := mix(j, map[string]float64{"neutral-spirit": 350, "water": 500})
	assert.Less(t, sweet.Strength(), dry.Strength())
	assert.InDelta(t, 350*0.9385/0.78924/1000/sweet.Litres*100, sweet.Strength(), 0.2)
}
