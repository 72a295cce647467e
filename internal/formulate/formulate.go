// Package formulate turns a brief with its profiles into a linear program with named rows, and a
// solution back into a recipe.
//
// For a drink the columns are x_j, grams of source j weighed in per litre recovered, and t, the litres
// of liquor made per litre recovered (spent plant matter holds liquor back, and the process keeps the
// share k of it). With a throw of n parts of soda the liquor is a syrup and D = (1+n) t litres are drunk;
// without one D = t. The rows are
//
//	recovery            k t - Σ h_j x_j = 1
//	volume              Σ v_j x_j = 1000 t
//	target per litre    lo D <= Σ a_ij x_j <= hi D
//	target per mass     lo M <= Σ a_ij x_j <= hi M,  M = Σ s_j x_j + n t·998.2 the mass of the drink
//	cap                 Σ g_ij x_j <= max M (or max D),  g the guarded content
//	ratio               Σ (a_ij - r a_kj) x_j >= 0
//	acidity             lo D <= Σ a_j x_j - e([H+]-[OH-]) D <= hi D,  a_j = e q_j at the end point
//	pH at most p        Σ q_j(p) x_j >= ([H+]-[OH-])(p) W,  q_j the mmol of acid charge that j brings,
//	                    W = Σ w_j x_j + n t·0.9982 the kg of water in the drink
//	density, °Bx        lo M' <= Σ a_j x_j <= hi M' likewise
//
// and bounds on columns and sums of columns. Water is a source like any other. The volumes v_j depend on
// the solids of the liquor and the charges q_j on its ionic strength: they are taken at a liquor.State,
// and Settle repeats the solve until recipe and state belong together. The rows are then exact.
package formulate

import (
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
	"bittersum/solver"
)

// Kind says what a limit of the brief is about.
type Kind string

const (
	Recovery Kind = "recovery"
	Volume   Kind = "volume"
	Target   Kind = "target"
	Reading  Kind = "reading"
	Capped   Kind = "cap"
	Ratio    Kind = "ratio"
	Group    Kind = "group"
	Use      Kind = "use"
	Total    Kind = "total"
	Drift    Kind = "drift"
	Liquor   Kind = "liquor"
)

// Side says which way a limit holds.
type Side string

const (
	Min   Side = "min"
	Max   Side = "max"
	Exact Side = "exactly"
)

// Limit is one thing the brief, the law or the kettle asks for, with its place in the program: a row,
// or the bounds of a column.
type Limit struct {
	Kind Kind
	Side Side
	// Name is the attribute, ratio, group or ingredient that the limit speaks of.
	Name string
	// Value is the limit in the maker's unit.
	Value float64
	// Cap is set for Capped.
	Cap *brief.Cap
	// Line is the line of the brief the limit stands on, 0 for those of law and kettle.
	Line int
	// Row is the limit's row, or -1 when it is a bound of Column.
	Row, Column int
	// Slope holds the terms that one more unit of Value takes away from the row; nil when Value
	// stands on the row's right-hand side. Where the limit is Curved it holds at Value alone.
	Slope []solver.Term
	// medium is what the row of a pH is taken at.
	medium chem.Medium
}

// Curved reports whether the row is no linear function of Value: that of a pH.
func (l Limit) Curved() bool { return l.Kind == Reading && l.Name == string(brief.PH) }

// Same reports whether two limits are the same side of one row or column.
func (l Limit) Same(m Limit) bool { return l.Row == m.Row && l.Column == m.Column && l.Side == m.Side }

// Hard reports whether the limit is one of kettle or law that no maker can relax.
func (l Limit) Hard() bool {
	return l.Kind == Recovery || l.Kind == Volume || l.Kind == Capped || l.Kind == Liquor
}

// Formulation is a job as a linear program.
type Formulation struct {
	Job     *brief.Job
	Problem *solver.Problem
	Limits  []Limit
	// Liquor is the column of t, or -1 for a blend.
	Liquor int
	// State is what the rows are taken at.
	State liquor.State
}

