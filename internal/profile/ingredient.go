package profile

import (
	"slices"

	"bittersum/internal/chance"
)

// Content is how much of an attribute a gram of ingredient brings.
type Content struct {
	// PerGram is the whole content in the attribute's unit per gram as weighed in, before recovery.
	PerGram float64
	// MeasuredOn is the method of Extracts whose extract PerGram counts, as a bitterness value is measured on what
	// boiling water draws; empty where it is all that is in the plant.
	MeasuredOn string
	// Recovery is the share of it that is expected to reach the liquor by the ingredient's usual method: of what
	// the extract holds that it was measured on, where it was measured on one.
	Recovery float64
	// SD is the standard deviation of PerGram between lots; 0 if it is not known.
	SD float64
	// Shape is that of its distribution between lots, one of Shapes; empty for lognormal.
	Shape string
	// CapRecovery is the share that caps are judged with: 1 unless a lower one was validated.
	CapRecovery float64
	Provenance
	// RecoveryProvenance is that of Recovery: what is known of a content says nothing of how much of it a
	// kettle draws. It is the zero value where all of it reaches the liquor.
	RecoveryProvenance Provenance
}

// Shapes are the distributions that a content may have between lots.
var Shapes = []string{string(chance.Lognormal), string(chance.Normal), string(chance.Uniform), string(chance.Triangle)}

// HotOrSour is said of a plant whose own enzymes spoil it in cold, neutral water.
const HotOrSour = "hot or sour"

// Ingredient is a thing bought and weighed in.
type Ingredient struct {
	Name, Title string
	// Kind is one of the words of Kinds, or empty.
	Kind string
	// Plants are keys of the plants (and parts) that it comes from, by which markets permit and cap it.
	Plants []string
	// OtherPlants are plants that no rule and no profile knows, in the maker's words.
	OtherPlants []string
	Contents    map[string]Content
	// Absent are attributes known to be absent (none, or too little to show in a drink), with where that
	// is known from.
	Absent map[string]Provenance
	// Unknown are attributes that the profile says openly nothing is known about.
	Unknown []string
	// Least are contents that are part of an unknown whole: what the other parts of a preparation bring.
	Least map[string]Content
	// Pure marks a purified substance: every attribute that is not listed is absent.
	Pure bool
	// Solutes are acids and ions in mmol per gram as weighed in, as far as they reach the liquor.
	Solutes           map[string]float64
	SolutesProvenance Provenance
	// SolutesRecalled names the species whose amounts are recalled beside those that SolutesProvenance speaks of.
	SolutesRecalled []string
	// SolubleShare is the share of the mass that ends in the liquor, the water of a juice included, and
	// SpecificVolume the volume of that share in mL/g.
	SolubleShare, SpecificVolume float64
	// Moisture is the share of water in the ingredient as weighed in; 0 when it is not stated.
	Moisture float64
	// Correlations say how its contents go together from lot to lot; nil where nothing is said.
	Correlations *Correlations
	// UsualMethod is the one of Extracts that the recoveries of its contents belong to; empty where the profile
	// does not say.
	UsualMethod string
	// Methods are the ways to extract it for which figures are known, by name.
	Methods map[string]Method
	// HoldUp is the liquor held back by the spent matter, in litres per gram weighed in.
	HoldUp float64
	// Customary is the most, in g/L of the drink as served, that drinks are customarily made with; 0 when
	// nothing is known of it.
	Customary           float64
	CustomaryProvenance Provenance
	// TrimmingLoss is the share of the bought mass that is lost before weighing in.
	TrimmingLoss       float64
	PhysicalProvenance Provenance
	// LabourPerKg is the cost of preparation per kg weighed in; PricePerKg the price per kg bought.
	LabourPerKg, PricePerKg float64
	PriceProvenance         Provenance
	// LabelName is the name for a list of ingredients, Category the class of an additive such as "acid",
	// and ENumber its number if it has one.
	LabelName, Category, ENumber string
	// LabelParts are the label names of what a compound ingredient is made of, by falling weight.
	LabelParts          []string
	Allergens, Cautions []string
	// Start is how a plant has to be brought into the liquor, HotOrSour or empty when it does not matter.
	Start string
	File  string
	Line  int

	// without are additives that it cannot bring, see Attribute.Categories.
	without map[string]bool
}

