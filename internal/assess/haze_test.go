package assess_test

import (
	"strings"
	"testing"

	"bittersum/internal/assess"

	"github.com/stretchr/testify/assert"
)

// hazy returns the cautions about what falls out.
func hazy(a *assess.Assessment) (texts []string) {
	for _, c := range a.Cautions {
		if strings.HasPrefix(c.Text, "Haze: ") {
			texts = append(texts, c.Text)
		}
	}
	return texts
}

// Cream of tartar: water holds 2.3 g/L at 0 °C and 3.4 at 10 (memory), so that what brings 5 g/L of it falls out at 4
// and stays at 30, where water holds 6.9. A salt in a cordial with much quinine: see chem.TestQuinineSulfateInDrinks.
func TestWhatFallsOutIsSaid(t *testing.T) {
	const tartar = `name = "tartar"
markets = ["us"]
carbonated = true
use = ["water", "sugar", "tartaric-acid", "potassium-citrate", "quinine-sulfate", "magnesium-sulfate"]
`
	recipe := map[string]float64{"water": 920, "sugar": 80, "tartaric-acid": 4, "potassium-citrate": 2.9}
	cold := hazy(judged(t, tartar, recipe))
	assert.Len(t, cold, 1)
	assert.Regexp(t, `^Haze: at 4 °C the drink holds 1\.\d+ times as much of potassium hydrogen tartrate as stays dissolved\. `, cold[0])
	assert.Empty(t, hazy(judged(t, tartar+"serving_temperature_c = 30\n", recipe)))
	assert.Empty(t, hazy(judged(t, tartar, map[string]float64{"water": 920, "sugar": 80, "tartaric-acid": 4, "quinine-sulfate": 0.1})))
}

// A syrup holds six times the quinine and the salts of its drink, and is judged beside it.
func TestASyrupFallsOutSooner(t *testing.T) {
	const tonic = `name = "tonic"
markets = ["us"]
carbonated = true
throw = "1+9"
use = ["water", "sugar", "citric-acid", "trisodium-citrate", "quinine-sulfate", "magnesium-sulfate"]
`
	found := hazy(judged(t, tonic, map[string]float64{
		"water": 700, "sugar": 500, "citric-acid": 3, "trisodium-citrate": 6, "quinine-sulfate": 0.9, "magnesium-sulfate": 5,
	}))
	assert.Len(t, found, 1)
	assert.Regexp(t, `the syrup holds \d.* times as much of quinine sulfate`, found[0])
}

// The pH at the temperature of serving stands beside that at 25 °C: 0.04 above it at 4 °C for citric acid (an independent
// charge balance).
func TestPHAsServed(t *testing.T) {
	a := judged(t, "name = \"cold\"\nmarkets = [\"us\"]\nuse = [\"water\", \"citric-acid\"]\nserving_temperature_c = 4\n", map[string]float64{"water": 997, "citric-acid": 3})
	assert.Equal(t, 4.0, a.Served.At.Celsius)
	assert.InDelta(t, 0.04, a.Served.At.PH-a.Served.PH, 0.006)
}
