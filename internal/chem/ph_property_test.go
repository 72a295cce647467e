package chem

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// imbalance returns the charge left over at a result, relative to the charge of either sign, summed
// from the public functions alone.
func imbalance(s *Solution, r Result) float64 {
	negative, positive := 0.0, 0.0
	add := func(charge float64) {
		if charge > 0 {
			negative += charge
		} else {
			positive -= charge
		}
	}
	for k, a := range s.Amounts {
		add(a * ChargePerMole(Species(k), r.PH, r.Medium))
	}
	g := ActivityCoefficient(1, r.IonicStrength)
	h := math.Pow(10, -r.PH) / g
	add(-h * s.water())
	add(s.water() * (h - Proton(r.PH, r.IonicStrength)/1000))
	return math.Abs(negative-positive) / math.Max(negative, positive)
}

// amount draws from a wide range, with zero among its values.
func amount(t *rapid.T, name string, most float64) float64 {
	if rapid.Bool().Draw(t, name+" absent") {
		return 0
	}
	return most * math.Pow(10, -rapid.Float64Range(0, 6).Draw(t, name))
}

// anything draws any solution up to drink and syrup strength.
func anything(t *rapid.T) *Solution {
	var s Solution
	for k := range s.Amounts {
		s.Amounts[k] = amount(t, Species(k).String(), 0.3)
	}
	if rapid.Bool().Draw(t, "sweet") {
		s.Water = rapid.Float64Range(0.4, 1).Draw(t, "water")
	}
	return &s
}

func TestChargesBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anything(t)
		r, err := PH(s)
		require.NoError(t, err)
		require.Less(t, imbalance(s, r), 1e-12)
		require.Less(t, r.Iterations, 60)
	})
}

// The row of the linear program and the assessment agree: at the pH and ionic strength found, the
// row holds as an equation, and it tells acid from alkaline at any other pH.
func TestRowAgreesWithPH(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anything(t)
		r, err := PH(s)
		require.NoError(t, err)
		row := func(pH float64) (gap, scale float64) {
			for k, a := range s.Amounts {
				q := 1000 * a * ChargePerMole(Species(k), pH, r.Medium)
				gap += q
				scale += math.Abs(q)
			}
			return gap - s.water()*Proton(pH, r.IonicStrength), scale
		}
		gap, scale := row(r.PH)
		require.LessOrEqual(t, math.Abs(gap), 1e-9*math.Max(scale, 1e-4))
		above, _ := row(r.PH + 0.01)
		below, _ := row(r.PH - 0.01)
		require.Positive(t, above)
		require.Negative(t, below)
	})
}

// The ionic strength that a result reports is that of its own ions, counted form by form.
func TestIonicStrengthIsSelfConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anything(t)
		s.Amounts[Calcium], s.Amounts[Magnesium] = 0, 0 // see TestPairsBalance
		r, err := PH(s)
		require.NoError(t, err)
		pH, strength := independentPH(s)
		require.InEpsilon(t, strength, r.IonicStrength, 1e-8)
		require.InDelta(t, pH, r.PH, 1e-8)
	})
}

// independentPH is a second way to the same answer: every form by name, powers of ten throughout,
// halving for the pH inside plain repetition for the ionic strength, with damping.
func independentPH(s *Solution) (pH, strength float64) {
	gamma := func(z int, i float64) float64 {
		i = math.Min(i, DaviesLimit)
		return math.Pow(10, -0.509*float64(z*z)*(math.Sqrt(i)/(1+math.Sqrt(i))-0.3*i))
	}
	sums := func(pH, i float64) (charge, strength float64) {
		count := func(z int, c float64) {
			charge += float64(z) * c
			strength += float64(z*z) * c / 2
		}
		count(1, math.Pow(10, -pH)/gamma(1, i))
		count(-1, math.Pow(10, pH-13.995)/gamma(-1, i))
		for k, a := range s.Amounts {
			a /= s.water()
			c := Species(k).Constants()
			forms := []float64{1}
			total := 1.0
			for step := range c.Steps {
				z := c.Charge - step
				next := forms[step] * math.Pow(10, pH-c.PKa[step]) * gamma(z, i) / gamma(z-1, i)
				forms = append(forms, next)
				total += next
			}
			for step, f := range forms {
				count(c.Charge-step, a*f/total)
			}
		}
		return charge, strength
	}
	for range 400 {
		lo, hi := -5.0, 20.0
		for range 70 {
			pH = (lo + hi) / 2
			if charge, _ := sums(pH, strength); charge > 0 {
				lo = pH
			} else {
				hi = pH
			}
		}
		_, made := sums(pH, strength)
		if math.Abs(made-strength) < 1e-13*made {
			break
		}
		strength = (strength + made) / 2
	}
	return pH, strength
}

