package study

import (
	"context"
	"fmt"
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/tomlfile"
	"bittersum/solver"
)

// PriceMove is the price per kg (per unit for a blend) of a source as it moves From To. Both are the same
// for a price that is new at once.
type PriceMove struct {
	Name     string
	From, To float64
}

// Repriced is the cheapest recipe while prices move together from where they start to where they end.
type Repriced struct {
	Job *brief.Job // at today's prices
	// Moves are the prices that move, and Now what they are today.
	Moves []PriceMove
	Now   []float64
	// Today is the cheapest recipe at today's prices, or the maker's own.
	Today *assess.Assessment
	// TodayAnswer is set when Today is the brief's cheapest recipe.
	TodayAnswer *Answer
	// Pieces run from the first prices to the last; the recipe is the same all along each.
	Pieces []PricePiece
	// Then is the cheapest recipe at the last prices, with the prices at which unused sources come in.
	Then *Answer
	// Plan says what to buy ahead; nil when it was not asked.
	Plan *BuyingPlan
	// Conflict is set, and the rest is not, when the brief cannot be met at any price.
	Conflict *Answer
}

// PricePiece is an interval of prices on which one recipe is the cheapest. Shares run from 0, the first
// prices, to 1, the last ones.
type PricePiece struct {
	From, To float64
	// CostFrom and CostTo are the least costs per litre at its ends, KeptFrom and KeptTo those of today's
	// recipe.
	CostFrom, CostTo, KeptFrom, KeptTo float64
	// Answer is the recipe, proved and assessed at a price of the piece.
	Answer *Answer
}

// PriceAt returns the price of move n at a share of the way.
func (r *Repriced) PriceAt(n int, share float64) float64 {
	return r.Moves[n].From + share*(r.Moves[n].To-r.Moves[n].From)
}

// Reprice finds the exact prices at which the cheapest recipe changes. today is the recipe in use, nil for
// the brief's cheapest one.
func Reprice(ctx context.Context, j *brief.Job, moves []PriceMove, today *brief.Recipe) (*Repriced, error) {
	r := &Repriced{Job: j, Moves: moves}
	var err error
	if r.Now, err = checkMoves(j, moves); err != nil {
		return nil, err
	}
	answer, err := Cheapest(ctx, j)
	if err != nil {
		return nil, err
	}
	if answer.Conflict != nil {
		r.Conflict = answer
		return r, nil
	}
	if today != nil {
		if r.Today, err = assess.Assess(j, today); err != nil {
			return nil, err
		}
	} else {
		r.TodayAnswer, r.Today = answer, answer.Assessment
	}
	if err := r.pieces(ctx); err != nil {
		return nil, err
	}
	last, err := r.at(1)
	if err != nil {
		return nil, err
	}
	if r.Then, err = Cheapest(ctx, last); err != nil {
		return nil, err
	}
	if r.Then.Conflict != nil {
		return nil, errGone
	}
	r.Then.entries()
	return r, nil
}

// errGone: prices alone make no brief impossible.
var errGone = fmt.Errorf("%w: at other prices there is no recipe", ErrUnproved)

// checkMoves returns today's prices of what moves, or what is wrong.
func checkMoves(j *brief.Job, moves []PriceMove) ([]float64, error) {
	var faults tomlfile.Faults
	seen := map[string]bool{}
	var now []float64
	for _, m := range moves {
		price, ok := PriceOf(j, m.Name)
		now = append(now, price)
		switch {
		case !ok:
			faults = append(faults, tomlfile.Fault{File: j.File, What: fmt.Sprintf("there is no ingredient in use called %q", m.Name), Hint: tomlfile.DidYouMean(m.Name, sourceNames(j))})
		case seen[m.Name]:
			faults = append(faults, tomlfile.Fault{File: j.File, What: fmt.Sprintf("%q is given two prices", m.Name)})
		case !(m.From >= 0) || !(m.To >= 0) || math.IsInf(m.From, 0) || math.IsInf(m.To, 0):
			faults = append(faults, tomlfile.Fault{File: j.File, What: fmt.Sprintf("the price of %q would be below zero", m.Name)})
		}
		seen[m.Name] = true
	}
	return now, faults.Err()
}

// PriceOf returns the price of what a maker calls name: a lot "NAME/LOT", or an ingredient as it is bought.
func PriceOf(j *brief.Job, name string) (float64, bool) {
	if s := j.Source(name); s != nil {
		return s.PricePerKg, true
	}
	for _, s := range j.Sources { // an ingredient of which only lots may be used
		if s.Ingredient.Name == name {
			return s.PricePerKg, true
		}
	}
	return 0, false
}

