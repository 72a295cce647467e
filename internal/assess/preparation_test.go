package assess_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// plant draws an ingredient of a maker's own. What it brings of quinine may be unknown.
func plant(t *rapid.T, name string) (table string, unknown bool) {
	share := func(label string) float64 { return float64(rapid.IntRange(0, 100).Draw(t, name+label)) / 100 }
	var b strings.Builder
	fmt.Fprintf(&b, "[[ingredient]]\nname = %q\nkind = \"root\"\nother_plants = [\"plant-of-%s\"]\nbasis = \"measured\"\nprice_per_kg = %v\nlabour_per_kg = %v\n", name, name,
		rapid.IntRange(0, 90).Draw(t, name+" price"), rapid.IntRange(0, 9).Draw(t, name+" labour"))
	fmt.Fprintf(&b, "soluble_share = %v\nspecific_volume_ml_per_g = 0.62\nhold_up_l_per_g = %v\ntrimming_loss = %v\n", share(" soluble"), share(" held")/200, share(" trimmed")/4)
	unknown = rapid.Bool().Draw(t, name+" unknown")
	if unknown {
		fmt.Fprintf(&b, "unknown = [\"quinine\"]\n")
	}
	fmt.Fprintf(&b, "[ingredient.contents]\nsoluble-solids = %v\nacidity = 0\npotassium = { per_g = %v, recovery = 0.7, basis = \"measured\" }\n", 0.1+share(" solids")/4, 20*share(" potash"))
	for n, attribute := range []string{"bitterness", "tannin", "quinine", "thujone", "quassin"} {
		if unknown && attribute == "quinine" {
			continue
		}
		fmt.Fprintf(&b, "%s = { per_g = %v, recovery = %v, sd = %v, cap_recovery = %v, basis = \"measured\" }\n", attribute,
			share(attribute)*float64(n+1), share(attribute+" recovery"), share(attribute+" sd"), 0.01+0.99*share(attribute+" cap"))
	}
	fmt.Fprintf(&b, "[ingredient.absent]\nfamilies = [\"taste\", \"aroma\", \"colour\", \"texture\", \"physical\", \"nutrition\", \"preservative\", \"restricted\", \"other\"]\nbasis = \"measured\"\nsource = \"tested\"\n")
	if !rapid.Bool().Draw(t, name+" silent") { // otherwise its minerals alone are known
		fmt.Fprintf(&b, "[ingredient.solutes]\ncitric_mmol_per_g = %v\npotassium_mmol_per_g = %v\nbasis = \"measured\"\n", share(" citric"), share(" potassium"))
	}
	fmt.Fprintf(&b, "[ingredient.methods.long]\nrecovery = { bitterness = %v }\nsolutes_share = %v\nbasis = \"measured\"\n", share(" long"), share(" dissolved"))
	return b.String(), unknown
}

