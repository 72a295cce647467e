package study

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/tomlfile"
	"bittersum/solver"
)

// Shortage is an ingredient, or a single lot "NAME/LOT", of which there is nothing or little.
type Shortage struct {
	Name string
	// Most is what may be used, in g/L (units for a blend); zero when it is gone.
	Most float64
}

// SwapOptions say what a swap may do.
type SwapOptions struct {
	Short []Shortage
	// Within caps the drift from today's recipe; infinite when the brief alone binds.
	Within float64
	// Closest asks for the least drift first, and the least cost second.
	Closest bool
	// Today is the recipe in use; nil stands for the brief's cheapest one.
	Today *brief.Recipe
}

// Swapped is the cheapest mix when ingredients are short, beside today's recipe.
type Swapped struct {
	Job     *brief.Job // with the shortages
	Options SwapOptions
	// Answer is the mix with its proof, or the conflict when there is none.
	Answer *Answer
	// Before judges today's recipe, by the brief without shortages.
	Before *assess.Assessment
	Drift  Drift
	// Trade is what closeness costs: from the closest mix to the cheapest.
	Trade []TradePoint
	// Lost are the attributes that no mix within the brief brings back to a just noticeable difference.
	Lost []Lost
	// Dropped are the least amounts that the brief asks for of what is short.
	Dropped []formulate.Limit
}

// TradePoint is the least cost per litre at a drift.
type TradePoint struct{ Drift, Cost float64 }

// Lost is a note that cannot be replaced: the nearest value any mix within the brief comes to.
type Lost struct {
	DriftPart
	Nearest float64
}

// Cost returns what the scarcity costs per litre.
func (s *Swapped) Cost() float64 { return s.Answer.Assessment.Cost.PerLitre - s.Before.Cost.PerLitre }

// Swap finds the cheapest mix within the brief when ingredients are short. A brief that cannot be met,
// with or without them, is told by Answer.Conflict.
func Swap(ctx context.Context, j *brief.Job, o SwapOptions) (*Swapped, error) {
	if err := checkShort(j, o.Short); err != nil {
		return nil, err
	}
	out := &Swapped{Job: j, Options: o}
	if err := out.before(ctx, j); err != nil || out.Answer != nil {
		return out, err
	}
	short, err := j.Changed(func(b *brief.Brief) {
		for _, s := range o.Short {
			withhold(j, b, s)
		}
	})
	if err != nil {
		return nil, err
	}
	out.Job = short
	for _, l := range formulate.New(j).Limits {
		if l.Kind == formulate.Use && l.Side != formulate.Max && short.Limits[l.Name].Min < l.Value {
			out.Dropped = append(out.Dropped, l)
		}
	}
	if out.Answer, err = Cheapest(ctx, short); err != nil || out.Answer.Conflict != nil {
		return out, err
	}
	if err := out.trade(ctx); err != nil {
		return nil, err
	}
	if out.Answer.Conflict != nil {
		return out, nil
	}
	out.Drift = DriftBetween(out.Before, out.Answer.Assessment)
	return out, out.lost(ctx)
}

func checkShort(j *brief.Job, short []Shortage) error {
	names := sourceNames(j)
	var faults tomlfile.Faults
	for n, s := range short {
		if !slices.Contains(names, s.Name) {
			faults = append(faults, tomlfile.Fault{File: j.File, What: fmt.Sprintf("there is no ingredient in use called %q", s.Name), Hint: tomlfile.DidYouMean(s.Name, names)})
		}
		if slices.ContainsFunc(short[:n], func(o Shortage) bool { return o.Name == s.Name }) {
			faults = append(faults, tomlfile.Fault{File: j.File, What: fmt.Sprintf("%q is said to be short twice", s.Name)})
		}
	}
	return faults.Err()
}

// withhold puts a shortage into the brief of a job. What may be used of a lot counts as weighed in, once
// trimmed, and what batches took of it already stays taken.
func withhold(j *brief.Job, b *brief.Brief, s Shortage) {
	ingredient, number, lot := strings.Cut(s.Name, "/")
	if !lot {
		b.Withhold(ingredient, s.Most)
		return
	}
	loss := j.Source(s.Name).Ingredient.TrimmingLoss
	for n := range b.Lots {
		if l := &b.Lots[n]; l.Ingredient == ingredient && l.Number == number {
			l.QuantityKg = math.Min(l.QuantityKg, l.DrawnKg()+s.Most*b.BatchL/1000/(1-loss))
		}
	}
}

// before judges today's recipe.
func (s *Swapped) before(ctx context.Context, j *brief.Job) error {
	if s.Options.Today != nil {
		a, err := assess.Assess(j, s.Options.Today)
		s.Before = a
		return err
	}
	a, err := Cheapest(ctx, j)
	if err != nil {
		return err
	}
	if a.Conflict != nil {
		s.Answer = a
		return nil
	}
	s.Before = a.Assessment
	return nil
}

