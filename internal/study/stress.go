package study

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
)

// How much contents vary where nothing better is known, as coefficients of variation; practice, since
// figures of many lots are rarely published.
const (
	// UsualVariation is that of a natural product's content without a deviation of its own.
	UsualVariation = 0.30
	certificateCV  = 0.10 // of a certificate that states no error
	recoveryCV     = 0.10 // of the share that a kettle brings into the liquor
	weighingCV     = 0.005
)

// StressOptions say how a recipe is stressed.
type StressOptions struct {
	// Assumed is the coefficient of variation of a natural product's content without a deviation.
	Assumed float64
	// Draws is about how many points each chance is estimated from, Seed chooses them.
	Draws int
	Seed  uint64
}

// Stressed is how sure a recipe keeps its caps and meets its targets when every lot is another one.
type Stressed struct {
	Assessment *assess.Assessment
	Options    StressOptions
	Caps       []CapChance
	Targets    []TargetChance
	Markets    []MarketChance
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
	st := stress{Assessment: a, StressOptions: o, served: liquor.Mix(a.Job, a.Recipe.Parts).Served(), assumed: map[string]bool{}}
	for _, c := range a.Caps {
		model, outcome, sources, err := st.sum(c.Substance, c.Per, true)
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
		s.Markets = append(s.Markets, bound)
		least = math.Max(least, bound.AtLeast)
		most = math.Min(1, most+bound.AtMost)
	}
	cost := s.Assessment.Cost.PerLitre
	s.Saleable = [2]float64{cost / (1 - least), cost / (1 - most)}
}

// stress builds the models of one recipe.
type stress struct {
	*assess.Assessment
	StressOptions
	served  liquor.Mixture
	assumed map[string]bool
}

// sum returns the model of an attribute's sum over the recipe: one input for each part that carries it, its
// content with all that makes it vary. For a cap the share that counts is the validated one.
func (st *stress) sum(attribute string, per profile.Per, forCap bool) (*chance.Model, chance.Outcome, []string, error) {
	model := &chance.Model{Seed: st.Seed}
	var outcome chance.Outcome
	var sources []string
	basis := st.served.Litres
	if per == profile.PerKilogram {
		basis = st.served.Kilograms
	} else if per == profile.Per100g {
		basis = 10 * st.served.Kilograms
	}
	for _, p := range st.Recipe.Parts {
		content, _ := p.Source.Content(attribute)
		reaches := content.Recovery
		if forCap {
			reaches = content.CapRecovery
		}
		if p.Amount == 0 || content.PerGram == 0 && content.SD == 0 || reaches == 0 {
			continue
		}
		d, err := st.content(p.Source, attribute, content, !forCap && content.Recovery < 1)
		if err != nil {
			return nil, outcome, nil, fmt.Errorf("%s, %s: %w", p.Source.Name, attribute, err)
		}
		model.Inputs = append(model.Inputs, d)
		outcome.Weights = append(outcome.Weights, p.Amount*reaches/basis)
		sources = append(sources, p.Source.Name)
	}
	return model, outcome, sources, nil
}

// content returns the distribution of a content, with weighing and (if it varies) recovery counted in.
func (st *stress) content(s *brief.Source, attribute string, c profile.Content, extracted bool) (chance.Distribution, error) {
	if c.PerGram == 0 {
		return chance.New(chance.Normal, 0, c.SD, 0, math.MaxFloat64)
	}
	square := 1 + weighingCV*weighingCV
	if extracted {
		square *= 1 + recoveryCV*recoveryCV
	}
	cv := st.variation(s, attribute, c)
	square *= 1 + cv*cv
	return chance.New(chance.Lognormal, c.PerGram, c.PerGram*math.Sqrt(square-1), 0, 0)
}

// variation returns the coefficient of variation of a content, and notes where it is assumed.
func (st *stress) variation(s *brief.Source, attribute string, c profile.Content) float64 {
	switch {
	case c.SD > 0:
		return c.SD / c.PerGram
	case s.Ingredient.Pure:
		return 0
	}
	st.assumed[s.Name] = true
	if s.Lot != nil {
		if _, certified := s.Lot.Contents[attribute]; certified {
			return certificateCV
		}
	}
	return st.Assumed
}

// target returns the model of a target's attribute; acidity comes from the charge balance.
func (st *stress) target(a *profile.Attribute) (*chance.Model, chance.Outcome, []string, error) {
	if a.Name == brief.Acidity {
		return st.dissolved(func(m liquor.Mixture) float64 {
			acidity, err := m.Acidity()
			if err != nil {
				return math.NaN()
			}
			return acidity
		})
	}
	return st.sum(a.Name, a.Per, false)
}

