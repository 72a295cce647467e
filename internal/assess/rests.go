package assess

import (
	"math"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
)

// Rests says on figures of which basis an amount of the recipe rests.
type Rests struct {
	// Kind is RestsTarget, RestsCap or RestsCost, and Name that of the attribute.
	Kind, Name string
	// Cap is the maximum that the amount is reckoned for, nil unless Kind is RestsCap.
	Cap *brief.Cap
	// Contributions are the shares of the amount by ingredient, those on recalled or invented figures
	// first, largest first.
	Contributions []Contribution
	// Unknown are ingredients that have no figure: what they bring is left out.
	Unknown []string
}

// Words for what rests on figures.
const (
	RestsTarget = "target"
	RestsCap    = "cap"
	RestsCost   = "cost"
)

// Contribution is what one ingredient adds to an amount.
type Contribution struct {
	// Name is that of the ingredient or lot; what a preparation brings is given by its parts.
	Name string
	// Share is that of the sum of all contributions, each without its sign.
	Share float64
	// Basis is that of the figure, the weaker one where a content and its recovery differ.
	Basis profile.Basis
	// Labour says that it is the work on a preparation, and no price.
	Labour bool
}

// Given is the basis of a price that the maker gives: in the brief, a price list or a lot.
const Given profile.Basis = "given"

// Weak reports whether the contribution rests on a recalled or invented figure.
func (c Contribution) Weak() bool { return c.Basis == profile.Memory || c.Basis == profile.Invented }

// Share returns the share of the amount that rests on figures of a basis.
func (r Rests) Share(basis profile.Basis) float64 {
	sum := 0.0
	for _, c := range r.Contributions {
		if c.Basis == basis {
			sum += c.Share
		}
	}
	return sum
}

// Weak returns the share that rests on recalled or invented figures.
func (r Rests) Weak() float64 { return r.Share(profile.Memory) + r.Share(profile.Invented) }

// Rests says on what the bitterness, each target, what each cap is judged with, and the cost rest. A blend
// has no contents that describe nature, so only its cost is said.
func (a *Assessment) Rests() []Rests {
	var all []Rests
	if a.Job.Kind == brief.Drink {
		for _, v := range a.Attributes {
			if v.Verdict != NoRange || v.Name == Bitterness {
				all = append(all, a.restsOf(v.Name))
			}
		}
		for n := range a.Caps {
			all = append(all, a.restsOfCap(&a.Caps[n].Cap))
		}
	}
	all = append(all, a.restsOfCost())
	return slices.DeleteFunc(all, func(r Rests) bool { return len(r.Contributions)+len(r.Unknown) == 0 })
}

// Bitterness is the attribute that a bitter drink is made for.
const Bitterness = "bitterness"

// Bitterness says on what the recipe's bitterness rests; ok is false when it has none.
func (a *Assessment) Bitterness() (r Rests, ok bool) {
	if a.Job.Kind != brief.Drink {
		return Rests{}, false
	}
	r = a.restsOf(Bitterness)
	return r, len(r.Contributions) > 0
}

// restsOf says on what the expected amount of an attribute rests. Acidity comes of the charge balance where
// the acids are known.
func (a *Assessment) restsOf(name string) Rests {
	r := Rests{Kind: RestsTarget, Name: name}
	form := liquor.Form{PerGram: func(s *brief.Source) float64 { return s.Expected(name) }}
	if name == brief.Acidity {
		if state, err := a.made.State(); err == nil {
			form = liquor.FormOf(a.Job, name, state)
		}
	}
	for _, p := range a.bringing(name) {
		c, known := p.Source.Content(name)
		basis := contentBasis(c)
		if name == brief.Acidity && !p.Source.Sour() {
			known, basis = true, p.Source.Ingredient.SolutesProvenance.Basis
		}
		if !known && p.Amount > 0 {
			r.Unknown = append(r.Unknown, p.Source.Name)
		}
		r.add(p.Source.Name, form.PerGram(p.Source)*p.Amount, basis)
	}
	return r.settled()
}

// bringing returns the parts of the recipe, with preparations taken apart but where the attribute was
// measured in the preparation itself.
func (a *Assessment) bringing(attribute string) []brief.Part {
	var parts []brief.Part
	for _, p := range a.Recipe.Parts {
		measured := p.Source.Made != nil && attribute == brief.Alcohol && p.Source.Made.Preparation.AlcoholPercent > 0
		if p.Source.Lot != nil {
			_, certified := p.Source.Lot.Contents[attribute]
			measured = measured || certified
		}
		if measured {
			parts = append(parts, p)
			continue
		}
		parts = append(parts, (&brief.Recipe{Parts: []brief.Part{p}}).Unfolded()...)
	}
	return parts
}

