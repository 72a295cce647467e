package brief

import (
	"math"
	"slices"

	"bittersum/internal/profile"

	"gonum.org/v1/gonum/stat/distuv"
)

var nan = math.NaN()

// Job is a brief with every name looked up: what may be used, at what contents and cost, and which
// limits hold.
type Job struct {
	*Brief
	Library *profile.Library
	// Sources are the ingredients and lots that may be used, in the brief's order.
	Sources []*Source
	// Judged are the attributes that targets, ratios and caps speak of, each once: the brief's targets
	// first, in its order.
	Judged []*profile.Attribute
	// Caps are the legal maxima that hold for this drink, of all its markets.
	Caps []Cap
	// Declarations are label rules of the markets; which of them fire depends on the recipe.
	Markets []*profile.Market
	// Accepted lists the unknown contents that the maker accepts, for the cautions.
	Accepted []Accept
}

// Cap is a legal maximum with the market it comes from.
type Cap struct {
	profile.Cap
	Market    *profile.Market
	Attribute *profile.Attribute
}

// Unit returns the unit that the maximum is stated in.
func (c Cap) Unit() string {
	if len(c.Sum) > 0 {
		return c.Attribute.Unit
	}
	if c.Per == profile.PerLitre {
		return c.Attribute.Unit + "/L"
	}
	return c.Attribute.Unit + "/kg"
}

// Source is one thing that can be weighed in: an ingredient as its profile has it, or one lot of it.
type Source struct {
	// Name is the ingredient's name, with the lot's number after a slash for a lot.
	Name       string
	Ingredient *profile.Ingredient
	Lot        *Lot
	// CostPerGram is the cost of a gram weighed in: price / (1 - trimming loss) + preparation labour,
	// in the brief's currency (per unit for a Blend).
	CostPerGram float64
	// PricePerKg is the price that the cost was made of, and PriceFrom says where it comes from.
	PricePerKg float64
	PriceFrom  string
	// PriceSD is the standard deviation of that price per kg, 0 where it counts as certain: of what was paid for a lot.
	PriceSD float64
	// Range bounds the grams per litre (units for a Blend).
	Range
	// Made says what a preparation is made of; nil for what is bought.
	Made *Made

	solutes Solutes
	stated  bool // the profile states solutes
	// sourness multiplies the acidity that the profile states; 0 for 1.
	sourness float64
	// left are the shares of contents that are left of what has faded, by attribute; nil for all of it.
	left map[string]float64
}

// Water reports whether the source is plain water, which fills up to the litre.
func (s *Source) Water() bool { return s.Ingredient.Kind == "water" }

// Content returns the source's content of an attribute: the certificate's where the lot has one, else
// the profile's, and whether it is known at all. Of what has faded less reaches the drink.
func (s *Source) Content(attribute string) (profile.Content, bool) {
	c, known := s.delivered(attribute)
	if share, fades := s.left[attribute]; fades {
		c.Recovery *= share // the content and CapRecovery stay: caps are judged by them
	}
	return c, known
}

// delivered is the content as it came.
func (s *Source) delivered(attribute string) (profile.Content, bool) {
	fromProfile, known := s.Ingredient.Content(attribute)
	if s.Lot == nil {
		return fromProfile, known
	}
	c, ok := s.Lot.Contents[attribute]
	if !ok {
		return fromProfile, known
	}
	if math.IsNaN(c.Recovery) {
		c.Recovery = 1
		if known && fromProfile.PerGram > 0 {
			c.Recovery = fromProfile.Recovery
		}
	}
	if math.IsNaN(c.CapRecovery) {
		c.CapRecovery = 1
		if known && fromProfile.PerGram > 0 && s.Made == nil { // of a preparation all is in the liquor
			c.CapRecovery = fromProfile.CapRecovery
		}
	}
	return c, true
}

// Correlations say how the source's contents go together from lot to lot: the lot's own word, if it has one, in the
// place of the profile's.
func (s *Source) Correlations() *profile.Correlations {
	if s.Lot != nil && s.Lot.Correlations != nil {
		return s.Lot.Correlations
	}
	return s.Ingredient.Correlations
}

// Expected returns the expected contribution of a gram: content × recovery. An unknown content that
// the maker accepted counts as the least that is known of it, mostly zero.
func (s *Source) Expected(attribute string) float64 {
	c, _ := s.Content(attribute)
	if attribute == Acidity && s.sourness > 0 {
		return c.PerGram * c.Recovery * s.sourness
	}
	return c.PerGram * c.Recovery
}

// Deviates returns the number of standard deviations that lie below the assured value of a normally
// distributed content, rounded up to four decimals.
func Deviates(assurance float64) float64 {
	return math.Ceil(distuv.UnitNormal.Quantile(assurance)*1e4) / 1e4
}

// Guarded returns the contribution of a gram that the caps are judged with: the upper content at the
// brief's assurance, times the validated recovery (1 unless lower was shown).
func (j *Job) Guarded(s *Source, substance string) float64 {
	c, _ := s.Content(substance)
	if c.PerGram == 0 && c.SD == 0 {
		return 0
	}
	if c.SD == 0 {
		return c.PerGram * c.CapRecovery
	}
	return (c.PerGram + Deviates(j.Assurance)*c.SD) * c.CapRecovery
}

// GuardedBy returns the contribution of a gram to what the cap counts, as Guarded does; in a sum of
// proportions each substance over its own maximum.
func (j *Job) GuardedBy(s *Source, c profile.Cap) float64 {
	if len(c.Sum) == 0 {
		return j.Guarded(s, c.Substance)
	}
	sum := 0.0
	for _, share := range c.Sum {
		sum += j.Guarded(s, share.Substance) / share.Max
	}
	return sum
}

// Counted reports whether a cap of the drink counts the substance.
func (j *Job) Counted(substance string) bool {
	return slices.ContainsFunc(j.Caps, func(c Cap) bool { return c.Counts(substance) })
}

// Drink returns what the rules of market m ask of the drink.
func (j *Job) Drink(m *profile.Market) profile.Drink {
	return profile.Drink{
		Alcoholic: j.Alcoholic(m), Percent: j.AlcoholPercent,
		SpiritDrink: j.SpiritDrink, Carbonated: j.Carbonated, EnergyReduced: j.EnergyReduced,
	}
}

// Alcoholic reports whether the drink counts as alcoholic in market m.
func (j *Job) Alcoholic(m *profile.Market) bool {
	return j.AlcoholPercent > 0 && j.AlcoholPercent >= m.AlcoholicFrom
}

// Source returns the source of that name, or nil.
func (j *Job) Source(name string) *Source {
	for _, s := range j.Sources {
		if s.Name == name {
			return s
		}
	}
	return nil
}

// Target returns the brief's target for an attribute, or one that asks for nothing.
func (j *Job) Target(attribute string) Target {
	for _, t := range j.Targets {
		if t.Attribute == attribute {
			return t
		}
	}
	return Target{Attribute: attribute, Range: Unbounded()}
}
