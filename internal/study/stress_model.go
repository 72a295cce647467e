package study

import (
	"cmp"
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

// stress builds the models of one recipe.
type stress struct {
	*assess.Assessment
	variation
	served liquor.Mixture
}

func newStress(a *assess.Assessment, o StressOptions) *stress {
	return &stress{a, newVariation(o), liquor.Mix(a.Job, a.Recipe.Parts).Served()}
}

// cap returns the model of what a cap counts, each substance of a sum over its own maximum.
func (st *stress) cap(c profile.Cap) (*chance.Model, chance.Outcome, []string, error) {
	return st.sum(c.Counted(), c.Per, true)
}

// sum returns the model of a sum over the recipe: one input for each part and substance that it carries, its
// content with all that makes it vary. For a cap the share that counts is the validated one.
func (st *stress) sum(counted []profile.Share, per profile.Per, forCap bool) (*chance.Model, chance.Outcome, []string, error) {
	model := &chance.Model{Seed: st.Seed}
	var outcome chance.Outcome
	var sources []string
	var inputs []drawnInput
	basis := st.litresOrKilograms(per)
	if forCap {
		basis = st.CapBasis(per)
	}
	for _, p := range st.Recipe.Parts {
		for _, share := range counted {
			content, reaches, carries := carried(p.Source, share.Substance, forCap)
			if p.Amount == 0 || !carries {
				continue
			}
			d, err := st.content(p.Source, share.Substance, content, !forCap && content.Drawn())
			if err != nil {
				return nil, outcome, nil, fmt.Errorf("%s, %s: %w", p.Source.Name, share.Substance, err)
			}
			model.Inputs = append(model.Inputs, d)
			outcome.Weights = append(outcome.Weights, p.Amount*reaches/basis/share.Max)
			sources = append(sources, p.Source.Name)
			inputs = append(inputs, drawnInput{source: p.Source, substance: share.Substance})
		}
	}
	return model, outcome, sources, correlate(model, inputs)
}

// litresOrKilograms returns what sums are divided by for values per p.
func (st *stress) litresOrKilograms(p profile.Per) float64 {
	switch p {
	case profile.PerKilogram:
		return st.served.Kilograms
	case profile.Per100g:
		return 10 * st.served.Kilograms
	}
	return st.served.Litres
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
	return st.sum([]profile.Share{{Substance: a.Name, Max: 1}}, a.Per, false)
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

// bringsCharge reports whether a part brings acids or ions.
func bringsCharge(p brief.Part) bool {
	brought, _ := p.Source.Solutes()
	acidity, _ := p.Source.Content(brief.Acidity)
	return p.Amount != 0 && (brought != (brief.Solutes{}) || acidity.PerGram != 0)
}

// sour returns the sources of the inputs of dissolved.
func (st *stress) sour() (sources []*brief.Source) {
	for _, p := range st.Recipe.Parts {
		if bringsCharge(p) {
			sources = append(sources, p.Source)
		}
	}
	return sources
}

// dissolved returns the model of something that the acids and ions of the drink decide: an input for each
// source that brings any, by which all that it brings is multiplied.
func (st *stress) dissolved(of func(liquor.Mixture) float64) (*chance.Model, chance.Outcome, []string, error) {
	model := &chance.Model{Seed: st.Seed}
	var sources []string
	var indices []int
	for n, p := range st.Recipe.Parts {
		if !bringsCharge(p) {
			continue
		}
		d, err := chance.New(chance.Lognormal, 1, st.sourness(p.Source), 0, 0)
		if err != nil {
			return nil, chance.Outcome{}, nil, err
		}
		model.Inputs = append(model.Inputs, d)
		sources = append(sources, p.Source.Name)
		indices = append(indices, n)
	}
	mixture := liquor.Scaling(st.Job, st.Recipe.Parts, indices)
	outcome := chance.Outcome{Of: func(x []float64) float64 { return of(mixture(x).Served()) }}
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
	return spreadOf(model, outcome, sources, draws)
}

// spreadOf works out how an outcome varies from about so many points.
func spreadOf(model *chance.Model, outcome chance.Outcome, sources []string, draws int) Spread {
	row := model.Draw([]chance.Outcome{outcome}, draws)[0]
	slices.Sort(row)
	at := func(p float64) float64 { return row[min(int(p*float64(len(row))), len(row)-1)] }
	s := Spread{Low: at(0.05), Middle: at(0.5), High: at(0.95)}
	for _, v := range row {
		s.Expected += v / float64(len(row))
	}
	var names []string
	var groups [][]int // one source may bring several of what is counted
	for i, name := range sources {
		at := slices.Index(names, name)
		if at < 0 {
			at = len(names)
			names, groups = append(names, name), append(groups, nil)
		}
		groups[at] = append(groups[at], i)
	}
	shares, _ := model.Shares(&outcome, groups, draws)
	for i, share := range shares {
		s.Shares = append(s.Shares, SourceShare{names[i], share})
	}
	slices.SortStableFunc(s.Shares, func(a, b SourceShare) int { return cmp.Compare(b.Total, a.Total) })
	return s
}
