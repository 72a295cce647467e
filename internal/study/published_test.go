package study_test

import (
	"context"
	"encoding/json"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// published is one entry of testdata/blends/published.json; see SOURCES.md beside it.
type published struct {
	Brief   string
	Cost    float64
	Exact   string
	Amounts map[string]float64
	Limits  map[string]struct {
		Rate     float64
		From, To *float64
	}
}

func blend(t *testing.T, name string) *study.Answer {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.Open(filepath.Join("..", "..", "testdata", "blends", name+".toml"), lib)
	require.NoError(t, err)
	answer, err := study.Blend(context.Background(), job)
	require.NoError(t, err)
	return answer
}

func TestPublishedBlends(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "blends", "published.json"))
	require.NoError(t, err)
	var cases []published
	require.NoError(t, json.Unmarshal(data, &cases))
	require.GreaterOrEqual(t, len(cases), 7)
	for _, c := range cases {
		t.Run(c.Brief, func(t *testing.T) {
			a := blend(t, c.Brief)
			exact, ok := new(big.Rat).SetString(c.Exact)
			require.True(t, ok)
			assert.Equal(t, exact.RatString(), a.Proof.Objective.RatString(), "the optimum as a fraction")
			assert.InEpsilon(t, c.Cost, a.LeastCost, 1e-4, "the published optimum")
			assert.InEpsilon(t, a.LeastCost, a.Assessment.Cost.PerLitre, 1e-7, "the assessed recipe costs the optimum")
			for name, amount := range c.Amounts {
				assert.InDelta(t, amount, a.Assessment.Recipe.Amount(name), 1e-7*(1+amount), name)
			}
			binding := map[string]study.LimitCost{}
			for _, l := range a.Limits {
				if l.Binding && l.Kind != "use" {
					binding[l.Name] = l
				}
			}
			if len(c.Limits) > 0 {
				assert.Len(t, binding, len(c.Limits)+hardness(c.Brief))
			}
			for name, want := range c.Limits {
				got, ok := binding[name]
				require.True(t, ok, "%s does not bind", name)
				assert.InEpsilon(t, want.Rate, got.Up.Cost, 1e-6, "%s: cost of one more", name)
				assert.InEpsilon(t, want.Rate, got.Down.Cost, 1e-6, "%s: cost of one less", name)
				assertEnd(t, want.From, got.Down.To, name+": from")
				assertEnd(t, want.To, got.Up.To, name+": to")
			}
		})
	}
}

// hardness is one for the blend whose binding quality limit multiplies a form: its dual value in the
// book is that of another row, so it is not compared.
func hardness(name string) int {
	if name == "wilblend" {
		return 1
	}
	return 0
}

func assertEnd(t *testing.T, want *float64, got float64, what string) {
	t.Helper()
	if want == nil {
		assert.True(t, math.IsInf(got, 0), what)
		return
	}
	assert.InDelta(t, *want, got, 2e-6*(1+math.Abs(*want)), what)
}

// The dinners of the AMPL book with salt and calories bounded, and the tutorial's meals with little
// milk, have no solution; the least single changes are those found by solving for each in turn.
func TestPublishedConflicts(t *testing.T) {
	for _, c := range []struct {
		brief string
		to    map[string]float64
	}{
		{"ampldt2", map[string]float64{"vitamin-b2": 601.0913706, "sodium-content": 48186, "ham": 25.28235294}},
		{"jumpinf", map[string]float64{"protein": 74.72233581, "sodium-content": 2310.630293, "dairy": 9.561458333}},
	} {
		t.Run(c.brief, func(t *testing.T) {
			a := blend(t, c.brief)
			require.NotNil(t, a.Conflict)
			require.Nil(t, a.Assessment, "no recipe goes with a conflict")
			require.NotEmpty(t, a.Conflict.Members)
			require.NotEmpty(t, a.Conflict.Relaxations)
			for _, r := range a.Conflict.Relaxations {
				if want, ok := c.to[r.Name]; ok {
					assert.InEpsilon(t, want, r.To, 1e-4, r.Name)
				}
			}
		})
	}
}
