package brief

import (
	"fmt"
	"math"

	"bittersum/internal/chem"
)

// Solutes are the acids and ions that a gram of a source brings into the liquor, mmol/g.
type Solutes [chem.NumSpecies]float64

// dissolve works out what the source brings. A lot whose certificate states its acidity brings the
// profile's acids and ions in proportion.
func (s *Source) dissolve() {
	s.solutes, s.stated = Solutes{}, s.Ingredient.Solutes != nil
	scale := 1.0
	if s.Lot != nil {
		if _, measured := s.Lot.Contents[Acidity]; measured {
			if usual, _ := s.Ingredient.Content(Acidity); usual.PerGram*usual.Recovery > 0 {
				scale = s.Expected(Acidity) / (usual.PerGram * usual.Recovery)
			}
		}
	}
	for name, mmol := range s.Ingredient.Solutes {
		if species, err := chem.ParseSpecies(name); err == nil { // the profile was checked
			s.solutes[species] = mmol * scale
		}
	}
}

// soften lets plain water bring what the water report says.
func (s *Source) soften(w *Water) {
	if w != nil && s.Water() && !s.stated {
		s.solutes = w.perGram()
	}
}

// Charge returns the mmol of negative charge less positive charge that solutes bring into a solution of the
// given pH and medium. Degassed leaves carbonic acid out.
func (s Solutes) Charge(pH float64, in chem.Medium, degassed bool) float64 {
	sum := 0.0
	for i, mmol := range s {
		if mmol != 0 && !(degassed && chem.Species(i) == chem.Carbonic) {
			sum += mmol * chem.ChargePerMole(chem.Species(i), pH, in)
		}
	}
	return sum
}

// Solutes returns what the source brings, and whether that is known: a source that brings no acid and
// states no solutes counts as bringing none.
func (s *Source) Solutes() (Solutes, bool) { return s.solutes, !s.Sour() }

// Scaled returns the source with all its acids and ions, and its acidity, multiplied by a factor: another
// lot of the same kind.
func (s *Source) Scaled(factor float64) *Source {
	scaled := *s
	scaled.sourness = factor
	if s.sourness > 0 {
		scaled.sourness *= s.sourness
	}
	for i := range scaled.solutes {
		scaled.solutes[i] *= factor
	}
	return &scaled
}

// Sour reports whether the source brings acid, or may, and does not say which.
func (s *Source) Sour() bool {
	if s.Made != nil {
		return s.Made.any((*Source).Sour)
	}
	if s.stated {
		return false
	}
	content, known := s.Content(Acidity)
	return !known || content.PerGram*content.Recovery > 0
}

// Silent reports whether the source is a natural product that brings no acid and says nothing of ions:
// the charge balance leaves it out.
func (s *Source) Silent() bool {
	if s.Made != nil {
		return s.Made.any((*Source).Silent)
	}
	return !s.stated && !s.Sour() && !s.Ingredient.Pure
}

// ions are the minerals of plants that a profile states as attributes, mg per gram, with the charge that a
// millimole of them carries and its mass in mg.
var ions = []struct {
	attribute     string
	charge, molar float64
}{
	{"potassium", 1, chem.Potassium.Constants().MolarMass}, {"sodium", 1, chem.Sodium.Constants().MolarMass},
	{"calcium", 2, chem.Calcium.Constants().MolarMass}, {"magnesium", 2, chem.Magnesium.Constants().MolarMass},
}

// Minerals returns the mmol of strong alkali that a gram of a silent source can bring at most: its potassium,
// sodium, calcium and magnesium as far as they reach the liquor, if it has no acids of its own with them.
// Known is false when the profile has no figure for its potassium, which is most of it. A source that states
// its solutes has none left over.
func (s *Source) Minerals() (alkali float64, known bool) {
	if s.Made != nil {
		known = true
		for _, leaf := range s.Made.Leaves {
			of, told := leaf.Source.Minerals()
			alkali, known = alkali+of*leaf.Amount, known && told
		}
		return alkali, known
	}
	if !s.Silent() {
		return 0, true
	}
	for _, ion := range ions {
		alkali += ion.charge * s.Expected(ion.attribute) / ion.molar
	}
	_, known = s.Content("potassium")
	return alkali, known
}

