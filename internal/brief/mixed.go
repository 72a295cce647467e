package brief

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/chem"
	"bittersum/internal/profile"
)

// mixed works out what the parts give, or notes why they give nothing and returns nil.
func (r *resolver) mixed(p *profile.Preparation, parts []Part, wrong wrongly) *Source {
	b := potOf(parts)
	m := &Made{Preparation: p, Parts: parts, LiquorL: b.litres(), HeldL: b.held}
	if m.LiquorL <= m.HeldL {
		wrong(p.Lines["name"], "", fmt.Sprintf("gives nothing: of %.4g L the spent plants would keep %.4g L", m.LiquorL, m.HeldL), "")
		return nil
	}
	share, ok := b.obtain(p, m, wrong)
	if !ok {
		return nil
	}
	m.YieldL, m.YieldKg = b.litres(), b.mass/1000
	perGram := share / b.mass
	for _, part := range parts {
		leaves := []Part{{part.Source, 1}}
		if part.Source.Made != nil {
			leaves = part.Source.Made.Leaves
		}
		for _, leaf := range leaves {
			m.Leaves = append(m.Leaves, Part{leaf.Source, leaf.Amount * part.Amount * perGram})
		}
	}
	s := &Source{Name: p.Name, Made: m, Range: Range{0, math.Inf(1)}, Ingredient: &profile.Ingredient{
		Name: p.Name, Title: p.Title, Kind: p.Kind, LabelName: p.Title, SolubleShare: 1, LabourPerKg: p.LabourPerKg, File: p.File, Line: p.Line,
		Cautions: slices.Clone(p.Cautions), Contents: map[string]profile.Content{}, Absent: map[string]profile.Provenance{}, Least: map[string]profile.Content{},
		PhysicalProvenance: profile.Provenance{Source: fromParts, Basis: weakest(parts, func(s *Source) profile.Basis { return s.Ingredient.PhysicalProvenance.Basis })},
	}}
	for _, part := range s.Unfolded() {
		s.Ingredient.OtherPlants = append(s.Ingredient.OtherPlants, part.OtherPlants...)
		for _, plant := range part.Plants {
			if !slices.Contains(s.Ingredient.Plants, plant) {
				s.Ingredient.Plants = append(s.Ingredient.Plants, plant)
			}
		}
	}
	s.contents(r.Library, perGram)
	if !s.strength(b, wrong) {
		return nil
	}
	content := s.Expected(Solids)
	s.Ingredient.SpecificVolume = fine(b.fixed/b.mass + content*boughtVolume(1, content))
	s.priced(b.cost)
	s.dissolve()
	return s
}

// fromParts is the source of what is worked out.
const fromParts = "from its parts"

// contents works out what a gram holds, as a drink made with the parts would: means and deviations add up,
// and the shares that caps are judged with are carried through. What one part has no figure for is unknown
// of the whole; the rest of it is the least that is in it.
func (s *Source) contents(lib *profile.Library, perGram float64) {
	m, g := s.Made, s.Ingredient
	m.Silent = map[string][]string{}
	for _, name := range lib.AttributeNames() {
		var expected, capped, deviation float64
		var from, absent profile.Basis
		for _, p := range m.Parts {
			c, known := p.Source.Content(name)
			if !known {
				m.Silent[name] = append(m.Silent[name], p.Source.Name)
			}
			amount := p.Amount * perGram
			expected += c.PerGram * c.Recovery * amount
			capped += c.PerGram * c.CapRecovery * amount
			deviation += c.SD * c.CapRecovery * amount
			switch some := c.PerGram > 0 || c.SD > 0; {
			case some && c.Basis.Weaker(from):
				from = c.Basis
			case !some && known && c.Basis.Weaker(absent):
				absent = c.Basis
			}
		}
		c := content(expected, capped, deviation)
		c.Provenance = profile.Provenance{Basis: from, Source: fromParts}
		switch {
		case len(m.Silent[name]) > 0:
			g.Unknown = append(g.Unknown, name)
			g.Least[name] = c
		case c.PerGram > 0 || c.SD > 0:
			g.Contents[name] = c
		default:
			g.Absent[name] = profile.Provenance{Basis: absent, Source: fromParts}
		}
	}
	s.solutesOf(perGram)
}

// content returns the content of a gram of which so much is expected in the drink and so much, with its
// deviation, is what caps are judged with.
func content(expected, capped, deviation float64) profile.Content {
	c := profile.Content{PerGram: fine(expected), Recovery: 1, CapRecovery: 1, SD: fine(deviation)}
	switch {
	case expected > 0 && (capped > 0 || deviation == 0):
		c.CapRecovery = fine(capped / expected)
		if c.CapRecovery > 0 {
			c.SD = fine(deviation / c.CapRecovery)
		}
	case capped > 0:
		c.PerGram, c.Recovery = fine(capped), 0
	}
	return c
}

