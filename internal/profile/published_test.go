package profile

import (
	"encoding/csv"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every composition figure that is called published, or derived from a published one, is the one of the table
// that its source names: read from the folder that BITTERSUM_REFERENCE names.
func TestPublishedCompositionEqualsItsTable(t *testing.T) {
	folder := os.Getenv("BITTERSUM_REFERENCE")
	if folder == "" {
		t.Skip("BITTERSUM_REFERENCE names no folder with published figures")
	}
	file, err := os.Open(filepath.Join(folder, "figures.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	at := map[string]int{}
	for n, title := range rows[0] {
		at[title] = n
	}
	type key struct{ ingredient, attribute string }
	values, direct := map[key][]float64{}, map[key][]float64{}
	minerals := map[string]struct {
		name  string
		molar float64
	}{"solute:calcium_mmol_per_g": {"calcium", 40.078}, "solute:magnesium_mmol_per_g": {"magnesium", 24.305}, "solute:phosphoric_mmol_per_g": {"phosphorus", 30.974}}
	for _, row := range rows[1:] {
		value, err := strconv.ParseFloat(row[at["value"]], 64)
		if err != nil {
			continue
		}
		attribute := row[at["attribute"]]
		if m, ok := minerals[attribute]; ok {
			attribute, value = m.name, value*m.molar
		}
		if attribute == "energy" {
			value *= 4.184 // kcal to kJ
		}
		k := key{row[at["ingredient"]], attribute}
		values[k] = append(values[k], value)
		if row[at["kind"]] == "direct" {
			direct[k] = append(direct[k], value)
		}
	}
	checked := 0
	for name, g := range embedded(t).Ingredients {
		for attribute, c := range g.Contents {
			table := strings.Contains(c.Source, "USDA National") || strings.Contains(c.Source, "ANSES-CIQUAL") || strings.Contains(c.Source, "Indian Food Composition")
			if !table || c.Basis != Published && c.Basis != Derived {
				continue
			}
			nearest, rows := math.Inf(1), values
			if c.Basis == Published {
				rows = direct
			}
			for _, v := range rows[key{name, attribute}] {
				nearest = math.Min(nearest, math.Abs(v-c.PerGram))
			}
			assert.LessOrEqual(t, nearest, 1e-6+1e-3*c.PerGram, "%s in %s: %g is in no table", attribute, name, c.PerGram)
			checked++
		}
	}
	assert.Greater(t, checked, 260)

	recalled := map[string]bool{}
	for k := range direct {
		g := embedded(t).Ingredients[k.ingredient]
		if g == nil {
			continue
		}
		if c, given := g.Contents[k.attribute]; given && slices.Contains([]Basis{Memory, Practice, Invented}, c.Basis) {
			recalled[k.attribute+" of "+k.ingredient] = true
		}
	}
	assert.ElementsMatch(t, slices.Collect(maps.Keys(leftRecalled)), slices.Collect(maps.Keys(recalled)),
		"a figure that a table holds is taken from there, or is listed with the reason why not")
}

// leftRecalled are the figures that stay recalled though a table holds one, and why.
var leftRecalled = map[string]string{
	"sugars of grapefruit-juice":     "8.89 % beside 1.3 % acids is of another juice than white grapefruit with its 10.0 % total solids; USDA's own figure is imputed",
	"sugars of tangerine-juice":      "10.0 % beside 1.45 % acids is more than the 11.1 % total solids of the juice its minerals are of; USDA's own figure is imputed",
	"sugars of fennel-seed":          "12.5 % is carbohydrate less fibre (52.29 - 39.8), not sugars that were measured",
	"glycyrrhizin of liquorice-root": "27 mg/g is the middle of six samples, below the pharmacopoeia's least 4 %; the higher figure guards the limits of the label",
}

// Masses balance: sugars are no more than the soluble solids, and where water, protein, fat, fibre, sugars and
// minerals are known they leave room for each other.
func TestMassesBalance(t *testing.T) {
	for name, g := range embedded(t).Ingredients {
		grams := func(attribute string) float64 {
			c, _ := g.Content(attribute)
			return c.PerGram
		}
		solids, known := g.Content("soluble-solids")
		if known && !g.Pure {
			assert.LessOrEqual(t, grams("sugars"), solids.PerGram+0.005, name)
		}
		milligrams := grams("potassium") + grams("sodium") + grams("calcium") + grams("magnesium") + grams("phosphorus")
		parts := grams("protein") + grams("fat") + grams("fibre") + grams("sugars") + milligrams/1000
		assert.LessOrEqual(t, parts, 1.01, name)
		assert.LessOrEqual(t, grams("saturates"), grams("fat")+0.001, name)
	}
}
