package brief_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// small is a brief that is right; the cases below change one line of it each.
const small = `name = "test"
kind = "blend"
use = ["oats", "milk"]
[attributes.energy]
unit = "kcal"
per = "batch"
family = "physical"
basis = "invented"
[targets.energy]
min = 100
[limits.milk]
max = 8
[groups.all]
members = ["oats", "milk"]
max = 12
[[ingredient]]
name = "oats"
price_per_unit = 3
basis = "invented"
contents = { energy = 110 }
[[ingredient]]
name = "milk"
price_per_unit = 9
basis = "invented"
contents = { energy = 160 }
`

// drink is the same for a drink, with the embedded library.
const drink = `name = "test"
markets = ["us"]
carbonated = true
use = ["water", "sugar", "citric-acid"]
[targets.acidity]
min = 5
max = 6
`

func open(t *testing.T, text string, beside map[string]string) error {
	t.Helper()
	dir := t.TempDir()
	for name, content := range beside {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600))
	}
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	_, err = brief.Open(path, lib)
	if err == nil {
		return nil
	}
	require.True(t, tomlfile.IsFault(err), "not a fault: %v", err)
	return faultText(strings.ReplaceAll(err.Error(), dir+string(filepath.Separator), ""))
}

type faultText string

func (f faultText) Error() string { return string(f) }

