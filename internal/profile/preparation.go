package profile

import (
	"fmt"
	"maps"

	"bittersum/internal/tomlfile"
)

// Preparation is a tincture, an infusion or a syrup that the maker makes of other ingredients, to be used
// as an ingredient itself. What it holds is worked out from its parts; see brief.Prepare.
type Preparation struct {
	Name, Title, Kind string
	// Parts are what goes in, in the file's order.
	Parts []PreparationPart
	// YieldL or YieldKg is what is obtained, strained; both are zero where it is reckoned from the parts.
	YieldL, YieldKg float64
	// LostAs says what is missing where less is obtained than the parts give: LostLiquor or LostWater.
	LostAs string
	// AlcoholPercent is the strength measured in % by volume; 0 where it is reckoned from the parts.
	AlcoholPercent float64
	// Extractions say how parts are extracted, by the name of the ingredient.
	Extractions map[string]PartExtraction
	// LabourPerKg is the cost of making it, per kg obtained.
	LabourPerKg float64
	Cautions    []string
	Provenance
	File string
	Line int
	// Lines are those of its keys.
	Lines map[string]int
}

// PreparationPart is an ingredient of a preparation, or a lot of it ("NAME/LOT"), in grams.
type PreparationPart struct {
	Name  string
	Grams float64
	Line  int
}

// PartExtraction is how an ingredient of a preparation is extracted: by a method of its profile, or as the
// maker measured it.
type PartExtraction struct {
	// Method is one of the profile's methods, or empty for its usual one. Times is how often it is
	// extracted with fresh liquor.
	Method string
	Times  int
	// Recovery replaces shares of contents that reach the liquor, by attribute.
	Recovery map[string]float64
	// HoldUp (L/g), SolubleShare and SolutesShare replace those of the ingredient; below zero where they
	// do not.
	HoldUp, SolubleShare, SolutesShare float64
	Provenance
	Line int
}

// Over returns a method with what was measured in its place.
func (e PartExtraction) Over(m Method) Method {
	if len(e.Recovery) > 0 {
		m.Recovery = maps.Clone(m.Recovery)
		if m.Recovery == nil {
			m.Recovery = map[string]float64{}
		}
		maps.Copy(m.Recovery, e.Recovery)
		if e.Basis.Weaker(m.Basis) {
			m.Provenance = e.Provenance
		}
	}
	for _, x := range []struct {
		measured float64
		into     *float64
	}{{e.HoldUp, &m.HoldUp}, {e.SolubleShare, &m.SolubleShare}, {e.SolutesShare, &m.SolutesShare}} {
		if x.measured >= 0 {
			*x.into = x.measured
		}
	}
	return m
}

// Words for LostAs: the missing yield was liquor as strong as the rest, or water that was boiled off.
const (
	LostLiquor = "liquor"
	LostWater  = "water"
)

// preparationKey is the name of the tables that define preparations.
const preparationKey = "preparation"

// ReadPreparation reads one [[preparation]] table; names of parts are looked up later. Faults are noted in
// the table's document.
func ReadPreparation(t *tomlfile.Table, attributes map[string]*Attribute) *Preparation {
	p := &Preparation{
		Name: readName(t, "name"), Title: t.String("title"), Kind: t.OneOf("kind", Kinds...),
		YieldL: t.NumberOr("yield_l", tomlfile.Positive, 0), YieldKg: t.NumberOr("yield_kg", tomlfile.Positive, 0),
		LostAs:         t.OneOf("lost_as", LostLiquor, LostWater),
		AlcoholPercent: t.NumberOr("alcohol_percent", tomlfile.Range{Min: 0, Max: 96, Open: true}, 0),
		LabourPerKg:    t.NumberOr("labour_per_kg", tomlfile.NonNegative, 0),
		Cautions:       t.Strings("cautions"),
		File:           t.File(), Line: t.Line(""), Lines: map[string]int{},
	}
	if p.Title == "" {
		p.Title = p.Name
	}
	if p.Kind == "" {
		p.Kind = "extract"
	}
	if t.Has("yield_l") && t.Has("yield_kg") {
		t.Fault("yield_kg", "stands beside yield_l; give one of the two", "")
	}
	for _, key := range []string{"yield_l", "yield_kg", "lost_as", "alcohol_percent", "name"} {
		p.Lines[key] = t.Line(key)
	}
	p.Provenance = readProvenance(t, "", Provenance{})
	p.readParts(t)
	p.readExtractions(t, attributes)
	t.Done()
	return p
}

