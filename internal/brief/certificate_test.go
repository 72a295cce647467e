package brief

import (
	"testing"

	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
)

// Values on both sides of each line, by hand: a profile of 65 ± 5 mg/g, and one of 0.05 g/g without a
// deviation.
func TestCertificatesAreCheckedForSense(t *testing.T) {
	lib := &profile.Library{
		Attributes: map[string]*profile.Attribute{
			"alkaloids": {Name: "alkaloids", Unit: "mg"}, "acid": {Name: "acid", Unit: "g"},
			"value": {Name: "value", Unit: "mg", Equivalent: true},
		},
		Ingredients: map[string]*profile.Ingredient{"bark": {Name: "bark", Contents: map[string]profile.Content{
			"alkaloids": {PerGram: 65, SD: 5}, "acid": {PerGram: 0.05}, "value": {PerGram: 2000},
		}}},
	}
	for _, c := range []struct {
		attribute   string
		perGram, sd float64
		says, hint  string
	}{
		{"alkaloids", 65, 0, "", ""},
		{"alkaloids", 84.9, 0, "", ""},
		{"alkaloids", 85.1, 0, "85.1 mg per g, where the profile has 65: 4 standard deviations off", ""},
		{"alkaloids", 85.1, 1, "", ""}, // 4 √(5² + 1²) = 20.4
		{"alkaloids", 44.9, 0, "44.9 mg per g, where the profile has 65", ""},
		{"alkaloids", 6.5, 0, "6.5 mg per g, where the profile has 65", "a percentage is ten times as many mg per g? then it is 65; if it is so, say why"},
		{"alkaloids", 0.065, 0, "0.065 mg per g", "a share is a thousand times as many mg per g? then it is 65"},
		{"alkaloids", 650, 0, "650 mg per g", "mg per 10 g are a tenth of it in mg per g? then it is 65"},
		{"alkaloids", 0, 0, "0 mg per g, where the profile has 65", ""},
		{"acid", 0.149, 0, "", ""},
		{"acid", 0.151, 0, "0.151 g per g, where the profile has 0.05", ""},
		{"acid", 0.0165, 0, "0.0165 g per g", ""},
		{"acid", 0.9, 0, "0.9 g per g", ""},
		{"acid", 5, 0, "5 g of it in a gram is more than the gram", ""},
		{"acid", 0.0005, 0, "0.0005 g per g", ""},
		{"alkaloids", 1000.5, 0, "1000.5 mg of it in a gram is more than the gram", ""},
		{"value", 5000, 0, "", ""},
		{"value", 6100, 0, "6100 mg per g, where the profile has 2000", ""},
	} {
		lot := &Lot{Ingredient: "bark", Contents: map[string]profile.Content{c.attribute: {PerGram: c.perGram, SD: c.sd}}}
		doubts := Doubts(lot, lib)
		if c.says == "" {
			assert.Empty(t, doubts, "%s %v", c.attribute, c.perGram)
			continue
		}
		if assert.Len(t, doubts, 1, "%s %v", c.attribute, c.perGram) {
			assert.Contains(t, doubts[0].What, c.says)
			assert.Contains(t, doubts[0].Hint, c.hint)
		}
	}
}
