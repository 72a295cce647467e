package intake

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// Wishes are what the maker says beside the recipe.
type Wishes struct {
	// Dir is the folder that the brief is made for: its profiles, if there are any, count.
	Dir string
	// Name is the drink's name, the recipe's when empty.
	Name    string
	Markets []string
	// Currency is the brief's; Prices the name that a price list is to have in Dir and PricesFrom where it is now, both
	// empty without one.
	Currency, Prices, PricesFrom string
	Carbonated                   bool
	// Spirit answers whether a strong drink is a spirit drink; nil when it is not said.
	Spirit *bool
	// BatchL and BottleML are zero when not given.
	BatchL, BottleML float64
	// Throw is how many parts of soda are added to one part of what is made, 0 where the recipe says it or none is.
	Throw float64
}

// Made is a brief made of a recipe.
type Made struct {
	// Brief and Recipe are the texts of both files.
	Brief, Recipe string
	// Assessment judges the recipe by the brief.
	Assessment *assess.Assessment
	// Targets are what the brief asks for, and Untargeted the attributes that the drink has or may have and that no
	// target could be set for, with the ingredients that have no figure.
	Targets    []Target
	Untargeted []assess.Attribute
	// Held are ingredients that no target holds, so that the brief holds their amounts.
	Held []Held
	// Accepts are unknown contents of capped substances, which the maker has to take upon himself before the brief is
	// read.
	Accepts []brief.Accept
	// Notes are what was done to the recipe.
	Notes []string
}

// Target is a range around what the recipe has.
type Target struct {
	*profile.Attribute
	Value float64
	brief.Range
}

// Held is an ingredient whose amount the brief holds, and why.
type Held struct {
	Ingredient string
	Grams      float64
	// AtLeast holds it from below only, AtMost from above only.
	AtLeast, AtMost bool
	Why             string
}

// Make makes a brief of a recipe whose ingredients are all in lib. The error is a tomlfile.Faults for what the maker
// can mend.
func Make(r *Recipe, lib *profile.Library, wish Wishes) (*Made, error) {
	prepared, _, err := brief.Prepare(lib)
	if err != nil {
		return nil, err
	}
	m := &maker{Made: &Made{}, recipe: r, lib: lib, prepared: prepared, wish: wish}
	if wish.BatchL > 0 && r.BatchL == 0 {
		r.BatchL = wish.BatchL
	}
	if m.wish.Throw == 0 {
		m.wish.Throw = r.Throw
	}
	if m.wish.Throw > 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("Its amounts are those of a syrup; targets are of the drink, with %s parts of soda to one of it.", plain(m.wish.Throw)))
	}
	m.use()
	if err := m.weigh(); err != nil {
		return nil, err
	}
	if err := m.perLitre(); err != nil {
		return nil, err
	}
	m.aim()
	m.hold()
	m.write()
	return m.Made, m.check()
}

// maker makes one brief.
type maker struct {
	*Made
	recipe *Recipe
	lib    *profile.Library
	wish   Wishes
	// prepared is lib with preparations among its ingredients.
	prepared *profile.Library
	// names are the ingredients in use, and grams what the recipe has of them on its basis.
	names []string
	grams map[string]float64
	// alcohol is the strength that the brief states.
	alcohol float64
	job     *brief.Job
	// top is where the top of the brief ends in its text.
	top int
}

// water is the ingredient that fills up.
const water = "water"

// use lists the ingredients in use, the recipe's and water.
func (m *maker) use() {
	for _, l := range m.recipe.Lines {
		if !slices.Contains(m.names, l.Ingredient) {
			m.names = append(m.names, l.Ingredient)
		}
	}
	if !slices.ContainsFunc(m.names, m.fills) {
		m.names = append([]string{water}, m.names...)
	}
}

// fills reports whether an ingredient is water.
func (m *maker) fills(name string) bool {
	g := m.lib.Ingredients[name]
	return g != nil && g.Kind == water
}

