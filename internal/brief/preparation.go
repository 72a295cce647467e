package brief

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// Made is how a preparation was worked out from its parts.
type Made struct {
	Preparation *profile.Preparation
	// Parts are what goes in, in grams, and Leaves the same without preparations of their own, in grams
	// for each gram obtained.
	Parts, Leaves []Part
	// LiquorL is the litres that the parts make and HeldL what the spent plants keep of them; YieldL and
	// YieldKg are obtained. LostL is what is missing of the rest.
	LiquorL, HeldL, YieldL, YieldKg, LostL float64
	// AlcoholPercent is the strength in % by volume.
	AlcoholPercent float64
	// Silent are, by attribute, the parts that have no figure for it.
	Silent map[string][]string
}

func (m *Made) any(is func(*Source) bool) bool {
	return slices.ContainsFunc(m.Leaves, func(p Part) bool { return is(p.Source) })
}

// Unfolded returns the ingredients that the source brings, for rules that hang on them: a preparation's
// own parts, or the ingredient itself.
func (s *Source) Unfolded() []*profile.Ingredient {
	if s.Made == nil {
		return []*profile.Ingredient{s.Ingredient}
	}
	var all []*profile.Ingredient
	for _, leaf := range s.Made.Leaves {
		all = append(all, leaf.Source.Ingredient)
	}
	return all
}

// Unfolded returns the parts of the recipe with each preparation replaced by what it was made of. What the
// spent plants of a preparation kept is left out.
func (r *Recipe) Unfolded() []Part {
	out := make([]Part, 0, len(r.Parts))
	for _, p := range r.Parts {
		if p.Source.Made == nil {
			out = append(out, p)
			continue
		}
		for _, leaf := range p.Source.Made.Leaves {
			out = append(out, Part{leaf.Source, leaf.Amount * p.Amount})
		}
	}
	return out
}

// Prepare works out the preparations of a library from the profiles of their parts and returns a library
// in which they stand among the ingredients, and them as sources by name. Lots that they name count as their
// ingredient's profile says. The error is a tomlfile.Faults; the rest is worked out all the same.
func Prepare(lib *profile.Library) (*profile.Library, map[string]*Source, error) {
	if len(lib.Preparations) == 0 {
		return lib, nil, nil
	}
	r := &resolver{Job: &Job{Brief: &Brief{Kind: Drink}, Library: copied(lib)}, made: map[string]*Source{}}
	for _, name := range sortedNames(lib.Preparations) {
		r.prepare(name, nil)
	}
	return r.Library, r.made, r.faults.Err()
}

// preparations works out those that the brief uses or has lots or prices of.
func (r *resolver) preparations() {
	r.made = map[string]*Source{}
	if len(r.Library.Preparations) == 0 || r.Kind != Drink {
		return
	}
	r.Library = copied(r.Library)
	for _, name := range sortedNames(r.Library.Preparations) {
		inUse := slices.ContainsFunc(r.Use, func(ref Ref) bool { return ref.Name == name })
		before := len(r.faults)
		r.prepare(name, nil)
		if !inUse {
			r.faults = r.faults[:before] // what is not used need not be right
		}
	}
}

// madeOf returns how the ingredient of that name was made, or nil.
func (r *resolver) madeOf(name string) *Made {
	if s := r.made[name]; s != nil {
		return s.Made
	}
	return nil
}

// prepare works out one preparation; chain are those that it is a part of. It returns nil when something is
// wrong, which is noted.
func (r *resolver) prepare(name string, chain []string) *Source {
	if s, done := r.made[name]; done {
		return s
	}
	p := r.Library.Preparations[name]
	wrong := func(line int, key, what, hint string) {
		r.faults = append(r.faults, tomlfile.Fault{File: p.File, Line: line, Key: "preparation." + name + key, What: what, Hint: hint})
	}
	if slices.Contains(chain, name) {
		wrong(p.Lines["name"], "", "is made of itself: "+strings.Join(append(chain[slices.Index(chain, name):], name), ", of "), "")
		return nil
	}
	before := len(r.faults)
	var parts []Part
	for _, part := range p.Parts {
		if s := r.part(p, part, append(slices.Clone(chain), name), wrong); s != nil {
			parts = append(parts, Part{s, part.Grams})
		}
	}
	for _, at := range sortedNames(p.Extractions) {
		r.checkExtraction(p, at, wrong)
	}
	var s *Source
	if len(r.faults) == before {
		s = r.mixed(p, parts, wrong)
	}
	if len(r.faults) > before {
		s = nil
	}
	r.made[name] = s
	if s != nil {
		r.Library.Ingredients[name] = s.Ingredient
	}
	return s
}

