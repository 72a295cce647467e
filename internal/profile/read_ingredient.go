package profile

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/tomlfile"
)

// massTolerance is how far, in grams per gram, contents may sum over their whole: below it lies only
// the rounding of decimals.
const massTolerance = 1e-9

// ReadIngredient reads one [[ingredient]] table. Contents and absences must name one of attributes.
// Faults are noted in the table's document.
func ReadIngredient(t *tomlfile.Table, attributes map[string]*Attribute) *Ingredient {
	g := &Ingredient{
		Name:  readName(t, "name"),
		Title: t.String("title"),
		Kind:  t.OneOf("kind", Kinds...),
		Pure:  t.Bool("pure"),
		File:  t.File(),
		Line:  t.Line(""),
	}
	if g.Title == "" {
		g.Title = g.Name
	}
	g.Plants = t.Strings("plants")
	for n, plant := range g.Plants {
		if !kebab(plant) {
			t.ElementFault("plants", n, fmt.Sprintf("%q is no name: use small letters, digits and single hyphens", plant), "")
		}
	}
	g.OtherPlants = t.Strings("other_plants")
	var own Provenance
	if t.Has("basis") || t.Has("source") {
		own = readProvenance(t, "", Provenance{})
	}
	readPrice(t, g, own)
	readPhysical(t, g, own)
	readLabel(t, g)
	readContents(t, g, attributes, own)
	settleExtracts(t, g, attributes)
	readAbsent(t, g, attributes, own)
	readCorrelations(t, g, attributes, own)
	readSolutes(t, g, own)
	readMoisture(t, g)
	readMethods(t, g, attributes, own)
	g.settle(attributes)
	checkCharacter(t, g)
	t.Done()
	return g
}

// character names what an ingredient of a kind is used for.
var character = map[string]string{
	"acid": "acidity", "sweetener": "sweetness", "sugar": "sweetness", "syrup": "sweetness", "alkaloid": "bitterness", "spirit": "alcohol",
}

// checkCharacter notes a purified substance that says nothing of what its kind is used for: pure would read
// it as absent.
func checkCharacter(t *tomlfile.Table, g *Ingredient) {
	attribute := character[g.Kind]
	if !g.Pure || attribute == "" || slices.Contains(g.Unknown, attribute) {
		return
	}
	_, given := g.Contents[attribute]
	if _, absent := g.Absent[attribute]; !given && !absent {
		t.Fault("pure", fmt.Sprintf("would say that this %s brings no %s", g.Kind, attribute), "give "+attribute+" under contents, or list it under absent or unknown")
	}
}

func readPrice(t *tomlfile.Table, g *Ingredient, own Provenance) {
	perKg, perUnit := t.Has("price_per_kg"), t.Has("price_per_unit")
	g.PricePerKg = t.NumberOr("price_per_kg", tomlfile.NonNegative, 0)
	if perUnit {
		g.PricePerKg = t.NumberOr("price_per_unit", tomlfile.NonNegative, 0)
	}
	if perKg && perUnit {
		t.Fault("price_per_unit", "stands beside price_per_kg; give one of the two", "")
	}
	if perKg || perUnit || t.Has("price_basis") || t.Has("price_source") {
		g.PriceProvenance = readProvenance(t, "price_", own)
	}
	if most, ok := t.Number("customary_max_g_per_l", tomlfile.Positive); ok {
		g.Customary, g.CustomaryProvenance = most, readProvenance(t, "customary_", own)
	}
	g.LabourPerKg = t.NumberOr("labour_per_kg", tomlfile.NonNegative, 0)
}

func readPhysical(t *tomlfile.Table, g *Ingredient, own Provenance) {
	g.SolubleShare = t.NumberOr("soluble_share", tomlfile.Share, 0)
	g.SpecificVolume = t.NumberOr("specific_volume_ml_per_g", tomlfile.Range{Min: 0, Max: 10, Open: true}, 0)
	g.HoldUp = t.NumberOr("hold_up_l_per_g", tomlfile.Range{Min: 0, Max: 0.1}, 0)
	g.TrimmingLoss = t.NumberOr("trimming_loss", tomlfile.Share, 0)
	if g.TrimmingLoss == 1 {
		t.Fault("trimming_loss", "is 1: nothing of the ingredient would be left to weigh in", "")
	}
	switch given, volume := t.Has("soluble_share"), t.Has("specific_volume_ml_per_g"); {
	case given && !volume:
		t.Fault("soluble_share", "needs specific_volume_ml_per_g beside it", "")
	case volume && !given:
		t.Fault("specific_volume_ml_per_g", "needs soluble_share beside it", "")
	case given || t.Has("physical_basis") || t.Has("physical_source"):
		g.PhysicalProvenance = readProvenance(t, "physical_", own)
	}
}