// weigh turns all amounts into grams.
func (m *maker) weigh() error {
	var faults tomlfile.Faults
	m.grams = map[string]float64{}
	thinned := 0.0 // millilitres of water that stock solutions bring
	sum := 0.0
	for _, l := range m.recipe.Lines {
		g := m.lib.Ingredients[l.Ingredient]
		grams := l.Amount
		switch {
		case g == nil: // a preparation, which is weighed
			if l.Liquid {
				faults = append(faults, l.fault(fmt.Sprintf("%q is a preparation; give what it weighs", l.Word), "as g/L, kg or percent"))
			}
		case l.Stock > 0:
			grams = l.Amount * l.Stock / 1000
			thinned += max(0, l.Amount-grams*g.SolubleShare*g.SpecificVolume)
		case l.Liquid && (g.SolubleShare < 1 || g.SpecificVolume == 0 || !liquid(g)):
			faults = append(faults, l.fault(fmt.Sprintf("%q is measured in millilitres, and %s is no liquid", l.Word, g.Name), "of a solution of it give stock_g_per_l, how many grams stand in a litre; else give what it weighs"))
		case l.Liquid:
			grams = l.Amount / g.SpecificVolume
		}
		m.grams[l.Ingredient] += grams
		sum += grams
	}
	if m.recipe.Basis == Share {
		switch {
		case sum > 100+1e-6:
			faults = append(faults, tomlfile.Fault{File: m.recipe.File, What: fmt.Sprintf("the percentages sum to %.6g; they can sum to 100 at most", sum)})
		case m.named() && sum < 99.5:
			faults = append(faults, tomlfile.Fault{File: m.recipe.File, What: fmt.Sprintf("the percentages sum to %.6g with the water, and what the rest is is not said", sum)})
		case !m.named():
			m.grams[water] = 100 - sum
			m.Notes = append(m.Notes, fmt.Sprintf("The percentages sum to %.6g: the rest was taken for water.", sum))
		}
	}
	if thinned > 0 && m.recipe.Basis == PerBatch && m.named() {
		m.grams[m.filler()] += thinned / 1.0018 // water at 20 °C, mL/g
		m.Notes = append(m.Notes, fmt.Sprintf("The stock solutions bring %.5g mL of water, which were added to it.", thinned))
	}
	return faults.Err()
}

// named reports whether the recipe names its water.
func (m *maker) named() bool {
	return slices.ContainsFunc(m.recipe.Lines, func(l Line) bool { return m.fills(l.Ingredient) })
}

// filler is the water in use.
func (m *maker) filler() string {
	for _, name := range m.names {
		if m.fills(name) {
			return name
		}
	}
	return water
}

// liquid reports whether an ingredient is measured by volume: all of it is in the liquor, at a volume that no dry
// substance has.
func liquid(g *profile.Ingredient) bool {
	return slices.Contains([]string{"juice", "syrup", "water", "spirit", "extract", "colouring", "acid"}, g.Kind) && g.SpecificVolume > 0.65
}

// draft returns the brief's text without targets, with unknown contents accepted for the time being.
func (m *maker) draft() string {
	var b strings.Builder
	m.head(&b, m.wish.PricesFrom)
	return b.String() + taken(m.unknown())
}

// unknown lists what ingredients in use have no figure for among all that markets cap.
func (m *maker) unknown() []brief.Accept {
	var all []brief.Accept
	for _, name := range m.names {
		g := m.prepared.Ingredients[name]
		if g == nil {
			continue
		}
		for _, substance := range m.capped() {
			if _, known := g.Content(substance); !known {
				all = append(all, brief.Accept{Ingredient: name, Substance: substance})
			}
		}
	}
	return all
}

// capped lists what any market in question caps; where a job is known, what it caps.
func (m *maker) capped() []string {
	var names []string
	add := func(c profile.Cap) {
		for _, s := range c.Counted() {
			if !slices.Contains(names, s.Substance) {
				names = append(names, s.Substance)
			}
		}
	}
	if m.job != nil {
		for _, c := range m.job.Caps {
			add(c.Cap)
		}
		return names
	}
	for _, market := range m.wish.Markets {
		if known := m.lib.Markets[market]; known != nil {
			for _, c := range known.Caps {
				add(c)
			}
		}
	}
	return names
}

// open reads a brief's text as if it stood in the folder.
func (m *maker) open(text string) (*brief.Job, error) {
	job, err := brief.OpenText(briefPath(m.wish.Dir), text, m.lib)
	var faults tomlfile.Faults
	if errors.As(err, &faults) {
		for n := range faults {
			if faults[n].File == briefPath(m.wish.Dir) { // no file has these lines yet
				faults[n].File, faults[n].Line = m.recipe.File, 0
				if faults[n].Key == "spirit_drink" {
					faults[n].Hint += "; say it with --spirit-drink or --spirit-drink=false"
				}
			}
		}
		return nil, faults
	}
	return job, err
}

