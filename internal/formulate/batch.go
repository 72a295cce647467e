package formulate

import (
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/solver"
)

const (
	// exactly is the share of the assessment's tolerance by which a batch may miss a limit that asks for one
	// value exactly: no scale can do without, and rounding needs the rest.
	exactly = 0.8
	// hair is how far, as a share, a batch stays below each cap, so that what floating point finds holds
	// in exact arithmetic.
	hair = 1e-7
	// swell is how much more than asked a batch is made to recover, as a share: the volumes of its rows are
	// those of the recipe before rounding.
	swell = 2e-5
)

// Weighed says how a source is measured in a batch.
type Weighed struct {
	// DivisionG is the step in grams. LeastG is the least amount that can be weighed at all, other than
	// nothing, and MostG the largest, which may be infinite.
	DivisionG, LeastG, MostG float64
}

// BatchOptions says how a batch is to be made.
type BatchOptions struct {
	// Litres is the least to recover and MostLitres the most; more than one division of water lies between.
	Litres, MostLitres float64
	// Weighed is how each of the job's sources is measured.
	Weighed []Weighed
	// FirstOut has a lot used up before the next one of its ingredient is opened.
	FirstOut bool
	// Free leaves amounts off the divisions: the bound that rounding is measured against.
	Free bool
}

// Batch is the program of one batch. Column j is source j in divisions of its scale (in grams where Free);
// the columns after the sources are the litres of liquor, the litres recovered, and, for each lot that is
// followed by another, whether it is used up.
//
// It is the program per litre with every row multiplied by the litres recovered, which are a column of
// their own: all its rows are homogeneous but the size of the batch, the lots and the supply.
type Batch struct {
	*Formulation
	Options BatchOptions
	Problem *solver.Problem
	// Yield is the column of the litres recovered.
	Yield int
}

// Batch builds the program of a batch.
func (f *Formulation) Batch(o BatchOptions) *Batch {
	b := &Batch{Formulation: f, Options: o, Problem: &solver.Problem{Name: f.Job.Name}}
	for j, s := range f.Job.Sources {
		step := b.step(j)
		column := solver.Column{Name: s.Name, Cost: s.CostPerGram * step, Upper: b.most(j) / step, Kind: solver.Integer}
		if o.Free {
			column.Kind = solver.Continuous
		} else {
			column.Upper = math.Floor(column.Upper * (1 + 1e-12))
		}
		b.Problem.AddColumn(column)
	}
	b.Problem.AddColumn(solver.Column{Name: "liquor", Upper: solver.Inf})
	least := o.Litres
	if !o.Free {
		least *= 1 + swell
	}
	b.Yield = b.Problem.AddColumn(solver.Column{Name: "yield", Lower: least, Upper: o.MostLitres})
	for _, l := range f.Limits {
		b.limit(l)
	}
	b.supplies()
	b.least()
	if o.FirstOut {
		b.firstOut()
	}
	return b
}

// least makes each source that a scale takes only from some amount on either nothing or that much.
func (b *Batch) least() {
	for j, w := range b.Options.Weighed {
		if w.LeastG <= w.DivisionG || b.Options.Free {
			continue
		}
		name := b.Job.Sources[j].Name
		some := b.Problem.AddColumn(solver.Column{Name: "some " + name, Upper: 1, Kind: solver.Integer})
		b.Problem.AddRow(solver.Row{Name: "least " + name, Lower: 0, Upper: solver.Inf,
			Terms: []solver.Term{{Column: j, Value: 1}, {Column: some, Value: -math.Ceil(w.LeastG / w.DivisionG * (1 - 1e-12))}}})
		b.Problem.AddRow(solver.Row{Name: "none " + name, Lower: -solver.Inf, Upper: 0,
			Terms: []solver.Term{{Column: j, Value: 1}, {Column: some, Value: -b.Problem.Columns[j].Upper}}})
	}
}

// step is what one unit of source j's column weighs, in grams.
func (b *Batch) step(j int) float64 {
	if b.Options.Free {
		return 1
	}
	return b.Options.Weighed[j].DivisionG
}

// most is an upper bound on the grams of source j: its lot, its scale, or what fills the batch alone.
func (b *Batch) most(j int) float64 {
	s := b.Job.Sources[j]
	most := math.Min(b.Options.Weighed[j].MostG, b.Held(j))
	g := s.Ingredient
	// Volumes swell by a few percent at most with the state of the liquor.
	if filled := 0.9*b.Job.Kept()*g.SolubleShare*g.SpecificVolume/1000 - g.HoldUp; filled > 1e-5 {
		most = math.Min(most, b.Options.MostLitres/filled)
	}
	return math.Min(most, 1e5*b.Options.MostLitres)
}

// Held is how many grams of source j its lot gives once trimmed, infinite when it is no lot.
func (b *Batch) Held(j int) float64 {
	s := b.Job.Sources[j]
	if s.Lot == nil {
		return math.Inf(1)
	}
	return s.Lot.LeftKg() * 1000 * (1 - s.Ingredient.TrimmingLoss)
}

// scaled returns terms over amounts per litre as terms over the columns of the batch.
func (b *Batch) scaled(terms []solver.Term) []solver.Term {
	out := make([]solver.Term, len(terms))
	for n, t := range terms {
		out[n] = t
		if t.Column < len(b.Job.Sources) {
			out[n].Value *= b.step(t.Column)
		}
	}
	return out
}