// New builds the program of a job at the state of a usual drink; see Settle. Column j of the program is
// source j of the job.
func New(j *brief.Job) *Formulation { return At(j, liquor.Guess()) }

// At builds the program of a job at a state.
func At(j *brief.Job, state liquor.State) *Formulation {
	f := &Formulation{Job: j, Problem: &solver.Problem{Name: j.Name}, Liquor: -1, State: state}
	for _, s := range j.Sources {
		f.Problem.AddColumn(solver.Column{Name: s.Name, Cost: s.CostPerGram, Lower: math.Max(0, s.Min), Upper: s.Max})
	}
	if j.Kind == brief.Drink {
		f.Liquor = f.Problem.AddColumn(solver.Column{Name: "liquor", Lower: 1, Upper: solver.Inf})
		f.kettle()
		if most := j.MostLiquor; most > 0 {
			f.Problem.Columns[f.Liquor].Upper = most
			f.Limits = append(f.Limits, Limit{Kind: Liquor, Side: Max, Name: "liquor", Value: most, Line: brief.Asked, Row: -1, Column: f.Liquor})
		}
	}
	f.targets()
	f.readings()
	f.capRows()
	f.ratios()
	f.uses()
	f.groups()
	f.near()
	f.guards()
	if j.Kind == brief.Blend && (j.Total != brief.Unbounded()) {
		f.addRange(Limit{Kind: Total, Name: "total"}, j.Total, f.amounts(everything), nil)
	}
	return f
}

// sum returns the terms of Σ of(s) x_s, without zeros.
func (f *Formulation) sum(of func(*brief.Source) float64) []solver.Term {
	var terms []solver.Term
	for n, s := range f.Job.Sources {
		if value := of(s); value != 0 {
			terms = append(terms, solver.Term{Column: n, Value: value})
		}
	}
	return terms
}

// amounts returns the terms of the sum of what is used of the ingredients that are in.
func (f *Formulation) amounts(in func(ingredient string) bool) []solver.Term {
	return f.sum(func(s *brief.Source) float64 {
		if in(s.Ingredient.Name) {
			return 1
		}
		return 0
	})
}

// everything is in for a sum of all that is used.
func everything(string) bool { return true }

// litres returns the terms of value for each litre of the drink as served.
func (f *Formulation) litres(value float64) []solver.Term {
	if value == 0 {
		return nil
	}
	return []solver.Term{{Column: f.Liquor, Value: Times(value, f.Job.Dilution())}}
}

// mass returns the terms of the mass of the drink as served, in units of so many grams.
func (f *Formulation) mass(grams float64) []solver.Term {
	terms := f.sum(func(s *brief.Source) float64 { return s.Ingredient.SolubleShare / grams })
	if soda := Times(1000*liquor.SodaDensity/grams, f.Job.Throw); soda != 0 {
		terms = append(terms, solver.Term{Column: f.Liquor, Value: soda})
	}
	return terms
}

// basis returns the terms of what values per p are counted against, or nil when they are totals.
func (f *Formulation) basis(p profile.Per) []solver.Term {
	switch p {
	case profile.PerLitre:
		return f.litres(1)
	case profile.PerKilogram:
		return f.mass(1000)
	case profile.Per100g:
		return f.mass(100)
	case profile.PerUnit:
		return f.amounts(everything)
	}
	return nil
}

// capBasis is basis as caps count it, see liquor.CountedKilograms.
func (f *Formulation) capBasis(p profile.Per) []solver.Term {
	if p == profile.PerLitre {
		return append(f.sum(func(s *brief.Source) float64 { return liquor.CountedLitres(f.Job, s) }), f.litres(1)...)
	}
	terms := f.sum(func(s *brief.Source) float64 { return liquor.CountedKilograms(f.Job, s) })
	if soda := Times(liquor.SodaDensity, f.Job.Throw); soda != 0 {
		terms = append(terms, solver.Term{Column: f.Liquor, Value: soda})
	}
	return terms
}