// Charge returns the mmol of negative charge less positive charge that a gram of the source brings into
// a solution of the given pH and medium. Degassed leaves carbonic acid out.
func (s *Source) Charge(pH float64, in chem.Medium, degassed bool) float64 {
	return s.solutes.Charge(pH, in, degassed)
}

// acids notes where a reading of pH or an unusual titration needs solutes that a profile does not give,
// and a pH that nothing in use can bring about.
func (r *resolver) acids() {
	for _, t := range r.Readings {
		if t.Reading == Brix {
			r.withoutAlcohol(t)
		}
		if t.Reading == PH && r.acidsKnown("targets.ph", t.Line) {
			r.phReachable(t)
			if !math.IsInf(t.Max, 1) && t.Min != t.Max {
				r.mineralsKnown(t.Line)
			}
		}
	}
	if r.endPointLine > 0 {
		r.acidsKnown("targets.acidity.end_point", r.endPointLine)
	}
}

// mineralsKnown notes plants without a figure of their minerals where a highest pH is asked for.
func (r *resolver) mineralsKnown(line int) {
	named := map[string]bool{}
	for _, s := range r.Sources {
		if _, known := s.Minerals(); !known && !named[s.Ingredient.Name] {
			named[s.Ingredient.Name] = true
			r.lack(r.place(s), "potassium", "for targets.ph.max", line, "targets.ph.max", fmt.Sprintf("%q has no figure of its potassium, which binds acid: no highest pH can be shown to hold", s.Ingredient.Name),
				"give its contents.potassium in mg per g, or its solutes, or leave it out; unknown is never read as zero")
		}
	}
}

func (r *resolver) acidsKnown(key string, line int) bool {
	known := true
	named := map[string]bool{}
	for _, s := range r.Sources {
		if s.Sour() && !named[s.Ingredient.Name] {
			named[s.Ingredient.Name] = true
			known = false
			what := "%q brings acid, but its profile does not say which"
			if content, stated := s.Content(Acidity); !stated && content.PerGram == 0 {
				what = "the profile of %q does not say whether it brings acid, nor which"
			}
			r.lack(r.place(s), "which acids and ions it brings", "for "+key, line, key, fmt.Sprintf(what, s.Ingredient.Name),
				"give its solutes in mmol_per_g, or leave it out; unknown is never read as zero")
		}
	}
	return known
}

// withoutAlcohol notes spirits, whose alcohol a refractometer takes for sugar.
func (r *resolver) withoutAlcohol(t ReadingTarget) {
	for _, s := range r.Sources {
		if s.Expected("alcohol") > 0 {
			r.fault(t.Line, "targets.brix", fmt.Sprintf("%q carries alcohol, which misleads a refractometer", s.Name), "ask for soluble-solids instead")
		}
	}
}

// phReachable notes a pH on the sour side of water that no source brings acid for, and one on the other
// side that no source brings alkali for. The ionic strength hardly moves the sign.
func (r *resolver) phReachable(t ReadingTarget) {
	in := chem.Medium{IonicStrength: 0.02}
	reached := func(pH, sign float64) bool {
		if sign*(r.GasCharge(pH, in)-chem.Proton(pH, in.IonicStrength)) >= 0 {
			return true
		}
		for _, s := range r.Sources {
			if sign*s.Charge(pH, in, false) > 0 {
				return true
			}
		}
		return false
	}
	if !math.IsInf(t.Max, 1) && !reached(t.Max, 1) {
		r.fault(t.Line, "targets.ph.max", fmt.Sprintf("%v cannot be reached: no ingredient in use brings acid", t.Max), carriers(r.Library, Acidity))
	}
	if !math.IsInf(t.Min, -1) && !reached(t.Min, -1) {
		r.fault(t.Line, "targets.ph.min", fmt.Sprintf("%v cannot be reached: no ingredient in use takes acid away", t.Min), "a salt such as trisodium-citrate does")
	}
}

// GasCharge returns the mmol/L of negative charge that the dissolved gas carries in the drink as served.
func (s Serving) GasCharge(pH float64, in chem.Medium) float64 {
	if !(s.CarbonDioxide > 0) {
		return 0
	}
	return 1000 * s.CarbonDioxide / chem.Carbonic.Constants().MolarMass * chem.ChargePerMole(chem.Carbonic, pH, in)
}