// part looks up one part and returns it as it comes out of its extraction.
func (r *resolver) part(p *profile.Preparation, part profile.PreparationPart, chain []string, wrong func(int, string, string, string)) *Source {
	name, number, ofLot := strings.Cut(part.Name, "/")
	key := ".grams." + part.Name
	if r.Library.Preparations[name] != nil && !ofLot {
		return r.prepare(name, chain)
	}
	g := r.Library.Ingredients[name]
	switch {
	case g == nil && r.Library.Preparations[name] != nil:
		wrong(part.Line, key, fmt.Sprintf("%q is a preparation; name it without a lot here", name), "")
		return nil
	case g == nil:
		wrong(part.Line, key, fmt.Sprintf("there is no ingredient %q", name), tomlfile.DidYouMean(name, r.Library.Names()))
		return nil
	case !g.Physical():
		wrong(part.Line, key, fmt.Sprintf("%q has no specific_volume_ml_per_g in its profile; a preparation needs it", name), "")
		return nil
	}
	s := &Source{Name: part.Name, Range: Range{0, math.Inf(1)}}
	limit, limited := r.Limits[name]
	if !limited {
		limit.PricePerKg = nan
	}
	s.PricePerKg, s.PriceFrom = r.price(g, limit)
	if ofLot && r.LotsFile != "" {
		lots := &Lots{Lots: r.Lots}
		if s.Lot = lots.Find(number); s.Lot == nil || s.Lot.Ingredient != name {
			s.Lot = nil
			wrong(part.Line, key, fmt.Sprintf("%s has no lot %q of %s", r.LotsFile, number, name), tomlfile.DidYouMean(number, lots.numbers()))
			return nil
		}
		if s.Lot.State != Accepted { // what has been used up or is past its date may have gone into it before
			wrong(part.Line, key, fmt.Sprintf("lot %s %s", number, s.Lot.WhyNot(time.Time{})), "")
			return nil
		}
		if !math.IsNaN(s.Lot.PricePerKg) {
			s.PricePerKg, s.PriceFrom = s.Lot.PricePerKg, "lot "+number
		}
	} else if ofLot && r.File != "" {
		wrong(part.Line, key, fmt.Sprintf("names lot %q, but the brief names no lots file", number), `add lots = "lots.toml" to the brief`)
		return nil
	}
	s.Ingredient = g
	if how, ok := p.Extractions[name]; ok {
		s.Ingredient = extract(g, s.Lot, how.Method, how.Over(methodOf(g, how.Method)), how.Times)
	} else if wet(s.Lot) {
		s.Ingredient = extract(g, s.Lot, "", methodOf(g, ""), 1)
	}
	s.CostPerGram = (s.PricePerKg/(1-g.TrimmingLoss) + g.LabourPerKg) / 1000
	s.dissolve()
	return s
}

// checkExtraction notes an extraction of what is no part, and of a method that its profile does not know.
func (r *resolver) checkExtraction(p *profile.Preparation, name string, wrong func(int, string, string, string)) {
	how := p.Extractions[name]
	var in []string
	for _, part := range p.Parts {
		of, _, _ := strings.Cut(part.Name, "/")
		in = append(in, of)
	}
	key := ".extraction." + name
	if !slices.Contains(in, name) {
		wrong(how.Line, key, fmt.Sprintf("%q is no part of it", name), tomlfile.DidYouMean(name, in))
		return
	}
	g := r.Library.Ingredients[name]
	if r.Library.Preparations[name] != nil {
		wrong(how.Line, key, fmt.Sprintf("%q is a preparation, which is extracted already", name), "")
		return
	}
	if g == nil {
		return
	}
	if how.Method != "" && !g.Knows(how.Method) {
		wrong(how.Line, key+".method", noMethod(name, how.Method), knownMethods(g, how.Method))
	}
	for _, attribute := range sortedNames(how.Recovery) {
		if _, given := g.Contents[attribute]; !given {
			wrong(how.Line, key+".recovery."+attribute, fmt.Sprintf("the profile of %q has no content of %s to recover", name, attribute), "")
		}
	}
}

func sortedNames[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
