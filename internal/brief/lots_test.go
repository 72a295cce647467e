package brief_test

import (
	"strings"
	"testing"
	"time"

	"bittersum/internal/brief"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const lotsTOML = `[[lot]]
number = "A"
ingredient = "sugar"
quantity_kg = 10
received = 2026-01-02
best_before = 2026-12-31
[lot.contents.sugars]
per_g = 0.998
sd = 0.001
[[draw]]
lot = "A"
batch = "B-1"
kg = 2.5
on = 2026-02-03
`

const lotsCSV = `# from the office
number,ingredient,quantity_kg,price_per_kg,received,best_before,state,reason,contents.sugars.per_g,contents.sugars.sd,batch,drawn_kg,drawn_on
A,sugar,10,,2026-01-02,2026-12-31,,,0.998,0.001,,,
A,,,,,,,,,,B-1,2.5,2026-02-03
`

func TestLotsReadTheSameFromBothForms(t *testing.T) {
	fromTOML, err := brief.ParseLots("lots.toml", lotsTOML)
	require.NoError(t, err)
	fromCSV, err := brief.ParseLots("lots.csv", lotsCSV)
	require.NoError(t, err)
	for _, lots := range []*brief.Lots{fromTOML, fromCSV} {
		require.Len(t, lots.Lots, 1)
		l := lots.Lots[0]
		assert.Equal(t, 7.5, l.LeftKg())
		assert.Equal(t, time.Date(2026, 12, 31, 0, 0, 0, 0, time.UTC), l.BestBefore)
		assert.Equal(t, time.Date(2026, 2, 3, 0, 0, 0, 0, time.UTC), l.Draws[0].On)
		assert.Equal(t, 0.998, l.Contents["sugars"].PerGram)
		assert.Equal(t, 0.001, l.Contents["sugars"].SD)
		assert.Equal(t, "certificate of lot A", l.Contents["sugars"].Source)
		assert.Equal(t, brief.Accepted, l.State)
	}
}

func TestFaultsOfLots(t *testing.T) {
	for _, c := range []struct{ name, file, old, new, want string }{
		{"over-drawn", "lots.toml", "kg = 2.5", "kg = 12", `lots.toml:13: batch "B-1" draws 12 kg of lot "A", which has 10 kg left`},
		{"over-drawn by a second batch", "lots.toml", "on = 2026-02-03\n", "on = 2026-02-03\n[[draw]]\nlot = \"A\"\nbatch = \"B-2\"\nkg = 8\n",
			`lots.toml:18: batch "B-2" draws 8 kg of lot "A", which has 7.5 kg left`},
		{"draw from a stranger", "lots.toml", `lot = "A"`, `lot = "B"`, `lots.toml:11: draw[1].lot: there is no lot "B" (did you mean "A"?)`},
		{"no date", "lots.toml", "received = 2026-01-02", "received = \"soon\"", `lots.toml:5: lot[1].received: is a text; it must be a date such as 2026-03-31, without quotes`},
		{"a day that is none", "lots.toml", "received = 2026-01-02", "received = 2026-02-30", `lots.toml:5: lot.received: invalid datetime: "2026-02-30"`},
		{"best before it came", "lots.toml", "best_before = 2026-12-31", "best_before = 2026-01-01", "lots.toml:6: lot[1].best_before: is before the lot was received"},
		{"number with a space before it", "lots.toml", `number = "A"`, `number = " A"`, `lots.toml:2: lot[1].number: " A" begins or ends with a space, or holds a control character
lots.toml:11: draw[1].lot: there is no lot "A" (did you mean " A"?)`},
		{"refused without reason", "lots.toml", "quantity_kg = 10", "quantity_kg = 10\nstate = \"refused\"", "lots.toml:5: lot[1].state: a refused lot needs a reason"},

		{"over-drawn", "lots.csv", "B-1,2.5", "B-1,12", `lots.csv:4: batch "B-1" draws 12 kg of lot "A", which has 10 kg left`},
		{"lot twice", "lots.csv", "A,,,,,,,,,,B-1,2.5,2026-02-03", "A,sugar,1", `lots.csv:4: number: "A" stands twice, first on line 3`},
		{"draw from a stranger", "lots.csv", "A,,,,,,,,,,B-1", "B,,,,,,,,,,B-1", `lots.csv:4: number: there is no lot "B" above (did you mean "A"?)`},
		{"no date", "lots.csv", "2026-01-02", "2 January", `lots.csv:3: received: "2 January" is not a date such as 2026-03-31`},
		{"a day that is none", "lots.csv", "2026-01-02", "2026-02-30", `lots.csv:3: received: "2026-02-30" is not a date such as 2026-03-31`},
		{"no number", "lots.csv", "A,sugar,10", "A,sugar,ten", `lots.csv:3: quantity_kg: "ten" is not a number`},
		{"below zero", "lots.csv", "A,sugar,10", "A,sugar,-1", `lots.csv:3: quantity_kg: -1 is out of range; it must be 0 or more`},
		{"no quantity", "lots.csv", "A,sugar,10", "A,sugar,", `lots.csv:3: quantity_kg: is missing`},
		{"unknown column", "lots.csv", "price_per_kg", "prise_per_kg", `lots.csv:2: column 4: there is no column "prise_per_kg" (did you mean "price_per_kg"?)`},
		{"no such state", "lots.csv", "2026-12-31,,", "2026-12-31,acepted,", `lots.csv:3: state: "acepted" is not allowed; it must be one of accepted, held, refused (did you mean "accepted"?)`},
		{"certificate without value", "lots.csv", "0.998,0.001", ",0.001", `lots.csv:3: contents.sugars.per_g: is missing`},
		{"amount without batch", "lots.csv", "0.998,0.001,,", "0.998,0.001,,3", `lots.csv:3: drawn_kg: needs a batch beside it`},
	} {
		t.Run(c.file+" "+c.name, func(t *testing.T) {
			text := map[string]string{"lots.toml": lotsTOML, "lots.csv": lotsCSV}[c.file]
			require.Contains(t, text, c.old)
			_, err := brief.ParseLots(c.file, strings.Replace(text, c.old, c.new, 1))
			require.Error(t, err)
			assert.Equal(t, c.want, err.Error())
		})
	}
	_, err := brief.ParseLots("lots.csv", "")
	assert.EqualError(t, err, "lots.csv: is empty: a table with a heading is needed")
}

// A lot that may not be used is left out, and one that is needed is asked for by what is wrong with it.
func TestLotsThatMayNotBeUsed(t *testing.T) {
	base := strings.Replace(drink, "carbonated = true", "lots = \"l.toml\"\nbatch_l = 10", 1) + "[limits.sugar]\nstock_only = true\n"
	lots := `[[lot]]
number = "old"
ingredient = "sugar"
quantity_kg = 3
[[lot]]
number = "bad"
ingredient = "sugar"
quantity_kg = 3
state = "refused"
reason = "damp"
[[lot]]
number = "out"
ingredient = "sugar"
quantity_kg = 3
state = "held"
[[draw]]
lot = "old"
batch = "1"
kg = 3
`
	err := open(t, base, map[string]string{"l.toml": lots})
	assert.EqualError(t, err, `brief.toml:9: limits.sugar.stock_only: no lot of "sugar" can be used: old is used up, bad is refused (damp), out is held`)
	err = open(t, base, map[string]string{"l.toml": ""})
	assert.EqualError(t, err, `brief.toml:9: limits.sugar.stock_only: there is no lot of "sugar"`)
}

func TestFaultsOfWeighing(t *testing.T) {
	for _, c := range []struct{ name, add, want string }{
		{"no division", "[scale]\nto_g = 5\n", "brief.toml:8: scale.division_g: is missing"},
		{"a division of nothing", "[scale]\ndivision_g = 0\n", "brief.toml:9: scale.division_g: 0 is out of range; it must be above 0"},
		{"a division over the load", "[[scale]]\ndivision_g = 10\nto_g = 5\n", "brief.toml:9: scale[1].division_g: 10 is above to_g 5: nothing could be weighed"},
		{"an empty scale", "[[scale]]\ndivision_g = 1\nfrom_g = 5\nto_g = 5\n", "brief.toml:10: scale[1].from_g: 5 is not below to_g 5: the range is empty"},
		{"a scale for a stranger", "[[scale]]\ndivision_g = 1\nfor = [\"watr\"]\n", `brief.toml:10: scale[1].for[1]: there is no ingredient in use called "watr" (did you mean "water"?)`},
		{"packs of a stranger", "[packs.suger]\nkg = 25\n", `brief.toml:8: packs.suger: there is no ingredient in use called "suger" (did you mean "sugar"?)`},
		{"packs of no size", "[packs.sugar]\nwhole = true\n", "brief.toml:8: packs.sugar.kg: is missing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.EqualError(t, open(t, drink+c.add, nil), c.want)
		})
	}
}
