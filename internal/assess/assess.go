// Package assess judges a recipe from the recipe, the brief and the profiles alone: every attribute,
// target, cap and cost. It uses no solver, so that what a solver proposes can be checked here, and it
// compares caps in exact rational arithmetic on the very numbers that are printed.
package assess

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"bittersum/internal/brief"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
)

// Tolerance is how far, as a share of the limit, a value may miss a target, ratio or limit of use and
// still count as meeting it: amounts are printed to five digits, so each is off by up to 1 in 20 000.
// Caps have no tolerance.
const Tolerance = 5e-4

// Verdict says how a value stands to its range.
type Verdict string

const (
	// NoRange: the brief asks for nothing here.
	NoRange Verdict = ""
	// Met: within the range.
	Met Verdict = "met"
	// Below and Above: outside the range.
	Below Verdict = "below"
	Above Verdict = "above"
	// Unpredicted: nothing can be said of it.
	Unpredicted Verdict = "unknown"
)

// Assessment is all that can be said of a recipe. Amounts are per litre recovered for a drink and per
// batch for a blend.
type Assessment struct {
	Job    *brief.Job
	Recipe *brief.Recipe

	// FilledWater says that the recipe named no water and was filled up to the litre with it.
	FilledWater bool
	// Liquor is the litres made and Recovered the litres left after the spent plant matter and the
	// process have kept their share, for the amounts of the recipe; MassKg is the mass of the liquor.
	Liquor, Recovered, MassKg float64
	// Total is the sum of amounts, in grams (units for a blend).
	Total float64

	Attributes []Attribute
	// Readings are what instruments show of the drink as served against what the brief asks.
	Readings []Reading
	// Served is all that can be predicted of the drink as served, and Syrup of what is made when it is
	// thrown with soda; nil for a blend, and Syrup without a throw.
	Served, Syrup *Prediction
	Carbonation   *Carbonation
	Preservation  *Preservation
	// Fermentation is nil where there is next to no sugar.
	Fermentation *Fermentation
	Tastes       []Taste

	Ratios   []Ratio
	Uses     []Use
	Caps     []Cap
	Cost     Cost
	Cautions []Caution

	made, served liquor.Mixture
}

// Attribute is the value of one attribute in the finished drink.
type Attribute struct {
	*profile.Attribute
	Value  float64
	Target brief.Target
	Verdict
	// Unknown are the ingredients in the recipe that have no figure for it: the value leaves them out.
	Unknown []string
}

// Ratio is one attribute over another.
type Ratio struct {
	brief.Ratio
	Value float64
	Verdict
}

// Use is the amount of an ingredient or group against the brief's limits of use.
type Use struct {
	Name  string
	Group bool
	Value float64
	brief.Range
	Verdict
}

// Cost is what a recipe costs, in the brief's currency.
type Cost struct {
	// PerLitre is per litre recovered (per batch for a blend). PerBottle and PerBatch are zero when
	// the brief gives no size.
	PerLitre, PerBottle, PerBatch float64
	// Parts are the shares of PerLitre, in the order of the recipe.
	Parts []float64
}

// ErrNothing is wrapped by the error about a recipe that makes nothing that could be judged.
var ErrNothing = errors.New("the recipe makes nothing")

// Assess judges recipe r against job j. A drink that names no water is filled up to one litre
// recovered with the brief's water, if it has any. An error wraps ErrNothing.
func Assess(j *brief.Job, r *brief.Recipe) (*Assessment, error) {
	a := &Assessment{Job: j, Recipe: r}
	if j.Kind == brief.Drink && !r.Batch {
		a.fill()
	}
	for _, p := range a.Recipe.Parts {
		a.Total += p.Amount
	}
	a.made = liquor.Mix(j, a.Recipe.Parts)
	a.served = a.made.Served()
	a.MassKg, a.Liquor, a.Recovered = a.made.Kilograms, a.made.Litres, recovered(a.made, a.Recipe)
	if j.Kind == brief.Drink && a.Recovered <= 0 {
		return nil, fmt.Errorf("assess: %w: of %.3g L the plant matter and the process would keep %.3g L", ErrNothing, a.Liquor, a.Liquor-a.Recovered)
	}
	if j.Kind == brief.Blend && a.Total <= 0 {
		return nil, fmt.Errorf("assess: %w: it is empty", ErrNothing)
	}
	a.attributes()
	if j.Kind == brief.Drink {
		a.measure()
		a.carbonation()
		a.preservation()
		a.ferments()
		a.tastes()
	}
	a.ratios()
	a.uses()
	a.caps()
	a.preservativeCaps()
	a.cost()
	a.cautions()
	return a, nil
}

