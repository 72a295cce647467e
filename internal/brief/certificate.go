package brief

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"bittersum/internal/profile"
)

// What a certificate value may be off its profile before it has to be said again: by so many standard
// deviations of both, or by that factor; practice.
const (
	farDeviations = 4
	farFactor     = 3
)

// Doubt is a certificate value that makes no sense, or none beside the profile.
type Doubt struct {
	Attribute, What, Hint string
	// Impossible says that no reason makes it right: it is more than there is.
	Impossible bool
}

// Doubts holds the certificate values of a lot against the profile of its ingredient, in the order of their
// names.
func Doubts(lot *Lot, lib *profile.Library) []Doubt {
	g := lib.Ingredients[lot.Ingredient]
	if g == nil {
		return nil
	}
	var doubts []Doubt
	for _, name := range slices.Sorted(maps.Keys(lot.Contents)) {
		a := lib.Attributes[name]
		if a == nil {
			continue
		}
		stated := lot.Contents[name]
		if whole := wholeGram(a); stated.PerGram > whole {
			doubts = append(doubts, Doubt{name, fmt.Sprintf("%s %s of it in a gram is more than the gram", number(stated.PerGram), a.Unit), "", true})
			continue
		}
		if known, ok := g.Content(name); ok && known.PerGram > 0 {
			if what := far(stated, known, a.Unit); what != "" {
				doubts = append(doubts, Doubt{Attribute: name, What: what, Hint: slip(stated, known, a.Unit)})
			}
		}
	}
	return doubts
}

// wholeGram is a gram in the unit of an attribute, infinite for what is no mass.
func wholeGram(a *profile.Attribute) float64 {
	switch {
	case a.Equivalent:
		return math.Inf(1)
	case a.Unit == "mg":
		return 1000
	case a.Unit == "g":
		return 1
	}
	return math.Inf(1)
}

// far says how far a value is from the profile's, or is empty when it is near.
func far(stated, known profile.Content, unit string) string {
	text := fmt.Sprintf("%s %s per g, where the profile has %s", number(stated.PerGram), unit, number(known.PerGram))
	off := math.Abs(stated.PerGram - known.PerGram)
	switch ratio := stated.PerGram / known.PerGram; {
	case ratio > farFactor || ratio < 1.0/farFactor:
		return text
	case known.SD > 0 && off > farDeviations*math.Hypot(known.SD, stated.SD):
		return text + fmt.Sprintf(": %.2g standard deviations off", off/math.Hypot(known.SD, stated.SD))
	}
	return ""
}

// slip names the units that a value would be right in.
func slip(stated, known profile.Content, unit string) string {
	const again = "if it is so, say why: --sure with lots add, sure beside it in the file"
	for _, s := range []struct {
		factor float64
		units  map[string]string
	}{
		{10, map[string]string{"mg": "a percentage is ten times as many mg per g"}},
		{0.01, map[string]string{"g": "a percentage is a hundredth of it in g per g"}},
		{1000, map[string]string{"mg": "a share is a thousand times as many mg per g"}},
		{0.001, map[string]string{"g": "mg per g are a thousandth of it in g per g", "mg": "mg per kg are a thousandth of it in mg per g"}},
		{0.1, map[string]string{"mg": "mg per 10 g are a tenth of it in mg per g"}},
	} {
		right := stated
		right.PerGram, right.SD = stated.PerGram*s.factor, stated.SD*s.factor
		if s.units[unit] != "" && far(right, known, unit) == "" {
			return fmt.Sprintf("%s? then it is %s; %s", s.units[unit], number(right.PerGram), again)
		}
	}
	return again
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