func readLabel(t *tomlfile.Table, g *Ingredient) {
	g.LabelName = t.String("label_name")
	if g.LabelName == "" {
		g.LabelName = g.Title
	}
	g.LabelParts = t.Strings("label_parts")
	g.Category = t.OneOf("category", Categories()...)
	g.ENumber = t.String("e_number")
	g.Allergens = t.Strings("allergens")
	g.Start = t.OneOf("start", HotOrSour)
	g.Cautions = t.Strings("cautions")
}

// readContents reads the table of contents: each attribute has a number per gram, or a table with
// recovery, standard deviation and a provenance of its own.
func readContents(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute, own Provenance) {
	contents := t.Table("contents")
	if contents == nil {
		return
	}
	g.Contents = make(map[string]Content, len(contents.Keys()))
	for _, name := range contents.Keys() {
		var c Content
		if contents.IsTable(name) {
			c = readContent(contents.Table(name), own)
		} else {
			c = Content{Recovery: 1, CapRecovery: 1, Provenance: own}
			c.PerGram, _ = contents.Number(name, tomlfile.NonNegative)
			if own.Basis == "" {
				contents.Fault(name, "has no basis: give one to the ingredient, or write a table with per_g and basis", "")
			}
		}
		if attributes[name] == nil {
			contents.Fault(name, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
			continue
		}
		g.Contents[name] = c
	}
	checkMass(contents, g, attributes)
}

func readContent(t *tomlfile.Table, own Provenance) Content {
	key := "per_g"
	if t.Has("per_unit") {
		key = "per_unit"
		if t.Has("per_g") {
			t.Fault("per_unit", "stands beside per_g; give one of the two", "")
			t.NumberOr("per_g", tomlfile.NonNegative, 0)
		}
	}
	if !hasAmount(t, key) {
		t.Require(key)
	}
	c := Content{
		PerGram:     t.NumberOr(key, tomlfile.NonNegative, 0),
		Recovery:    t.NumberOr("recovery", tomlfile.Share, 1),
		SD:          t.NumberOr("sd", tomlfile.NonNegative, 0),
		MeasuredOn:  readMeasuredOn(t),
		CapRecovery: t.NumberOr("cap_recovery", tomlfile.Share, 1),
		Provenance:  readProvenance(t, "", own),
	}
	c.RecoveryProvenance = readRecoveryProvenance(t, c, own)
	readVariation(t, &c)
	t.Done()
	return c
}

// readRecoveryProvenance reads where a recovery is known from. A recovery that does not say so counts as
// recalled beside a content that was read somewhere, and is as well known as one that was not.
func readRecoveryProvenance(t *tomlfile.Table, c Content, own Provenance) Provenance {
	switch {
	case t.Has("recovery_basis"):
		return readProvenance(t, "recovery_", own)
	case c.Recovery == 1:
		return Provenance{}
	case c.Basis == Published || c.Basis == Derived:
		return Provenance{Basis: Memory}
	}
	return Provenance{Basis: c.Basis}
}

// checkMass notes where masses cannot be: parts over their whole, or wholes over a gram per gram.
func checkMass(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute) {
	total := 0.0
	parts := map[string]float64{}
	for _, name := range names(g.Contents) { // in one order, so that sums are the same each time
		a := attributes[name]
		grams := g.Contents[name].PerGram * a.grams()
		if grams == 0 {
			continue
		}
		if _, known := g.Contents[a.PartOf]; known && attributes[a.PartOf].grams() > 0 {
			parts[a.PartOf] += grams
		} else {
			total += grams
		}
	}
	for _, whole := range names(parts) {
		of := g.Contents[whole].PerGram * attributes[whole].grams()
		if parts[whole] > of+massTolerance {
			t.Fault(whole, fmt.Sprintf("is %.4g g per gram, but the contents that are part of it sum to %.4g g", of, parts[whole]), "")
		}
	}
	if total > 1+massTolerance {
		t.Fault("", fmt.Sprintf("hold %.4g g per gram of ingredient; at most 1 g is possible", total), "")
	}
}

// readAbsent reads which attributes are absent: those named, and of each family named all that are not
// given and not said to be unknown.
func readAbsent(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute, own Provenance) {
	g.Unknown = t.Strings("unknown")
	unknown := make(map[string]bool, len(g.Unknown))
	for n, name := range g.Unknown {
		unknown[name] = true
		if attributes[name] == nil {
			t.ElementFault("unknown", n, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
		} else if _, given := g.Contents[name]; given {
			t.ElementFault("unknown", n, fmt.Sprintf("%q is said to be unknown, but its content is given", name), "")
		}
	}
	absent := t.Table("absent")
	if absent == nil {
		return
	}
	from := readProvenance(absent, "", own)
	g.Absent = make(map[string]Provenance, len(attributes))
	for n, name := range absent.Strings("attributes") {
		switch _, given := g.Contents[name]; {
		case attributes[name] == nil:
			absent.ElementFault("attributes", n, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
		case given:
			absent.ElementFault("attributes", n, fmt.Sprintf("%q is said to be absent, but its content is given", name), "")
		case unknown[name]:
			absent.ElementFault("attributes", n, fmt.Sprintf("%q is said to be both absent and unknown", name), "")
		default:
			g.Absent[name] = from
		}
	}
	whole := map[string]bool{}
	for n, family := range absent.Strings("families") {
		if !slices.Contains(families, family) {
			absent.ElementFault("families", n, fmt.Sprintf("there is no family %q", family), tomlfile.DidYouMean(family, families))
		}
		if family == Restricted && !absent.Has("source") {
			absent.ElementFault("families", n, "says of every restricted substance that none is in it, and not why", "give a source, name the plants, or give contents from a certificate")
		}
		whole[family] = true
	}
	for name, a := range attributes {
		if _, given := g.Contents[name]; whole[a.Family] && !given && !unknown[name] {
			g.Absent[name] = from
		}
	}
	absent.Done()
}

func readSolutes(t *tomlfile.Table, g *Ingredient, own Provenance) {
	const suffix = "_mmol_per_g"
	solutes := t.Table("solutes")
	if solutes == nil {
		return
	}
	g.Solutes = map[string]float64{}
	for _, species := range Species {
		if x, ok := solutes.Number(species+suffix, tomlfile.Range{Min: 0, Max: 100}); ok {
			g.Solutes[species] = x
		}
	}
	if !slices.ContainsFunc(solutes.Keys(), func(key string) bool { return strings.HasSuffix(key, suffix) }) {
		solutes.Fault("", "is empty: give the acids and ions it brings, or leave the table out", "")
	}
	g.SolutesProvenance = readProvenance(solutes, "", own)
	g.SolutesRecalled = solutes.Strings("recalled")
	for n, species := range g.SolutesRecalled {
		if _, given := g.Solutes[species]; !given {
			solutes.ElementFault("recalled", n, fmt.Sprintf("%q is not among the acids and ions given", species), tomlfile.DidYouMean(species, names(g.Solutes)))
		}
	}
	checkSolutes(solutes, g, suffix)
	solutes.Done()
}

// readIngredients reads a file of [[ingredient]] and [[preparation]] tables into the library; seen says
// where each name of this folder was defined. Known are the plants that they may name; nil for any.
func readIngredients(doc *tomlfile.Document, l *Library, seen map[string]string, known []string) {
	root := doc.Root()
	if !root.Has(preparationKey) {
		root.Require("ingredient")
	}
	for _, t := range root.Tables("ingredient") {
		g := ReadIngredient(t, l.Attributes)
		if known != nil {
			CheckPlants(t, g, known)
		}
		if !t.Has("soluble_share") && !t.Has("specific_volume_ml_per_g") {
			t.Require("soluble_share", "specific_volume_ml_per_g")
		}
		l.Botany.Apply(g, l.Attributes)
		if definedTwice(t, g.Name, seen) {
			continue
		}
		l.Ingredients[g.Name] = g
		delete(l.Preparations, g.Name)
	}
	readPreparations(root, l, seen)
	root.Done()
}
