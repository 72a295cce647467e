package chem

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// TasteExponent is the exponent of Stevens's power law for one tastant: perceived intensity grows as
// concentration to that power. It is an average over panels, for one tastant in water; it says
// nothing of mixtures, where sugar and acid suppress bitterness. Reports may show it; nothing is
// optimised by it.
type TasteExponent struct {
	Tastant string
	Quality string
	Value   float64
	// Low and High are the range that experiments span, or both Value when only one is at hand.
	Low, High     float64
	Basis, Source string
}

// TasteLimits says what the exponents leave out.
const TasteLimits = "power law of one tastant in water; exponents vary between panels, methods and places on the tongue " +
	"(Collings 1974); sucrose of about 6 % or more raises bitter thresholds (Schiffman et al., Brain Res. Bull. 35 (1994) 189), " +
	"sweetness and sourness suppress each other (Schifferstein, Frijters 1991), and sweet with salty is never more than their sum (De Graaf, Frijters 1989); " +
	"salt lessens some bitterness and that of magnesium sulfate not at all (Keast, Breslin, Beauchamp 2001)"

var tasteExponents = []TasteExponent{
	{"sucrose", "sweet", 1.3, 1.3, 1.3, Published, "Moskowitz, Ratio scales of sugar sweetness (1970); Stevens, in a course text"},
	{"saccharin", "sweet", 0.8, 0.8, 0.8, Published, "Stevens, in a course text"},
	{"quinine", "bitter", 0.6, 0.3, 1.0, Recalled, "psychophysical reviews"},
	{"citric", "sour", 0.8, 0.7, 0.85, Recalled, "psychophysical reviews"},
}

// FindTasteExponent finds the exponent of a tastant; an unknown name gives an error that lists the
// known ones.
func FindTasteExponent(tastant string) (TasteExponent, error) {
	names := make([]string, len(tasteExponents))
	for i, e := range tasteExponents {
		if e.Tastant == tastant {
			return e, nil
		}
		names[i] = e.Tastant
	}
	return TasteExponent{}, fmt.Errorf("%w %q; the known ones are %s", ErrUnknownTastant, tastant, strings.Join(names, ", "))
}

// ErrUnknownTastant is wrapped by the error about a tastant without an exponent.
var ErrUnknownTastant = errors.New("chem: unknown tastant")

// Intensity is how strong a taste seems, as a multiple of a reference, with the range that the
// spread of exponents leaves.
type Intensity struct{ Value, Low, High float64 }

// Relative returns the intensity of a concentration as a multiple of that of a reference
// concentration, both in the same unit. Twice the quinine seems 1.5 times as bitter.
func (e TasteExponent) Relative(concentration, reference float64) (Intensity, error) {
	if !(concentration >= 0) || !(reference > 0) || math.IsInf(concentration, 1) || math.IsInf(reference, 1) {
		return Intensity{}, fmt.Errorf("%w: intensity of %g against %g", ErrRange, concentration, reference)
	}
	ratio := concentration / reference
	a, b := math.Pow(ratio, e.Low), math.Pow(ratio, e.High)
	return Intensity{math.Pow(ratio, e.Value), math.Min(a, b), math.Max(a, b)}, nil
}

const (
	// QuinineBitterness is the bitterness value of quinine hydrochloride, mL/g: the dilution that still
	// tastes bitter (Ph. Eur. 2.8.15).
	QuinineBitterness = 200000
	// QuinineThreshold is the mg/L of quinine hydrochloride dihydrate that this value implies.
	QuinineThreshold = 1e6 / QuinineBitterness
)

// QuinineEquivalent returns the bitterness, in mg/L of quinine hydrochloride dihydrate, of an
// ingredient at so many g/L with the given bitterness value in mL/g. That bitterness values add up
// is an assumption.
func QuinineEquivalent(bitternessValue, gramsPerLitre float64) float64 {
	return 1000 * bitternessValue * gramsPerLitre / QuinineBitterness
}
