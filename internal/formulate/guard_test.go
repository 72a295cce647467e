package formulate_test

import (
	"context"
	"math"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/solver"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const cattle = `name = "cattle feed"
kind = "blend"
unit = "shares"
currency = "guilders"
[total]
min = 1
max = 1
[attributes.fat]
title = "Fat"
unit = "%"
per = "batch"
family = "physical"
basis = "published"
source = "van de Panne and Popp, Management Science 9 (1963) 405"
[attributes.protein]
title = "Protein"
unit = "%"
per = "batch"
family = "physical"
basis = "published"
source = "van de Panne and Popp, Management Science 9 (1963) 405"
[targets.fat]
min = 5
[targets.protein]
min = 21
`

// The feed mix of C. van de Panne and W. Popp, Management Science 9 (1963) 405-430, with the figures of problem 73
// of W. Hock and K. Schittkowski (1981): least cost 29.894378 at 1.645 deviations of the protein, 28.9426476 of its
// mean alone. With a budget of all four at once the deviations add up.
func TestGuardedCattleFeed(t *testing.T) {
	text := cattle
	use := ""
	for _, feed := range []struct{ name, cost, protein, fat string }{
		{"barley", "24.55", "12", "2.3"}, {"oats", "26.75", "11.9", "5.6"}, {"sesame", "39", "41.8", "11.1"}, {"groundnut", "40.5", "52.1", "1.3"},
	} {
		use += `"` + feed.name + `", `
		text += "[[ingredient]]\nname = \"" + feed.name + "\"\nprice_per_unit = " + feed.cost + "\nbasis = \"published\"\nsource = \"van de Panne and Popp 1963\"\ncontents = { protein = " + feed.protein + ", fat = " + feed.fat + " }\n"
	}
	text = "use = [" + use + "]\n" + text
	j := opened(t, text, nil)
	cv := []float64{math.Sqrt(0.28) / 12, math.Sqrt(0.19) / 11.9, math.Sqrt(20.5) / 41.8, math.Sqrt(0.62) / 52.1}
	solved := func(g brief.Guarded) (*formulate.Formulation, *solver.Solution) {
		b := *j.Brief
		b.Guard = brief.Guard{g}
		with := *j
		with.Brief = &b
		f, s, err := formulate.Settle(context.Background(), &with, solver.Options{})
		require.NoError(t, err)
		require.Equal(t, solver.Optimal, s.Status, s.Reason)
		return f, s
	}
	g := brief.Guarded{Name: "protein", Value: 21, CV: cv}
	_, s := solved(g)
	assert.InDelta(t, 28.9426476, s.Objective, 1e-7)
	g.Reach = 1.645
	f, s := solved(g)
	assert.InDelta(t, 29.894378, s.Objective, 5e-7)
	assert.InDeltaSlice(t, []float64{0.635521569, 0, 0.312701881, 0.051776551}, s.X[:4], 1e-4)
	assert.InDelta(t, 0, f.Room(g, s.X), 1e-6, "it holds the mix")
	loose := g
	loose.Reach = 1
	assert.InDelta(t, 0.645, f.Room(loose, s.X), 1e-6)

	g.Reach, g.Most = 1, 4
	f, s = solved(g)
	protein := 0.0
	for n, v := range []float64{12, 11.9, 41.8, 52.1} {
		protein += v * (1 - cv[n]) * s.X[n]
	}
	assert.InDelta(t, 21, protein, 1e-7)
	assert.InDelta(t, 0, f.Room(g, s.X), 1e-6)
	g.Most = 1
	_, one := solved(g)
	assert.Less(t, one.Objective, s.Objective)
	g.Above, g.Value, g.Reach, g.Most = true, 21.5, 0.3, 0 // a little protein, and no more
	f, s = solved(g)
	assert.GreaterOrEqual(t, f.Room(g, s.X), -1e-6)
	g.Value = 30
	assert.Greater(t, f.Room(g, s.X), 1.0)
}