// With calcium and magnesium the forms and pairs, counted one by one from their constants at the pH, ionic strength and free
// metals of the result, add up to the charge, the ionic strength and the metals that are there.
func TestPairsBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anything(t)
		for _, m := range metalSpecies {
			s.Amounts[m] = amount(t, m.String()+" more", 0.1)
		}
		r, err := PH(s)
		require.NoError(t, err)
		gamma := func(z int) float64 { return ActivityCoefficient(z, r.IonicStrength) }
		var positive, negative, strength float64
		count := func(z int, c float64) {
			strength += float64(z*z) * c / 2
			if z > 0 {
				positive += float64(z) * c
			} else {
				negative -= float64(z) * c
			}
		}
		count(1, math.Pow(10, -r.PH)/gamma(1))
		count(-1, math.Pow(10, r.PH-13.995)/gamma(-1))
		free := map[Species]float64{Calcium: r.Calcium, Magnesium: r.Magnesium}
		metal := map[Species]float64{}
		for k, a := range s.Amounts {
			if _, pairs := free[Species(k)]; pairs {
				count(2, free[Species(k)])
				metal[Species(k)] += free[Species(k)]
				continue
			}
			c := Species(k).Constants()
			type counted struct {
				charge int
				weight float64
				metal  Species
			}
			var all []counted
			weight, sum := 1.0, 0.0
			for lost := 0; lost <= c.Steps; lost++ {
				z := c.Charge - lost
				all = append(all, counted{z, weight, Species(NumSpecies)})
				sum += weight
				for _, p := range pairs {
					if m := metalSpecies[p.metal]; p.acid == Species(k) && p.lost == lost {
						with := weight * math.Pow(10, p.logK) * free[m] * gamma(2) * gamma(z) / gamma(z+2)
						all = append(all, counted{z + 2, with, m})
						sum += with
					}
				}
				if lost < c.Steps {
					weight *= math.Pow(10, r.PH-c.PKa[lost]) * gamma(z) / gamma(z-1)
				}
			}
			for _, form := range all {
				molal := a / s.water() * form.weight / sum
				count(form.charge, molal)
				metal[form.metal] += molal
			}
		}
		require.InEpsilon(t, positive, negative, 1e-6)
		require.InEpsilon(t, r.IonicStrength, strength, 1e-6)
		for _, m := range metalSpecies {
			require.InDelta(t, s.Amounts[m]/s.water(), metal[m], 1e-8*s.Amounts[m]/s.water()+1e-15)
		}
	})
}

// weakAcids are the acids of drinks.
var weakAcids = []Species{Citric, Malic, Tartaric, Ascorbic, Phosphoric, Lactic, Acetic, Benzoic, Sorbic, Quinic}

// drink draws acids with less strong base than would neutralise them.
func drink(t *rapid.T) *Solution {
	var s Solution
	var total float64
	for _, k := range weakAcids {
		s.Amounts[k] = amount(t, k.String(), 0.05)
		total += s.Amounts[k]
	}
	s.Amounts[Citric] += 1e-4
	total += 1e-4
	s.Amounts[Potassium] = total * rapid.Float64Range(0, 0.7).Draw(t, "potassium share")
	s.Amounts[Chloride] = amount(t, "chloride", 0.01)
	s.Amounts[Sodium] = s.Amounts[Chloride]
	s.Amounts[Quinine] = amount(t, "quinine", 0.0003)
	return &s
}

