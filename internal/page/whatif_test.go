package page

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func TestWhatIfs(t *testing.T) {
	folder := startFolder(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "dear.csv"), []byte("ingredient,price_per_kg\nsugar,2.40\n"), 0o644))
	book := excelize.NewFile()
	for cell, value := range map[string]any{"A1": "ingredient", "B1": "price_per_kg", "A2": "sugar", "B2": 2.4} {
		require.NoError(t, book.SetCellValue("Sheet1", cell, value))
	}
	require.NoError(t, book.SaveAs(filepath.Join(folder, "dear.xlsx")))
	s, c := onDay(t, folder)
	one := `{"file":"demo:bitter-orange"}`
	for name, q := range map[string]struct {
		path, body string
		code       int
		says       string
	}{
		"a swap":                     {"/api/swap", `{"file":"demo:bitter-orange","short":{"gentian-root":0}}`, 200, `"bittersum/swap/1"`},
		"a swap of what was asked":   {"/api/swap", `{"file":"demo:bitter-orange","targets":{"bitterness":{"min":66,"max":75}},"short":{"gentian-root":0.05}}`, 200, `"picture":"`},
		"the closest":                {"/api/swap", `{"file":"demo:bitter-orange","short":{"gentian-root":0},"closest":true}`, 200, `"costs_more_per_litre"`},
		"closest and within":         {"/api/swap", `{"file":"demo:bitter-orange","short":{"gentian-root":0},"closest":true,"drift":3}`, 400, "exclude each other"},
		"a drift below zero":         {"/api/swap", `{"file":"demo:bitter-orange","short":{"gentian-root":0},"drift":-1}`, 400, "no number of just noticeable"},
		"less than nothing":          {"/api/swap", `{"file":"demo:bitter-orange","short":{"gentian-root":-1}}`, 400, "below zero"},
		"a swap of a stranger":       {"/api/swap", `{"file":"demo:bitter-orange","short":{"gentian":0}}`, 422, "gentian"},
		"a swap of nothing":          {"/api/swap", one, 400, "nothing is said to be short"},
		"a swap that cannot be":      {"/api/swap", `{"file":"demo:bitter-orange","short":{"water":0}}`, 200, `"conflict"`},
		"a price up":                 {"/api/reprice", `{"file":"demo:bitter-orange","moves":["gentian-root=+30%"]}`, 200, `"bittersum/reprice/1"`},
		"a range of prices":          {"/api/reprice", `{"file":"demo:bitter-orange","moves":["quassia-wood=10..40"]}`, 200, `"picture":"`},
		"buying ahead":               {"/api/reprice", `{"file":"demo:bitter-orange","moves":["gentian-root=+30%"],"ahead":{"from":"2027-02-01","stock_kg":1,"monthly_litres":400,"keeps_months":12}}`, 200, `"buying_plan"`},
		"buying ahead of yesterday":  {"/api/reprice", `{"file":"demo:bitter-orange","moves":["gentian-root=+30%"],"ahead":{"from":"2026-11-26","stock_kg":1,"monthly_litres":400,"keeps_months":12}}`, 400, "not in the future"},
		"making nothing":             {"/api/reprice", `{"file":"demo:bitter-orange","moves":["gentian-root=+30%"],"ahead":{"from":"2027-02-01","stock_kg":1,"keeps_months":12}}`, 400, "Made in a month, L: 0 is out of range"},
		"no price":                   {"/api/reprice", `{"file":"demo:bitter-orange","moves":["gentian-root=dear"]}`, 400, "is not a price"},
		"a price of a stranger":      {"/api/reprice", `{"file":"demo:bitter-orange","moves":["gentian=5"]}`, 422, "gentian-root"},
		"a price list":               {"/api/reprice", `{"file":"brief.toml","list":"dear.csv"}`, 200, `"name":"sugar"`},
		"a price list in a workbook": {"/api/reprice", `{"file":"brief.toml","list":"dear.xlsx"}`, 200, `"name":"sugar"`},
		"no price list":              {"/api/reprice", `{"file":"brief.toml","list":"none.csv"}`, 422, "none.csv"},
		"a price list outside":       {"/api/reprice", `{"file":"brief.toml","list":"../prices.csv"}`, 404, "no price list in this folder"},
		"no move":                    {"/api/reprice", one, 400, "no price moves"},
		"others":                     {"/api/alternatives", `{"file":"demo:bitter-orange","percent":2,"count":2}`, 200, `"bittersum/alternatives/1"`},
		"others at no percentage":    {"/api/alternatives", `{"file":"demo:bitter-orange","percent":-2,"count":2}`, 400, "is not a percentage"},
		"none of others":             {"/api/alternatives", `{"file":"demo:bitter-orange","percent":2}`, 400, "out of range"},
		"side by side":               {"/api/beside", `{"pins":[` + one + `,{"file":"brief.toml"}]}`, 200, `"bittersum/compare/1"`},
		"one alone":                  {"/api/beside", `{"pins":[` + one + `]}`, 400, "two to 4"},
		"five":                       {"/api/beside", `{"pins":[` + strings.Repeat(one+",", 4) + one + `]}`, 400, "not 5"},
		"a pin inside out":           {"/api/beside", `{"pins":[` + one + `,{"file":"brief.toml","targets":{"bitterness":{"min":2,"max":1}}}]}`, 400, "exclude each other"},
		"a label":                    {"/api/label", one, 200, `"bittersum/label/1"`},
		"a label with a figure":      {"/api/label", `{"file":"demo:bitter-orange","nutrients":{"protein":0.1}}`, 200, `"panel"`},
		"a figure that cannot be":    {"/api/label", `{"file":"demo:bitter-orange","nutrients":{"protein":101}}`, 400, "cannot be"},
		"a figure of a stranger":     {"/api/label", `{"file":"demo:bitter-orange","nutrients":{"protien":1}}`, 400, "protein"},
		"a label of what cannot be":  {"/api/label", `{"file":"demo:bitter-orange","targets":{"bitterness":{"min":9000,"max":null}}}`, 409, "nothing to label"},
		"a label of a file outside":  {"/api/label", `{"file":"brief.toml","record":"../lots.toml"}`, 404, "no brief in this folder"},
		"an unknown field":           {"/api/label", `{"file":"brief.toml","recod":"x"}`, 400, "recod"},
	} {
		code, body := ask(t, c, s, q.path, q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.True(t, strings.Contains(body, q.says), "%s: no %s in %.300s", name, q.says, body)
	}
}

