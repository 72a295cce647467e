package formulate_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
	"bittersum/solver"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plain is a drink of plain figures, so that every row can be written down by hand: water and syrup that are
// all volume, a bark of which half dissolves and a gram of which holds 2 mL back, a tincture with quinine.
const plain = `name = "plain"
markets = ["us"]
carbonated = true
batch_l = 10
use = ["clear-water", "syrup", "test-bark", "tincture"]
[targets.bitterness]
min = 20
max = 40
[targets.sugars]
min = 50
max = 50
[limits.syrup]
min_g_per_l = 5
max_g_per_l = 200
[limits.tincture]
supply_kg = 0.02
[groups.bitter]
members = ["test-bark", "tincture"]
max_g_per_l = 30
[ratios.sweet-to-bitter]
of = "sugars"
over = "bitterness"
min = 1.5
[[ingredient]]
name = "clear-water"
kind = "water"
pure = true
price_per_kg = 0
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
[[ingredient]]
name = "syrup"
pure = true
price_per_kg = 2
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 0.8
contents = { sugars = 0.65 }
[[ingredient]]
name = "test-bark"
pure = true
price_per_kg = 40
trimming_loss = 0.2
labour_per_kg = 10
basis = "invented"
soluble_share = 0.5
specific_volume_ml_per_g = 0.8
hold_up_l_per_g = 0.002
contents = { bitterness = { per_g = 10, recovery = 0.5, basis = "invented" } }
[[ingredient]]
name = "tincture"
category = "flavouring"
pure = true
price_per_kg = 100
basis = "invented"
soluble_share = 1
specific_volume_ml_per_g = 1
contents = { quinine = 8.3 }
`

// opened opens a brief with files beside it.
func opened(t *testing.T, text string, beside map[string]string) *brief.Job {
	t.Helper()
	dir := t.TempDir()
	for name, content := range beside {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600))
	}
	path := filepath.Join(dir, "brief.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	lib, err := profile.Embedded()
	require.NoError(t, err)
	j, err := brief.Open(path, lib)
	require.NoError(t, err)
	return j
}

// requireRow compares the row of a name with its limits and the coefficients by column name.
func requireRow(t *testing.T, p *solver.Problem, name string, lower, upper float64, want map[string]float64) {
	t.Helper()
	for _, row := range p.Rows {
		if row.Name != name {
			continue
		}
		got := map[string]float64{}
		for _, term := range row.Terms {
			got[p.Columns[term.Column].Name] = term.Value
		}
		require.Len(t, got, len(want), "%s: %v", name, got)
		for column, value := range want {
			require.InDelta(t, value, got[column], 1e-9, "%s: %s", name, column)
		}
		require.Equal(t, [2]float64{lower, upper}, [2]float64{row.Lower, row.Upper}, name)
		return
	}
	t.Fatalf("there is no row %q", name)
}

// The rows of the program per litre, by hand. A litre recovered takes t litres of liquor; what counts per
// litre of drink stands against t. The volumes are those of a liquor without solids in it, where nothing
// swells: syrup dissolves whole, 0.8 mL to the gram.
func TestRowsOfADrink(t *testing.T) {
	inf := solver.Inf
	f := formulate.At(opened(t, plain, nil), liquor.State{})
	p := f.Problem
	requireRow(t, p, "recovery", 1, 1, map[string]float64{"test-bark": -0.002, "liquor": 1})
	volumes := map[string]float64{"liquor": -1000}
	for _, s := range f.Job.Sources {
		volumes[s.Name] = liquor.Volume(s, 0)
	}
	require.Equal(t, 1.0, volumes["clear-water"])
	require.InDelta(t, 0.4, volumes["test-bark"], 0.03, "half of a gram dissolves at 0.8 mL/g")
	requireRow(t, p, "volume", 0, 0, volumes)
	requireRow(t, p, "target bitterness min", 0, inf, map[string]float64{"test-bark": 5, "liquor": -20})
	requireRow(t, p, "target bitterness max", -inf, 0, map[string]float64{"test-bark": 5, "liquor": -40})
	requireRow(t, p, "target sugars", 0, 0, map[string]float64{"syrup": 0.65, "liquor": -50})
	requireRow(t, p, "ratio sweet-to-bitter min", 0, inf, map[string]float64{"syrup": 0.65, "test-bark": -1.5 * 5})
	requireRow(t, p, "group bitter max", -inf, 30, map[string]float64{"test-bark": 1, "tincture": 1})
	// 21 CFR 172.575: 83 parts per million of quinine in the drink: of what makes weight (the syrup says no kind, so it does not), less 1.35 kg for each litre
	// that spent bark holds back.
	requireRow(t, p, "cap quinine us max", -inf, 0,
		map[string]float64{"clear-water": -0.083, "test-bark": 83 * 0.002 * 1.35, "tincture": 8.3})

	bounds := map[string][3]float64{} // lower, upper, cost
	for _, c := range p.Columns {
		bounds[c.Name] = [3]float64{c.Lower, c.Upper, c.Cost}
	}
	assert.Equal(t, [3]float64{5, 200, 0.002}, bounds["syrup"])
	assert.Equal(t, [3]float64{0, 2, 0.1}, bounds["tincture"], "20 g for 10 L")
	assert.Equal(t, [3]float64{1, inf, 0}, bounds["liquor"])
	assert.InDelta(t, (40/0.8+10)/1000, bounds["test-bark"][2], 1e-15)
}

