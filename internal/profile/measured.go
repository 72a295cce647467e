package profile

import (
	"fmt"
	"maps"
	"strings"

	"bittersum/internal/tomlfile"
)

// readMeasured reads a file of [[measured]] tables over the library's ingredients: contents, and what methods bring
// out of them, that the maker's own batches say more of than a profile. All else of an ingredient stays, the share
// that caps are judged with among it. seen says where each name of this folder was measured.
//
//	[[measured]]
//	ingredient = "gentian-root"
//	from = "batches BL-42 and BL-44"
//	contents.bitterness = { per_g = 92, recovery = 0.81, sd = 20 }
//	methods.cold-maceration.recovery = { bitterness = 0.5 }
//	solutes_factor = 0.93
//	correlations.bitterness = { tannin = 0.4 }
func readMeasured(doc *tomlfile.Document, l *Library, seen map[string]string) {
	root := doc.Root()
	root.Require("measured")
	for _, t := range root.Tables("measured") {
		t.Require("ingredient", "from")
		name := t.String("ingredient")
		from := Provenance{Basis: Measured, Source: t.String("from")}
		t.Date("on")
		g := l.Ingredients[name]
		switch {
		case g == nil && t.Has("ingredient"):
			t.Fault("ingredient", fmt.Sprintf("there is no ingredient %q", name), tomlfile.DidYouMean(name, l.IngredientNames()))
		case seen[name] != "":
			t.Fault("ingredient", fmt.Sprintf("%q is measured twice, first at %s", name, seen[name]), "put both into one table")
		}
		seen[name] = fmt.Sprintf("%s:%d", doc.Name(), t.Line("ingredient"))
		if g == nil {
			g = &Ingredient{}
		}
		own := *g
		own.Contents, own.Methods = maps.Clone(g.Contents), maps.Clone(g.Methods)
		measuredContents(t, &own, l.Attributes, from)
		measuredMethods(t, &own, from)
		readCorrelations(t, &own, l.Attributes, from)
		if factor := t.NumberOr("solutes_factor", tomlfile.Range{Min: 0.1, Max: 10}, 1); factor != 1 {
			own.Solutes = maps.Clone(g.Solutes)
			for species := range own.Solutes {
				own.Solutes[species] *= factor
			}
			if own.Solutes != nil {
				own.SolutesProvenance = from
			}
		}
		t.Done()
		if name != "" && l.Ingredients[name] != nil && !(l.LeaveFits && strings.HasPrefix(from.Source, FitMark)) {
			l.Ingredients[name] = &own
		}
	}
	root.Done()
}

// measuredContents puts measured contents in place of the profile's.
func measuredContents(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute, from Provenance) {
	contents := t.Table("contents")
	if contents == nil {
		return
	}
	for _, name := range contents.Keys() {
		if !contents.IsTable(name) {
			contents.Fault(name, "is no table", "give { per_g = ..., sd = ..., recovery = ... }")
			continue
		}
		one := contents.Table(name)
		one.Require("per_g", "sd")
		usual := Content{Recovery: 1, CapRecovery: 1}
		if known, ok := g.Contents[name]; ok {
			usual = known
		}
		c := Content{
			PerGram: one.NumberOr("per_g", tomlfile.NonNegative, 0), SD: one.NumberOr("sd", tomlfile.NonNegative, 0),
			Recovery: one.NumberOr("recovery", tomlfile.Share, usual.Recovery), CapRecovery: usual.CapRecovery, Provenance: from, RecoveryProvenance: usual.RecoveryProvenance,
		}
		if one.Has("recovery") {
			c.RecoveryProvenance = from
		}
		one.Done()
		if attributes[name] == nil {
			contents.Fault(name, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
			continue
		}
		if g.Contents == nil {
			g.Contents = map[string]Content{}
		}
		g.Contents[name] = c
	}
	checkMass(contents, g, attributes)
}

// measuredMethods puts measured recoveries in place of those of a method that the profile knows.
func measuredMethods(t *tomlfile.Table, g *Ingredient, from Provenance) {
	methods := t.Table("methods")
	if methods == nil {
		return
	}
	for _, one := range methods.Named() {
		m, known := g.Methods[one.Key()]
		if !known {
			one.Fault("", fmt.Sprintf("the profile of %q knows no method %q", g.Name, one.Key()), tomlfile.DidYouMean(one.Key(), names(g.Methods)))
		}
		m.Recovery = maps.Clone(m.Recovery)
		if m.Recovery == nil {
			m.Recovery = map[string]float64{}
		}
		if recovery := one.Table("recovery"); recovery != nil {
			for _, attribute := range recovery.Keys() {
				if _, has := g.Contents[attribute]; !has {
					recovery.Fault(attribute, fmt.Sprintf("%s has no content of %s", g.Name, attribute), "")
				}
				m.Recovery[attribute] = recovery.NumberOr(attribute, tomlfile.Share, 0)
			}
		}
		m.Provenance = from
		one.Done()
		if known {
			g.Methods[one.Key()] = m
		}
	}
}
