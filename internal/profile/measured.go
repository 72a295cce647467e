package profile

import (
	"fmt"
	"maps"
	"strings"

	"bittersum/internal/tomlfile"
)

// readMeasured reads a file of [[measured]] tables over the library's ingredients: contents, and what methods bring
// out of them, that the maker's own batches say more of than a profile. All else of an ingredient stays, the share
// that caps are judged with among it. [[noticed]] tables give just noticeable differences in the same way. seen says
// where each thing of this folder was measured.
//
//	[[measured]]
//	ingredient = "gentian-root"
//	from = "batches BL-42 and BL-44"
//	contents.bitterness = { per_g = 92, recovery = 0.81, sd = 20 }
//	methods.cold-maceration.recovery = { bitterness = 0.5 }
//	solutes_factor = 0.93
//	correlations.bitterness = { tannin = 0.4 }
//
//	[[noticed]]
//	attribute = "bitterness"
//	from = "4 tests with 96 answers"
//	jnd_share = 0.22
func readMeasured(doc *tomlfile.Document, l *Library, seen map[string]string) {
	root := doc.Root()
	if !root.Has("noticed") {
		root.Require("measured")
	}
	readNoticed(root, l, seen)
	for _, t := range root.Tables("measured") {
		t.Require("ingredient", "from")
		name := t.String("ingredient")
		from := Provenance{Basis: Measured, Source: t.String("from")}
		t.Date("on")
		g := l.Ingredients[name]
		switch {
		case g == nil && t.Has("ingredient"):
			t.Fault("ingredient", fmt.Sprintf("there is no ingredient %q", name), tomlfile.DidYouMean(name, l.IngredientNames()))
		}
		if g == nil {
			g = &Ingredient{}
		}
		own := *g
		own.Contents, own.Methods = maps.Clone(g.Contents), maps.Clone(g.Methods)
		once := onlyOnce(doc, seen, name)
		measuredContents(t, &own, l.Attributes, from, once)
		measuredMethods(t, &own, from, once)
		if t.Has("correlations") {
			once(t, "correlations", "correlations")
		}
		readCorrelations(t, &own, l.Attributes, from)
		if factor := t.NumberOr("solutes_factor", tomlfile.Range{Min: 0.1, Max: 10}, 1); factor != 1 {
			once(t, "solutes_factor", "acids")
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

// onlyOnce returns what notes a thing of an ingredient, or of an attribute, that is measured in two places.
func onlyOnce(doc *tomlfile.Document, seen map[string]string, name string) func(t *tomlfile.Table, key, what string) {
	return func(t *tomlfile.Table, key, what string) {
		thing := what + " of " + name
		if first := seen[thing]; first != "" {
			t.Fault(key, fmt.Sprintf("%s is measured twice, first at %s", thing, first), "keep one of the two")
			return
		}
		seen[thing] = fmt.Sprintf("%s:%d", doc.Name(), t.Line(key))
	}
}

// readNoticed reads just noticeable differences that stand in place of those of attributes.
func readNoticed(root *tomlfile.Table, l *Library, seen map[string]string) {
	for _, t := range root.Tables("noticed") {
		t.Require("attribute", "from")
		name := t.String("attribute")
		from := Provenance{Basis: Measured, Source: t.String("from")}
		t.Date("on")
		jnd, absolute := t.Number("jnd", tomlfile.Positive)
		share, relative := t.Number("jnd_share", tomlfile.Range{Min: 0, Max: 10, Open: true})
		if absolute == relative {
			t.Fault("", "needs jnd, in the attribute's unit, or jnd_share, a share of its value", "")
		}
		t.Done()
		a := l.Attributes[name]
		if a == nil {
			if t.Has("attribute") {
				t.Fault("attribute", noAttribute(name), tomlfile.DidYouMean(name, l.AttributeNames()))
			}
			continue
		}
		if thing := "what is noticed of " + name; seen[thing] != "" {
			t.Fault("attribute", fmt.Sprintf("%s is measured twice, first at %s", thing, seen[thing]), "keep one of the two")
		} else {
			seen[thing] = fmt.Sprintf("%s:%d", t.File(), t.Line("attribute"))
		}
		own := *a
		own.JND, own.JNDShare, own.Provenance = jnd, share, from
		l.Attributes[name] = &own
	}
}

// measuredContents puts measured contents in place of the profile's.
func measuredContents(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute, from Provenance, once func(*tomlfile.Table, string, string)) {
	contents := t.Table("contents")
	if contents == nil {
		return
	}
	for _, name := range contents.Keys() {
		if !contents.IsTable(name) {
			contents.Fault(name, "is no table", "give { per_g = ..., sd = ..., recovery = ... }")
			continue
		}
		once(contents, name, name)
		one := contents.Table(name)
		if !one.Has("values") {
			one.Require("per_g", "sd")
		}
		usual := Content{Recovery: 1, CapRecovery: 1}
		if known, ok := g.Contents[name]; ok {
			usual = known
		}
		c := Content{
			PerGram: one.NumberOr("per_g", tomlfile.NonNegative, 0), SD: one.NumberOr("sd", tomlfile.NonNegative, 0),
			Recovery: one.NumberOr("recovery", tomlfile.Share, usual.Recovery), CapRecovery: usual.CapRecovery, MeasuredOn: usual.MeasuredOn, Provenance: from, RecoveryProvenance: usual.RecoveryProvenance,
		}
		if one.Has("recovery") {
			c.RecoveryProvenance = from
		}
		readVariation(one, &c)
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
func measuredMethods(t *tomlfile.Table, g *Ingredient, from Provenance, once func(*tomlfile.Table, string, string)) {
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
				once(recovery, attribute, attribute+" by "+one.Key())
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
