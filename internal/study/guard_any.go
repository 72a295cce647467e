package study

import (
	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chance"
	"bittersum/internal/profile"
)

// batch is a model of all that varies in a recipe, in which limits that speak of the same content see the same
// lots.
type batch struct {
	*stress
	chance.Model
	at map[drawnInput]int
}

// any estimates the chance that a batch breaks any of the limits.
func (g *guarding) any(a *assess.Assessment, o StressOptions) chance.Estimate {
	return anyBroken(a, o, g.limits)
}

// anyBroken estimates the chance that a batch breaks any of the limits. Where a model cannot be made, it is certain.
func anyBroken(a *assess.Assessment, o StressOptions, limits []GuardedLimit) chance.Estimate {
	b := &batch{newStress(a, o), chance.Model{Seed: o.Seed}, map[drawnInput]int{}}
	var outcomes []chance.Passing
	for n := range limits {
		l := &limits[n]
		outcome, curved, err := b.outcome(l)
		if err != nil {
			return chance.Estimate{Chance: 1, AtMost: 1}
		}
		if curved {
			o.Draws = min(o.Draws, curvedDraws)
		}
		if l.Above {
			outcomes = append(outcomes, chance.Passing{Outcome: outcome, Limit: l.Value})
		} else {
			outcomes = append(outcomes, chance.Passing{Outcome: outcome.Mirrored(), Limit: -l.Value})
		}
	}
	inputs := make([]drawnInput, len(b.Inputs))
	for input, at := range b.at {
		inputs[at] = input
	}
	if correlate(&b.Model, inputs) != nil {
		return chance.Estimate{Chance: 1, AtMost: 1}
	}
	return b.Any(outcomes, o.Draws)
}

// outcome returns what a limit speaks of as a function of the batch's inputs.
func (b *batch) outcome(l *GuardedLimit) (outcome chance.Outcome, curved bool, err error) {
	if l.Cap == nil && (l.Name == string(brief.PH) || l.Name == brief.Acidity) {
		model, own, err := modelOf(b.stress, l)
		if err != nil {
			return own, true, err
		}
		var places []int
		for n, p := range b.sour() {
			places = append(places, b.input(drawnInput{p, brief.Acidity, false}, model.Inputs[n]))
		}
		return chance.Outcome{Of: func(x []float64) float64 {
			mine := make([]float64, len(places))
			for n, place := range places {
				mine[n] = x[place]
			}
			return own.Of(mine)
		}}, true, nil
	}
	counted, per := []profile.Share{{Substance: l.Name, Max: 1}}, profile.PerLitre
	if l.Cap != nil {
		counted, per = l.Cap.Counted(), l.Cap.Per
	} else {
		per = b.Job.Library.Attributes[l.Name].Per
	}
	type term struct {
		weight            float64
		content, recovery int
	}
	var terms []term
	basis := b.litresOrKilograms(per)
	if l.Cap != nil {
		basis = b.CapBasis(per)
	}
	for _, p := range b.Recipe.Parts {
		for _, share := range counted {
			content, reaches, carries := carried(p.Source, share.Substance, l.Cap != nil)
			if p.Amount == 0 || !carries {
				continue
			}
			d, err := b.content(p.Source, share.Substance, content, false)
			if err != nil {
				return outcome, false, err
			}
			t := term{p.Amount * reaches / basis / share.Max, b.input(drawnInput{p.Source, share.Substance, false}, d), -1}
			if l.Cap == nil && content.Drawn() {
				kettle, err := chance.New(chance.Lognormal, 1, RecoveryVariation, 0, 0)
				if err != nil {
					return outcome, false, err
				}
				t.recovery = b.input(drawnInput{p.Source, share.Substance, true}, kettle)
			}
			terms = append(terms, t)
		}
	}
	return chance.Outcome{Of: func(x []float64) float64 {
		sum := 0.0
		for _, t := range terms {
			v := t.weight * x[t.content]
			if t.recovery >= 0 {
				v *= x[t.recovery]
			}
			sum += v
		}
		return sum
	}}, false, nil
}

// input returns the place of an input, new if it is not there yet.
func (b *batch) input(key drawnInput, d chance.Distribution) int {
	if at, ok := b.at[key]; ok {
		return at
	}
	b.at[key] = len(b.Inputs)
	b.Inputs = append(b.Inputs, d)
	return b.at[key]
}
