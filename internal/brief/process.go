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

// Extraction says how an ingredient is extracted.
type Extraction struct {
	// Method is one of the methods of the ingredient's profile, or empty for the profile's usual one.
	Method string
	// Times is how often it is extracted with fresh liquor.
	Times int
	Line  int
}

// readExtractions reads [extraction.INGREDIENT].
func (b *Brief) readExtractions(root *tomlfile.Table) {
	b.Extractions = map[string]Extraction{}
	all := root.Table("extraction")
	if all == nil {
		return
	}
	for _, t := range all.Named() {
		b.Extractions[t.Key()] = Extraction{Method: t.String("method"), Times: t.Whole("extractions", 1, 20, 1), Line: t.Line("")}
		t.Done()
	}
}

// Recovered returns the share of a content that n extractions with fresh liquor bring out when each
// recovers the same share of what is left: 1 - (1-r)^n, cross-current extraction in equal stages.
func Recovered(share float64, n int) float64 { return 1 - math.Pow(1-share, float64(n)) }

// prepared returns the ingredient as it comes out of its extraction, and for a lot with its own moisture
// the contents of that lot. What the caps are judged with stays: all of it may come out.
func (r *resolver) prepared(g *profile.Ingredient, lot *Lot) *profile.Ingredient {
	how, extracted := r.Extractions[g.Name]
	wet := lot != nil && lot.Moisture > 0
	if !extracted && !wet {
		return g
	}
	own := *g
	dryness := 1.0
	if wet && g.Moisture > 0 {
		dryness = (1 - lot.Moisture) / (1 - g.Moisture)
	}
	method := profile.Method{HoldUp: g.HoldUp, SolubleShare: g.SolubleShare, SolutesShare: 1}
	if m, ok := g.Methods[how.Method]; ok {
		method = m
	}
	own.HoldUp, own.SolubleShare = method.HoldUp, method.SolubleShare
	own.Contents = make(map[string]profile.Content, len(g.Contents))
	for name, c := range g.Contents {
		if share, ok := method.Recovery[name]; ok {
			c.Recovery = share
		}
		c.Recovery = Recovered(c.Recovery, max(1, how.Times))
		c.PerGram *= dryness
		c.SD *= dryness
		own.Contents[name] = c
	}
	if g.Solutes != nil {
		own.Solutes = make(map[string]float64, len(g.Solutes))
		for name, x := range g.Solutes {
			own.Solutes[name] = x * dryness * method.SolutesShare
		}
	}
	return &own
}

// extractions notes methods that the profiles do not know and ingredients that are not in use.
func (r *resolver) extractions() {
	var names []string
	for _, ref := range r.Use {
		names = append(names, ref.Name)
	}
	for name, how := range r.Extractions {
		key := "extraction." + name
		g := r.Library.Ingredients[name]
		inUse := false
		for _, used := range names {
			inUse = inUse || used == name
		}
		switch {
		case !inUse || g == nil:
			r.unknownName(how.Line, key, "ingredient in use called", name, names)
		case how.Method == "":
		default:
			if _, ok := g.Methods[how.Method]; !ok {
				known := methodNames(g)
				hint := tomlfile.DidYouMean(how.Method, known)
				if hint == "" && len(known) > 0 {
					hint = "known are " + strings.Join(known, ", ")
				}
				r.fault(how.Line, key+".method", fmt.Sprintf("the profile of %q has no method %q", name, how.Method), hint)
			}
		}
	}
}

func methodNames(g *profile.Ingredient) []string { return slices.Sorted(maps.Keys(g.Methods)) }
