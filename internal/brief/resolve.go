package brief

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// resolver looks up the names of a brief and notes what is wrong.
type resolver struct {
	*Job
	faults tomlfile.Faults
	// made are the preparations worked out, by name.
	made map[string]*Source
	// lacks are the figures that this brief needs and no profile gives.
	lacks []lack
	// unclear says that the list of ingredients in use is itself wrong, so that names cannot be held
	// against it.
	unclear bool
}

func resolve(b *Brief, lib *profile.Library) (*Job, error) { return resolved(b, lib, true) }

// resolved looks up the names of a brief; only a brief as read must have targets within reach.
func resolved(b *Brief, lib *profile.Library, read bool) (*Job, error) {
	r := &resolver{Job: &Job{Brief: b, Library: withOwn(lib, b)}}
	r.markets()
	r.preparations()
	r.knownPrices()
	r.sources()
	r.attributes()
	if !r.unclear {
		r.strangers()
		r.extractions()
	}
	if len(r.faults) == 0 {
		r.caps()
		r.coverage()
		r.acids()
		r.lacking()
	}
	if len(r.faults) == 0 && read {
		r.reachable()
	}
	if err := r.faults.Err(); err != nil {
		return nil, err
	}
	return r.Job, nil
}

// withOwn returns lib with the attributes and ingredients that the brief itself defines.
func withOwn(lib *profile.Library, b *Brief) *profile.Library {
	if len(b.ownAttributes)+len(b.ownIngredients)+len(b.ownPreparations) == 0 {
		return lib
	}
	own := copied(lib)
	for _, a := range b.ownAttributes {
		own.Attributes[a.Name] = a
	}
	for _, g := range b.ownIngredients {
		own.Ingredients[g.Name] = g
		delete(own.Preparations, g.Name)
	}
	for _, p := range b.ownPreparations {
		own.Preparations[p.Name] = p
	}
	return own
}

// copied returns a library whose maps may be written to.
func copied(lib *profile.Library) *profile.Library {
	own := &profile.Library{Attributes: maps.Clone(lib.Attributes), Ingredients: maps.Clone(lib.Ingredients), Markets: lib.Markets, Preparations: maps.Clone(lib.Preparations)}
	if own.Preparations == nil {
		own.Preparations = map[string]*profile.Preparation{}
	}
	return own
}

func (r *resolver) fault(line int, key, what, hint string) {
	r.faults = append(r.faults, tomlfile.Fault{File: r.File, Line: line, Key: key, What: what, Hint: hint})
}

func (r *resolver) unknownName(line int, key, what, name string, candidates []string) {
	hint := tomlfile.DidYouMean(name, candidates)
	if hint == "" && len(candidates) <= 12 {
		hint = "known are " + strings.Join(candidates, ", ")
	}
	r.fault(line, key, fmt.Sprintf("there is no %s %q", what, name), hint)
}

func (r *resolver) markets() {
	for n, ref := range r.Brief.Markets {
		m := r.Library.Markets[ref.Name]
		if m == nil {
			r.unknownName(ref.Line, fmt.Sprintf("markets[%d]", n+1), "market", ref.Name, r.Library.MarketNames())
			continue
		}
		r.Job.Markets = append(r.Job.Markets, m)
	}
	r.spirits()
}

// spirits asks whether a strong drink is a spirit drink, where a market's rules turn on it.
func (r *resolver) spirits() {
	if r.spiritAsked || r.AlcoholPercent < profile.SpiritFrom {
		return
	}
	for _, m := range r.Job.Markets {
		if m.AsksOfSpirits() {
			r.fault(r.strengthLine, "spirit_drink", fmt.Sprintf("is missing: from %d %% the rules of market %s turn on it", profile.SpiritFrom, m.Name),
				"true for what is distilled, or made of spirit with plants, flavourings or sugar; false for drinks based on wine, beer or cider")
			return
		}
	}
}

