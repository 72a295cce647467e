package brief

import (
	"fmt"
	"math"
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

// prepared returns the ingredient as it comes out of the brief's extraction, if it has one, and for a lot
// with its own moisture the contents of that lot.
func (r *resolver) prepared(g *profile.Ingredient, lot *Lot) *profile.Ingredient {
	how, extracted := r.Extractions[g.Name]
	if !extracted && !wet(lot) {
		return g
	}
	return extract(g, lot, how.Method, methodOf(g, how.Method), how.Times)
}

func wet(lot *Lot) bool { return lot != nil && lot.Moisture > 0 }

// methodOf returns a method of the ingredient, or its usual way of going into the liquor.
func methodOf(g *profile.Ingredient, name string) profile.Method {
	if m, ok := g.Methods[name]; ok {
		return m
	}
	return profile.Method{HoldUp: g.HoldUp, SolubleShare: g.SolubleShare, SolutesShare: 1}
}

// extract returns the ingredient as it comes out of so many extractions. What the caps are judged with
// stays: all of it may come out. A content is known no better than the share of it that a method brings out.
func extract(g *profile.Ingredient, lot *Lot, name string, method profile.Method, times int) *profile.Ingredient {
	own := *g
	dryness := 1.0
	if wet(lot) && g.Moisture > 0 {
		dryness = (1 - lot.Moisture) / (1 - g.Moisture)
	}
	own.HoldUp, own.SolubleShare = method.HoldUp, method.SolubleShare
	own.Contents = make(map[string]profile.Content, len(g.Contents))
	if name == g.UsualMethod {
		name = ""
	}
	for attribute, c := range g.Contents {
		share, from, stated := c.RecoveryBy(name, method, attribute)
		c.Recovery = share
		if !stated {
			c.RecoveryProvenance = from
		} else if from.Basis.Weaker(c.Basis) {
			c.Provenance = from
		}
		c.Recovery = Recovered(c.Recovery, max(1, times))
		c.PerGram *= dryness
		c.SD *= dryness
		own.Contents[attribute] = c
	}
	if g.Solutes != nil {
		own.Solutes = make(map[string]float64, len(g.Solutes))
		for species, x := range g.Solutes {
			own.Solutes[species] = x * dryness * method.SolutesShare
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
			if !g.Knows(how.Method) {
				r.fault(how.Line, key+".method", noMethod(name, how.Method), knownMethods(g, how.Method))
			}
		}
	}
}

func noMethod(ingredient, method string) string {
	return fmt.Sprintf("the profile of %q has no method %q", ingredient, method)
}

// knownMethods says which methods a profile has, for one that it has not.
func knownMethods(g *profile.Ingredient, wrong string) string {
	known := g.MethodNames()
	hint := tomlfile.DidYouMean(wrong, known)
	if hint == "" && len(known) > 0 {
		hint = "known are " + strings.Join(known, ", ")
	}
	return hint
}
