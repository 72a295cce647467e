// Package chem predicts what a maker's instruments show: pH meter, burette, refractometer,
// hydrometer and pressure gauge.
//
// Acidity is one charge balance. At a given pH every acid carries a known mean charge, so with
// amounts c_j in mol/L
//
//	Σ c_j q_j(pH, I) = [H+] - [OH-]
//
// where q_j is the mean negative charge of species j (ChargePerMole) and the right-hand side is
// Proton. The balance is linear in the amounts, which is why a pH limit is an exact row of a linear
// program. Activity coefficients follow Davies at the solution's own ionic strength I; pH is
// -log10 of the activity of H+. Constants hold at 25 °C. Neutral species have activity 1, ion pairs
// are left out, and mol/L stands for mol/kg of water. At 10 °Bx a litre holds 0.93 kg of water, which
// moves the pH of an acid without salts by 0.015; in a syrup the pH is an estimate.
//
// All functions are pure. Inputs that nature does not allow are errors; nothing panics.
package chem
