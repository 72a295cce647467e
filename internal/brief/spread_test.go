package brief_test

import (
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const spreadBrief = "name = \"small\"\nmarkets = [\"us\"]\nuse = [\"water\", \"sugar\"]\n"

// A loss and a price may have a deviation beside them; it moves neither of them.
func TestSpreadOfLossesAndPrices(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenText("brief.toml", spreadBrief+"[losses]\nracking = 0.1\nfilling = { share = 0.04, sd = 0.01 }\n[limits.sugar]\nprice_per_kg = 2\nprice_sd_per_kg = 0.3\n", lib)
	require.NoError(t, err)
	assert.ElementsMatch(t, []brief.Loss{{Step: "racking", Share: 0.1}, {Step: "filling", Share: 0.04, SD: 0.01}}, job.Losses)
	assert.InDelta(t, 0.9*0.96, job.Kept(), 1e-12)
	assert.Equal(t, 0.3, job.Source("sugar").PriceSD)
	assert.Equal(t, 2.0, job.Source("sugar").PricePerKg)
	for name, c := range map[string]struct{ text, want string }{
		"no share":       {"[losses]\nfilling = { sd = 0.01 }\n", "brief.toml:5: losses.filling.share: is missing"},
		"of nothing":     {"[losses]\nfilling = { share = 0, sd = 0.01 }\n", "brief.toml:5: losses.filling.sd: stands beside a share of 0: a loss of nothing does not vary"},
		"too wide":       {"[losses]\nfilling = { share = 0.5, sd = 0.2 }\n", "brief.toml:5: losses.filling.sd: 0.2 is too wide: share + 3 sd is at most 0.9"},
		"another key":    {"[losses]\nfilling = { share = 0.5, ds = 0.1 }\n", `losses.filling.ds: is not a key that is known here (did you mean "sd"?)`},
		"below zero":     {"[limits.sugar]\nprice_sd_per_kg = -1\n", "brief.toml:5: limits.sugar.price_sd_per_kg: -1 is out of range"},
		"costs nothing":  {"[limits.sugar]\nprice_per_kg = 0\nprice_sd_per_kg = 1\n", `brief.toml:6: limits.sugar.price_sd_per_kg: "sugar" costs nothing that could vary`},
		"more than that": {"[limits.sugar]\nprice_per_kg = 1\nprice_sd_per_kg = 2.5\n", "brief.toml:6: limits.sugar.price_sd_per_kg: 2.5 is more than twice the price, 1"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := brief.OpenText("brief.toml", spreadBrief+c.text, lib)
			require.ErrorContains(t, err, c.want)
		})
	}
}