func TestFaultsOfABrief(t *testing.T) {
	require.NoError(t, open(t, small, nil))
	require.NoError(t, open(t, drink, nil))
	for _, c := range []struct {
		name, base, old, new string
		beside               map[string]string
		want                 string
	}{
		{"no name", small, "name = \"test\"\n", "", nil, "brief.toml:1: name: is missing"},
		{"unknown key", small, "use =", "curency = \"EUR\"\nuse =", nil, `brief.toml:3: curency: is not a key that is known here (did you mean "currency"?)`},
		{"unknown kind", small, `"blend"`, `"blnd"`, nil, `brief.toml:2: kind: "blnd" is not allowed; it must be one of drink, blend (did you mean "blend"?)`},
		{"wrong type", small, "min = 100", `min = "100"`, nil, "brief.toml:10: targets.energy.min: is a text; it must be a number"},
		{"not finite", small, "min = 100", "min = inf", nil, "brief.toml:10: targets.energy.min: +Inf is not a finite number"},
		{"negative", small, "max = 8", "max = -8", nil, "brief.toml:12: limits.milk.max: -8 is out of range; it must be 0 or more"},
		{"negative target of a drink", drink, "[targets.acidity]", "[targets.sugars]\nmin = -60\n[targets.acidity]", nil, "brief.toml:6: targets.sugars.min: -60 is out of range; it must be 0 or more"},
		{"strength without spirit", drink, "carbonated = true", "alcohol_percent = 20", nil, "brief.toml:3: targets.alcohol.min: cannot be reached: no ingredient in use carries alcohol (carried by neutral-spirit, vermouth-base, white-wine-base)"},
		{"empty range", small, "min = 100", "min = 100\nmax = 90", nil, "brief.toml:10: targets.energy.min: 100 is above max 90: the range is empty"},
		{"target of nothing", small, "min = 100\n", "", nil, "brief.toml:9: targets.energy: asks for nothing: give min, max or both"},
		{"unknown attribute", small, "[targets.energy]", "[targets.enrgy]", nil, `brief.toml:9: targets.enrgy: there is no attribute "enrgy" (did you mean "energy"?)`},
		{"unknown ingredient", small, `use = ["oats", "milk"]`, `use = ["oats", "mlik"]`, nil,
			`brief.toml:3: use[2]: there is no ingredient "mlik" (did you mean "milk"?)`},
		{"twice in use", small, `use = ["oats", "milk"]`, `use = ["oats", "milk", "oats"]`, nil, `brief.toml:3: use[3]: "oats" stands twice`},
		{"nothing in use", small, `use = ["oats", "milk"]`, `use = []`, nil, "brief.toml: use: is empty: list the ingredients that may be used"},
		{"ingredient twice", small, `name = "milk"`, `name = "oats"`, nil, `brief.toml:22: ingredient[2].name: "oats" is defined twice, first on line 17`},
		{"group of a stranger", small, `members = ["oats", "milk"]`, `members = ["oats", "mylk"]`, nil, `brief.toml:14: groups.all.members[2]: there is no ingredient in use called "mylk" (did you mean "milk"?)`},
		{"limit of a stranger", small, "[limits.milk]", "[limits.mlik]", nil, `brief.toml:11: limits.mlik: there is no ingredient in use called "mlik" (did you mean "milk"?)`},
		{"fixed beside max", small, "max = 8", "max = 8\nfixed = 3", nil, "brief.toml:13: limits.milk.fixed: stands beside min or max; give the one or the other"},
		{"unknown content", small, "contents = { energy = 160 }", "", nil,
			`brief.toml:9: targets.energy: "milk" has no figure for energy (give it in its profile or list it there under absent; unknown is never read as zero)`},
		{"out of reach", small, "max = 8", "max = 0\n[limits.oats]\nmax = 0.5", nil, "brief.toml:9: targets.energy.min: 100 cannot be reached: all ingredients in use at their limits give at most 55 (carried by milk, oats, malt-extract)"},
		{"carried by none", small, "{ energy = 110 }", "{ energy = 0 }", nil, ""},

		{"no market", drink, "markets = [\"us\"]\n", "", nil, "brief.toml:1: markets: is missing"},
		{"unknown market", drink, `["us"]`, `["usa"]`, nil, `brief.toml:2: markets[1]: there is no market "usa" (did you mean "us"?)`},
		{"no file of prices", drink, "carbonated = true", "prices = \"p.csv\"", nil, "p.csv: there is no such file"},
		{"prices without heading", drink, "carbonated = true", "prices = \"p.csv\"", map[string]string{"p.csv": "sugar,1\n"},
			`p.csv:1: the heading is "sugar,1"; it must hold ingredient and price_per_kg, or ingredient, price and pack_kg (say once what its words mean: bittersum words p.csv --as prices)`},
		{"price of a stranger", drink, "carbonated = true", "prices = \"p.csv\"", map[string]string{"p.csv": "ingredient,price_per_kg\nsuger,1\n"},
			`p.csv:2: there is no ingredient "suger" (did you mean "sugar"?)`},
		{"price below zero", drink, "carbonated = true", "prices = \"p.csv\"", map[string]string{"p.csv": "ingredient,price_per_kg\nsugar,-1\n"},
			"p.csv:2: price_per_kg: -1 is out of range; it must be 0 or more"},
		{"price twice", drink, "carbonated = true", "prices = \"p.csv\"", map[string]string{"p.csv": "ingredient,price_per_kg\nsugar,1\nsugar,2\n"},
			`p.csv:3: ingredient: "sugar" stands twice, first on line 2`},
		{"lot of a stranger", drink, "carbonated = true", "lots = \"l.toml\"\nbatch_l = 10",
			map[string]string{"l.toml": "[[lot]]\nnumber = \"A\"\ningredient = \"suger\"\nquantity_kg = 3\n"},
			`l.toml:1: ingredient: there is no ingredient "suger" (did you mean "sugar"?)`},
		{"lot twice", drink, "carbonated = true", "lots = \"l.toml\"\nbatch_l = 10",
			map[string]string{"l.toml": "[[lot]]\nnumber = \"A\"\ningredient = \"sugar\"\nquantity_kg = 3\n[[lot]]\nnumber = \"A\"\ningredient = \"sugar\"\nquantity_kg = 3\n"},
			`l.toml:6: lot[2].number: "A" stands twice, first on line 2`},
		{"refused without reason", drink, "carbonated = true", "lots = \"l.toml\"\nbatch_l = 10",
			map[string]string{"l.toml": "[[lot]]\nnumber = \"A\"\ningredient = \"sugar\"\nquantity_kg = 3\nstate = \"refused\"\n"},
			"l.toml:5: lot[1].state: a refused lot needs a reason"},
		{"supply without batch", drink, "[targets.acidity]", "[limits.sugar]\nsupply_kg = 3\n[targets.acidity]", nil,
			"brief.toml:6: limits.sugar.supply_kg: needs batch_l at the top of the brief, to know how far it goes"},
		{"carbonated only", drink, `carbonated = true
use = ["water", "sugar", "citric-acid"]`, `use = ["water", "sugar", "citric-acid", "quinine-hydrochloride"]`, nil,
			`brief.toml:3: use[4]: "quinine-hydrochloride" may be used in carbonated drinks only in market us: 21 CFR 172.575, text seen (leave it out, or leave the market out)`},
		{"carbonated only, by another name", drink, `carbonated = true
use = ["water", "sugar", "citric-acid"]`, `use = ["water", "sugar", "citric-acid", "house-quinine"]
[[ingredient]]
name = "house-quinine"
kind = "alkaloid"
category = "flavouring"
pure = true
price_per_kg = 900
soluble_share = 1
specific_volume_ml_per_g = 0.6
basis = "invented"
contents = { bitterness = 820, quinine = 817, cinchona-alkaloids = 817 }`, nil,
			`brief.toml:3: use[4]: "house-quinine" may be used in carbonated drinks only in market us: 21 CFR 172.575, text seen (leave it out, or leave the market out)`},
		{"nothing to accept", drink, "[targets.acidity]", "[[accept]]\ningredient = \"sugar\"\nsubstance = \"thujone\"\nreason = \"none\"\n[targets.acidity]", nil,
			`brief.toml:5: accept: "sugar" has a figure for thujone; there is nothing to accept`},
		{"no such target", drink, "[targets.acidity]", "[targets.tannin]\nmin = 100\n[targets.acidity]", nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, c.base, c.old)
			err := open(t, strings.Replace(c.base, c.old, c.new, 1), c.beside)
			switch {
			case c.name == "carried by none":
				require.NoError(t, err)
			case c.name == "no such target":
				require.Error(t, err)
				assert.Contains(t, err.Error(), "brief.toml:5: targets.tannin.min: cannot be reached: no ingredient in use carries tannin (carried by ")
			default:
				require.Error(t, err)
				assert.Equal(t, c.want, err.Error())
			}
		})
	}
}

func TestBriefsInOtherAlphabetsAndLineEnds(t *testing.T) {
	text := strings.ReplaceAll(strings.Replace(small, `"test"`, `"Горькая настойка, 苦味, süß"`, 1), "\n", "\r\n")
	require.NoError(t, open(t, "\xef\xbb\xbf"+text, nil))
}
