package intake

import (
	"fmt"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/study"
)

// aimed are the families of attributes that people notice.
var aimed = []string{"taste", "aroma", "colour", "texture"}

// aim sets a target around each attribute that people notice: one just noticeable difference either way.
func (m *maker) aim() {
	jnd := map[string]float64{}
	for _, part := range study.DriftBetween(m.Assessment, m.Assessment).Parts {
		jnd[part.Name] = part.JND
	}
	for _, a := range m.Assessment.Attributes {
		if !slices.Contains(aimed, a.Family) || jnd[a.Name] == 0 || a.Value <= 0 || math.IsNaN(a.Value) {
			continue
		}
		if len(a.Unknown) > 0 || !m.everyKnown(a) {
			m.Untargeted = append(m.Untargeted, a)
			continue
		}
		low, high := a.Value-jnd[a.Name], a.Value+jnd[a.Name]
		t := Target{Attribute: a.Attribute, Value: a.Value, Range: brief.Range{Min: inward(low, math.Ceil), Max: inward(high, math.Floor)}}
		if t.Min < 0.05*a.Value { // as good as none
			t.Min = math.Inf(-1)
		}
		m.Targets = append(m.Targets, t)
	}
}

// everyKnown reports whether all that is in use has a figure for an attribute, water that fills up included.
func (m *maker) everyKnown(a assess.Attribute) bool {
	return !slices.ContainsFunc(m.job.Sources, func(s *brief.Source) bool {
		_, known := s.Content(a.Name)
		if _, acids := s.Solutes(); a.Name == brief.Acidity && acids {
			known = true
		}
		return !known
	})
}

// inward rounds a bound to three significant digits, towards the recipe, so that the brief admits no more than was said.
func inward(x float64, round func(float64) float64) float64 {
	if x <= 0 {
		return 0
	}
	scale := math.Pow(10, 2-math.Floor(math.Log10(x)))
	return round(x*scale) / scale
}

// weight is the share of a target that an ingredient must bring for the target to hold its amount.
const weight = 0.02

// hold finds the ingredients that no target holds, which the cheapest recipe would leave out though they are there for
// something: a preservative, a vitamin, a juice that the label speaks of.
func (m *maker) hold() {
	for _, p := range m.Assessment.Recipe.Parts {
		if p.Source.Water() || p.Amount == 0 {
			continue
		}
		held := Held{Ingredient: p.Source.Name, Grams: p.Amount}
		switch g := p.Source.Ingredient; {
		case g.Kind == "juice" || g.Kind == "fruit":
			held.AtLeast, held.Why = true, "labels and drinkers ask how much fruit is in it"
		case g.AdditiveCategory() == "preservative":
			held.Why = "it keeps the drink; no target speaks of that"
		case !m.brings(p):
			held.Why = "no target speaks of what it brings"
		case g.Customary > 0 && p.Amount > g.Customary*m.job.Dilution():
			held.AtMost, held.Why = true, fmt.Sprintf("more than the %s g/L that drinks are customarily made with at most", plain(g.Customary))
			if m.wish.Throw > 0 {
				held.Why += ", as served"
			}
		default:
			continue
		}
		m.Held = append(m.Held, held)
	}
}

// brings reports whether a part brings enough of something that a target asks for from below.
func (m *maker) brings(p brief.Part) bool {
	return slices.ContainsFunc(m.Targets, func(t Target) bool {
		if math.IsInf(t.Min, -1) {
			return false
		}
		brought := p.Source.Expected(t.Name) * p.Amount / m.job.Dilution() // targets are of the drink as served
		return brought >= weight*t.Value
	})
}