// A throw of 5 parts of soda dilutes six times: what counts per litre is asked of 6 litres of drink, what
// counts per kilogram of the syrup and 5·998.2 g of soda.
func TestRowsOfAThrow(t *testing.T) {
	j := opened(t, "throw = \"1+5\"\n"+strings.Replace(plain, "max_g_per_l = 200", "max_g_per_l = 2000", 1), nil)
	p := formulate.At(j, liquor.State{}).Problem
	requireRow(t, p, "target bitterness min", 0, solver.Inf, map[string]float64{"test-bark": 5, "liquor": -120})
	requireRow(t, p, "cap quinine us max", -solver.Inf, 0,
		map[string]float64{"clear-water": -0.083, "test-bark": 83 * 0.002 * (1.35 + 5*0.9982), "tincture": 8.3, "liquor": -0.083 * 5 * 998.2})
}

// Density and °Bx are asked of the mass: at least 1.02 kg/L, at most 12 g of solids in 100 g.
func TestRowsOfReadings(t *testing.T) {
	j := opened(t, plain+"[targets.density]\nmin = 1.02\n", nil)
	p := formulate.At(j, liquor.State{}).Problem
	requireRow(t, p, "reading density min", 0, solver.Inf,
		map[string]float64{"clear-water": 1, "syrup": 1, "test-bark": 0.5, "tincture": 1, "liquor": -1020})
}

// Being near another recipe: the columns more and less take up each difference and are counted in what is
// just noticeable.
func TestRowsOfADrift(t *testing.T) {
	j, err := opened(t, plain, nil).Changed(func(b *brief.Brief) {
		b.Near = &brief.Near{Marks: []brief.Mark{{Attribute: "bitterness", Value: 30, JND: 6}}, Within: 2}
	})
	require.NoError(t, err)
	p := formulate.At(j, liquor.State{}).Problem
	requireRow(t, p, "mark bitterness", 0, 0, map[string]float64{"test-bark": 5, "liquor": -30, "more bitterness": -1, "less bitterness": 1})
	requireRow(t, p, "drift max", -solver.Inf, 0, map[string]float64{"more bitterness": 1.0 / 6, "less bitterness": 1.0 / 6, "liquor": -2})
}