// contentBasis returns the weaker basis of a content and of the share of it that is recovered.
func contentBasis(c profile.Content) profile.Basis {
	if drawn := c.RecoveryProvenance.Basis; drawn != "" && drawn.Weaker(c.Basis) {
		return drawn
	}
	return c.Basis
}

// BasisOf returns the basis of what a source brings of an attribute, empty when it brings none.
func BasisOf(s *brief.Source, attribute string) profile.Basis {
	c, _ := s.Content(attribute)
	if c.PerGram == 0 {
		return ""
	}
	return contentBasis(c)
}

// restsOfCap says on what the amount that a cap is judged with rests.
func (a *Assessment) restsOfCap(c *brief.Cap) Rests {
	r := Rests{Kind: RestsCap, Name: c.Substance, Cap: c}
	for _, counted := range c.Counted() {
		for _, p := range a.bringing(counted.Substance) {
			content, known := p.Source.Content(counted.Substance)
			if !known && p.Amount > 0 && !slices.Contains(r.Unknown, p.Source.Name) {
				r.Unknown = append(r.Unknown, p.Source.Name)
			}
			r.add(p.Source.Name, a.Job.Guarded(p.Source, counted.Substance)*p.Amount/counted.Max, content.Basis)
		}
	}
	return r.settled()
}

// restsOfCost says on whose prices the cost rests.
func (a *Assessment) restsOfCost() Rests {
	r := Rests{Kind: RestsCost}
	for _, p := range a.Recipe.Parts {
		r.cost(p)
	}
	return r.settled()
}

// cost adds what a part costs. A preparation that the maker prices by its parts is taken apart, with what
// its spent plants kept laid on them.
func (r *Rests) cost(p brief.Part) {
	s := p.Source
	byProfile := s.PriceFrom == string(s.Ingredient.PriceProvenance.Basis)
	switch {
	case s.Made != nil && byProfile:
		sum := 0.0
		for _, part := range s.Made.Parts {
			sum += part.Source.CostPerGram * part.Amount
		}
		if sum > 0 {
			for _, part := range s.Made.Parts {
				r.cost(brief.Part{Source: part.Source, Amount: part.Amount / sum * s.PricePerKg / 1000 * p.Amount})
			}
		}
		if labour := s.Ingredient.LabourPerKg / 1000 * p.Amount; labour > 0 {
			r.Contributions = append(r.Contributions, Contribution{s.Name, labour, s.Made.Preparation.Basis, true})
		}
	case byProfile:
		r.add(s.Name, s.CostPerGram*p.Amount, s.Ingredient.PriceProvenance.Basis)
	default:
		r.add(s.Name, s.CostPerGram*p.Amount, Given)
	}
}

// add puts an amount to what an ingredient brings already on the same basis.
func (r *Rests) add(name string, amount float64, basis profile.Basis) {
	if amount == 0 || math.IsNaN(amount) {
		return
	}
	for n := range r.Contributions {
		if c := &r.Contributions[n]; c.Name == name && c.Basis == basis && !c.Labour {
			c.Share += math.Abs(amount)
			return
		}
	}
	r.Contributions = append(r.Contributions, Contribution{name, math.Abs(amount), basis, false})
}

// settled turns amounts into shares and puts them in order.
func (r Rests) settled() Rests {
	sum := 0.0
	for _, c := range r.Contributions {
		sum += c.Share
	}
	for n := range r.Contributions {
		r.Contributions[n].Share /= sum
	}
	slices.SortStableFunc(r.Contributions, func(a, b Contribution) int {
		switch {
		case a.Weak() != b.Weak():
			if a.Weak() {
				return -1
			}
			return 1
		case a.Share != b.Share:
			if a.Share > b.Share {
				return -1
			}
			return 1
		}
		return strings.Compare(a.Name, b.Name)
	})
	return r
}

// Priced counts the ingredients of the recipe that cost something, and those of them whose price is
// invented. Share is that of the cost which rests on invented prices.
func (a *Assessment) Priced() (invented, all int, share float64) {
	cost := a.restsOfCost()
	named, of := map[string]bool{}, map[string]bool{}
	for _, c := range cost.Contributions {
		if c.Labour {
			continue
		}
		name, _, _ := strings.Cut(c.Name, "/")
		all += first(of, name)
		if c.Basis == profile.Invented {
			invented += first(named, name)
			share += c.Share
		}
	}
	return invented, all, share
}

// Unpriced names the ingredients of the recipe that nobody gave a price for: they count as free.
func (a *Assessment) Unpriced() []string {
	var list []string
	for _, p := range a.Recipe.Unfolded() {
		s := p.Source
		if p.Amount > 0 && s.PricePerKg == 0 && s.PriceFrom == "" && !s.Water() && !slices.Contains(list, s.Name) {
			list = append(list, s.Name)
		}
	}
	return list
}

// first returns 1 the first time that it sees a name.
func first(seen map[string]bool, name string) int {
	if seen[name] {
		return 0
	}
	seen[name] = true
	return 1
}