// terms returns a form of the liquor over the columns.
func (f *Formulation) terms(form liquor.Form) []solver.Term {
	return append(f.sum(form.PerGram), f.litres(form.PerLitre)...)
}

func (f *Formulation) kettle() {
	recovery := f.sum(func(s *brief.Source) float64 { return -s.Ingredient.HoldUp })
	recovery = append(recovery, solver.Term{Column: f.Liquor, Value: f.Job.Kept()})
	f.add(Limit{Kind: Recovery, Side: Exact, Name: "recovery", Value: 1}, recovery, 1, 1)
	volume := f.sum(func(s *brief.Source) float64 { return liquor.Volume(s, f.State.Solids) })
	f.add(Limit{Kind: Volume, Side: Exact, Name: "volume"}, append(volume, solver.Term{Column: f.Liquor, Value: -1000}), 0, 0)
}

func (f *Formulation) targets() {
	for _, t := range f.Job.Targets {
		a := f.Job.Library.Attributes[t.Attribute]
		content := f.terms(liquor.FormOf(f.Job, a.Name, f.State))
		f.addRange(Limit{Kind: Target, Name: a.Name, Line: t.Line}, t.Range, content, f.basis(a.Per))
	}
	if f.Job.Kind == brief.Drink {
		f.sensible()
	}
}

// sensible bounds attributes that the brief does not bound by the most that drinks are made with.
func (f *Formulation) sensible() {
	for _, a := range f.Job.Library.Bounded() {
		most := f.Job.Sensible(a.Name)
		if math.IsInf(most, 1) {
			continue
		}
		content := f.terms(liquor.FormOf(f.Job, a.Name, f.State))
		if slices.ContainsFunc(content, func(t solver.Term) bool { return t.Value > 0 && t.Column < len(f.Job.Sources) }) {
			f.addRange(Limit{Kind: Target, Name: a.Name, Line: brief.Custom}, brief.Range{Min: math.Inf(-1), Max: most}, content, f.basis(a.Per))
		}
	}
}

func (f *Formulation) capRows() {
	bases := map[profile.Per][]solver.Term{}
	for n := range f.Job.Caps {
		c := &f.Job.Caps[n]
		content := f.sum(func(s *brief.Source) float64 { return f.Job.GuardedBy(s, c.Cap) })
		if len(content) == 0 {
			continue // nothing in use carries it
		}
		if bases[c.Per] == nil {
			bases[c.Per] = f.capBasis(c.Per)
		}
		f.addRange(Limit{Kind: Capped, Name: c.Substance, Cap: c}, brief.Range{Min: math.Inf(-1), Max: c.Max}, content, bases[c.Per])
	}
}

func (f *Formulation) ratios() {
	for _, q := range f.Job.Ratios {
		of := f.terms(liquor.FormOf(f.Job, q.Of, f.State))
		over := f.terms(liquor.FormOf(f.Job, q.Over, f.State))
		f.addRange(Limit{Kind: Ratio, Name: q.Name, Line: q.Line}, q.Range, of, over)
	}
}

// uses bounds the amount of an ingredient: on its column when it has one source, else in a row over
// its lots.
func (f *Formulation) uses() {
	for _, ref := range f.Job.Use {
		limit := f.Job.Limit(ref.Name)
		r := limit.Range
		if !math.IsInf(limit.SupplyKg, 1) {
			r.Max = math.Min(r.Max, limit.SupplyKg*1000*f.trimmed(ref.Name)/f.Job.BatchL)
		}
		if r != brief.Unbounded() {
			f.use(ref.Name, r, limit.Line)
		}
		if customary := f.Job.Customary(ref.Name); customary < r.Max {
			f.use(ref.Name, brief.Range{Min: math.Inf(-1), Max: customary}, brief.Custom)
		}
	}
}

// trimmed is the share of an ingredient as bought that is left to weigh in.
func (f *Formulation) trimmed(ingredient string) float64 {
	for _, s := range f.Job.Sources {
		if s.Ingredient.Name == ingredient {
			return 1 - s.Ingredient.TrimmingLoss
		}
	}
	return 1
}

