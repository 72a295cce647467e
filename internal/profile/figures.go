package profile

import (
	"slices"
	"strings"
)

// Figure is one figure of a profile, or one that is missing, and where it is known from.
type Figure struct {
	Ingredient string
	// Attribute is what a content, a recovery or a zero is of; empty for the others.
	Attribute string
	Kind      FigureKind
	Provenance
}

// FigureKind says what a figure is.
type FigureKind string

const (
	// ContentFigure is an amount per gram.
	ContentFigure FigureKind = "contents"
	// RecoveryFigure is a share that reaches the liquor, of a content or by a method.
	RecoveryFigure FigureKind = "recoveries"
	// SoluteFigure is an amount of an acid or ion.
	SoluteFigure FigureKind = "acids and ions"
	// PhysicalFigure is a soluble share with its volume and the liquor held back.
	PhysicalFigure FigureKind = "mass and volume"
	// PriceFigure is a price.
	PriceFigure FigureKind = "prices"
	// ZeroFigure says that an attribute is absent.
	ZeroFigure FigureKind = "zeros"
	// NoFigure says that nothing is known.
	NoFigure FigureKind = "unknown"
)

// FigureKinds are the kinds in the order that they are shown in.
var FigureKinds = []FigureKind{ContentFigure, RecoveryFigure, SoluteFigure, PhysicalFigure, PriceFigure, ZeroFigure, NoFigure}

// Figures lists every figure of the ingredients that are no preparations, ingredient by ingredient in order
// of name. What a purified substance does not carry is not listed.
func (l *Library) Figures() []Figure {
	var all []Figure
	for _, name := range l.IngredientNames() {
		g := l.Ingredients[name]
		if l.Preparations[name] != nil {
			continue
		}
		all = append(all, g.figures(l.AttributeNames())...)
	}
	return all
}

func (g *Ingredient) figures(attributes []string) []Figure {
	var all []Figure
	add := func(kind FigureKind, attribute string, from Provenance) {
		all = append(all, Figure{g.Name, attribute, kind, from})
	}
	for _, attribute := range attributes {
		c, given := g.Contents[attribute]
		zero, known := g.Content(attribute)
		switch {
		case given:
			add(ContentFigure, attribute, c.Provenance)
			if c.Recovery != 1 {
				add(RecoveryFigure, attribute, c.RecoveryProvenance)
			}
		case !known:
			add(NoFigure, attribute, Provenance{})
		case zero.Basis != "": // a purified substance's zeros are of its purity
			add(ZeroFigure, attribute, zero.Provenance)
		}
	}
	for species := range g.Solutes {
		from := g.SolutesProvenance
		if slices.Contains(g.SolutesRecalled, species) {
			from = Provenance{Basis: Memory}
		}
		add(SoluteFigure, "", from)
	}
	for _, name := range names(g.Methods) {
		for _, attribute := range names(g.Methods[name].Recovery) {
			add(RecoveryFigure, attribute, g.Methods[name].Provenance)
		}
	}
	if g.Physical() {
		add(PhysicalFigure, "", g.PhysicalProvenance)
	}
	if g.PriceProvenance.Basis != "" {
		add(PriceFigure, "", g.PriceProvenance)
	}
	return all
}

// Tally counts figures under one name.
type Tally struct {
	Name string
	// ByBasis counts figures that are no zeros, Zeros those that say that something is absent, Unknown what
	// there is no figure for.
	ByBasis        map[Basis]int
	Zeros, Unknown int
}

// All is the number of figures that are no zeros.
func (t Tally) All() int {
	sum := 0
	for _, n := range t.ByBasis {
		sum += n
	}
	return sum
}

// Weak is the number of them that are recalled or invented.
func (t Tally) Weak() int { return t.ByBasis[Memory] + t.ByBasis[Invented] }

// Count tallies figures by the name that by gives each; those that get no name are left out. Names with the
// most recalled or invented figures come first.
func Count(figures []Figure, by func(Figure) string) []Tally {
	at := map[string]int{}
	var all []Tally
	for _, f := range figures {
		name := by(f)
		if name == "" {
			continue
		}
		n, ok := at[name]
		if !ok {
			n = len(all)
			at[name] = n
			all = append(all, Tally{Name: name, ByBasis: map[Basis]int{}})
		}
		switch f.Kind {
		case ZeroFigure:
			all[n].Zeros++
		case NoFigure:
			all[n].Unknown++
		default:
			all[n].ByBasis[f.Basis]++
		}
	}
	slices.SortStableFunc(all, func(a, b Tally) int {
		if c := b.Weak() - a.Weak(); c != 0 {
			return c
		}
		return strings.Compare(a.Name, b.Name)
	})
	return all
}
