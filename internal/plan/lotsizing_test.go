package plan

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// single is a blend of one ingredient.
const single = `name = "One good"
kind = "blend"
unit = "units"
[attributes.units]
title = "Units"
unit = "units"
per = "batch"
family = "physical"
basis = "invented"
[total]
max = 1e5
[[ingredient]]
name = "good"
price_per_unit = 0
basis = "invented"
contents = { units = 1 }
`

// lotSizing writes a plan of one good and reads it.
func lotSizing(t *testing.T, demand []int, setUp, hold float64, offer, item string) *Plan {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "one.toml"), []byte(single), 0o644))
	text := fmt.Sprintf(`name = "Lots of one good"
start = 2027-01-01
periods = %d
[store]
cost_per_unit = %g
[[drink]]
brief = "one.toml"
demand_unit = %s
[[supplier]]
name = "the mill"
freight_per_order = %g
[[offer]]
supplier = "the mill"
item = "good"
%s
%s
`, len(demand), hold, strings.ReplaceAll(fmt.Sprint(demand), " ", ", "), setUp, offer, item)
	path := filepath.Join(dir, "plan.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return opened(t, path)
}

func TestLotSizing(t *testing.T) {
	changing := "price_per_unit = 3\nchanges = [{ from = 2027-02-01, price_per_unit = 1 }, { from = 2027-03-01, price_per_unit = 4 }, { from = 2027-04-01, price_per_unit = 6 }]"
	for name, c := range map[string]struct {
		demand      []int
		setUp, hold float64
		offer, item string
		cost        float64
	}{
		// L. V. Snyder and Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd ed.
		"example 3.9":    {[]int{90, 120, 80, 70}, 500, 2, "price_per_unit = 0", "", 1380},
		"problem 3.29":   {[]int{730, 580, 445, 650, 880}, 100, 0.1, "price_per_unit = 0", "", 423},
		"changing price": {[]int{400, 500, 500, 1100, 900}, 100, 0.1, changing, "", 4940},
		// The same, with stock that keeps: by enumeration of every assignment of a period's demand to an order.
		// Levels without ages would give 14010 for two months and 9270 for three.
		"for its month":    {[]int{400, 500, 500, 1100, 900}, 100, 0.1, changing, "[item.good]\nkeeps_months = 1", 16200},
		"for two months":   {[]int{400, 500, 500, 1100, 900}, 100, 0.1, changing, "[item.good]\nkeeps_months = 2", 12560},
		"for three months": {[]int{400, 500, 500, 1100, 900}, 100, 0.1, changing, "[item.good]\nkeeps_months = 3", 7650},
	} {
		t.Run(name, func(t *testing.T) {
			a, err := Decide(context.Background(), lotSizing(t, c.demand, c.setUp, c.hold, c.offer, c.item))
			require.NoError(t, err)
			require.Nil(t, a.Lacks)
			require.InDelta(t, c.cost, a.Cost, 0.01)
			require.LessOrEqual(t, a.Bound, a.Cost+0.01)
		})
	}
}

// TestDiscounts takes the cost of a year at each size of an order from an offer: L. V. Snyder and Z.-J. M. Shen,
// Fundamentals of Supply Chain Theory, 2nd ed., example 3.5 and problem 3.12.
func TestDiscounts(t *testing.T) {
	for name, c := range map[string]struct {
		setUp, rate, demand, price float64
		discounts                  []Discount
		size                       int
		cost                       float64
	}{
		"example 3.5":  {8, 0.3, 1300, 0.75, []Discount{{400, 1 - 0.72/0.75}, {800, 1 - 0.68/0.75}}, 800, 978.60},
		"problem 3.12": {2250, 0.25, 182500, 1490, []Discount{{1200, 1 - 1220.0/1490}, {2400, 1 - 1100.0/1490}}, 2400, 201251093.75},
	} {
		t.Run(name, func(t *testing.T) {
			o := &Offer{Whole: true, Discounts: c.discounts}
			best, size := 0.0, 0
			for q := 1; q <= 4000; q++ {
				each := o.costs(float64(q), c.price) / float64(q)
				cost := each*c.demand + c.setUp*c.demand/float64(q) + c.rate*each*float64(q)/2
				if size == 0 || cost < best {
					best, size = cost, q
				}
			}
			require.Equal(t, c.size, size)
			require.InDelta(t, c.cost, best, 0.005)
		})
	}
}