// Kinds are the words that an ingredient's kind may be.
var Kinds = []string{
	"bark", "root", "peel", "herb", "flower", "leaf", "wood", "seed", "fruit", "juice", "acid", "salt",
	"sugar", "syrup", "sweetener", "alkaloid", "extract", "tannin", "colouring", "texture",
	"preservative", "gas", "water", "spirit",
}

// Species are the names that solutes may have.
var Species = []string{
	"citric", "malic", "tartaric", "ascorbic", "phosphoric", "lactic", "acetic", "benzoic", "sorbic",
	"quinic", "carbonic", "quinine", "sodium", "potassium", "calcium", "magnesium", "chloride", "sulfate",
	"sulfurous",
}

// Content returns what a gram brings of an attribute and whether that is known: an absent attribute is
// known to be zero, as is every other attribute of a pure substance. Of what is not known the content is the
// least that is in it.
func (g *Ingredient) Content(attribute string) (c Content, known bool) {
	if c, ok := g.Contents[attribute]; ok {
		return c, true
	}
	if p, ok := g.Absent[attribute]; ok {
		return Content{Recovery: 1, CapRecovery: 1, Provenance: p}, true
	}
	if g.without[attribute] {
		return Content{Recovery: 1, CapRecovery: 1, Provenance: noAdditive}, true
	}
	if g.Pure && !slices.Contains(g.Unknown, attribute) {
		return Content{Recovery: 1, CapRecovery: 1}, true
	}
	return g.Least[attribute], false
}

// noAdditive is where it is known from that an ingredient brings none of an additive.
var noAdditive = Provenance{Practice, "additives of other categories bring it, and no plant"}

// Botanical reports whether the profile names a plant that the ingredient comes from.
func (g *Ingredient) Botanical() bool { return len(g.Plants)+len(g.OtherPlants) > 0 }

// settle notes the additives that the ingredient cannot bring by what it is.
func (g *Ingredient) settle(attributes map[string]*Attribute) {
	category := g.AdditiveCategory()
	if !g.Botanical() && category == "" && !g.plain() {
		return // it does not say what it is
	}
	for name, a := range attributes {
		_, stated := g.Contents[name]
		if !a.Additive() || stated || slices.Contains(g.Unknown, name) || slices.Contains(a.Categories, category) ||
			slices.ContainsFunc(a.Plants, func(plant string) bool { return slices.Contains(g.Plants, plant) }) {
			continue
		}
		if g.without == nil {
			g.without = map[string]bool{}
		}
		g.without[name] = true
	}
}

// intense is the sweetness, in grams of sucrose per gram, from which something is no sugar: fructose, the
// sweetest of them, has less than 2.
const intense = 5

// AdditiveCategory returns the class of additive that the ingredient is, by its category, else by its kind or
// its sweetness, or nothing.
func (g *Ingredient) AdditiveCategory() string {
	byKind := map[string]string{"gas": "packaging gas", "sweetener": "sweetener", "preservative": "preservative", "acid": "acid"}
	switch {
	case g.Category != "":
		return g.Category
	case byKind[g.Kind] != "":
		return byKind[g.Kind]
	case g.Contents["sweetness"].PerGram >= intense:
		return "sweetener"
	}
	return ""
}

// Bulk reports whether the ingredient is a sweetener by its mass, a polyol, and no intense one.
func (g *Ingredient) Bulk() bool { return g.Contents["polyols"].PerGram >= 0.5 }

// plain reports whether the ingredient is a food that needs neither plant nor class: water, sugars, a spirit,
// a gas, or salt.
func (g *Ingredient) plain() bool {
	if slices.Contains([]string{"water", "sugar", "syrup", "spirit", "gas"}, g.Kind) {
		return true
	}
	return g.Kind == "salt" && g.Solutes["chloride"] > 0 && g.Solutes["sodium"] > 0 && len(g.Solutes) == 2
}

// Physical reports whether the profile says how much of the ingredient ends in the liquor and which
// volume that takes, as every ingredient of a drink must.
func (g *Ingredient) Physical() bool { return g.SpecificVolume > 0 }
