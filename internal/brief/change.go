package brief

import (
	"maps"
	"math"
	"slices"

	"bittersum/internal/profile"
)

// Changed returns the job of the same brief after a change, for a what-if. The change gets a copy that
// shares nothing it may write to. Names, rules of markets and unknown contents are checked as in a brief
// that is read from a file; a target out of reach is not refused, so that what is in its way can be said.
func (j *Job) Changed(change func(b *Brief)) (*Job, error) {
	b := *j.Brief
	b.Markets = slices.Clone(b.Markets)
	b.Use = slices.Clone(b.Use)
	b.Targets = slices.Clone(b.Targets)
	b.Readings = slices.Clone(b.Readings)
	b.Groups = slices.Clone(b.Groups)
	b.Lots = slices.Clone(b.Lots)
	b.Limits = maps.Clone(b.Limits)
	b.Prices = maps.Clone(b.Prices)
	if b.Limits == nil {
		b.Limits = map[string]Limit{}
	}
	change(&b)
	return resolved(&b, j.Library, false)
}

// SetTarget makes r the range of an attribute, in place of what the brief asks for.
func (b *Brief) SetTarget(attribute string, r Range) {
	for n := range b.Targets {
		if b.Targets[n].Attribute == attribute {
			b.Targets[n].Range = r
			return
		}
	}
	b.Targets = append(b.Targets, Target{Attribute: attribute, Range: r})
}

// Ask makes r the range of an attribute or a reading, in place of what the brief asks for.
func (b *Brief) Ask(name string, r Range) {
	if !slices.Contains(Readings, Reading(name)) {
		b.SetTarget(name, r)
		return
	}
	for n := range b.Readings {
		if b.Readings[n].Reading == Reading(name) {
			b.Readings[n].Range = r
			return
		}
	}
	b.Readings = append(b.Readings, ReadingTarget{Reading: Reading(name), Range: r})
}

// Custom is the line of a limit that is what drinks are customarily made with, and stands in no brief.
const Custom = -2

// Customary returns the most of an ingredient, in g/L of what is made, that drinks are customarily made with;
// infinite where nothing is known of it, where the brief says what it may be or must hold, and where the brief
// goes beyond custom.
func (j *Job) Customary(ingredient string) float64 {
	g := j.Library.Ingredients[ingredient]
	limit, said := j.Limits[ingredient]
	if j.Kind != Drink || j.BeyondCustom || g == nil || g.Customary == 0 || said && (!math.IsInf(limit.Max, 1) || limit.Min > g.Customary*j.Dilution()) {
		return math.Inf(1)
	}
	return g.Customary * j.Dilution()
}

// Sensible returns the most of an attribute, in the drink's unit, that drinks are made with; infinite where nothing is
// known of that, where the brief says what it may be, and where the brief goes beyond custom. Sugars have no such
// bound, since what is served may be a syrup.
func (j *Job) Sensible(attribute string) float64 {
	a := j.Library.Attributes[attribute]
	if j.Kind != Drink || j.BeyondCustom || a == nil || a.SensibleMax == 0 || attribute == "sugars" || attribute == "sweetness" {
		return math.Inf(1)
	}
	if t := j.Target(attribute); attribute != j.Reaching && (!math.IsInf(t.Max, 1) || t.Min > a.SensibleMax) {
		return math.Inf(1)
	}
	if most, ok := j.SensibleAt[attribute]; ok {
		return most
	}
	return a.SensibleMax
}

// Limit returns the limit of an ingredient, or one that limits nothing.
func (b *Brief) Limit(ingredient string) Limit { return b.limit(ingredient) }

// limit returns the limit of an ingredient, or one that limits nothing.
func (b *Brief) limit(ingredient string) Limit {
	if limit, ok := b.Limits[ingredient]; ok {
		return limit
	}
	return Limit{Ingredient: ingredient, Range: Unbounded(), SupplyKg: math.Inf(1), PricePerKg: nan}
}

// Withhold allows at most so many g/L (units) of an ingredient, whatever least amount the brief asks for.
// The limit's line is Asked.
func (b *Brief) Withhold(ingredient string, most float64) {
	limit := b.limit(ingredient)
	limit.Max = math.Min(limit.Max, most)
	if limit.Min > limit.Max {
		limit.Min = math.Inf(-1)
	}
	limit.Line = Asked
	b.Limits[ingredient] = limit
}

// Asked is the line of a limit that stands on the command line and not in the brief.
const Asked = -1

// SetPrice sets the price per kg (per unit) of an ingredient, or of a single lot "NAME/LOT". What was paid
// for lots stays as it is when their ingredient gets another price.
func (b *Brief) SetPrice(source string, price float64) {
	for n := range b.Lots {
		if b.Lots[n].Ingredient+"/"+b.Lots[n].Number == source {
			b.Lots[n].PricePerKg = price
			return
		}
	}
	limit := b.limit(source)
	limit.PricePerKg = price
	b.Limits[source] = limit
}

// Here returns the recipe in terms of this job's own sources, for a recipe of another job over the same
// ingredients. Parts whose source is not among them are returned in missing.
func (j *Job) Here(r *Recipe) (here *Recipe, missing []Part) {
	here = &Recipe{Name: r.Name}
	for _, p := range r.Parts {
		if s := j.Source(p.Source.Name); s != nil {
			here.Parts = append(here.Parts, Part{s, p.Amount})
		} else if p.Amount > 0 {
			missing = append(missing, p)
		}
	}
	return here, missing
}

// Define puts an attribute in place of the one of the same name.
func (b *Brief) Define(a *profile.Attribute) {
	b.ownAttributes = append(slices.Clone(b.ownAttributes), a)
}