// solutesOf works out the acids and ions of a gram; there are none to state when a part brings acid without
// saying which, or when no part says anything.
func (s *Source) solutesOf(perGram float64) {
	var sum Solutes
	stated := false
	for _, p := range s.Made.Parts {
		stated = stated || p.Source.stated
		for i, mmol := range p.Source.solutes {
			sum[i] += mmol * p.Amount * perGram
		}
	}
	if !stated || s.Sour() {
		return
	}
	s.Ingredient.Solutes = map[string]float64{}
	for i, mmol := range sum {
		if mmol > 0 {
			s.Ingredient.Solutes[chem.Species(i).String()] = fine(mmol)
		}
	}
	s.Ingredient.SolutesProvenance = profile.Provenance{Source: fromParts, Basis: weakest(s.Made.Parts, func(s *Source) profile.Basis { return s.Ingredient.SolutesProvenance.Basis })}
}

const (
	// strengthOver is how far, in % by volume, a measured strength may lie above what the parts give.
	strengthOver = 1
	// strongFrom is the strength in % by volume from which the shares that water brings out of a plant say
	// little.
	strongFrom = 10
)

// strength works out the alcohol, or takes the measured one, and warns where plants are extracted in spirit
// by the figures of water.
func (s *Source) strength(b pot, wrong wrongly) bool {
	m, g, p := s.Made, s.Ingredient, s.Made.Preparation
	gramsPerPercent := EthanolPerPercent * m.YieldL / (1000 * m.YieldKg) // in a gram
	m.AlcoholPercent = b.alcohol / b.mass / gramsPerPercent
	if p.AlcoholPercent > 0 {
		if p.AlcoholPercent > m.AlcoholPercent+strengthOver && len(m.Silent[Alcohol]) == 0 {
			wrong(p.Lines["alcohol_percent"], ".alcohol_percent", fmt.Sprintf("is %v, but the parts give no more than %.3g %% by volume", p.AlcoholPercent, m.AlcoholPercent), "")
			return false
		}
		m.AlcoholPercent = p.AlcoholPercent
		delete(g.Least, Alcohol)
		delete(g.Absent, Alcohol)
		delete(m.Silent, Alcohol)
		g.Unknown = slices.DeleteFunc(g.Unknown, func(name string) bool { return name == Alcohol })
		g.Contents[Alcohol] = profile.Content{PerGram: fine(p.AlcoholPercent * gramsPerPercent), Recovery: 1, CapRecovery: 1, Provenance: p.Provenance}
	}
	var byWater []string
	for _, part := range m.Parts {
		name := part.Source.Ingredient.Name
		if how, ok := p.Extractions[name]; part.Source.Ingredient.HoldUp > 0 && (!ok || how.Method == "" && len(how.Recovery) == 0) {
			byWater = append(byWater, name)
		}
	}
	if m.AlcoholPercent >= strongFrom && len(byWater) > 0 {
		g.Cautions = append(g.Cautions, fmt.Sprintf("%s: at %.0f %% alcohol by volume spirit brings out more or less of %s than its profile says of water; measure it, and say so under extraction", p.Name, m.AlcoholPercent, strings.Join(byWater, ", ")))
	}
	return true
}

// priced works out the price of a kilogram obtained.
func (s *Source) priced(cost float64) {
	g := s.Ingredient
	g.PricePerKg = fine(cost / s.Made.YieldKg)
	g.PriceProvenance = profile.Provenance{Source: fromParts, Basis: weakest(s.Made.Parts, func(s *Source) profile.Basis {
		switch {
		case s.PricePerKg == 0:
			return ""
		case s.PriceFrom == string(s.Ingredient.PriceProvenance.Basis):
			return s.Ingredient.PriceProvenance.Basis
		}
		return profile.Measured // the maker's own
	})}
	s.PricePerKg, s.PriceFrom = g.PricePerKg, string(g.PriceProvenance.Basis)
	s.CostPerGram = (g.PricePerKg + g.LabourPerKg) / 1000
}

// weakest returns the basis of the parts that is to be trusted least.
func weakest(parts []Part, of func(*Source) profile.Basis) profile.Basis {
	var weakest profile.Basis
	for _, p := range parts {
		if b := of(p.Source); b.Weaker(weakest) {
			weakest = b
		}
	}
	return weakest
}

// fine returns x to twelve significant digits, so that exact arithmetic meets short decimals.
func fine(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	return short
}