func TestAcidLowersAndBaseRaisesPH(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drink(t)
		before, err := PH(s)
		require.NoError(t, err)
		added := math.Pow(10, rapid.Float64Range(-5, -1).Draw(t, "log10 added"))

		acid := *s
		acid.Amounts[rapid.SampledFrom([]Species{Citric, Malic, Tartaric, Phosphoric, Chloride}).Draw(t, "acid")] += added
		after, err := PH(&acid)
		require.NoError(t, err)
		require.Less(t, after.PH, before.PH)

		base := *s
		base.Amounts[rapid.SampledFrom([]Species{Sodium, Potassium, Calcium, Magnesium}).Draw(t, "base")] += added
		after, err = PH(&base)
		require.NoError(t, err)
		require.Greater(t, after.PH, before.PH)
	})
}

// Sugar takes the room of water: the same acid in a litre is the stronger, or as strong.
func TestSugarNeverRaisesPH(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drink(t)
		s.Water = rapid.Float64Range(0.5, 1).Draw(t, "water")
		before, err := PH(s)
		require.NoError(t, err)
		if before.PH > 4.5 || before.IonicStrength > 0.1 {
			t.Skip("no sour drink")
		}
		s.Water *= rapid.Float64Range(0.8, 1).Draw(t, "left")
		after, err := PH(s)
		require.NoError(t, err)
		require.LessOrEqual(t, after.PH, before.PH+1e-9)
	})
}

// Alkalinity of water never lowers a pH: bicarbonate with its sodium, the gas kept.
func TestAlkalinityNeverLowersPH(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drink(t)
		before, err := PH(s)
		require.NoError(t, err)
		if before.PH > 6 {
			t.Skip("no sour drink")
		}
		added := amount(t, "alkalinity", 0.01)
		s.Amounts[Sodium] += added
		s.Amounts[Carbonic] += added
		after, err := PH(s)
		require.NoError(t, err)
		require.GreaterOrEqual(t, after.PH, before.PH-1e-9)
	})
}

// Water moves a sour or an alkaline drink toward neutral. Near neutral a buffer may cross it: the
// phosphate standard does, as its pK is above 7.
func TestWaterMovesTowardNeutral(t *testing.T) {
	neutral := pKw / 2
	rapid.Check(t, func(t *rapid.T) {
		s := drink(t)
		if rapid.Bool().Draw(t, "alkaline") {
			s = &Solution{}
			s.Amounts[Sodium] = 1e-5 + amount(t, "sodium", 0.1)
			s.Amounts[Carbonic] = amount(t, "carbonic", 0.4) * s.Amounts[Sodium]
		}
		before, err := PH(s)
		require.NoError(t, err)
		if math.Abs(before.PH-neutral) < 1.5 {
			t.Skip("too near neutral")
		}
		more := s.Scaled(1 / rapid.Float64Range(1.001, 10).Draw(t, "dilution"))
		after, err := PH(&more)
		require.NoError(t, err)
		require.Less(t, math.Abs(after.PH-neutral), math.Abs(before.PH-neutral))
	})
}

// The buffer capacity is the slope of the charge balance at fixed activity coefficients.
func TestBufferCapacityIsTheSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anything(t)
		r, err := PH(s)
		require.NoError(t, err)
		row := func(pH float64) (base float64) {
			for k, a := range s.Amounts {
				base += a * ChargePerMole(Species(k), pH, r.Medium)
			}
			return base - s.water()*Proton(pH, r.IonicStrength)/1000
		}
		const step = 1e-4
		slope := (row(r.PH+step) - row(r.PH-step)) / (2 * step)
		require.InDelta(t, slope, r.BufferCapacity, 1e-5*r.BufferCapacity+1e-11)
	})
}

func FuzzPH(f *testing.F) {
	f.Add([]byte{})
	seed := make([]byte, 8*NumSpecies)
	binary.LittleEndian.PutUint64(seed, math.Float64bits(0.05))
	f.Add(seed)
	f.Add([]byte("\xff\xff\xff\xff\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s Solution
		for k := range s.Amounts {
			if len(data) >= 8*(k+1) {
				s.Amounts[k] = math.Float64frombits(binary.LittleEndian.Uint64(data[8*k:]))
			}
		}
		r, err := PH(&s)
		if err != nil {
			require.ErrorIs(t, err, ErrAmount)
			return
		}
		require.False(t, math.IsNaN(r.PH) || math.IsNaN(r.IonicStrength) || math.IsNaN(r.BufferCapacity))
		require.True(t, r.PH >= -3 && r.PH <= 17)
		require.Less(t, imbalance(&s, r), 1e-12)
	})
}
