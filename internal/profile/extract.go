package profile

import (
	"fmt"

	"bittersum/internal/tomlfile"
)

// Decoction is the method of a bitterness value: 1 g in 100 mL of boiling water, half an hour on the water bath
// (Ph. Eur. 2.8.15).
const Decoction = "decoction"

// Extracts are the methods that a content may have been measured on, and that recoveries belong to.
var Extracts = []string{"hot-infusion", Decoction, "cold-maceration", "with-alcohol"}

// wholeContent says of a content that it counts all that is in the plant.
const wholeContent = "whole"

// Drawn reports whether a kettle decides how much of the content reaches the liquor: not all of it does, or it was
// measured on what one method draws.
func (c Content) Drawn() bool { return c.Recovery < 1 || c.MeasuredOn != "" }

// readMeasuredOn reads what a content was measured on.
func readMeasuredOn(t *tomlfile.Table) string {
	on := t.OneOf("measured_on", append([]string{wholeContent}, Extracts...)...)
	if on == wholeContent {
		return ""
	}
	return on
}

// settleExtracts notes contents that were measured on an extract and may not be, or whose recovery discounts them
// twice; without a usual method the recoveries belong to the one that a content was measured on.
func settleExtracts(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute) {
	g.UsualMethod = t.OneOf("usual_method", Extracts...)
	for _, name := range names(g.Contents) {
		c := g.Contents[name]
		if c.MeasuredOn == "" {
			continue
		}
		at := t.Table("contents").Table(name)
		if attributes[name].Family == Restricted {
			at.Fault("measured_on", fmt.Sprintf("is %q, but caps are judged with all that is in the plant", c.MeasuredOn), "give the whole content of what is capped")
			continue
		}
		if g.UsualMethod == "" {
			g.UsualMethod = c.MeasuredOn
		}
		if g.UsualMethod == c.MeasuredOn && c.Recovery != 1 {
			at.Fault("recovery", fmt.Sprintf("discounts it twice: what a %s draws was measured, and that is how it is extracted", c.MeasuredOn), "leave it out, or give the usual_method that it belongs to")
		}
	}
}

// Knows reports whether the profile knows a method: it has figures for it, or its recoveries belong to it.
func (g *Ingredient) Knows(method string) bool {
	_, ok := g.Methods[method]
	return ok || method != "" && method == g.UsualMethod
}

// MethodNames returns the methods that the profile knows, in order.
func (g *Ingredient) MethodNames() []string {
	all := map[string]bool{}
	for name := range g.Methods {
		all[name] = true
	}
	if g.UsualMethod != "" {
		all[g.UsualMethod] = true
	}
	return names(all)
}

// RecoveryBy returns the share of a content that reaches the liquor by a method other than the usual one and where
// it is known from. Of what was measured on the method's own extract all of it does; without a figure it is that of
// the usual method, which is recalled at best where the content was measured on one.
func (c Content) RecoveryBy(method string, m Method, attribute string) (share float64, from Provenance, stated bool) {
	share, stated = m.Recovery[attribute]
	switch {
	case stated:
		return share, m.Provenance, true
	case method != "" && method == c.MeasuredOn:
		return 1, Provenance{}, false
	case method != "" && c.MeasuredOn != "":
		return c.Recovery, Provenance{Memory, "no figure for " + method + "; that of the usual method"}, false
	}
	return c.Recovery, c.RecoveryProvenance, false
}