// parts are the recipe's amounts divided by litres.
func (m *maker) parts(litres float64, leave func(string) bool) *brief.Recipe {
	r := &brief.Recipe{Name: m.name(), Batch: leave == nil}
	for _, name := range m.names {
		s := m.job.Source(name)
		if m.grams[name] == 0 || leave != nil && leave(name) {
			continue
		}
		r.Parts = append(r.Parts, brief.Part{Source: s, Amount: decimals(m.grams[name] / litres)})
	}
	return r
}

func (m *maker) name() string {
	if m.wish.Name != "" {
		return m.wish.Name
	}
	return m.recipe.Name
}

// decimals rounds an amount to five significant digits, as a recipe is weighed.
func decimals(x float64) float64 {
	if x == 0 {
		return 0
	}
	scale := math.Pow(10, 4-math.Floor(math.Log10(x)))
	if x*1e6 == math.Round(x*1e6) { // the maker's own digits stay
		return x
	}
	return math.Round(x*scale) / scale
}

// perLitre judges the recipe as grams per litre: it finds how many litres the parts make, and the drink's strength.
func (m *maker) perLitre() error {
	var err error
	if m.job, err = m.open(m.draft()); err != nil {
		return err
	}
	litres := 1.0
	named := m.grams[m.filler()] > 0 // by the recipe, or as the rest of its percentages
	if m.recipe.Basis != PerLitre {
		litres = m.recipe.BatchL
		if named || litres == 0 {
			if !named {
				return tomlfile.Faults{{File: m.recipe.File, What: "how many litres the batch makes is not said: it names no water", Hint: "name the water, or say it with --batch-l"}}
			}
			whole, err := assess.Assess(m.job, m.parts(1, nil))
			if err != nil {
				return tomlfile.Faults{{File: m.recipe.File, What: err.Error()}}
			}
			litres = whole.Recovered
			if said := m.recipe.BatchL; said > 0 && m.recipe.Basis == PerBatch && math.Abs(litres-said) > 0.01*said {
				m.Notes = append(m.Notes, fmt.Sprintf("The parts make %.4g L, not %.4g: amounts per litre are of what they make.", litres, said))
			}
		}
	}
	given := m.grams[m.filler()] / litres
	a, err := assess.Assess(m.job, m.parts(litres, m.fills))
	if err != nil {
		return tomlfile.Faults{{File: m.recipe.File, What: err.Error()}}
	}
	if a.Recovered > 1.005 {
		return tomlfile.Faults{{File: m.recipe.File, What: fmt.Sprintf("its parts without water make %.4g L where they are to make one", a.Recovered)}}
	}
	if now := a.Recipe.Amount(m.filler()); named && m.recipe.Basis == PerLitre && math.Abs(now-given) > 0.01*now {
		m.Notes = append(m.Notes, fmt.Sprintf("With %.4g g/L of water the parts do not make a litre; with %.4g they do, and that was taken.", given, now))
	}
	if strength := a.Value(brief.Alcohol, profile.PerLitre) / brief.EthanolPerPercent; strength >= 0.1 {
		m.alcohol = math.Floor(strength*10) / 10
		if m.job, err = m.open(m.draft()); err != nil {
			return err
		}
		if a, err = assess.Assess(m.job, m.parts(litres, m.fills)); err != nil {
			return tomlfile.Faults{{File: m.recipe.File, What: err.Error()}}
		}
	}
	m.Assessment = a
	return nil
}

// Unknown lists what nothing is known of in a new ingredient of a kind: the attributes that people notice which the
// recipe's other ingredients bring, and the restricted substances that markets cap.
func Unknown(r *Recipe, lib *profile.Library, markets []string) (brought, capped []string) {
	for _, name := range lib.AttributeNames() {
		if !slices.Contains(aimed, lib.Attributes[name].Family) {
			continue
		}
		if slices.ContainsFunc(r.Lines, func(l Line) bool {
			g := lib.Ingredients[l.Ingredient]
			return g != nil && g.Contents[name].PerGram > 0
		}) {
			brought = append(brought, name)
		}
	}
	m := &maker{lib: lib, wish: Wishes{Markets: markets}}
	for _, name := range m.capped() {
		if a := lib.Attributes[name]; a != nil && a.Family == "restricted" {
			capped = append(capped, name)
		}
	}
	slices.Sort(capped)
	return brought, capped
}
