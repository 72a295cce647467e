package study

import (
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/profile"
)

// How much contents vary where nothing better is known, as coefficients of variation; practice, since
// figures of many lots are rarely published.
const (
	// UsualVariation is that of a natural product's content without a deviation of its own.
	UsualVariation = 0.30
	// CertificateVariation is that of a certificate that states no error, RecoveryVariation that of the share that
	// a kettle brings into the liquor, WeighingVariation that of weighing.
	CertificateVariation = 0.10
	RecoveryVariation    = 0.10
	WeighingVariation    = 0.005
)

// variation says how contents vary from lot to lot, and notes where that is assumed.
type variation struct {
	StressOptions
	assumed map[string]bool // the sources with an assumed variation
}

func newVariation(o StressOptions) variation { return variation{o, map[string]bool{}} }

// carried returns the content of a substance in a source and the share of it that reaches the drink, for a cap
// the validated one, and whether there is any.
func carried(s *brief.Source, substance string, forCap bool) (content profile.Content, reaches float64, carries bool) {
	content, _ = s.Content(substance)
	if reaches = content.Recovery; forCap {
		reaches = content.CapRecovery
	}
	return content, reaches, (content.PerGram != 0 || content.SD != 0) && reaches != 0
}

// content returns the distribution of a content, with weighing and (if it varies) recovery counted in: what they add to
// its deviation keeps its shape.
func (v *variation) content(s *brief.Source, attribute string, c profile.Content, extracted bool) (chance.Distribution, error) {
	if c.PerGram == 0 {
		return chance.New(chance.Normal, 0, c.SD, 0, math.MaxFloat64)
	}
	square := 1 + WeighingVariation*WeighingVariation
	if extracted {
		square *= 1 + RecoveryVariation*RecoveryVariation
	}
	cv := v.of(s, attribute, c)
	square *= 1 + cv*cv
	deviation := c.PerGram * math.Sqrt(square-1)
	if c.Shape == "" || v.known(s, attribute) {
		return chance.New(chance.Lognormal, c.PerGram, deviation, 0, 0)
	}
	if c.PerGram > 8*deviation { // what lies below zero is nothing
		return chance.New(chance.Shape(c.Shape), c.PerGram, deviation, 0, 0)
	}
	return chance.New(chance.Shape(c.Shape), c.PerGram, deviation, 0, math.MaxFloat64)
}

// known reports whether a content counts as measured in every lot.
func (v *variation) known(s *brief.Source, attribute string) bool {
	_, known := v.Known[Figure{s.Name, attribute}]
	return known
}

// of returns the coefficient of variation of a content, and notes where it is assumed.
func (v *variation) of(s *brief.Source, attribute string, c profile.Content) float64 {
	if known, ok := v.Known[Figure{s.Name, attribute}]; ok {
		return known
	}
	switch {
	case c.SD > 0:
		return c.SD / c.PerGram
	case s.Ingredient.Pure:
		return 0
	}
	v.assumed[s.Name] = true
	if s.Lot != nil {
		if _, certified := s.Lot.Contents[attribute]; certified {
			return CertificateVariation
		}
	}
	return v.Assumed
}

// sourness returns the coefficient of variation of all the acids and ions that a source brings.
func (v *variation) sourness(s *brief.Source) float64 {
	cv := 0.0
	if acidity, _ := s.Content(brief.Acidity); acidity.PerGram > 0 {
		cv = v.of(s, brief.Acidity, acidity)
	} else if known, ok := v.Known[Figure{s.Name, brief.Acidity}]; ok {
		cv = known
	} else if !s.Ingredient.Pure {
		cv = v.Assumed
		v.assumed[s.Name] = true
	}
	return math.Sqrt((1+cv*cv)*(1+WeighingVariation*WeighingVariation) - 1)
}
