package chem

import "math"

// Calcium and magnesium pair with the anions of acids. A form with the negative charge n takes up the metal M by
//
//	[MA] = K γ(M) γ(A)/γ(MA) [M] [A] = K g^(4n) [M] [A]
//
// with g the coefficient of a univalent ion. Pairs make an acid give off more of its protons, so that a drink is
// sourer for them. They are taken one metal to one anion, at 25 °C: the sources disagree on how they move with
// temperature, even in sign.

// metal is one of those that pair.
type metal int

const (
	calcium metal = iota
	magnesium
	metals = iota
)

var metalSpecies = [metals]Species{Calcium, Magnesium}

// pair is what a form of an acid and a metal make: log10 of its constant at zero ionic strength and 25 °C.
type pair struct {
	metal metal
	acid  Species
	lost  int // protons that the form has lost
	logK  float64
}

var pairs = []pair{
	// NIST SRD 46 as carried in MINTEQA2 v4, with the acid's own steps taken off where that table counts protons.
	{calcium, Citric, 3, 4.87}, {calcium, Citric, 2, 9.26 - 6.396}, {calcium, Citric, 1, 12.257 - 11.157},
	{magnesium, Citric, 3, 4.89}, {magnesium, Citric, 2, 8.91 - 6.396}, {magnesium, Citric, 1, 12.2 - 11.157},
	{calcium, Tartaric, 2, 2.8}, {calcium, Tartaric, 1, 5.86 - 4.366},
	{magnesium, Tartaric, 2, 2.3}, {magnesium, Tartaric, 1, 5.75 - 4.366},
	{calcium, Acetic, 1, 1.18}, {magnesium, Acetic, 1, 1.27},
	{calcium, Benzoic, 1, 1.55}, {magnesium, Benzoic, 1, 1.26},
	{calcium, Phosphoric, 3, 6.46}, {calcium, Phosphoric, 2, 15.035 - 12.375}, {calcium, Phosphoric, 1, 20.923 - 19.573},
	{magnesium, Phosphoric, 3, 4.654}, {magnesium, Phosphoric, 2, 15.175 - 12.375}, {magnesium, Phosphoric, 1, 21.2561 - 19.573},
	{calcium, Sulfate, 1, 2.36}, {magnesium, Sulfate, 1, 2.26},
	{calcium, Carbonic, 2, 3.2}, {calcium, Carbonic, 1, 11.599 - 10.329},
	{magnesium, Carbonic, 2, 2.92}, {magnesium, Carbonic, 1, 11.339 - 10.329},
	// From memory.
	{calcium, Malic, 2, 2.66}, {magnesium, Malic, 2, 2.6},
	{calcium, Lactic, 1, 1.45}, {magnesium, Lactic, 1, 1.37},
}

// formConstants are the pairing constants of one acid, by metal and by protons lost.
type formConstants [metals][maxSteps + 1]float64

var pairing = pairingConstants()

func pairingConstants() [NumSpecies]*formConstants {
	var of [NumSpecies]*formConstants
	for _, p := range pairs {
		if of[p.acid] == nil {
			of[p.acid] = &formConstants{}
		}
		of[p.acid][p.metal][p.lost] = math.Pow(10, p.logK)
	}
	return of
}

// Medium is what surrounds an acid in a solution, as far as its charge depends on it; all in mol per kg of water.
type Medium struct {
	IonicStrength float64
	// Calcium and Magnesium are the free ions, those that pair with no acid.
	Calcium, Magnesium float64
}

func (m Medium) free() [metals]float64 { return [metals]float64{m.Calcium, m.Magnesium} }

// correctPairs sets what a mol/kg of free metal holds on a mole of each form, for univalent coefficient g.
func (l *ladder) correctPairs(g float64) {
	g4 := g * g * g * g
	power := 1.0
	for range -int(l.top) { // the charge of the form with all its protons, 0 or -1
		power *= g4
	}
	for k := 0; k <= l.steps; k++ {
		for m := range l.holds {
			l.holds[m][k] = l.pairs[m][k] * power
		}
		power *= g4
	}
}

// pairUp takes free metals into the ratios of the forms: a form counts with its pairs.
func (l *ladder) pairUp(free [metals]float64) {
	if l.pairs == nil {
		return
	}
	before := 1.0
	for k := 0; k <= l.steps; k++ {
		with := 1.0
		for m := range free {
			with += l.holds[m][k] * free[m]
		}
		if k > 0 {
			l.ratio[k-1] = l.plain[k-1] * with / before
		}
		l.pairSquare[k] = (1 - 1/with) * 4 * (l.top - float64(k) + 1)
		before = with
	}
}

// mean returns the mean over the forms of one mole, by their ratios.
func (l *ladder) mean(ratio *[maxSteps]float64, inverseH float64, of *[maxSteps + 1]float64) float64 {
	sum, weighted, weight := 1.0, of[0], 1.0
	for k := range l.steps {
		weight *= ratio[k] * inverseH
		sum += weight
		weighted += weight * of[k+1]
	}
	return weighted / sum
}

// setFree finds the free metals at a pH, from those of before, and takes them into the ladders. It returns the largest
// relative change. The balances of the metals are the gradient of a convex function of the logarithms of the free ones,
// which Newton's method finds the bottom of; its last step leaves an error of its square.
func (b *balance) setFree(pH float64) (change float64) {
	inverseH := math.Exp(math.Ln10 * pH)
	var wants [NumSpecies][metals]float64 // what a mole pairs with for each mol/kg of free metal, while few are paired
	for n := range b.count {
		if l := &b.ladders[n]; l.pairs != nil {
			for m := range wants[n] {
				wants[n][m] = l.mean(&l.plain, inverseH, &l.holds[m])
			}
		}
	}
	before := b.free
	const most, longest, enough = 100, 2, 1e-6
	for range most {
		step := b.freeStep(&wants)
		moved := 0.0
		for m, s := range step {
			s = math.Max(-longest, math.Min(longest, s))
			b.free[m] = math.Min(b.free[m]*math.Exp(-s), b.metal[m])
			moved = math.Max(moved, math.Abs(s))
		}
		if !(moved > enough) {
			break
		}
	}
	for n := range b.count {
		b.ladders[n].pairUp(b.free)
	}
	for m, now := range b.free {
		if now > 0 {
			change = math.Max(change, math.Abs(now/before[m]-1))
		}
	}
	return change
}

// freeStep returns Newton's step down in the logarithms of the free metals.
func (b *balance) freeStep(wants *[NumSpecies][metals]float64) [metals]float64 {
	var gap, slope [metals]float64
	cross := 0.0
	for m, free := range b.free {
		gap[m], slope[m] = free-b.metal[m], free
		if free == 0 { // it is not there
			slope[m] = 1
		}
	}
	for n := range b.count {
		amount := b.ladders[n].amount
		ca, mg := wants[n][calcium]*b.free[calcium], wants[n][magnesium]*b.free[magnesium]
		all := 1 + ca + mg
		ca, mg = ca/all, mg/all // shares of the acid paired with each
		gap[calcium] += amount * ca
		gap[magnesium] += amount * mg
		slope[calcium] += amount * ca * (1 - ca)
		slope[magnesium] += amount * mg * (1 - mg)
		cross -= amount * ca * mg
	}
	determinant := slope[calcium]*slope[magnesium] - cross*cross
	return [metals]float64{
		(gap[calcium]*slope[magnesium] - gap[magnesium]*cross) / determinant,
		(gap[magnesium]*slope[calcium] - gap[calcium]*cross) / determinant,
	}
}
