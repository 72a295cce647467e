package brief

import (
	"fmt"
	"math"

	"bittersum/internal/profile"
)

// pot is what the parts of a preparation make, in grams, mL and the brief's currency.
type pot struct {
	// mass is that of the liquor, fixed and solids are the terms of its volume (see Source.volumeTerms).
	mass, fixed, solids float64
	// alcohol is the grams of ethanol, held the litres that the spent plants keep, cost that of all parts.
	alcohol, held, cost float64
}

func potOf(parts []Part) pot {
	var b pot
	for _, p := range parts {
		fixed, content := p.Source.volumeTerms()
		b.mass += p.Source.Ingredient.SolubleShare * p.Amount
		b.fixed += fixed * p.Amount
		b.solids += content * p.Amount
		b.alcohol += p.Source.Expected(Alcohol) * p.Amount
		b.held += p.Source.Ingredient.HoldUp * p.Amount
		b.cost += p.Source.CostPerGram * p.Amount
	}
	return b
}

func (b *pot) percent() float64 { return 100 * b.solids / b.mass }

func (b *pot) litres() float64 { return (b.fixed + b.solids*apparentVolume(b.percent())) / 1000 }

func (b *pot) take(share float64) {
	b.mass *= share
	b.fixed *= share
	b.solids *= share
	b.alcohol *= share
}

// waterVolume is the specific volume of water at 20 °C, mL/g (ICUMSA 1990: 998.203 kg/m3).
const waterVolume = 1 / 0.998203

// boil takes grams of water away.
func (b *pot) boil(grams float64) {
	b.mass -= grams
	b.fixed -= grams * waterVolume
}

const (
	// overYield is the share by which a yield may be above what goes in: both are rounded.
	overYield = 0.005
	// underYield is the share of the yield to be expected that may be missing without a reason.
	underYield = 0.05
)

type wrongly = func(line int, key, what, hint string)

// obtain leaves in the pot what is obtained and returns the share of the parts' contents that is in it.
func (b *pot) obtain(p *profile.Preparation, m *Made, wrong wrongly) (share float64, ok bool) {
	full := m.LiquorL
	expected := full - m.HeldL
	density := b.mass / full // g/L
	key, asked := "yield_l", p.YieldL
	if p.YieldKg > 0 {
		key, asked = "yield_kg", 1000*p.YieldKg/density
	}
	refuse := func(at, what, hint string) (float64, bool) {
		wrong(p.Lines[at], "."+at, what, hint)
		return 0, false
	}
	switch {
	case asked == 0 && p.LostAs != "":
		return refuse("lost_as", "says what was lost, but no yield is given", "add yield_l or yield_kg, or leave it out")
	case asked == 0:
		b.take(expected / full)
		return expected / full, true
	case asked > full*(1+overYield):
		return refuse(key, fmt.Sprintf("is %.4g L, but the parts make no more than %.4g L, of which the spent plants keep %.2g L", asked, full, m.HeldL), "")
	case asked < expected*(1-underYield) && p.LostAs == "":
		return refuse(key, fmt.Sprintf("is %.4g L, but the parts give %.4g L: say what was lost", asked, expected),
			`lost_as = "liquor" when it was left behind, as strong as the rest; lost_as = "water" when it was boiled off`)
	case p.LostAs == profile.LostWater && asked < expected:
		if b.alcohol > 0 {
			return refuse("lost_as", `is "water", but there is alcohol in it, which boils off before the water`, "make the strong part a preparation of its own, and boil what has no alcohol")
		}
		b.take(expected / full)
		if !b.boilDown(p) {
			return refuse(key, fmt.Sprintf("would hold more than %.0f %% of dissolved solids; no syrup does", 100*mostSolid), "")
		}
		m.LostL = expected - b.litres()
		return expected / full, true
	}
	m.LostL = math.Max(0, expected-asked)
	m.HeldL = math.Min(m.HeldL, math.Max(0, full-asked)) // pressed out better than the profiles say
	b.take(asked / full)
	return asked / full, true
}

// boilDown boils water off until the yield is left, and reports whether so much may be boiled off.
func (b *pot) boilDown(p *profile.Preparation) bool {
	most := b.mass - b.solids/mostSolid
	if p.YieldKg > 0 {
		grams := b.mass - 1000*p.YieldKg
		b.boil(grams)
		return grams <= most
	}
	start := *b
	low, high := 0.0, math.Max(0, most)
	for range 60 { // halvings of a few kilograms: below a nanogram
		*b = start
		middle := (low + high) / 2
		b.boil(middle)
		if b.litres() > p.YieldL {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Abs(b.litres()-p.YieldL) < 1e-6*p.YieldL
}