func (p *Preparation) readParts(t *tomlfile.Table) {
	t.Require("grams")
	grams := t.Table("grams")
	if grams == nil {
		return
	}
	if len(grams.Keys()) == 0 {
		grams.Fault("", "is empty: a preparation needs at least one part", "")
	}
	for _, name := range grams.Keys() {
		x := grams.NumberOr(name, tomlfile.Positive, 0)
		p.Parts = append(p.Parts, PreparationPart{name, x, grams.Line(name)})
	}
	grams.Done()
}

func (p *Preparation) readExtractions(t *tomlfile.Table, attributes map[string]*Attribute) {
	all := t.Table("extraction")
	if all == nil {
		return
	}
	p.Extractions = map[string]PartExtraction{}
	for _, e := range all.Named() {
		how := PartExtraction{
			Method: e.String("method"), Times: e.Whole("extractions", 1, 20, 1),
			HoldUp:       e.NumberOr("hold_up_l_per_g", tomlfile.Range{Min: 0, Max: 0.1}, -1),
			SolubleShare: e.NumberOr("soluble_share", tomlfile.Share, -1),
			SolutesShare: e.NumberOr("solutes_share", tomlfile.Share, -1),
			Line:         e.Line(""),
		}
		if recovery := e.Table("recovery"); recovery != nil {
			how.Recovery = map[string]float64{}
			for _, name := range recovery.Keys() {
				how.Recovery[name] = recovery.NumberOr(name, tomlfile.Share, 0)
				if attributes[name] == nil {
					recovery.Fault(name, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
				}
			}
			recovery.Done()
		}
		if len(how.Recovery) > 0 || e.Has("basis") {
			how.Provenance = readProvenance(e, "", p.Provenance)
		}
		e.Done()
		p.Extractions[e.Key()] = how
	}
}

// add puts a preparation into the library, in place of an ingredient of the same name.
func (l *Library) add(p *Preparation) {
	if l.Preparations == nil {
		l.Preparations = map[string]*Preparation{}
	}
	l.Preparations[p.Name] = p
	delete(l.Ingredients, p.Name)
}

// Names returns the names of all ingredients and preparations in order.
func (l *Library) Names() []string {
	all := make(map[string]bool, len(l.Ingredients)+len(l.Preparations))
	for name := range l.Ingredients {
		all[name] = true
	}
	for name := range l.Preparations {
		all[name] = true
	}
	return names(all)
}

// readPreparations reads the [[preparation]] tables of a file; seen says where each name of this folder
// was defined.
func readPreparations(root *tomlfile.Table, l *Library, seen map[string]string) {
	for _, t := range root.Tables(preparationKey) {
		p := ReadPreparation(t, l.Attributes)
		if definedTwice(t, p.Name, seen) {
			continue
		}
		l.add(p)
	}
}

// definedTwice notes a name that this folder has defined already.
func definedTwice(t *tomlfile.Table, name string, seen map[string]string) bool {
	if first, twice := seen[name]; twice && name != "" {
		t.Fault("name", fmt.Sprintf("ingredient %q is defined twice, first at %s", name, first), "")
		return true
	}
	seen[name] = fmt.Sprintf("%s:%d", t.File(), t.Line("name"))
	return false
}

// strongest orders bases by how far they can be trusted.
var strongest = []Basis{Measured, Published, Derived, Practice, Memory, Invented}

// Weaker reports whether a figure of basis b is to be trusted less than one of basis c. No basis at all
// counts as the strongest: there is no figure to doubt.
func (b Basis) Weaker(c Basis) bool { return b.rank() > c.rank() }

func (b Basis) rank() int {
	for n, s := range strongest {
		if s == b {
			return n
		}
	}
	return -1
}