// Each pinned recipe is held against the first: a recipe has not drifted from itself, and one with more bitterness has.
func TestPinsDriftFromTheFirst(t *testing.T) {
	s, c := onDay(t, startFolder(t))
	code, body := ask(t, c, s, "/api/beside", `{"pins":[{"file":"demo:bitter-orange"},{"file":"demo:bitter-orange"},{"file":"demo:bitter-orange","targets":{"bitterness":{"min":70,"max":75}}}]}`)
	require.Equal(t, 200, code, body)
	var answer struct {
		Compared []struct {
			Drift struct{ JND float64 }
		} `json:"beside_the_first"`
	}
	require.NoError(t, json.Unmarshal([]byte(body), &answer))
	require.Len(t, answer.Compared, 2)
	assert.Zero(t, answer.Compared[0].Drift.JND)
	assert.Greater(t, answer.Compared[1].Drift.JND, 0.3)
}

// A batch that may not be sold has no label, here as in the command; one that is not all written down neither.
func TestLabelOfABatch(t *testing.T) {
	s, c := onDay(t, startFolder(t))
	name := plannedBatch(t, c, s)
	label := func() (int, string) {
		return ask(t, c, s, "/api/label", `{"file":"brief.toml","record":"`+name+`"}`)
	}
	code, body := label()
	assert.Equal(t, 422, code)
	assert.Contains(t, body, "not all is written down yet")
	all := `,"weighed":{"water":94200,"sugar":7580,"citric-acid":466,"lemon-juice/LJ-2611":2009,"gentian-root":35.36},"made_on":"2026-11-27","measured":{"marc_kg":0.104,"litres":100.2,"brix":7.8,"acidity_g_per_l":5.64,"bottles":398,"ph":`
	fill(t, c, s, name, all+`2.4}`)
	code, body = label()
	assert.Equal(t, 200, code, body)
	assert.Contains(t, body, strings.TrimSuffix(name, ".toml"), "the lot on the bottle")
	fill(t, c, s, name, `,"measured":{"ph":4.7}`)
	code, body = label()
	assert.Equal(t, 409, code, body)
	assert.Contains(t, body, "may not be sold as it is")
}
