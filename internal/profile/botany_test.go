package profile

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/internal/tomlfile"
)

// No content of a restricted substance is zero without a reason: a purified substance, a plant that botany
// rules out, or a source of its own.
func TestNoRestrictedZeroWithoutReason(t *testing.T) {
	l := embedded(t)
	zeros, unknown, given := 0, 0, 0
	for _, name := range l.IngredientNames() {
		g := l.Ingredients[name]
		for _, attribute := range l.AttributeNames() {
			if l.Attributes[attribute].Family != Restricted || l.Attributes[attribute].Additive() {
				continue // what is added as such is in nothing by nature
			}
			content, known := g.Content(attribute)
			switch {
			case !known:
				unknown++
			case content.PerGram > 0:
				given++
			case g.Pure:
				zeros++
			default:
				zeros++
				assert.NotEmpty(t, content.Source, "%s in %s is zero without a reason", attribute, name)
			}
		}
	}
	t.Logf("restricted contents: %d known, %d zero with a reason, %d unknown", given, zeros, unknown)
	require.Positive(t, unknown)
}

// Every plant that a profile or a market names stands in the table, with its genus unless it is many.
func TestEveryPlantIsInTheTable(t *testing.T) {
	l := embedded(t)
	for _, name := range l.IngredientNames() {
		for _, key := range l.Ingredients[name].Plants {
			assert.Contains(t, l.Botany.Plants, key, name)
		}
	}
	for key, plant := range l.Botany.Plants {
		assert.NotEmpty(t, plant.Species, key)
		if key != "honey" {
			assert.NotEmpty(t, plant.Genus, key)
			assert.NotEmpty(t, plant.Family, key)
		}
	}
	for _, name := range l.AttributeNames() {
		if l.Attributes[name].Family == Restricted && !l.Attributes[name].Additive() {
			assert.NotEmpty(t, l.Botany.Occurrences[name].Source, name)
		}
	}
}

// Plants and the substances they are known for: the compendium of EFSA (Journal 10(5) (2012) 2663), the review
// of alkenylbenzenes in Plants 12 (2023) 2075, and the flavouring regulation's own list.
func TestBotanyAsksOnlyWhereItShould(t *testing.T) {
	l := embedded(t)
	for _, c := range []struct {
		ingredient, substance string
		known                 bool
	}{
		{"lemon-peel", "beta-asarone", true}, {"lemon-peel", "methyleugenol", true}, {"lemon-peel", "thujone", true},
		{"gentian-root", "quinine", true}, {"gentian-root", "methyleugenol", true}, {"gentian-root", "safrole", true},
		{"coriander-seed", "estragole", true}, {"black-tea", "caffeine", true}, {"black-tea", "glycyrrhizin", true},
		{"fennel-seed", "methyleugenol", false}, {"fennel-seed", "beta-asarone", true}, {"calamus-root", "beta-asarone", false},
		{"calamus-root", "methyleugenol", false}, {"lemongrass", "methyleugenol", false}, {"cinnamon-ceylon", "methyleugenol", false},
		{"black-carrot-concentrate", "methyleugenol", false}, {"wormwood", "santonin", false}, {"wormwood", "estragole", false},
		{"juniper-berry", "thujone", false}, {"calumba-root", "berberine", false}, {"elderflower", "hydrocyanic-acid", false},
		{"liquorice-root", "glycyrrhizin", true}, {"green-tea", "coumarin", false}, {"chicory-root", "coumarin", false},
	} {
		_, known := l.Ingredients[c.ingredient].Content(c.substance)
		assert.Equal(t, c.known, known, "%s in %s", c.substance, c.ingredient)
	}
}

// A plant that the table does not have is unknown for every substance, and one of two plants that may carry it
// is enough.
func TestBotanyOfOwnIngredients(t *testing.T) {
	l := embedded(t)
	read := func(plants string) *Ingredient {
		doc, err := tomlfile.Parse("own.toml", []byte("[[ingredient]]\nname = \"own\"\n"+plants+"\nbasis = \"measured\"\n"))
		require.NoError(t, err)
		g := ReadIngredient(doc.Root().Tables("ingredient")[0], l.Attributes)
		l.Botany.Apply(g, l.Attributes)
		require.NoError(t, doc.Err())
		return g
	}
	for attribute, a := range l.Attributes {
		if a.Family == Restricted && !a.Additive() {
			_, known := read(`other_plants = ["hedge-bindweed"]`).Content(attribute)
			assert.False(t, known, attribute)
		}
	}
	both := read(`plants = ["lemon", "calamus"]`)
	assert.True(t, slices.Contains(both.Unknown, "beta-asarone"))
	content, known := both.Content("quinine")
	assert.True(t, known)
	assert.Contains(t, content.Source, "by botany: Citrus × limon, Acorus calamus is no plant that it is reported from")
}

func TestRestrictedFamilyNeedsASource(t *testing.T) {
	_, faults := parse(t, "[[ingredient]]\nname = \"own\"\nbasis = \"measured\"\n[ingredient.absent]\nfamilies = [\"restricted\"]\n")
	assert.ErrorContains(t, faults.Err(), "own.toml:5: ingredient[1].absent.families[1]: says of every restricted substance that none is in it, and not why (give a source, name the plants, or give contents from a certificate)")
}

func TestBotanyFaults(t *testing.T) {
	dir := folder(t, "botany.toml", `[plants.lemon]
species = "Citrus"
genus = "Citrus"
family = "Rutaceae"
[occurrences.bitterness]
genera = []
basis = "memory"
source = "x"
[occurrences.thujon]
genera = []
basis = "memory"
source = "x"
[occurrences.thujone]
plants = ["lemmon"]
basis = "memory"
`)
	_, err := embedded(t).Overlay(dir)
	for _, want := range []string{
		`"bitterness" is no restricted attribute`,
		`"thujon" is no restricted attribute (did you mean "thujone"?)`,
		`occurrences.thujone.plants[1]: "lemmon" is no plant of this table (did you mean "lemon"?)`,
		`occurrences.thujone.source: is missing`,
	} {
		assert.ErrorContains(t, err, want)
	}
}