// sourceNames are the names that prices and shortages can go by.
func sourceNames(j *brief.Job) []string {
	var names []string
	for _, s := range j.Sources {
		names = append(names, s.Name)
		if s.Lot != nil {
			names = append(names, s.Ingredient.Name)
		}
	}
	return names
}

// at returns the job at a share of the way.
func (r *Repriced) at(share float64) (*brief.Job, error) {
	return r.Job.Changed(func(b *brief.Brief) {
		for n, m := range r.Moves {
			b.SetPrice(m.Name, r.PriceAt(n, share))
		}
	})
}

func (r *Repriced) pieces(ctx context.Context) error {
	first, err := r.at(0)
	if err != nil {
		return err
	}
	last, err := r.at(1)
	if err != nil {
		return err
	}
	f, s, err := settled(ctx, first)
	if err != nil {
		return err
	}
	if s.Status != solver.Optimal {
		return fmt.Errorf("%w: at other prices the program is %s", ErrUnproved, s.Status)
	}
	rates := make([]float64, len(f.Problem.Columns))
	moving := false
	for n := range first.Sources {
		rates[n] = last.Sources[n].CostPerGram - first.Sources[n].CostPerGram
		moving = moving || rates[n] != 0
	}
	to := 1.0
	if !moving {
		to = 0
	}
	curve, err := solver.ParametricCosts(ctx, f.Problem, s, rates, 0, to)
	if err != nil {
		return err
	}
	if !moving {
		curve.Pieces = []solver.Piece{{From: 0, To: 0, XFrom: s.X, ObjectiveFrom: s.Objective, ObjectiveTo: s.Objective}}
	}
	r.Pieces = make([]PricePiece, len(curve.Pieces))
	err = each(len(curve.Pieces), func(k int) error {
		c := curve.Pieces[k]
		// In the middle, where no other recipe costs the same.
		middle, err := r.at(rounded((c.From+c.To)/2, 6, 0))
		if err != nil {
			return err
		}
		a, err := Cheapest(ctx, middle)
		if err == nil && a.Conflict != nil {
			err = errGone
		}
		r.Pieces[k] = PricePiece{From: c.From, To: c.To, Answer: a}
		return err
	})
	if err != nil {
		return err
	}
	return r.join(f, rates, curve)
}

// join puts the break-points where the costs of neighbouring recipes are the same. The curve's are those
// of a program at one state of the liquor; the recipes are each at their own, which moves costs and
// break-points a little.
func (r *Repriced) join(f *formulate.Formulation, rates []float64, curve *solver.Curve) error {
	line := func(k int) (cost, rate float64) {
		for n := range f.Job.Sources {
			x := r.Pieces[k].Answer.Solution.X[n]
			cost += f.Problem.Columns[n].Cost * x
			rate += rates[n] * x
		}
		return cost, rate
	}
	for k := range r.Pieces {
		p := &r.Pieces[k]
		cost, rate := line(k)
		if k+1 < len(r.Pieces) {
			next, nextRate := line(k + 1)
			if at := (next - cost) / (rate - nextRate); math.Abs(at-p.To) <= priceTolerance {
				p.To, r.Pieces[k+1].From = at, at
			}
		}
		p.CostFrom, p.CostTo = cost+rate*p.From, cost+rate*p.To
		exact := curve.Pieces[k].ObjectiveFrom + curve.Pieces[k].Slope*(p.From-curve.Pieces[k].From)
		err := agreesOnCost(p.CostFrom, exact)
		if err != nil {
			return err
		}
		if p.KeptFrom, err = r.kept(p.From); err != nil {
			return err
		}
		if p.KeptTo, err = r.kept(p.To); err != nil {
			return err
		}
	}
	return nil
}

// priceTolerance is how far the state of the liquor may move costs and break-points.
const priceTolerance = 1e-3

// agreesOnCost refuses a piece whose proved recipe costs something else than the curve says.
func agreesOnCost(fresh, curve float64) error {
	if math.Abs(fresh-curve) > priceTolerance*(1+math.Abs(curve)) {
		return fmt.Errorf("%w: a fresh solve costs %.9g, the curve %.9g", ErrUnproved, fresh, curve)
	}
	return nil
}

// kept returns what today's recipe costs at a share of the way.
func (r *Repriced) kept(share float64) (float64, error) {
	j, err := r.at(share)
	if err != nil {
		return 0, err
	}
	recipe, _ := j.Here(r.Today.Recipe)
	a, err := assess.Assess(j, recipe)
	if err != nil {
		return 0, err
	}
	return a.Cost.PerLitre, nil
}
