package chem

import (
	"fmt"
	"math"
)

const (
	// AcidFoodPH is the highest equilibrium pH of an acid or acidified food (21 CFR 114.3).
	AcidFoodPH = 4.6
	// AcidFoodSource names the law behind AcidFoodPH.
	AcidFoodSource = "21 CFR 114.3(a), (b)"
	// BenzeneSource is who warns of benzoate together with ascorbic acid.
	BenzeneSource = "FDA, Data on benzene in soft drinks, 2006/2007: benzoate with ascorbic or erythorbic acid can form benzene at ppb level; heat and light raise it"
)

// UndissociatedShare returns the share of an acid that is present with all its protons, by
// concentration, at a pH in a medium. For benzoic and sorbic acid it is the part that
// preserves. A species that is no uncharged acid gives an error that wraps ErrUnknownSpecies.
func UndissociatedShare(s Species, pH float64, in Medium) (float64, error) {
	k := s.Constants()
	if k.Charge != 0 || k.Steps == 0 {
		return 0, fmt.Errorf("%w: %s has no undissociated acid", ErrUnknownSpecies, s)
	}
	l := newLadder(s, 1, atRoom)
	l.correctIn(in)
	return l.share(0, math.Exp(math.Ln10*pH)), nil
}

// Undissociated returns the g/L of an acid that are undissociated in a solution at equilibrium.
func Undissociated(s *Solution, acid Species, state Result) (float64, error) {
	share, err := UndissociatedShare(acid, state.PH, state.Medium)
	if err != nil {
		return 0, err
	}
	return share * s.Amounts[acid] * species[acid].MolarMass, nil
}

// BenzeneRisk reports whether a solution holds benzoate and ascorbic acid together; BenzeneSource
// says why that matters.
func BenzeneRisk(s *Solution) bool { return s.Amounts[Benzoic] > 0 && s.Amounts[Ascorbic] > 0 }