// A batch: every row times the litres recovered, amounts in divisions, and caps kept by a ten-millionth more
// than the law asks, so that no rounding of floating point breaks one.
func TestRowsOfABatch(t *testing.T) {
	inf := solver.Inf
	j := opened(t, plain, nil)
	f := formulate.At(j, liquor.State{})
	o := formulate.BatchOptions{Litres: 10, MostLitres: 10.1}
	for _, s := range j.Sources {
		w := formulate.Weighed{DivisionG: 0.5, MostG: math.Inf(1)}
		switch s.Name {
		case "clear-water":
			w.DivisionG = 10
		case "tincture":
			w = formulate.Weighed{DivisionG: 0.1, LeastG: 2.05, MostG: 50}
		}
		o.Weighed = append(o.Weighed, w)
	}
	b := f.Batch(o)
	p := b.Problem
	requireRow(t, p, "recovery", 0, 0, map[string]float64{"test-bark": -0.002 * 0.5, "liquor": 1, "yield": -1})
	requireRow(t, p, "target bitterness min", 0, inf, map[string]float64{"test-bark": 5 * 0.5, "liquor": -20})
	requireRow(t, p, "group bitter max", -inf, 0, map[string]float64{"test-bark": 0.5, "tincture": 0.1, "yield": -30})
	requireRow(t, p, "supply tincture", -inf, 20, map[string]float64{"tincture": 0.1})
	// 0.8 of the assessment's 1 in 2000 each way.
	requireRow(t, p, "target sugars min", 0, inf, map[string]float64{"syrup": 0.65 * 0.5, "liquor": -(50 - 0.02)})
	requireRow(t, p, "target sugars max", -inf, 0, map[string]float64{"syrup": 0.65 * 0.5, "liquor": -(50 + 0.02)})
	// 2.05 g are 21 divisions of 0.1 g when rounded up; 50 g are 500, and the supply is a row of its own.
	requireRow(t, p, "least tincture", 0, inf, map[string]float64{"tincture": 1, "some tincture": -21})
	requireRow(t, p, "none tincture", -inf, 0, map[string]float64{"tincture": 1, "some tincture": -500})
	yield := p.Columns[b.Yield]
	assert.InDelta(t, 10*(1+2e-5), yield.Lower, 1e-12)
	assert.Equal(t, 10.1, yield.Upper)
	for n, c := range p.Columns[:len(j.Sources)] {
		assert.Equal(t, solver.Integer, c.Kind, c.Name)
		assert.InDelta(t, j.Sources[n].CostPerGram*o.Weighed[n].DivisionG, c.Cost, 1e-15)
		assert.Equal(t, math.Trunc(c.Upper), c.Upper, c.Name)
	}

	for _, row := range p.Rows {
		if row.Name != "cap quinine us max" {
			continue
		}
		for _, term := range row.Terms {
			if p.Columns[term.Column].Name == "clear-water" {
				share := 1 - -term.Value/10/0.083
				assert.InDelta(t, 1e-7, share, 1e-10, "below the cap by this share")
			}
		}
		return
	}
	t.Fatal("no row of the cap")
}

// Lots are drawn in order of expiry: the second only once the first is used up to its last whole division.
func TestRowsOfLotsInOrder(t *testing.T) {
	inf := solver.Inf
	lots := `[[lot]]
number = "late"
ingredient = "syrup"
quantity_kg = 2
best_before = 2031-05-01
[[lot]]
number = "soon"
ingredient = "syrup"
quantity_kg = 0.3007
best_before = 2030-05-01
`
	j := opened(t, "lots = \"lots.toml\"\n"+plain, map[string]string{"lots.toml": lots})
	o := formulate.BatchOptions{Litres: 10, MostLitres: 10.1, FirstOut: true}
	for range j.Sources {
		o.Weighed = append(o.Weighed, formulate.Weighed{DivisionG: 0.5, MostG: math.Inf(1)})
	}
	p := formulate.At(j, liquor.State{}).Batch(o).Problem
	requireRow(t, p, "used up syrup/soon", 0, inf, map[string]float64{"syrup/soon": 1, "used up syrup/soon": -601})
	requireRow(t, p, "opened syrup/late", -inf, 0, map[string]float64{"syrup/late": 1, "used up syrup/soon": -4000})
	for _, c := range p.Columns {
		switch c.Name {
		case "syrup/soon":
			assert.Equal(t, 601.0, c.Upper, "0.3007 kg are 601 whole half grams")
		case "syrup/late":
			assert.Equal(t, 4000.0, c.Upper)
		}
	}
}

// What can be had counts as bought: of 50 g of bark for 10 L, a fifth is cut off, and 4 g/L are left to weigh in.
func TestRowsOfASupply(t *testing.T) {
	j := opened(t, plain+"[limits.test-bark]\nsupply_kg = 0.05\n", nil)
	f := formulate.At(j, liquor.State{})
	for n, s := range j.Sources {
		if s.Name == "test-bark" {
			assert.InDelta(t, 4, f.Problem.Columns[n].Upper, 1e-12)
		}
	}
	o := formulate.BatchOptions{Litres: 10, MostLitres: 10.1}
	for range j.Sources {
		o.Weighed = append(o.Weighed, formulate.Weighed{DivisionG: 0.5, MostG: math.Inf(1)})
	}
	requireRow(t, f.Batch(o).Problem, "supply test-bark", -solver.Inf, 40, map[string]float64{"test-bark": 0.5})
}
