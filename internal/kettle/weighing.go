package kettle

import (
	"context"
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
)

// Line is one source of a batch and how it is measured.
type Line struct {
	Source *brief.Source
	// Grams are weighed in. TakeG is what to take of the lot for it, before trimming.
	Grams, TakeG float64
	// Scale is what it is measured on, DivisionG the step, and Loads in how many goes.
	Scale     brief.Scale
	DivisionG float64
	Loads     int
	// MostG bounds the amount, so that it stays on its scale.
	MostG float64
	// PackKg is the size of its packs, 0 when it is not known; Packs is how many have to be opened and
	// LeftInPackG what then stays in the last.
	PackKg      float64
	Packs       int
	LeftInPackG float64
	// LeftKg is what stays in the lot.
	LeftKg float64
	// Cost is what the line costs.
	Cost float64
}

// nothing is an amount in grams too small to count.
const nothing = 1e-6

// room is how much more than planned an amount must fit on its scale.
const room = 1.1

// weighing chooses a scale for each source: the finest that takes the amount that the ideal batch has of
// it, and room; the coarsest, in several loads, where none does. Where that is near the most that a scale takes,
// the source is at a hand-over, and those of fine are given to the finer scale, the others to the coarser one. A source that the ideal batch leaves out is weighed
// like the most used one of its ingredient; an ingredient that it leaves out stays out, unless all is set.
func weighing(j *brief.Job, ideal []float64, all bool, fine ...int) []Line {
	lines := make([]Line, len(j.Sources))
	used := map[string]float64{}
	for n, s := range j.Sources {
		used[s.Ingredient.Name] = math.Max(used[s.Ingredient.Name], ideal[n])
	}
	for n, s := range j.Sources {
		grams := ideal[n]
		if grams < nothing {
			grams = used[s.Ingredient.Name]
		}
		l := Line{Source: s, MostG: math.Inf(1)}
		scales := j.ScalesFor(s.Ingredient.Name)
		l.Scale = scales[len(scales)-1]
		for _, scale := range scales {
			if scale.ToG >= grams*room || handedOver(scale, grams) && slices.Contains(fine, n) {
				l.Scale = scale
				l.MostG = scale.ToG
				break
			}
		}
		l.DivisionG = l.Scale.DivisionG
		pack, known := j.Packs[s.Ingredient.Name]
		l.PackKg = pack.Kg
		if s.Lot != nil && s.Lot.PackKg > 0 {
			l.PackKg = s.Lot.PackKg
		}
		if known && pack.Whole {
			l.DivisionG = math.Round(l.PackKg*1000*(1-s.Ingredient.TrimmingLoss)*1e6) / 1e6
			l.MostG = math.Inf(1)
		}
		if grams < nothing && !all {
			l.MostG = 0
		}
		lines[n] = l
	}
	return lines
}

// lines keeps the sources that are used, with what they take from lots and packs.
func (p *Plan) lines(all []Line) {
	at := map[*brief.Source]Line{}
	for _, l := range all {
		at[l.Source] = l
	}
	for _, part := range p.Assessment.Recipe.Parts {
		l := at[part.Source]
		s := part.Source
		l.Grams = part.Amount
		l.TakeG = part.Amount / (1 - s.Ingredient.TrimmingLoss)
		l.Loads = max(1, int(math.Ceil(l.Grams/l.Scale.ToG)))
		l.Cost = s.CostPerGram * l.Grams
		if l.PackKg > 0 {
			l.Packs = int(math.Ceil(l.TakeG/(l.PackKg*1000) - 1e-9))
			l.LeftInPackG = math.Max(0, float64(l.Packs)*l.PackKg*1000-l.TakeG)
		}
		if s.Lot != nil {
			l.LeftKg = math.Max(0, s.Lot.LeftKg()-l.TakeG/1000)
		}
		p.Lines = append(p.Lines, l)
	}
}

// Coarse says that no amounts on the scales' divisions meet the brief, and what would.
type Coarse struct {
	// SearchDone says that the search ended without any: in floating point, with the liquor taken as it is without
	// divisions. Otherwise it gave up.
	SearchDone bool
	// Doses are the amounts that lie worst between divisions, worst first.
	Doses []Dose
	// Litres is the batch size at which the same scales do, 0 when none was found up to MostLitres.
	Litres, MostLitres float64
}

// Dose is an amount that is small against the division it is weighed with.
type Dose struct {
	Line
	// IdealG is what would be weighed on a scale without divisions.
	IdealG float64
	// Share is the division as a share of it.
	Share float64
}

// coarsest is the share of a dose from which its division is called coarse.
const coarsest = 0.02

// tooCoarse finds the doses that the divisions are too coarse for, and the batch size that would do.
func tooCoarse(ctx context.Context, f *formulate.Formulation, o Options, lines []Line, free []float64, done bool) (*Coarse, error) {
	c := &Coarse{SearchDone: done, MostLitres: o.Litres}
	for n, l := range lines {
		if free[n] > 1e-9 && l.DivisionG/free[n] > coarsest {
			c.Doses = append(c.Doses, Dose{Line: l, IdealG: free[n], Share: l.DivisionG / free[n]})
		}
	}
	sortDoses(c.Doses)
	return c, c.larger(ctx, f, o, free)
}