// use bounds the amount of one ingredient.
func (f *Formulation) use(ingredient string, r brief.Range, line int) {
	terms := f.amounts(func(name string) bool { return name == ingredient })
	if len(terms) != 1 {
		f.addRange(Limit{Kind: Use, Name: ingredient, Line: line}, r, terms, nil)
		return
	}
	column := &f.Problem.Columns[terms[0].Column]
	column.Lower, column.Upper = math.Max(column.Lower, r.Min), math.Min(column.Upper, r.Max)
	note := func(side Side, value float64) {
		f.Limits = append(f.Limits, Limit{Kind: Use, Side: side, Name: ingredient, Value: value, Line: line, Row: -1, Column: terms[0].Column})
	}
	switch {
	case r.Min == r.Max:
		note(Exact, r.Min)
	default:
		if r.Min > 0 {
			note(Min, r.Min)
		}
		if !math.IsInf(r.Max, 1) {
			note(Max, r.Max)
		}
	}
}

func (f *Formulation) groups() {
	for _, g := range f.Job.Groups {
		terms := f.amounts(func(name string) bool {
			return slices.ContainsFunc(g.Members, func(m brief.Ref) bool { return m.Name == name })
		})
		f.addRange(Limit{Kind: Group, Name: g.Name, Line: g.Line}, g.Range, terms, nil)
	}
}

// addRange adds the rows of lo·basis <= content <= hi·basis; basis nil stands for 1.
func (f *Formulation) addRange(l Limit, r brief.Range, content, basis []solver.Term) {
	side := func(s Side, value float64, lower, upper float64) {
		l.Side, l.Value = s, value
		l.Slope = basis
		f.add(l, f.less(content, value, basis), lower, upper)
	}
	least, most := r.Min, r.Max // on the right-hand side; with a basis they stand on the left
	if basis != nil {
		least, most = 0, 0
	}
	if r.Min == r.Max {
		side(Exact, r.Min, least, most)
		return
	}
	if !math.IsInf(r.Min, -1) {
		side(Min, r.Min, least, solver.Inf)
	}
	if !math.IsInf(r.Max, 1) {
		side(Max, r.Max, -solver.Inf, most)
	}
}

// minus returns a - b·c; in a blend of the decimals that print the three: 8.8 - 6·1 is 2.8, so that what
// is proved is proved of the maker's own figures. A drink's contents are products of recoveries and
// states, for which that means nothing.
func (f *Formulation) minus(a, b, c float64) float64 {
	if f.Job.Kind == brief.Drink {
		return a - b*c
	}
	return minus(a, b, c)
}

// less returns content - value·basis, column by column.
func (f *Formulation) less(content []solver.Term, value float64, basis []solver.Term) []solver.Term {
	out := append([]solver.Term(nil), content...)
	place := make(map[int]int, len(out))
	for n, t := range out {
		place[t.Column] = n
	}
	for _, t := range basis {
		if n, ok := place[t.Column]; ok {
			out[n].Value = f.minus(out[n].Value, value, t.Value)
		} else if v := f.minus(0, value, t.Value); v != 0 {
			out = append(out, solver.Term{Column: t.Column, Value: v})
		}
	}
	return out
}

func (f *Formulation) add(l Limit, terms []solver.Term, lower, upper float64) {
	name := string(l.Kind) + " " + l.Name
	if l.Kind == Recovery || l.Kind == Volume || l.Kind == Total || l.Kind == Drift {
		name = l.Name
	}
	if l.Cap != nil {
		name += " " + l.Cap.Market.Name
	}
	if l.Side != Exact {
		name += " " + string(l.Side)
	}
	l.Row = f.Problem.AddRow(solver.Row{Name: name, Lower: lower, Upper: upper, Terms: terms})
	l.Column = -1
	f.Limits = append(f.Limits, l)
}
