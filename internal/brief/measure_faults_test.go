package brief_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFaultsOfReadings names what is wrong with what instruments are asked to show and with how a drink is
// served and made.
func TestFaultsOfReadings(t *testing.T) {
	const target = "[targets.acidity]"
	for _, c := range []struct{ name, old, new, want string }{
		{"pH too low", target, "[targets.ph]\nmax = 1.2\n" + target, "brief.toml:6: targets.ph.max: 1.2 is out of range; it must be from 1.5 to 8"},
		{"pH too high", target, "[targets.ph]\nmin = 8.5\n" + target, "brief.toml:6: targets.ph.min: 8.5 is out of range; it must be from 1.5 to 8"},
		{"pH of nothing", target, "[targets.ph]\n" + target, "brief.toml:5: targets.ph: asks for nothing: give min, max or both"},
		{"pH crossed", target, "[targets.ph]\nmin = 3\nmax = 2.5\n" + target, "brief.toml:6: targets.ph.min: 3 is above max 2.5: the range is empty"},
		{"pH that nothing makes sour", `use = ["water", "sugar", "citric-acid"]
[targets.acidity]
min = 5
max = 6`, "use = [\"water\", \"sugar\", \"salt\"]\n[targets.ph]\nmax = 3",
			"brief.toml:5: targets.ph.max: 3 cannot be reached: no ingredient in use brings acid (carried by phosphoric-acid, citric-acid, malic-acid)"},
		{"pH that nothing takes up", target, "carbon_dioxide_g_per_l = 6\n[targets.ph]\nmin = 6\n" + target,
			"brief.toml:6: targets.ph.min: 6 cannot be reached: no ingredient in use takes acid away (a salt such as trisodium-citrate does)"},
		{"acid without solutes", "citric-acid\"]\n", "citric-acid\", \"press\"]\n" + press + "[targets.ph]\nmax = 3\n",
			`brief.toml:17: targets.ph: "press" brings acid, but its profile does not say which (give its solutes in mmol_per_g, or leave it out; unknown is never read as zero)`},
		{"end point without solutes", "citric-acid\"]\n[targets.acidity]\n", "citric-acid\", \"press\"]\n" + press + "[targets.acidity]\nend_point = 7\n",
			`brief.toml:18: targets.acidity.end_point: "press" brings acid, but its profile does not say which (give its solutes in mmol_per_g, or leave it out; unknown is never read as zero)`},
		{"acidity as an acid without equivalents", "max = 6", "max = 6\nas = \"oxalic\"", `brief.toml:8: targets.acidity.as: "oxalic" is not allowed; it must be one of citric, malic, tartaric, lactic, acetic (did you mean "malic"?)`},
		{"Brix of a spirit", "citric-acid\"]\n", "citric-acid\", \"neutral-spirit\"]\n[targets.brix]\nmin = 5\n",
			`brief.toml:5: targets.brix: "neutral-spirit" carries alcohol, which misleads a refractometer (ask for soluble-solids instead)`},
		{"ratio of a pH", target, "[ratios.odd]\nof = \"ph\"\nover = \"acidity\"\nmin = 1\n" + target,
			`brief.toml:5: ratios.odd.of: "ph" is no amount, so nothing can be counted over it`},
		{"throw below zero", target, "throw = \"1+-5\"\n" + target, `brief.toml:5: throw: "1+-5" adds less than nothing (write one part of syrup and the parts of soda added to it, as in "1+5")`},
		{"throw of words", target, "throw = \"one in six\"\n" + target, `brief.toml:5: throw: "one in six" is no throw (write one part of syrup and the parts of soda added to it, as in "1+5")`},
		{"throw without end", target, "throw = \"1+1e9\"\n" + target, `brief.toml:5: throw: "1+1e9" is out of range; at most 100 parts of soda are added (write one part of syrup and the parts of soda added to it, as in "1+5")`},
		{"gas in a still drink", "carbonated = true", "carbon_dioxide_g_per_l = 5", "brief.toml:3: carbon_dioxide_g_per_l: needs carbonated = true"},
		{"gas twice", target, "carbon_dioxide_g_per_l = 5\ncarbon_dioxide_volumes = 3\n" + target, "brief.toml:6: carbon_dioxide_volumes: stands beside carbon_dioxide_g_per_l; give one of the two"},
		{"gas below zero", target, "carbon_dioxide_g_per_l = -5\n" + target, "brief.toml:5: carbon_dioxide_g_per_l: -5 is out of range; it must be above 0 and at most 20"},
		{"a loss of all", target, "[losses]\nfilter = 1\n" + target, "brief.toml:6: losses.filter: 1 is out of range; it must be from 0 to 0.9"},
		{"no such method", target, "[extraction.sugar]\nmethod = \"decoction\"\n" + target, `brief.toml:5: extraction.sugar.method: the profile of "sugar" has no method "decoction"`},
		{"extraction of a stranger", target, "[extraction.suger]\nextractions = 2\n" + target, `brief.toml:5: extraction.suger: there is no ingredient in use called "suger" (did you mean "sugar"?)`},
		{"no extraction", target, "[extraction.sugar]\nextractions = 0\n" + target, "brief.toml:6: extraction.sugar.extractions: 0 is out of range; it must be from 1 to 20"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, drink, c.old)
			err := open(t, strings.Replace(drink, c.old, c.new, 1), nil)
			require.Error(t, err)
			assert.Equal(t, c.want, err.Error())
		})
	}
}

// press is a sour juice whose acids nobody has looked at.
const press = `[[ingredient]]
name = "press"
other_plants = ["quince"]
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.97
contents = { acidity = 0.02, soluble-solids = 0.08 }
[ingredient.absent]
families = ["taste", "aroma", "colour", "texture", "physical", "nutrition", "preservative", "restricted"]
source = "tested"
[limits.press]
max_g_per_l = 100
`
