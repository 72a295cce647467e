package fit

import (
	"math"
	"testing"

	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
)

// By hand: a content of 100 ± 20, of which half reaches the drink, learned to bring 0.8 or 2.5 times that, with lots
// that vary by 15 %.
func TestContentThatAnOverlaySays(t *testing.T) {
	g := func(sd, recovery float64) *profile.Ingredient {
		return &profile.Ingredient{
			Contents: map[string]profile.Content{"x": {PerGram: 100, SD: sd, Recovery: recovery, CapRecovery: 1}},
			Methods:  map[string]profile.Method{"slow": {Recovery: map[string]float64{"x": 0.25}}},
		}
	}
	for _, c := range []struct {
		name                  string
		g                     *profile.Ingredient
		factor                float64
		times                 int
		method                string
		capped                bool
		perGram, sd, recovery float64
	}{
		{"capped: the content stays", g(20, 0.5), 0.8, 1, "", true, 100, 20, 0.4},
		{"uncapped: lots vary as much as is known", g(20, 0.5), 0.8, 1, "", false, 100, 18.75, 0.4},
		{"capped without a deviation: the assumed one", g(0, 0.5), 0.8, 1, "", true, 100, 30, 0.4},
		{"twice extracted: 0.6 in all", g(20, 0.5), 0.8, 2, "", true, 100, 20, 1 - math.Sqrt(0.4)},
		{"by a method", g(20, 0.5), 0.8, 1, "slow", true, 100, 20, 0.2},
		{"more than the whole, capped", g(20, 0.5), 2.5, 1, "", true, 125, 20, 1},
		{"more than the whole, capped, of surer contents", g(5, 0.5), 2.5, 1, "", true, 125, 18.75, 1},
		{"more than the whole", g(20, 0.5), 2.5, 1, "", false, 125, 18.75, 1},
		{"just the whole", g(20, 0.5), 2, 1, "", true, 100, 20, 1},
		{"all of it reaches the drink", g(20, 1), 0.8, 1, "", true, 80, 15, 1},
		{"all of it, uncapped", g(20, 1), 0.8, 1, "", false, 80, 15, 1},
	} {
		l := Learned{Subject: Subject{Attribute: "x", Method: c.method}, Factor: c.factor, Times: c.times, Before: 50, LotSD: 7.5, cv: 0.3}
		perGram, sd, recovery := l.Content(c.g, c.capped)
		assert.InDelta(t, c.perGram, perGram, 1e-9, c.name)
		assert.InDelta(t, c.sd, sd, 1e-9, c.name)
		assert.InDelta(t, c.recovery, recovery, 1e-9, c.name)
	}
}

func TestWhatIsWritten(t *testing.T) {
	assert.True(t, Learned{Told: true}.Written())
	assert.False(t, Learned{}.Written())
	assert.False(t, Learned{Told: true, Lot: "G"}.Written(), "a certificate stands")
	assert.False(t, (&Result{Condition: 1e4}).IllConditioned())
	assert.True(t, (&Result{Condition: 1.01e4}).IllConditioned())
	assert.Len(t, (&Result{Rows: []Row{{Outlier: true}, {}}}).Outliers(), 1)
}
