package study

import (
	"errors"
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/profile"
)

// StressOptions say how a recipe is stressed.
type StressOptions struct {
	// Assumed is the coefficient of variation of a natural product's content without a deviation.
	Assumed float64
	// Draws is about how many points each chance is estimated from, Seed chooses them.
	Draws int
	Seed  uint64
	// Known are coefficients of variation that stand in place of the profiles': of what was measured.
	Known map[Figure]float64
}

// Figure is a content of a source; for acidity all its acids and ions.
type Figure struct{ Source, Attribute string }

// Stressed is how sure a recipe keeps its caps and meets its targets when every lot is another one.
type Stressed struct {
	Assessment *assess.Assessment
	// Batch is the number of the batch that was weighed so; empty for a recipe.
	Batch   string
	Options StressOptions
	Caps    []CapChance
	Targets []TargetChance
	Markets []MarketChance
	// Cost is how the cost of a litre varies.
	Cost CostSpread
	// Saleable is what a litre costs, in the brief's currency, when each batch that breaks a cap is thrown
	// away: from the lower and from the upper bound of the chance that any does.
	Saleable [2]float64
	// Assumed are the sources, in the recipe's order, some of whose variation is assumed.
	Assumed []string
	// Unknown are contents that the maker accepted without a figure: no chance covers them.
	Unknown []brief.Accept
	// Left are targets that are not stressed.
	Left []string
}

// Spread is how an outcome varies.
type Spread struct {
	// Expected is the mean; Low, Middle and High are the 5, 50 and 95 % quantiles.
	Expected, Low, Middle, High float64
	// Shares are the sources that make it vary, the largest first.
	Shares []SourceShare
}

// SourceShare is a source's share of an outcome's variance.
type SourceShare struct {
	Source string
	chance.Share
}

// CapChance is the chance that a cap is broken.
type CapChance struct {
	assess.Cap
	Broken chance.Estimate
	Spread
}

// TargetChance is the chance that a target is missed.
type TargetChance struct {
	Name, Unit string
	brief.Range
	Below, Above chance.Estimate
	Spread
}

// MarketChance bounds the chance that any cap of a market is broken, whatever goes together: at least that
// of its likeliest one, at most the sum of all.
type MarketChance struct {
	Market          *profile.Market
	AtLeast, AtMost float64
	// Drawn is that chance as drawn, with what goes together by the profiles.
	Drawn chance.Estimate
	// Unknown are the market's caps that some content without a figure counts toward: no bound covers them.
	Unknown []string
}

// ErrBlend says that a brief is no drink.
var ErrBlend = errors.New("lots vary in a drink; a blend's attributes count as certain")

// Stress works out how sure an assessed recipe is. Contents are lognormal about their expected value and
// independent of each other from source to source; a sum of chances bounds what goes together otherwise.
func Stress(a *assess.Assessment, o StressOptions) (*Stressed, error) {
	if a.Job.Kind != brief.Drink {
		return nil, ErrBlend
	}
	s := &Stressed{Assessment: a, Options: o, Unknown: a.Job.Accepted}
	st := newStress(a, o)
	for _, c := range a.Caps {
		model, outcome, sources, err := st.cap(c.Cap.Cap)
		if err != nil {
			return nil, err
		}
		s.Caps = append(s.Caps, CapChance{Cap: c, Broken: model.Above(&outcome, c.Max, o.Draws), Spread: st.spread(model, outcome, sources)})
	}
	for _, v := range a.Attributes {
		if v.Verdict == assess.NoRange {
			continue
		}
		model, outcome, sources, err := st.target(v.Attribute)
		if err != nil {
			return nil, err
		}
		s.Targets = append(s.Targets, st.judge(v.Name, v.Unit+"/"+perWord(v.Per), v.Target.Range, model, outcome, sources))
	}
	for _, r := range a.Readings {
		switch {
		case r.Verdict == assess.NoRange:
		case r.Reading == brief.PH:
			target, err := st.pH(r.ReadingTarget)
			if err != nil {
				return nil, err
			}
			s.Targets = append(s.Targets, target)
		default:
			s.Left = append(s.Left, string(r.Reading))
		}
	}
	for _, q := range a.Ratios {
		s.Left = append(s.Left, q.Name)
	}
	s.markets()
	var err error
	if s.Cost, err = st.cost(); err != nil {
		return nil, err
	}
	for _, p := range a.Recipe.Parts {
		if st.assumed[p.Source.Name] {
			s.Assumed = append(s.Assumed, p.Source.Name)
		}
	}
	return s, nil
}

func perWord(p profile.Per) string {
	switch p {
	case profile.PerLitre:
		return "L"
	case profile.PerKilogram:
		return "kg"
	}
	return "100 g"
}

// markets bounds the chances by market and over all.
func (s *Stressed) markets() {
	least, most := 0.0, 0.0
	for _, m := range s.Assessment.Job.Markets {
		bound := MarketChance{Market: m}
		for _, c := range s.Caps {
			if c.Market != m {
				continue
			}
			if len(c.Accepted) > 0 {
				bound.Unknown = append(bound.Unknown, c.Substance)
			}
			bound.AtLeast = math.Max(bound.AtLeast, c.Broken.Chance)
			bound.AtMost += c.Broken.AtMost
		}
		bound.AtMost = math.Min(1, bound.AtMost)
		bound.Drawn = s.drawn(m)
		s.Markets = append(s.Markets, bound)
		least = math.Max(least, bound.AtLeast)
		most = math.Min(1, most+bound.AtMost)
	}
	cost := s.Assessment.Cost.PerLitre
	s.Saleable = [2]float64{cost / (1 - least), cost / (1 - most)}
}

// drawn estimates the chance that any cap of a market is broken.
func (s *Stressed) drawn(m *profile.Market) chance.Estimate {
	var limits []GuardedLimit
	for n := range s.Caps {
		if c := &s.Caps[n]; c.Market == m && c.Broken.AtMost > 0 {
			limits = append(limits, GuardedLimit{Guarded: brief.Guarded{Name: c.Substance, Cap: &c.Cap.Cap, Above: true, Value: c.Max}})
		}
	}
	if len(limits) == 0 {
		return chance.Estimate{Method: chance.Exact}
	}
	return anyBroken(s.Assessment, s.Options, limits)
}
