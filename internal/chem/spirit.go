package chem

import "fmt"

// EthanolDensity is that of pure ethanol at 20 °C in kg/m³, by which strengths by volume are counted (OIML R 22).
const EthanolDensity = 789.24

// Coefficients of the density of mixtures of ethanol and water (OIML R 22, International alcoholometric tables, p. 5
// and 13): of powers of the mass fraction, of powers of the temperature less 20 °C, and of their products, rows for
// powers of the temperature from the first, columns for powers of the mass fraction from the first.
var (
	r22Strength = []float64{
		998.20123, -192.9769495, 389.1238958, -1668.103923,
		13522.15441, -88292.78388, 306287.4042, -613838.1234,
		747017.2998, -547846.1354, 223446.0334, -39032.85426,
	}
	r22Temperature = []float64{
		-0.20618513, -0.0052682542, 3.6130013e-05, -3.8957702e-07,
		7.169354e-09, -9.9739231e-11,
	}
	r22Both = [][]float64{
		{
			0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792,
			3924.090430035045, -12101.64659068747, 22486.46550400788, -26055.62982188164,
			18523.73922069467, -7420.201433430137, 1285.617841998974,
		},
		{
			-0.0119301300505701, 0.2517399633803461, -2.170575700536993, 13.53034988843029,
			-50.29988758547014, 109.635566657757, -142.2753946421155, 108.043594285623,
			-44.14153236817392, 7.442971530188783,
		},
		{
			-0.0006802995733503803, 0.01876837790289664, -0.2002561813734156, 1.02299296671922,
			-2.895696483903638, 4.810060584300675, -4.672147440794683, 2.458043105903461,
			-0.5411227621436812,
		},
		{
			4.075376675622027e-06, -8.76305857347111e-06, 6.515031360099368e-06, -1.51578483698721e-06,
		},
		{
			-2.788074354782409e-08, 1.345612883493354e-08,
		},
	}
)

// SpiritDensity returns the density in kg/m³ of a mixture of ethanol and water with the given mass fraction of ethanol
// at -20 to 40 °C, by the formula of OIML R 22.
func SpiritDensity(massFraction, celsius float64) (float64, error) {
	if !(massFraction >= 0 && massFraction <= 1 && celsius >= -20 && celsius <= 40) {
		return 0, fmt.Errorf("%w: a mass fraction of %g of ethanol at %g °C; 0 to 1 at -20 to 40 °C holds", ErrRange, massFraction, celsius)
	}
	t := celsius - 20
	density := polynomial(massFraction, r22Strength...) + t*polynomial(t, r22Temperature...)
	power := 1.0
	for _, row := range r22Both {
		power *= t
		density += power * massFraction * polynomial(massFraction, row...)
	}
	return density, nil
}

// Strength returns the strength in % by volume at 20 °C of a liquid of so many grams of ethanol and of water with
// other things dissolved that take so many mL. Ethanol and water take less room together than apart; that what else is
// dissolved keeps its own is good to some 0.5 kg/m³ (recalled).
func Strength(ethanolGrams, waterGrams, otherML float64) (float64, error) {
	if !(ethanolGrams >= 0 && waterGrams >= 0 && otherML >= 0 && ethanolGrams+waterGrams > 0) {
		return 0, fmt.Errorf("%w: a strength of %g g of ethanol in %g g of water", ErrRange, ethanolGrams, waterGrams)
	}
	both := ethanolGrams + waterGrams
	density, err := SpiritDensity(ethanolGrams/both, 20)
	return 100 * ethanolGrams / EthanolDensity / (both/density + otherML/1000), err
}