// limit adds the rows of one limit of the program per litre.
func (b *Batch) limit(l Limit) {
	name := string(l.Kind) + " " + l.Name
	switch l.Kind {
	case Recovery:
		terms := append(b.scaled(b.Formulation.Problem.Rows[l.Row].Terms), solver.Term{Column: b.Yield, Value: -1})
		b.Problem.AddRow(solver.Row{Name: "recovery", Terms: terms})
		return
	case Volume:
		b.Problem.AddRow(solver.Row{Name: "volume", Terms: b.scaled(b.Formulation.Problem.Rows[l.Row].Terms)})
		return
	case Capped:
		name += " " + l.Cap.Market.Name
	}
	add := func(side Side, value float64) {
		terms := b.Excess(l, value)
		if l.Linear() {
			terms = b.less(terms, value, []solver.Term{{Column: b.Yield, Value: 1}})
		}
		row := solver.Row{Name: name + " " + string(side), Lower: 0, Upper: solver.Inf, Terms: b.scaled(terms)}
		if side == Max {
			row.Lower, row.Upper = -solver.Inf, 0
		}
		b.Problem.AddRow(row)
	}
	switch {
	case l.Kind == Capped:
		add(Max, l.Value*(1-hair))
	case l.Side == Exact:
		within := exactly * assess.Tolerance * math.Abs(l.Value)
		if l.Kind == Reading {
			within = exactly * assess.ReadingTolerance[brief.Reading(l.Name)]
		}
		add(Min, l.Value-within)
		add(Max, l.Value+within)
	default:
		add(l.Side, l.Value)
	}
}

// supplies bounds what can be had of an ingredient for the batch, as bought, whatever its size turns out to be.
func (b *Batch) supplies() {
	for _, ref := range b.Job.Use {
		limit, ok := b.Job.Limits[ref.Name]
		if !ok || math.IsInf(limit.SupplyKg, 1) {
			continue
		}
		terms := b.amounts(func(name string) bool { return name == ref.Name })
		b.Problem.AddRow(solver.Row{Name: "supply " + ref.Name, Lower: -solver.Inf, Upper: limit.SupplyKg * 1000 * b.trimmed(ref.Name), Terms: b.scaled(terms)})
	}
}

// Queues returns, for each ingredient with lots, its sources in the order in which they are to be used:
// lots first expiring first, then what is still to be bought.
func (f *Formulation) Queues() [][]int {
	at := map[string]int{}
	var queues [][]int
	for j, s := range f.Job.Sources {
		n, ok := at[s.Ingredient.Name]
		if !ok {
			n = len(queues)
			at[s.Ingredient.Name] = n
			queues = append(queues, nil)
		}
		queues[n] = append(queues[n], j)
	}
	for _, q := range queues {
		slices.SortStableFunc(q, func(i, j int) int {
			a, b := f.Job.Sources[i].Lot, f.Job.Sources[j].Lot
			switch {
			case a == nil && b == nil:
				return 0
			case a == nil:
				return 1
			case b == nil:
				return -1
			}
			return brief.Sooner(a, b)
		})
	}
	return slices.DeleteFunc(queues, func(q []int) bool { return len(q) < 2 })
}

// firstOut adds, for each lot that another source follows, a column that is 1 only if the lot is used up
// to its last division, and lets the next be used only then.
func (b *Batch) firstOut() {
	for _, queue := range b.Queues() {
		for len(queue) > 1 && b.Problem.Columns[queue[len(queue)-1]].Upper == 0 {
			queue = queue[:len(queue)-1] // left out, and nothing after it
		}
		before := -1
		for n, j := range queue[:len(queue)-1] {
			next := queue[n+1]
			whole := b.Held(j) / b.step(j)
			if !b.Options.Free {
				whole = math.Floor(whole * (1 + 1e-12))
			}
			if b.Held(j) < b.Options.Weighed[j].LeastG { // a crumb that its scale does not take is in nobody's way
				whole = 0
			}
			used := b.Problem.AddColumn(solver.Column{Name: "used up " + b.Job.Sources[j].Name, Upper: 1, Kind: solver.Integer})
			b.Problem.AddRow(solver.Row{Name: "used up " + b.Job.Sources[j].Name, Lower: 0, Upper: solver.Inf,
				Terms: []solver.Term{{Column: j, Value: 1}, {Column: used, Value: -whole}}})
			b.Problem.AddRow(solver.Row{Name: "opened " + b.Job.Sources[next].Name, Lower: -solver.Inf, Upper: 0,
				Terms: []solver.Term{{Column: next, Value: 1}, {Column: used, Value: -b.Problem.Columns[next].Upper}}})
			if before >= 0 { // a lot smaller than a division is used up from the start, but only after those before it
				b.Problem.AddRow(solver.Row{Name: "in turn " + b.Job.Sources[j].Name, Lower: -solver.Inf, Upper: 0,
					Terms: []solver.Term{{Column: used, Value: 1}, {Column: before, Value: -1}}})
			}
			before = used
		}
	}
}

// Grams returns the grams of each source in a solution, as the decimals that a scale shows.
func (b *Batch) Grams(x []float64) []float64 {
	grams := make([]float64, len(b.Job.Sources))
	for j := range grams {
		grams[j] = x[j]
		if !b.Options.Free {
			grams[j] = Times(math.Round(x[j]), b.Options.Weighed[j].DivisionG)
		}
	}
	return grams
}

// Recipe returns the batch's recipe: grams in all.
func (b *Batch) Recipe(x []float64) *brief.Recipe {
	recipe := &brief.Recipe{Name: b.Job.Name, Batch: true}
	for j, grams := range b.Grams(x) {
		if grams > 0 {
			recipe.Parts = append(recipe.Parts, brief.Part{Source: b.Job.Sources[j], Amount: grams})
		}
	}
	return recipe
}