// sources turns the ingredients in use into sources: each accepted lot, and the ingredient as bought.
func (r *resolver) sources() {
	if len(r.Use) == 0 && len(r.faults) == 0 {
		r.fault(0, "use", "is empty: list the ingredients that may be used", "")
		r.unclear = true
	}
	for n, ref := range r.Use {
		g := r.Library.Ingredients[ref.Name]
		if g == nil && r.Library.Preparations[ref.Name] != nil {
			r.unclear = true // what is wrong with it is noted
			continue
		}
		if g == nil {
			r.unknownName(ref.Line, fmt.Sprintf("use[%d]", n+1), "ingredient", ref.Name, r.Library.Names())
			r.unclear = true
			continue
		}
		if r.Kind == Drink && !g.Physical() {
			r.fault(ref.Line, fmt.Sprintf("use[%d]", n+1), fmt.Sprintf("%q has no specific_volume_ml_per_g in its profile; a drink needs it", ref.Name), "")
		}
		r.identified(g)
		r.addSources(g)
	}
	r.permissions()
	for i := range r.Lots {
		r.faults = append(r.faults, strangersIn(&r.Lots[i], r.Library)...)
	}
}

func (r *resolver) addSources(g *profile.Ingredient) {
	limit, limited := r.Limits[g.Name]
	if !limited {
		limit = Limit{Range: Unbounded(), SupplyKg: math.Inf(1), PricePerKg: nan}
	}
	usable := false
	var barred []string
	for i := range r.Lots {
		lot := &r.Lots[i]
		if lot.Ingredient != g.Name {
			continue
		}
		if why := lot.WhyNot(r.Day); why != "" && !r.EveryLot {
			barred = append(barred, lot.Number+" "+why)
			continue
		}
		if slices.Contains(r.WithoutLots, lot.Number) {
			barred = append(barred, lot.Number+" is left out")
			continue
		}
		usable = true
		s := &Source{Name: g.Name + "/" + lot.Number, Ingredient: r.prepared(g, lot), Lot: lot, Range: Range{0, math.Inf(1)}, Made: r.madeOf(g.Name)}
		switch {
		case r.EveryLot: // what was weighed was there
		case r.BatchL > 0:
			s.Max = lot.LeftKg() * (1 - g.TrimmingLoss) * 1000 / r.BatchL
		default:
			r.fault(0, "lots", "needs batch_l at the top of the brief, to know how far a lot goes", "")
		}
		s.PricePerKg, s.PriceFrom = r.price(g, limit)
		s.PriceSD = limit.PriceSD
		if !math.IsNaN(lot.PricePerKg) {
			s.PricePerKg, s.PriceFrom, s.PriceSD = lot.PricePerKg, "lot "+lot.Number, 0
		}
		r.addSource(s)
	}
	if limit.StockOnly {
		if !usable {
			what := fmt.Sprintf("there is no lot of %q", g.Name)
			if len(barred) > 0 {
				what = fmt.Sprintf("no lot of %q can be used: %s", g.Name, strings.Join(barred, ", "))
			}
			r.fault(limit.Line, "limits."+g.Name+".stock_only", what, "")
		}
		return
	}
	s := &Source{Name: g.Name, Ingredient: r.prepared(g, nil), Range: Range{0, math.Inf(1)}, Made: r.madeOf(g.Name)}
	s.PricePerKg, s.PriceFrom = r.price(g, limit)
	s.PriceSD = limit.PriceSD
	r.addSource(s)
}

func (r *resolver) addSource(s *Source) {
	s.CostPerGram = s.PricePerKg/(1-s.Ingredient.TrimmingLoss) + s.Ingredient.LabourPerKg
	if r.Kind == Drink {
		s.CostPerGram /= 1000
	} else {
		s.CostPerGram -= r.SellsAt
	}
	s.dissolve()
	s.soften(r.Water)
	r.Sources = append(r.Sources, s)
}

// price returns the price per kg and where it comes from: the brief's limit, the price list, the
// profile, in this order.
func (r *resolver) price(g *profile.Ingredient, limit Limit) (float64, string) {
	if !math.IsNaN(limit.PricePerKg) {
		return limit.PricePerKg, "brief"
	}
	if p, ok := r.Prices[g.Name]; ok {
		return p.PerKg, "price list"
	}
	return g.PricePerKg, string(g.PriceProvenance.Basis)
}

