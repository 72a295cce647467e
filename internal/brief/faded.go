package brief

import "bittersum/internal/chem"

// AscorbicAcid is the one content that fades and is an acid as well.
const AscorbicAcid = "ascorbic-acid"

// MayFade reports whether a content may be said to fade with age: in a drink what is tasted, smelt and seen of it,
// and ascorbic acid. What is restricted, what preserves and what is dissolved counts in full, as do acidity and
// sugars, by which a drink keeps; in a blend, which has neither caps nor pH, any content may.
func (j *Job) MayFade(attribute string) bool {
	a := j.Library.Attributes[attribute]
	switch {
	case a == nil || attribute == Acidity || attribute == "sugars":
		return j.Kind == Blend && a != nil
	case j.Kind == Blend || attribute == AscorbicAcid:
		return true
	}
	return a.Family == "taste" || a.Family == "aroma" || a.Family == "colour"
}

// Faded returns the source under another name after it was kept: of the content of each attribute in left that share
// is left, from 0 to 1. It lowers what reaches the drink and never what a cap is judged by (Guarded), for what has
// faded may still be there, or have become something else. Ascorbic acid takes the acid it is along.
func (s *Source) Faded(name string, left map[string]float64) *Source {
	faded := *s
	faded.Name, faded.left = name, left
	if share, fades := left[AscorbicAcid]; fades {
		faded.solutes[chem.Ascorbic] *= share
	}
	return &faded
}
