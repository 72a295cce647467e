package page

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/plan"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planned folders hold the start folder with a plan of three months and a scenario.
func plannedFolder(t *testing.T) string {
	t.Helper()
	folder := startFolder(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "spring.toml"), []byte(`name = "Spring"
currency = "EUR"
start = 2027-03-01
periods = 3
others = "list price"
[[drink]]
brief = "brief.toml"
demand_l = [100, 120, 150]
[[supplier]]
name = "Towpath Sugar"
[[offer]]
supplier = "Towpath Sugar"
item = "sugar"
price_per_kg = 1.1
changes = [{ from = 2027-05-01, price_per_kg = 2.0 }]
[[scenario]]
name = "a dry spring"
probability = 0.5
events = [{ demand_percent = 20, from = "2027-04", to = "2027-05" }]
`), 0o644))
	return folder
}

func TestPlanOnThePage(t *testing.T) {
	folder := plannedFolder(t)
	s, c := onDay(t, folder)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine.xlsx"), []byte("mine"), 0o644))
	for name, q := range map[string]struct {
		body string
		code int
		says string
	}{
		"a plan":                {`{"file":"spring.toml"}`, 200, `"bittersum/plan/1"`},
		"if":                    {`{"file":"spring.toml","if":"a dry spring"}`, 200, `"scenario":true`},
		"for all scenarios":     {`{"file":"spring.toml","hedge":true}`, 200, `"scenario":false`},
		"a price":               {`{"file":"spring.toml","price":["sugar=+30%@2027-04"]}`, 200, `"scenario":true`},
		"a supplier of no name": {`{"file":"spring.toml","fails":["Towpath"]}`, 400, "this cannot be had: Towpath"},
		"a scenario of no name": {`{"file":"spring.toml","if":"a dry sprin"}`, 400, "a dry spring"},
		"hedged and if":         {`{"file":"spring.toml","hedge":true,"if":"a dry spring"}`, 200, `"faults":["any of these may happen takes all scenarios`},
		"a brief":               {`{"file":"brief.toml"}`, 404, "is no plan"},
		"outside":               {`{"file":"../spring.toml"}`, 404, "no brief in this folder"},
		"a demo of no name":     {`{"file":"demo:canal"}`, 404, "no demo plan"},
		"a workbook":            {`{"file":"spring.toml","book":"orders.xlsx"}`, 200, `"wrote":"orders.xlsx"`},
		"a workbook outside":    {`{"file":"spring.toml","book":"../orders.xlsx"}`, 400, "no name of a workbook"},
		"a workbook of no kind": {`{"file":"spring.toml","book":"orders.doc"}`, 400, "ends in none of .xlsx"},
		"somebody's workbook":   {`{"file":"spring.toml","book":"mine.xlsx"}`, 409, `"there":"mine.xlsx"`},
		"an unknown field":      {`{"file":"spring.toml","hedged":true}`, 400, "hedged"},
	} {
		code, body := ask(t, c, s, "/api/plan", q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
	}
	assert.FileExists(t, filepath.Join(folder, "orders.xlsx"))
	// A plan whose brief lies elsewhere is refused, as is one with faults.
	text, err := os.ReadFile(filepath.Join(folder, "spring.toml"))
	require.NoError(t, err)
	for _, brief := range []string{"../brief.toml", "/etc/passwd"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, "led-out.toml"), []byte(strings.Replace(string(text), "brief.toml", brief, 1)), 0o644))
		code, body := ask(t, c, s, "/api/plan", `{"file":"led-out.toml"}`)
		assert.GreaterOrEqual(t, code, 400, "%s: %.300s", brief, body)
		assert.NotContains(t, body, "root:")
	}
}

// The page's plan is the one that the command decides.
func TestPlanInTheBrowser(t *testing.T) {
	folder := plannedFolder(t)
	s, _ := onDay(t, folder)
	ctx := browser(t)
	var said, orders string
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(s.Address()), click(`//a[text()="Spring"]`), click("#plan-ask"), textOf("#plan-cost", &said), textOf("#plan table", &orders), settled()))
	photograph(t, ctx, "plan")
	lib, err := profile.Embedded()
	require.NoError(t, err)
	doc, err := tomlfile.Open(filepath.Join(folder, "spring.toml"))
	require.NoError(t, err)
	p, err := plan.Read(doc, func(name string) (*brief.Job, error) { return brief.Open(filepath.Join(folder, name), lib) })
	require.NoError(t, err)
	answer, err := plan.Decide(t.Context(), p)
	require.NoError(t, err)
	assert.Contains(t, said, "It costs "+strconv.FormatFloat(answer.Cost, 'f', 2, 64)+" EUR")
	assert.Contains(t, orders, "Towpath Sugar")
	require.NoError(t, chromedp.Run(ctx, setValue("#plan-if", "a dry spring"), click("#plan-ask"), textOf("#plan pre", &said), settled()))
	assert.Contains(t, said, "Spring: if a dry spring")
	photograph(t, ctx, "plan-if")
}

// A plan is begun once.
func TestPlanIsBegun(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	code, body := ask(t, c, s, "/api/plan/begin", `{}`)
	require.Equal(t, 200, code, body)
	var begun struct{ File string }
	require.NoError(t, json.Unmarshal([]byte(body), &begun))
	assert.FileExists(t, filepath.Join(folder, begun.File))
	code, body = ask(t, c, s, "/api/plan/begin", `{}`)
	assert.Equal(t, 422, code)
	assert.Contains(t, body, "is there already")
	code, body = ask(t, c, s, "/api/plan", `{"file":"plan.toml"}`)
	assert.Equal(t, 200, code)
	assert.Contains(t, body, `"bittersum/plan/1"`)
}
