package liquor_test

import (
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/chem"
	"bittersum/internal/profile"
	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pH of recipes against an independent charge balance per kilogram of water, with the Davies equation,
// without ion pairs and with them, and against one with specific ion interaction coefficients (SIT), from the folder that
// BITTERSUM_REFERENCE names.
func TestRefereeOfPH(t *testing.T) {
	rows := reference.Open(t, "chemistry-referee.csv").Rows
	number := func(text string) float64 { return reference.Number(t, text) }
	lib, err := profile.Embedded()
	require.NoError(t, err)
	worst := map[bool]float64{}
	for _, row := range rows {
		recipe, gas := row[1], row[2]
		grams := map[string]float64{}
		fields := strings.Fields(recipe)
		for n := 0; n < len(fields); n += 2 {
			grams[fields[n]] = number(fields[n+1])
		}
		names := []string{`"water"`}
		for name := range grams {
			names = append(names, strconv.Quote(name))
		}
		text := "name = \"referee\"\nmarkets = [\"us\"]\nuse = [" + strings.Join(names, ", ") + "]\n"
		if gas != "0" {
			text += "carbonated = true\ncarbon_dioxide_g_per_l = " + gas + "\n"
		}
		if !known(lib, grams) {
			continue
		}
		j := job(t, t.TempDir(), text)
		grams["water"] = 900
		for range 4 { // water to make the litre
			grams["water"] += 998.2 * (1 - mix(j, grams).Litres)
		}
		m := mix(j, grams)
		solution := m.Gassed()
		state, err := chem.PH(&solution)
		require.NoError(t, err)
		davies, sit := number(row[4]), number(row[5])
		t.Logf("%-55s ionic strength %.3f, pH %.3f, off by %+.3f (Davies), %+.3f (SIT)", recipe, state.IonicStrength, state.PH, state.PH-davies, state.PH-sit)
		if row[0] == "Ca/Mg" {
			assert.InDelta(t, number(row[3]), state.PH, 0.005, "%s, against Davies with pairs", recipe)
		}
		worst[state.Rough] = max(worst[state.Rough], abs(state.PH-sit))
		if !state.Rough {
			assert.InDelta(t, davies, state.PH, 0.03, "%s, against Davies", recipe)
			assert.InDelta(t, sit, state.PH, 0.04, "%s, against SIT", recipe)
		}
	}
	t.Logf("largest difference from SIT: %.3f, where the pH is called rough %.3f", worst[false], worst[true])
}

func known(lib *profile.Library, grams map[string]float64) bool {
	for name := range grams {
		if lib.Ingredients[name] == nil {
			return false
		}
	}
	return true
}