// A drink made with grams of a preparation is the drink made with its parts in the same proportions by the
// same extraction: every attribute, what caps are judged with, the readings and, but for what the spent
// plants kept, the cost. A preparation of a preparation is too.
func TestPreparationIsItsParts(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		var own, accepted strings.Builder
		use := []string{"water", "sugar", "citric-acid", "neutral-spirit"}
		grams := map[string]float64{}
		silent := 0
		for _, name := range []string{"alder", "briar"} {
			table, unknown := plant(t, name)
			own.WriteString(table)
			use = append(use, name)
			grams[name] = float64(rapid.IntRange(1, 40).Draw(t, name))
			if unknown {
				silent++
				fmt.Fprintf(&accepted, "[[accept]]\ningredient = %q\nsubstance = \"quinine\"\nreason = \"test\"\n", name)
			}
		}
		for _, name := range []string{"water", "neutral-spirit", "sugar", "citric-acid"} {
			grams[name] = float64(rapid.IntRange(400, 900).Draw(t, name))
		}
		nested := rapid.Bool().Draw(t, "nested")
		extraction := map[bool]string{true: "method = \"long\"\nextractions = 2\n", false: "extractions = 3\n"}[rapid.Bool().Draw(t, "long")]
		var made strings.Builder
		if nested {
			fmt.Fprintf(&made, "[[preparation]]\nname = \"inner\"\nbasis = \"measured\"\n[preparation.grams]\n%s", amounts(grams, "alder", "water"))
		}
		fmt.Fprintf(&made, "[preparation.extraction.alder]\n%s", extraction)
		outer := amounts(grams, "briar", "neutral-spirit", "sugar", "citric-acid")
		if !nested {
			made.Reset()
			outer += amounts(grams, "alder", "water")
		} else {
			outer += "inner = 50\n"
		}
		fmt.Fprintf(&made, "[[preparation]]\nname = \"house\"\nbasis = \"measured\"\n[preparation.grams]\n%s", outer)
		if !nested {
			fmt.Fprintf(&made, "[preparation.extraction.alder]\n%s", extraction)
		}
		if silent > 0 {
			fmt.Fprintf(&accepted, "[[accept]]\ningredient = \"house\"\nsubstance = \"quinine\"\nreason = \"test\"\n")
		}
		text := fmt.Sprintf("name = \"x\"\nmarkets = [\"us\", \"eu\"]\nalcohol_percent = 5\nuse = [%s, \"house\"]\n[targets.bitterness]\nmax = 1e6\n[targets.acidity]\nmax = 1e6\n[targets.ph]\nmin = 1.5\n[extraction.alder]\n%s%s%s%s",
			`"`+strings.Join(use, `", "`)+`"`, extraction, accepted.String(), own.String(), made.String())
		path := filepath.Join(dir, "brief.toml")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		j, err := brief.Open(path, lib)
		require.NoError(t, err, text)

		house := j.Source("house")
		const x = 300.0
		base := []brief.Part{{Source: j.Source("water"), Amount: 600}, {Source: j.Source("sugar"), Amount: 50}}
		with := &brief.Recipe{Batch: true, Parts: append([]brief.Part{{Source: house, Amount: x}}, base...)}
		direct := &brief.Recipe{Batch: true, Parts: append([]brief.Part(nil), base...)}
		for _, leaf := range house.Made.Leaves {
			direct.Parts = append(direct.Parts, brief.Part{Source: j.Source(leaf.Source.Name), Amount: leaf.Amount * x})
		}
		a, err := assess.Assess(j, with)
		require.NoError(t, err)
		b, err := assess.Assess(j, direct)
		require.NoError(t, err)
		same(t, a, b)
		// What the spent plants of the preparation keep is paid for; here nothing else is.
		cost := func(a *assess.Assessment) float64 { return a.Cost.PerLitre * a.Recovered }
		ofBase := 0.0
		for _, p := range base {
			ofBase += p.Source.CostPerGram * p.Amount
		}
		if !nested {
			kept := house.Made.LiquorL / house.Made.YieldL
			near(t, ofBase+(cost(b)-ofBase)*kept, cost(a), "cost")
		}
	})
}

func amounts(grams map[string]float64, names ...string) string {
	var b strings.Builder
	for _, name := range names {
		fmt.Fprintf(&b, "%s = %v\n", name, grams[name])
	}
	return b.String()
}

func same(t *rapid.T, a, b *assess.Assessment) {
	near(t, b.Liquor, a.Liquor, "litres")
	near(t, b.MassKg, a.MassKg, "mass")
	values := map[string]float64{}
	for _, v := range b.Attributes {
		values[v.Name] = v.Value
	}
	require.Len(t, a.Attributes, len(values))
	for _, v := range a.Attributes {
		near(t, values[v.Name], v.Value, v.Name)
	}
	require.Len(t, a.Caps, len(b.Caps))
	for n, c := range a.Caps {
		near(t, b.Caps[n].Guarded, c.Guarded, "cap "+c.Substance)
		near(t, b.Caps[n].Expected, c.Expected, "expected "+c.Substance)
		assert.Equal(t, len(b.Caps[n].Accepted) > 0, len(c.Accepted) > 0, "unknown %s is carried", c.Substance)
	}
	near(t, b.Served.PH, a.Served.PH, "pH")
	near(t, b.Served.HighestPH, a.Served.HighestPH, "highest pH")
	near(t, b.Served.Acidity, a.Served.Acidity, "acidity")
	near(t, b.Served.Brix, a.Served.Brix, "brix")
	for n, m := range a.Job.Markets {
		assert.Equal(t, b.Declarations(m), a.Declarations(m), "declarations %d", n)
	}
}

func near(t *rapid.T, want, got float64, what string) {
	if math.IsNaN(want) && math.IsNaN(got) {
		return
	}
	if math.Abs(want-got) > 1e-8*(1+math.Abs(want)) {
		t.Fatalf("%s: %v with the parts, %v with the preparation", what, want, got)
	}
}
