// Package chem predicts what a maker's instruments show: pH meter, burette, refractometer,
// hydrometer and pressure gauge.
//
// Acidity is one charge balance. At a given pH every acid carries a known mean charge, so with
// amounts c_j in mol/L and w kg of water in the litre
//
//	Σ c_j q_j(pH, I, Ca, Mg) = w ([H+] - [OH-])
//
// where q_j is the mean negative charge of species j (ChargePerMole) and [H+] - [OH-], per kg of water, is
// Proton. The balance is linear in the amounts and the water, which is why a pH limit is an exact row of a linear
// program. Activity coefficients follow Davies at the solution's own ionic strength I, per kg of
// water; pH is -log10 of the activity of H+. Constants hold at 25 °C; PHAt moves them to
// another temperature. Neutral species have activity 1. Calcium and magnesium pair with the anions of acids (see pairs),
// which makes a drink sourer by up to 0.05; Ca and Mg above are what of them stays free. Pairs of sodium and potassium are
// left out: with the Davies equation alone the pH standards come out nearer.
//
// What it agrees with (the tests say how far each): the primary pH standards within 0.013; PHREEQC with its
// MINTEQA2 constants for acids alone within 0.003; drinks and syrups of citric, malic, tartaric, lactic, acetic
// and phosphoric acid with sugar to 600 g/L against specific ion interaction coefficients within 0.04 where the
// pH is not called rough, 0.016 in drinks; later tables of citrate (Dawson) and acetate buffers
// within 0.08; McIlvaine's of 1921, on the scale of its time, within 0.2. It disagrees with Gomori's table of citrate
// buffers (1955), by 0.2 to 0.4: its row for pH 4.0 is nearly the monosodium citrate whose potassium twin is 3.776 by
// the standard of Staples and Bates, which this package meets within 0.01; the table is at fault and no test uses it.
//
// All functions are pure. Inputs that nature does not allow are errors; nothing panics.
package chem
