package brief

import (
	"math"

	"bittersum/internal/chem"
)

const (
	// referenceVolume is the specific volume, mL/g, that the library states for sugar and dry extract.
	referenceVolume = 0.6185
	// mostSolid is the share of solids, g per g, above which an ingredient counts as dry.
	mostSolid = 0.85
)

// Volume returns the mL that a gram of the source adds to a liquor with so many mass percent of dissolved
// solids: solids swell from the concentration that they are bought at to that of the liquor as sucrose does
// (ICUMSA 1990); on sugar and water alone the volume is exact.
func (s *Source) Volume(solids float64) float64 {
	fixed, content := s.volumeTerms()
	return fixed + content*apparentVolume(solids)
}

// volumeTerms returns what a gram adds to the volume whatever the liquor, and the solids that swell in it.
func (s *Source) volumeTerms() (fixed, content float64) {
	content = s.Expected(Solids)
	return s.Ingredient.SolubleShare*s.Ingredient.SpecificVolume - content*boughtVolume(s.Ingredient.SolubleShare, content), content
}

// boughtVolume is the apparent volume, mL/g, of the solids of an ingredient as it is bought.
func boughtVolume(soluble, content float64) float64 {
	if soluble == 1 && content < mostSolid {
		return apparentVolume(100 * content)
	}
	return referenceVolume
}

func apparentVolume(solids float64) float64 {
	v, _ := chem.SpecificVolume(math.Min(math.Max(solids, 0), 100*mostSolid), 20) // in range by the clamp
	return v
}
