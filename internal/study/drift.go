package study

import (
	"math"
	"sort"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// Drift is how far one recipe tastes, smells and looks from another: the sum of the differences of all
// attributes whose just noticeable difference is known, each counted in that difference.
type Drift struct {
	Total float64
	// Parts are all attributes that either recipe has, those that differ most first.
	Parts []DriftPart
	// Uncounted are attributes with a known share that the first recipe has nothing of: a share of
	// nothing is no measure.
	Uncounted []*profile.Attribute
}

// DriftPart is the difference of one attribute.
type DriftPart struct {
	*profile.Attribute
	Before, After float64
	// JND is the just noticeable difference at Before, in the attribute's unit of the drink; zero when
	// none is known. Count is the difference counted in it, with the sign of After - Before.
	JND, Count float64
}

// recognised is the least amount of an aroma, in points per litre, that is noticed at all: a point is
// defined as the amount that half of the tasters recognise.
const recognised = 1

// thresholds are the least amounts of a taste in water that are noticed at all, in its unit: for bitterness
// the 5 mg/L of quinine hydrochloride that a bitterness value of 200 000 implies (Ph. Eur. 2.8.15), for
// the others textbook thresholds, 0.1 % of sucrose and 0.0025 % of citric acid. A share of less is no
// measure.
var thresholds = map[string]float64{"bitterness": 5, "sugars": 1, "sweetness": 1, "acidity": 0.025}

// noticeable returns the just noticeable difference of an attribute at a value, or zero when there is
// none to go by.
func noticeable(a *profile.Attribute, value float64) float64 {
	jnd := a.JND
	if a.JNDShare > 0 {
		jnd = a.JNDShare * math.Abs(value)
		if a.Family == "aroma" && a.Unit == "points" {
			jnd = math.Max(jnd, recognised)
		}
		jnd = math.Max(jnd, thresholds[a.Name])
	}
	return jnd
}

// values returns the value of every attribute of a recipe by name, those it has nothing of left out.
func values(a *assess.Assessment) map[string]float64 {
	out := map[string]float64{}
	for _, v := range a.Attributes {
		if v.Value != 0 {
			out[v.Name] = v.Value
		}
	}
	return out
}

// marks are the values of a recipe with their just noticeable differences, in order of name.
func marks(a *assess.Assessment) []brief.Mark {
	have := values(a)
	var out []brief.Mark
	for _, name := range a.Job.Library.AttributeNames() {
		if jnd := noticeable(a.Job.Library.Attributes[name], have[name]); jnd > 0 {
			out = append(out, brief.Mark{Attribute: name, Value: have[name], JND: jnd})
		}
	}
	return out
}

// DriftBetween counts how far recipe after has drifted from recipe before.
func DriftBetween(before, after *assess.Assessment) Drift {
	var drift Drift
	old, now := values(before), values(after)
	for _, name := range before.Job.Library.AttributeNames() {
		a := before.Job.Library.Attributes[name]
		p := DriftPart{Attribute: a, Before: old[name], After: now[name], JND: noticeable(a, old[name])}
		if p.Before == 0 && p.After == 0 {
			continue
		}
		switch {
		case p.JND > 0:
			p.Count = (p.After - p.Before) / p.JND
			drift.Total += math.Abs(p.Count)
		case a.JNDShare > 0:
			drift.Uncounted = append(drift.Uncounted, a)
		}
		drift.Parts = append(drift.Parts, p)
	}
	sort.SliceStable(drift.Parts, func(i, j int) bool {
		return math.Abs(drift.Parts[i].Count) > math.Abs(drift.Parts[j].Count)+1e-9
	})
	return drift
}
