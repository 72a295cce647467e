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
	basis string
}

// pairs: NIST SRD 46 as carried in MINTEQA2 v4, with the acid's own steps taken off where that table counts protons;
// those of malic and lactic acid are from memory.
var pairs = []pair{
	{calcium, Citric, 3, 4.87, Published}, {calcium, Citric, 2, 9.26 - 6.396, Published}, {calcium, Citric, 1, 12.257 - 11.157, Published},
	{magnesium, Citric, 3, 4.89, Published}, {magnesium, Citric, 2, 8.91 - 6.396, Published}, {magnesium, Citric, 1, 12.2 - 11.157, Published},
	{calcium, Tartaric, 2, 2.8, Published}, {calcium, Tartaric, 1, 5.86 - 4.366, Published},
	{magnesium, Tartaric, 2, 2.3, Published}, {magnesium, Tartaric, 1, 5.75 - 4.366, Published},
	{calcium, Malic, 2, 2.66, Recalled}, {magnesium, Malic, 2, 2.6, Recalled},
	{calcium, Lactic, 1, 1.45, Recalled}, {magnesium, Lactic, 1, 1.37, Recalled},
	{calcium, Acetic, 1, 1.18, Published}, {magnesium, Acetic, 1, 1.27, Published},
	{calcium, Benzoic, 1, 1.55, Published}, {magnesium, Benzoic, 1, 1.26, Published},
	{calcium, Phosphoric, 3, 6.46, Published}, {calcium, Phosphoric, 2, 15.035 - 12.375, Published}, {calcium, Phosphoric, 1, 20.923 - 19.573, Published},
	{magnesium, Phosphoric, 3, 4.654, Published}, {magnesium, Phosphoric, 2, 15.175 - 12.375, Published}, {magnesium, Phosphoric, 1, 21.2561 - 19.573, Published},
	{calcium, Sulfate, 1, 2.36, Published}, {magnesium, Sulfate, 1, 2.26, Published},
	{calcium, Carbonic, 2, 3.2, Published}, {calcium, Carbonic, 1, 11.599 - 10.329, Published},
	{magnesium, Carbonic, 2, 2.92, Published}, {magnesium, Carbonic, 1, 11.339 - 10.329, Published},
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

// pairUp takes free metals into the ratios of the forms: a form counts with its pairs.
func (l *ladder) pairUp(g float64, free [metals]float64) {
	l.ratio = l.plain
	if l.pairs == nil || free == [metals]float64{} {
		l.paired = false
		return
	}
	l.paired = true
	g4 := g * g * g * g
	power := math.Pow(g4, -l.top)
	before := 1.0
	for k := 0; k <= l.steps; k++ {
		held := 0.0
		for m := range free {
			l.bound[m][k] = l.pairs[m][k] * power * free[m]
			held += l.bound[m][k]
		}
		if k > 0 {
			l.ratio[k-1] = l.plain[k-1] * (1 + held) / before
		}
		before = 1 + held
		for m := range free {
			l.bound[m][k] /= before
		}
		power *= g4
	}
}

// pairSquare returns what pairs add to the mean squared charge of the forms of one mole: a pair carries two charges
// more than its anion.
func (l *ladder) pairSquare(inverseH float64) float64 {
	sum, r, add, z := 1.0, 1.0, 0.0, l.top
	for k := 0; ; k++ {
		add += r * (l.bound[calcium][k] + l.bound[magnesium][k]) * (4*z + 4)
		if k == l.steps {
			return add / sum
		}
		r *= l.ratio[k] * inverseH
		sum += r
		z--
	}
}

// appetite returns the metals that a mole of the acid pairs with for each mol/kg of free metal, while few are paired.
func (l *ladder) appetite(g, inverseH float64) (of [metals]float64) {
	g4 := g * g * g * g
	sum, r, power := 0.0, 1.0, math.Pow(g4, -l.top)
	for k := 0; ; k++ {
		sum += r
		for m := range of {
			of[m] += r * l.pairs[m][k] * power
		}
		if k == l.steps {
			break
		}
		r *= l.plain[k] * inverseH
		power *= g4
	}
	for m := range of {
		of[m] /= sum
	}
	return of
}

// setFree finds the free metals at a pH, from those of before, and takes them into the ladders. It returns the largest
// relative change. The balances of the metals are the gradient of a convex function of the logarithms of the free ones,
// which Newton's method finds the bottom of.
func (b *balance) setFree(pH float64) (change float64) {
	inverseH := math.Exp(math.Ln10 * pH)
	var wants [NumSpecies][metals]float64
	for n := range b.count {
		if l := &b.ladders[n]; l.pairs != nil {
			wants[n] = l.appetite(b.coefficient, inverseH)
		}
	}
	before := b.free
	const steps, longest, enough = 100, 2, 1e-13
	for range steps {
		var gap [metals]float64
		var slope [metals][metals]float64
		for m, free := range b.free {
			gap[m] = free - b.metal[m]
			slope[m][m] = free
		}
		for n := range b.count {
			l := &b.ladders[n]
			if l.pairs == nil {
				continue
			}
			ca, mg := wants[n][calcium]*b.free[calcium], wants[n][magnesium]*b.free[magnesium]
			all := 1 + ca + mg
			ca, mg = ca/all, mg/all // shares of the acid paired with each
			gap[calcium] += l.amount * ca
			gap[magnesium] += l.amount * mg
			slope[calcium][calcium] += l.amount * ca * (1 - ca)
			slope[magnesium][magnesium] += l.amount * mg * (1 - mg)
			slope[calcium][magnesium] -= l.amount * ca * mg
		}
		d, o := slope, slope[calcium][magnesium]
		if b.metal[calcium] == 0 {
			d[calcium][calcium] = 1
		}
		if b.metal[magnesium] == 0 {
			d[magnesium][magnesium] = 1
		}
		determinant := d[calcium][calcium]*d[magnesium][magnesium] - o*o
		step := [metals]float64{
			(gap[calcium]*d[magnesium][magnesium] - gap[magnesium]*o) / determinant,
			(gap[magnesium]*d[calcium][calcium] - gap[calcium]*o) / determinant,
		}
		moved := 0.0
		for m := range step {
			s := math.Max(-longest, math.Min(longest, step[m]))
			b.free[m] = math.Min(b.free[m]*math.Exp(-s), b.metal[m])
			moved = math.Max(moved, math.Abs(s))
		}
		if !(moved > enough) {
			break
		}
	}
	for n := range b.count {
		b.ladders[n].pairUp(b.coefficient, b.free)
	}
	for m, now := range b.free {
		if now > 0 {
			change = math.Max(change, math.Abs(math.Log(now/before[m])))
		}
	}
	return change
}