// attributes looks up the attributes that targets, ratios and accepts name.
func (r *resolver) attributes() {
	judged := map[string]bool{}
	attribute := func(line int, key, name string) {
		if r.Kind == Drink && (name == string(PH) || name == string(Density)) {
			r.fault(line, key, fmt.Sprintf("%q is no amount, so nothing can be counted over it", name), "")
			return
		}
		if r.Kind == Drink && name == string(Brix) {
			name = Solids
		}
		a := r.Library.Attributes[name]
		if a == nil {
			known := r.Library.AttributeNames()
			if r.Kind == Drink {
				for _, reading := range Readings {
					known = append(known, string(reading))
				}
			}
			r.unknownName(line, key, "attribute", name, known)
			return
		}
		if r.Kind == Drink && (a.Per == profile.PerBatch || a.Per == profile.PerUnit) {
			r.fault(line, key, fmt.Sprintf("attribute %q counts per %s; a drink's attributes count per litre, per kilogram or per 100 g", name, a.Per), "")
		}
		if r.Kind == Blend && (a.Per == profile.PerLitre || a.Per == profile.Per100g || a.Per == profile.PerKilogram) {
			r.fault(line, key, fmt.Sprintf("attribute %q counts per %s; a blend's attributes count per batch or per unit", name, a.Per), "")
		}
		if !judged[name] {
			judged[name] = true
			r.Judged = append(r.Judged, a)
		}
	}
	for _, t := range r.Targets {
		attribute(t.Line, "targets."+t.Attribute, t.Attribute)
	}
	for _, t := range r.Readings {
		if t.Reading == Brix {
			attribute(t.Line, "targets.brix", string(Brix))
		}
	}
	for _, q := range r.Ratios {
		attribute(q.Line, "ratios."+q.Name+".of", q.Of)
		attribute(q.Line, "ratios."+q.Name+".over", q.Over)
	}
	for _, a := range r.Accepts {
		if r.Library.Attributes[a.Substance] == nil {
			r.unknownName(a.Line, "accept.substance", "attribute", a.Substance, r.Library.AttributeNames())
		}
	}
}

// spreadOfPrice notes a price's spread that cannot be reckoned with.
func (r *resolver) spreadOfPrice(name string, limit Limit) {
	if limit.PriceSD == 0 {
		return
	}
	key := "limits." + name + ".price_sd_per_kg"
	g := r.Library.Ingredients[name]
	if g == nil {
		if r.Library.Preparations[name] != nil {
			r.fault(limit.priceSDLine, key, fmt.Sprintf("%q is made in the house: what it costs comes from its parts", name), "")
		}
		return
	}
	if price, _ := r.price(g, limit); !(price > 0) {
		r.fault(limit.priceSDLine, key, fmt.Sprintf("%q costs nothing that could vary", name), "")
	} else if limit.PriceSD > 2*price {
		r.fault(limit.priceSDLine, key, fmt.Sprintf("%v is more than twice the price, %v", limit.PriceSD, price), "")
	}
}

// strangers notes where limits, groups and accepts name an ingredient that is not in use.
func (r *resolver) strangers() {
	var names []string
	for _, ref := range r.Use {
		names = append(names, ref.Name)
	}
	check := func(line int, key, name string) {
		if !slices.Contains(names, name) {
			r.unknownName(line, key, "ingredient in use called", name, names)
		}
	}
	for name, limit := range r.Limits {
		check(limit.Line, "limits."+name, name)
		r.spreadOfPrice(name, limit)
	}
	for _, g := range r.Groups {
		for n, m := range g.Members {
			check(m.Line, fmt.Sprintf("groups.%s.members[%d]", g.Name, n+1), m.Name)
		}
	}
	for _, a := range r.Accepts {
		check(a.Line, "accept.ingredient", a.Ingredient)
	}
	r.weighing(names)
}