// pH judges the drink's pH: its lower end against the least, its upper end, with the minerals of plants as
// free alkali, against the most that is asked for.
func (st *stress) pH(asked brief.ReadingTarget) (TargetChance, error) {
	least, most := brief.Range{Min: asked.Min, Max: math.Inf(1)}, brief.Range{Min: math.Inf(-1), Max: asked.Max}
	model, lower, sources, err := st.pHOf(false)
	if err != nil {
		return TargetChance{}, err
	}
	t := st.judge(string(asked.Reading), asked.Unit(), least, model, lower, sources)
	if asked.Min != asked.Max {
		if model, lower, sources, err = st.pHOf(true); err != nil {
			return TargetChance{}, err
		}
	}
	upper := st.judge(t.Name, t.Unit, most, model, lower, sources)
	t.Range, t.Above, t.High = asked.Range, upper.Above, upper.High
	return t, nil
}

func (st *stress) pHOf(mineral bool) (*chance.Model, chance.Outcome, []string, error) {
	return st.dissolved(func(m liquor.Mixture) float64 {
		if mineral {
			m = m.Mineral()
		}
		solution := m.Gassed()
		state, err := chem.PH(&solution)
		if err != nil {
			return math.NaN()
		}
		return state.PH
	})
}

// dissolved returns the model of something that the acids and ions of the drink decide: an input for each
// source that brings any, by which all that it brings is multiplied.
func (st *stress) dissolved(of func(liquor.Mixture) float64) (*chance.Model, chance.Outcome, []string, error) {
	model := &chance.Model{Seed: st.Seed}
	var sources []string
	var indices []int
	for n, p := range st.Recipe.Parts {
		brought, _ := p.Source.Solutes()
		acidity, _ := p.Source.Content(brief.Acidity)
		if p.Amount == 0 || brought == (brief.Solutes{}) && acidity.PerGram == 0 {
			continue
		}
		cv := 0.0
		if acidity.PerGram > 0 {
			cv = st.variation(p.Source, brief.Acidity, acidity)
		} else if !p.Source.Ingredient.Pure {
			cv = st.Assumed
			st.assumed[p.Source.Name] = true
		}
		d, err := chance.New(chance.Lognormal, 1, math.Sqrt((1+cv*cv)*(1+weighingCV*weighingCV)-1), 0, 0)
		if err != nil {
			return nil, chance.Outcome{}, nil, err
		}
		model.Inputs = append(model.Inputs, d)
		sources = append(sources, p.Source.Name)
		indices = append(indices, n)
	}
	outcome := chance.Outcome{Of: func(x []float64) float64 {
		parts := slices.Clone(st.Recipe.Parts)
		for i, n := range indices {
			parts[n].Source = parts[n].Source.Scaled(x[i])
		}
		return of(liquor.Mix(st.Job, parts).Served())
	}}
	return model, outcome, sources, nil
}

// judge works out both chances of missing a range.
func (st *stress) judge(name, unit string, r brief.Range, model *chance.Model, outcome chance.Outcome, sources []string) TargetChance {
	t := TargetChance{Name: name, Unit: unit, Range: r}
	draws := st.Draws
	if outcome.Of != nil {
		draws = min(draws, curvedDraws)
	}
	if !math.IsInf(r.Max, 1) {
		t.Above = model.Above(&outcome, r.Max, draws)
	}
	if !math.IsInf(r.Min, -1) {
		mirrored := outcome.Mirrored()
		t.Below = model.Above(&mirrored, -r.Min, draws)
	}
	t.Spread = st.spread(model, outcome, sources)
	return t
}

// curvedDraws bounds the points of an outcome that takes an equilibrium for each.
const curvedDraws = 1 << 13

// spread works out how an outcome varies.
func (st *stress) spread(model *chance.Model, outcome chance.Outcome, sources []string) Spread {
	draws := st.Draws
	if outcome.Of != nil {
		draws = min(draws, curvedDraws/2)
	}
	row := model.Draw([]chance.Outcome{outcome}, draws)[0]
	slices.Sort(row)
	at := func(p float64) float64 { return row[min(int(p*float64(len(row))), len(row)-1)] }
	s := Spread{Low: at(0.05), Middle: at(0.5), High: at(0.95)}
	for _, v := range row {
		s.Expected += v / float64(len(row))
	}
	groups := make([][]int, len(sources))
	for i := range sources {
		groups[i] = []int{i}
	}
	shares, _ := model.Shares(&outcome, groups, draws)
	for i, share := range shares {
		s.Shares = append(s.Shares, SourceShare{sources[i], share})
	}
	slices.SortStableFunc(s.Shares, func(a, b SourceShare) int { return cmp.Compare(b.Total, a.Total) })
	return s
}