// fill adds the water that makes the recipe one litre recovered, where the recipe names none.
func (a *Assessment) fill() {
	var water *brief.Source
	for _, s := range a.Job.Sources {
		if s.Water() {
			water = s
			break
		}
	}
	for _, p := range a.Recipe.Parts {
		if p.Source.Water() {
			return
		}
	}
	if water == nil || recovered(liquor.Mix(a.Job, a.Recipe.Parts), a.Recipe) >= 1-Tolerance { // what rounding leaves open is no missing water
		return
	}
	filled := *a.Recipe
	filled.Parts = append(append([]brief.Part(nil), a.Recipe.Parts...), brief.Part{Source: water})
	last := &filled.Parts[len(filled.Parts)-1]
	for range 20 { // volumes add up nearly, so that each step leaves a hundredth of the gap
		last.Amount += (1 - recovered(liquor.Mix(a.Job, filled.Parts), &filled)) * 1000 / (water.Ingredient.SpecificVolume * a.Job.Kept())
	}
	last.Amount = math.Round(last.Amount*1e3) / 1e3
	a.Recipe, a.FilledWater = &filled, true
}

// recovered returns the litres that the process and the spent plant matter leave of a mixture.
func recovered(m liquor.Mixture, r *brief.Recipe) float64 {
	left := m.Litres * m.Kept()
	for _, p := range r.Parts {
		left -= p.Source.Ingredient.HoldUp * p.Amount
	}
	return left
}

// basis returns what a sum over the recipe is divided by for values per p.
func (a *Assessment) basis(p profile.Per) float64 {
	switch p {
	case profile.PerLitre:
		return a.served.Litres
	case profile.PerKilogram:
		return a.served.Kilograms
	case profile.Per100g:
		return a.served.Kilograms * 10
	case profile.PerUnit:
		return a.Total
	}
	return 1
}

// value returns an attribute's value in the drink as served.
func (a *Assessment) value(attribute *profile.Attribute) float64 {
	return a.total(attribute.Name) / a.basis(attribute.Per)
}

// total returns the amount of an attribute, or of what a refractometer counts, in all that the recipe
// makes. Acidity comes from the charge balance.
func (a *Assessment) total(name string) float64 {
	if a.Job.Kind == brief.Drink {
		switch name {
		case string(brief.Brix):
			return a.made.Refraction
		case brief.Acidity:
			acidity, err := a.served.Acidity()
			if err != nil {
				return math.NaN() // more is dissolved than any water holds
			}
			return acidity * a.served.Litres
		}
	}
	sum := 0.0
	for _, p := range a.Recipe.Parts {
		sum += p.Source.Expected(name) * p.Amount
	}
	return sum
}

func (a *Assessment) attributes() {
	listed := map[string]bool{}
	add := func(attribute *profile.Attribute) {
		if listed[attribute.Name] {
			return
		}
		listed[attribute.Name] = true
		v := Attribute{Attribute: attribute, Value: a.value(attribute), Target: a.Job.Target(attribute.Name)}
		for _, p := range a.Recipe.Parts {
			_, known := p.Source.Content(attribute.Name)
			if _, acids := p.Source.Solutes(); attribute.Name == brief.Acidity && acids {
				known = true
			}
			if !known && p.Amount > 0 {
				v.Unknown = append(v.Unknown, p.Source.Name)
			}
		}
		v.Verdict = judge(v.Value, v.Target.Range)
		a.Attributes = append(a.Attributes, v)
	}
	for _, attribute := range a.Job.Judged {
		add(attribute)
	}
	var others []*profile.Attribute
	for _, attribute := range a.Job.Library.Attributes {
		if listed[attribute.Name] || a.Job.Kind == brief.Blend || attribute.Per == profile.PerBatch || attribute.Per == profile.PerUnit {
			continue
		}
		if a.value(attribute) > 0 {
			others = append(others, attribute)
		}
	}
	sort.Slice(others, func(i, j int) bool {
		if others[i].Family != others[j].Family {
			return others[i].Family < others[j].Family
		}
		return others[i].Name < others[j].Name
	})
	for _, attribute := range others {
		add(attribute)
	}
}

// trace is how far a value may miss a limit near nothing: a millionth of the attribute's unit, which no
// instrument shows. Caps have none.
const trace = 1e-6

// judge compares a value with its range, within Tolerance.
func judge(value float64, r brief.Range) Verdict {
	switch {
	case math.IsInf(r.Min, -1) && math.IsInf(r.Max, 1):
		return NoRange
	case math.IsNaN(value):
		return Unpredicted
	case value < r.Min-math.Max(trace, Tolerance*math.Abs(r.Min)):
		return Below
	case value > r.Max+math.Max(trace, Tolerance*math.Abs(r.Max)):
		return Above
	}
	return Met
}

func (a *Assessment) ratios() {
	for _, q := range a.Job.Ratios {
		of, over := a.total(q.Of), a.total(q.Over)
		ratio := Ratio{Ratio: q, Value: of / over, Verdict: Met} // nothing over nothing breaks no bound
		if of != 0 || over != 0 {
			ratio.Verdict = judge(ratio.Value, q.Range)
		}
		a.Ratios = append(a.Ratios, ratio)
	}
}

