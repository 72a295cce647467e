package profile

import (
	"fmt"
	"strings"

	"bittersum/internal/chem"
	"bittersum/internal/tomlfile"
)

// Method is a way to extract an ingredient, such as a cold maceration.
type Method struct {
	// Recovery is the share of an attribute's content that reaches the liquor; attributes that are not
	// listed keep the recovery of their content.
	Recovery map[string]float64
	// HoldUp and SolubleShare replace those of the ingredient.
	HoldUp, SolubleShare float64
	// SolutesShare is the share of the ingredient's solutes that the method brings into the liquor.
	SolutesShare float64
	Provenance
}

// readMoisture reads the share of water in the ingredient as weighed in. Contents and solutes that are
// stated on the dry substance, as pharmacopoeias do, are turned into those of the substance as it is.
func readMoisture(t *tomlfile.Table, g *Ingredient) {
	g.Moisture = t.NumberOr("moisture_share", tomlfile.Range{Min: 0, Max: 0.99}, 0)
	if t.OneOf("contents_on", "as-is", "dry") != "dry" {
		return
	}
	if !t.Has("moisture_share") {
		t.Fault("contents_on", `is "dry"; it needs moisture_share beside it`, "")
	}
	dry := 1 - g.Moisture
	for name, c := range g.Contents {
		c.PerGram *= dry
		c.SD *= dry
		g.Contents[name] = c
	}
	for name := range g.Solutes {
		g.Solutes[name] *= dry
	}
}

// readMethods reads [ingredient.methods.NAME].
func readMethods(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute, own Provenance) {
	methods := t.Table("methods")
	if methods == nil {
		return
	}
	g.Methods = map[string]Method{}
	for _, m := range methods.Named() {
		checkName(m, "", m.Key())
		method := Method{
			HoldUp:       m.NumberOr("hold_up_l_per_g", tomlfile.Range{Min: 0, Max: 0.1}, g.HoldUp),
			SolubleShare: m.NumberOr("soluble_share", tomlfile.Share, g.SolubleShare),
			SolutesShare: m.NumberOr("solutes_share", tomlfile.Share, 1),
			Recovery:     map[string]float64{},
			Provenance:   readProvenance(m, "", own),
		}
		if recovery := m.Table("recovery"); recovery != nil {
			for _, name := range recovery.Keys() {
				x, ok := recovery.Number(name, tomlfile.Share)
				if _, given := g.Contents[name]; !given {
					recovery.Fault(name, fmt.Sprintf("the ingredient has no content of %s to recover", name), tomlfile.DidYouMean(name, names(g.Contents)))
				} else if ok {
					method.Recovery[name] = x
				}
			}
			recovery.Done()
		}
		for name, share := range method.Recovery {
			if share != 1 && g.Contents[name].MeasuredOn == m.Key() {
				m.Fault("recovery", fmt.Sprintf("gives a share of %s, which was measured on what this method draws", name), "leave it out")
			}
		}
		m.Done()
		g.Methods[m.Key()] = method
	}
}

// soluteTolerance is how far solutes may weigh over a gram per gram: amounts are rounded.
const soluteTolerance = 0.01

// checkSolutes notes an acid without constants, and solutes that weigh more than the ingredient. An acid
// is weighed with all its protons, so each charge of a metal ion takes the place of one.
func checkSolutes(t *tomlfile.Table, g *Ingredient, suffix string) {
	for _, key := range t.Keys() {
		name, ok := strings.CutSuffix(key, suffix)
		if !ok {
			continue
		}
		if _, err := chem.ParseSpecies(name); err != nil {
			t.Number(key, tomlfile.NonNegative) // the key is known to be wrong; one fault is enough
			t.Fault(key, fmt.Sprintf("there are no constants for %q; known are %s", name, strings.Join(Species, ", ")), tomlfile.DidYouMean(name, Species))
		}
	}
	const proton = 1.008
	grams := 0.0
	for name, mmol := range g.Solutes {
		s, err := chem.ParseSpecies(name)
		if err != nil {
			continue
		}
		k := s.Constants()
		mass := k.MolarMass
		if k.Steps == 0 && k.Charge > 0 {
			mass -= proton * float64(k.Charge)
		}
		grams += mmol * mass / 1000
	}
	if grams > 1+soluteTolerance {
		t.Fault("", fmt.Sprintf("hold %.4g g per gram of ingredient; at most 1 g is possible", grams), "")
	}
}