// trade follows the least cost from the drift of the cheapest mix down to the closest one, and takes the
// mix that was asked for.
func (s *Swapped) trade(ctx context.Context) error {
	free := DriftBetween(s.Before, s.Answer.Assessment).Total
	asked := math.Min(s.Options.Within, free)
	near := &brief.Near{Marks: marks(s.Before)}
	if len(near.Marks) == 0 || free < 1e-6 {
		s.Trade = []TradePoint{{free, s.Answer.LeastCost}}
		return nil
	}
	at := func(within float64) (*brief.Job, error) {
		limit := *near
		limit.Within = within
		return s.Job.Changed(func(b *brief.Brief) { b.Near = &limit })
	}
	path, start, err := s.followDrift(ctx, at, free)
	if err != nil {
		return err
	}
	for k := range path.Pieces {
		if k == 0 {
			s.Trade = append(s.Trade, TradePoint{start + path.Pieces[k].From, path.Pieces[k].ObjectiveFrom})
		}
		s.Trade = append(s.Trade, TradePoint{start + path.Pieces[k].To, path.Pieces[k].ObjectiveTo})
	}
	s.Trade = apart(s.Trade)
	least := 0.0
	if len(s.Trade) > 0 {
		least = math.Max(0, s.Trade[0].Drift)
	}
	switch {
	case s.Options.Closest:
		asked = least
	case asked >= free*(1-1e-9):
		return nil // the cheapest mix is close enough
	}
	// A hair more than the least, which arithmetic can miss and the state of the liquor can move.
	hairs := []float64{0}
	if asked <= least*(1+1e-9) && asked >= least*(1-1e-9) {
		hairs = []float64{1e-7, 1e-5, 1e-3}
	}
	for _, hair := range hairs {
		j, err := at(rounded(asked+hair*(1+asked), 9, 1))
		if err != nil {
			return err
		}
		if s.Answer, err = Cheapest(ctx, j); err != nil {
			return err
		}
		if s.Answer.Conflict == nil {
			break
		}
	}
	if s.Answer.Conflict != nil {
		return nil
	}
	return agreesOnDrift(DriftBetween(s.Before, s.Answer.Assessment).Total, asked)
}

// agreesOnDrift refuses a mix that the assessment finds farther off than the program was asked for; a
// hundredth is left to what is counted as if a litre weighed a kilogram.
func agreesOnDrift(assessed, asked float64) error {
	if assessed > asked+0.01*(1+asked) {
		return fmt.Errorf("%w: the assessment finds a drift of %.4g, the program one of %.4g", ErrUnproved, assessed, asked)
	}
	return nil
}

// apart drops points that lie closer to the one before than anyone can taste or pay.
func apart(trade []TradePoint) []TradePoint {
	kept := trade[:min(1, len(trade))]
	for n := 1; n < len(trade); n++ {
		last := kept[len(kept)-1]
		switch {
		case trade[n].Drift-last.Drift > 2e-3*last.Drift, last.Cost-trade[n].Cost > 2e-3*last.Cost:
			kept = append(kept, trade[n])
		case n == len(trade)-1 && len(kept) > 1:
			kept[len(kept)-1] = trade[n]
		}
	}
	return kept
}

// followDrift returns the path of the least cost as the allowed drift falls to nothing, and where it starts:
// at that of a recipe, or a little above where the amounts as printed drift less than any that meet the
// brief to the last digit.
func (s *Swapped) followDrift(ctx context.Context, at func(float64) (*brief.Job, error), free float64) (*solver.Path, float64, error) {
	var f *formulate.Formulation
	var solution *solver.Solution
	start := free
	for _, share := range []float64{1e-9, 1e-6, 1e-4, 1e-3} {
		start = free * (1 + share)
		j, err := at(start)
		if err != nil {
			return nil, 0, err
		}
		if f, solution, err = settled(ctx, j); err != nil {
			return nil, 0, err
		}
		if solution.Status == solver.Optimal {
			break
		}
	}
	if solution.Status != solver.Optimal {
		return nil, 0, fmt.Errorf("%w: the drift of a recipe excludes the recipe", ErrUnproved)
	}
	path, err := solver.Follow(ctx, f.Problem, solution, f.Direction(limitOf(f, formulate.Drift, "drift")), -start, 0)
	return path, start, err
}

// lost asks for every attribute that differs by a just noticeable difference or more how near any mix
// within the brief comes.
func (s *Swapped) lost(ctx context.Context) error {
	f, cheapest, err := settled(ctx, s.Job)
	if err != nil {
		return err
	}
	for _, part := range s.Drift.Parts {
		if math.Abs(part.Count) < 1-1e-9 {
			continue
		}
		nearest, err := nearest(ctx, f, cheapest, part)
		if err != nil {
			return err
		}
		if math.Abs(nearest-part.Before) > part.JND*(1-1e-9) {
			s.Lost = append(s.Lost, Lost{part, nearest})
		}
	}
	return nil
}

// nearest returns the value closest to what an attribute was that any mix within the brief has, from the
// program of the brief and a solution of it.
func nearest(ctx context.Context, f *formulate.Formulation, s *solver.Solution, part DriftPart) (float64, error) {
	content, basis := f.Content(part.Attribute)
	sense := solver.Maximize
	if part.Count > 0 {
		sense = solver.Minimize
	}
	value, ok, err := bestRatio(ctx, f.Problem, content, basis, sense, s.Basis)
	if err != nil || !ok {
		return part.After, err
	}
	if sense == solver.Maximize {
		return math.Min(value, part.Before), nil
	}
	return math.Max(value, part.Before), nil
}