func (a *Assessment) uses() {
	scale := 1.0
	if a.Job.Kind == brief.Drink {
		scale = a.Recovered
	}
	byIngredient, bought := map[string]float64{}, map[string]float64{}
	for _, p := range a.Recipe.Parts {
		byIngredient[p.Source.Ingredient.Name] += p.Amount / scale
		bought[p.Source.Ingredient.Name] += p.Amount / scale / (1 - p.Source.Ingredient.TrimmingLoss)
		if p.Source.Lot != nil && !math.IsInf(p.Source.Max, 1) {
			a.Uses = append(a.Uses, Use{Name: p.Source.Name, Value: p.Amount / scale, Range: p.Source.Range, Verdict: judge(p.Amount/scale, p.Source.Range)})
		}
	}
	for _, ref := range a.Job.Use {
		limit, ok := a.Job.Limits[ref.Name]
		if !ok {
			continue
		}
		value := byIngredient[ref.Name]
		r := limit.Range
		r.Max = math.Min(r.Max, a.supplied(limit, value, bought[ref.Name]))
		if math.IsInf(r.Min, -1) && math.IsInf(r.Max, 1) {
			continue
		}
		a.Uses = append(a.Uses, Use{Name: ref.Name, Value: value, Range: r, Verdict: judge(value, r)})
	}
	for _, g := range a.Job.Groups {
		value := 0.0
		for _, m := range g.Members {
			value += byIngredient[m.Name]
		}
		a.Uses = append(a.Uses, Use{Name: g.Name, Group: true, Value: value, Range: g.Range, Verdict: judge(value, g.Range)})
	}
	if a.Job.Kind == brief.Blend && (!math.IsInf(a.Job.Total.Min, -1) || !math.IsInf(a.Job.Total.Max, 1)) {
		a.Uses = append(a.Uses, Use{Name: "total", Group: true, Value: a.Total, Range: a.Job.Total, Verdict: judge(a.Total, a.Job.Total)})
	}
}

// supplied is how much of an ingredient can be weighed in for each litre with what can be had for the batch, when
// so much weighed in takes so much bought. What went into a batch that was made was there.
func (a *Assessment) supplied(limit brief.Limit, weighed, bought float64) float64 {
	if math.IsInf(limit.SupplyKg, 1) || a.Job.EveryLot {
		return math.Inf(1)
	}
	if g := a.Job.Library.Ingredients[limit.Ingredient]; bought == 0 && g != nil {
		weighed, bought = 1-g.TrimmingLoss, 1
	}
	litres := a.Job.BatchL
	if a.Recipe.Batch {
		litres = a.Recovered
	}
	return limit.SupplyKg * 1000 / litres * weighed / bought
}

func (a *Assessment) cost() {
	scale := 1.0
	if a.Job.Kind == brief.Drink {
		scale = a.Recovered
	}
	for _, p := range a.Recipe.Parts {
		cost := p.Source.CostPerGram * p.Amount / scale
		a.Cost.Parts = append(a.Cost.Parts, cost)
		a.Cost.PerLitre += cost
	}
	a.Cost.PerBottle = a.Cost.PerLitre * a.Job.BottleML / 1000
	a.Cost.PerBatch = a.Cost.PerLitre * a.Job.BatchL
}

// KeepsCaps reports whether every cap holds.
func (a *Assessment) KeepsCaps() bool {
	for _, c := range a.Caps {
		if !c.Holds {
			return false
		}
	}
	return true
}

// MakesNoLitre reports whether the amounts of a drink, meant for a litre, make another volume.
func (a *Assessment) MakesNoLitre() bool {
	return a.Job.Kind == brief.Drink && !a.Recipe.Batch && math.Abs(a.Recovered-1) > Tolerance
}

// Misses names what of the brief the recipe does not meet, the litre first, then targets; caps are not
// among them.
func (a *Assessment) Misses() []string {
	var out []string
	if a.MakesNoLitre() {
		out = append(out, fmt.Sprintf("the amounts make %.4g L, not 1 L", a.Recovered))
	}
	note := func(what, name string, v Verdict) {
		switch v {
		case Below, Above:
			out = append(out, fmt.Sprintf("%s %s is %s its range", what, name, v))
		case Unpredicted:
			out = append(out, fmt.Sprintf("%s %s cannot be predicted", what, name))
		}
	}
	for _, v := range a.Attributes {
		note("target", v.Name, v.Verdict)
	}
	for _, r := range a.Readings {
		note("target", string(r.Reading), r.Verdict)
	}
	for _, q := range a.Ratios {
		note("ratio", q.Name, q.Verdict)
	}
	for _, u := range a.Uses {
		note("use of", u.Name, u.Verdict)
	}
	return out
}
