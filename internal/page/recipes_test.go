package page

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// ownRecipes puts recipes of the maker's own into a folder beside the brief to start with.
func ownRecipes(t *testing.T) string {
	t.Helper()
	folder := startFolder(t)
	for name, text := range map[string]string{
		"house.toml": "name = \"House\"\n[grams_per_litre]\nsugar = 76\ncitric-acid = 4.9\nlemon-juice = 22\ngentian-root = 0.36\n",
		"house.csv":  "ingredient,grams_per_litre\nsugar,76\ncitric-acid,4.9\nlemon-juice,22\ngentian-root,0.36\n",
		"other.toml": "name = \"Other\"\n[grams_per_litre]\nhoney = 76\n",
		"notes.csv":  "day,note\n2026-11-01,hot\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
	}
	book := excelize.NewFile()
	for cell, value := range map[string]any{"A1": "ingredient", "B1": "grams_per_litre", "A2": "sugar", "B2": 76, "A3": "gentian-root", "B3": 0.36} {
		require.NoError(t, book.SetCellValue("Sheet1", cell, value))
	}
	require.NoError(t, book.SaveAs(filepath.Join(folder, "short.xlsx")))
	return folder
}

// What the maker makes today stands beside the answers in place of the cheapest recipe, as --recipe says.
func TestOwnRecipes(t *testing.T) {
	s, c := onDay(t, ownRecipes(t))
	for name, q := range map[string]struct {
		path, body string
		code       int
		says       string
	}{
		"a swap beside it":            {"/api/swap", `{"file":"brief.toml","short":{"sugar":74},"recipe":"house.toml"}`, 200, `"amount":76`},
		"a swap of nothing but it":    {"/api/swap", `{"file":"brief.toml","recipe":"house.csv"}`, 200, `"amount":0.36`},
		"a swap beside a stranger":    {"/api/swap", `{"file":"brief.toml","short":{"sugar":70},"recipe":"other.toml"}`, 422, `honey`},
		"a swap beside a file of old": {"/api/swap", `{"file":"brief.toml","short":{"sugar":70},"recipe":"../house.toml"}`, 404, "no recipe in this folder"},
		"prices":                      {"/api/reprice", `{"file":"brief.toml","moves":["sugar=+30%"],"recipe":"short.xlsx"}`, 200, `"amount":0.36`},
		"prices beside what is none":  {"/api/reprice", `{"file":"brief.toml","moves":["sugar=+30%"],"recipe":"notes.csv"}`, 422, "notes.csv"},
		"prices beside no file":       {"/api/reprice", `{"file":"brief.toml","moves":["sugar=+30%"],"recipe":"none.toml"}`, 422, "none.toml"},
		"a label":                     {"/api/label", `{"file":"brief.toml","recipe":"house.toml"}`, 200, `"recipes":["house.csv","house.toml","other.toml","short.xlsx"]`},
		"a label of an ending":        {"/api/label", `{"file":"brief.toml","recipe":"house.md"}`, 404, "no recipe in this folder"},
		"two markets":                 {"/api/markets", `{"file":"brief.toml","recipe":"house.toml","markets":["eu","us"]}`, 200, `"bittersum/compare/1"`},
		"the cheapest in two markets": {"/api/markets", `{"file":"demo:bitter-orange","markets":["us","au-nz"]}`, 200, `in au-nz"`},
		"a market that is none":       {"/api/markets", `{"file":"demo:bitter-orange","markets":["us","mars"]}`, 400, "no market"},
		"one market":                  {"/api/markets", `{"file":"demo:bitter-orange","markets":["us"]}`, 400, "no market"},
		"no recipe in either":         {"/api/markets", `{"file":"demo:bitter-orange","targets":{"bitterness":{"min":9000,"max":null}},"markets":["us","eu"]}`, 200, `"conflict"`},
	} {
		code, body := ask(t, c, s, q.path, q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
	}
}

// A recipe that breaks a cap in one of two markets is said to break it there, and only there.
func TestARecipeInTwoMarkets(t *testing.T) {
	folder := startFolder(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "strong.toml"), []byte("name = \"Strong tonic\"\nmarkets = [\"us\"]\nuse = [\"water\", \"sugar\", \"quinine-hydrochloride\"]\ncarbonated = true\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "much.toml"), []byte("name = \"Much\"\n[grams_per_litre]\nsugar = 80\nquinine-hydrochloride = 0.11\n"), 0o644))
	s, c := onDay(t, folder)
	code, body := ask(t, c, s, "/api/markets", `{"file":"strong.toml","recipe":"much.toml","markets":["us","eu"]}`)
	require.Equal(t, 200, code, body)
	var answer struct {
		Answer struct {
			A, B struct {
				Keeps bool `json:"keeps_caps"`
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(body), &answer))
	assert.NotEqual(t, answer.Answer.A.Keeps, answer.Answer.B.Keeps)
}

// A side of a target that is cleared is asked for no more, and is taken out of the file.
func TestAClearedSide(t *testing.T) {
	s, c := onDay(t, copyOfDemos(t))
	cost := func(targets string) float64 {
		code, body := ask(t, c, s, "/api/blend", `{"file":"bitter-orange.toml","quick":true,"targets":{"bitterness":`+targets+`}}`)
		require.Equal(t, 200, code, body)
		var answer struct{ Answer struct{ Cost float64 } }
		require.NoError(t, json.Unmarshal([]byte(body), &answer))
		return answer.Answer.Cost
	}
	both := cost(`{"min":62,"max":75}`)
	assert.Less(t, cost(`{"min":null,"max":75}`), both)
	assert.Less(t, cost(`{"min":null,"max":null}`), both)
	assert.InDelta(t, both, cost(`{"min":62,"max":null}`), 1e-9)
	code, body := ask(t, c, s, "/api/brief?file=bitter-orange.toml", "")
	assert.Equal(t, 405, code, body)
	text, err := os.ReadFile(filepath.Join(s.folder, "bitter-orange.toml"))
	require.NoError(t, err)
	save := `{"file":"bitter-orange.toml","fingerprint":"` + fingerprint(string(text)) + `","targets":{"bitterness":{"min":null,"max":null}}}`
	code, body = ask(t, c, s, "/api/save", save)
	require.Equal(t, 200, code, body)
	job, err := s.open("bitter-orange.toml")
	require.NoError(t, err)
	for _, target := range job.Targets {
		assert.False(t, target.Attribute == "bitterness" && !math.IsInf(target.Max, 1), "both sides are gone from the file")
	}
}

func TestOwnRecipesInABrowser(t *testing.T) {
	ctx := browser(t)
	server, _ := onDay(t, ownRecipes(t))
	changed := func(id string) chromedp.Action {
		return chromedp.Evaluate(`document.getElementById("`+id+`").dispatchEvent(new Event("change"))`, nil)
	}
	var swapped, markets, kept string
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible("table"), settled(),
		click(`//a[@href="#brief.toml"]`), visible("#cost"), settled(),
		click("#short"), visible("#short-name"), setValue("#short-name", "sugar"), setValue("#short-most", "74"), setValue("#short-recipe", "short.xlsx"),
		click("#whatif-ask"), visible("#swapped"), textOf("#whatif-answer", &swapped)))
	assert.Contains(t, swapped, "misses its brief")
	assert.Contains(t, swapped, "76")
	photograph(t, ctx, "short-own")
	require.NoError(t, chromedp.Run(ctx,
		click("#dearer"), visible("#price-recipe"), setValue("#price-name", "sugar"), setValue("#price-recipe", "house.csv"),
		click("#whatif-ask"), visible("#repriced")))
	photograph(t, ctx, "price-own")
	require.NoError(t, chromedp.Run(ctx,
		click("#elsewhere"), visible("#market-b"), setValue("#market-b", "us"), setValue("#market-recipe", "house.toml"),
		click("#whatif-ask"), visible("#markets"), textOf("#whatif-answer", &markets)))
	assert.Contains(t, markets, "Cautions")
	photograph(t, ctx, "markets")
	// Half a number takes no limit away; an emptied box does.
	var half string
	require.NoError(t, chromedp.Run(ctx,
		when("#t-bitterness-min", "e.select(); e.focus()"), chromedp.KeyEvent("-"),
		chromedp.Evaluate(`(e => e.value + e.validity.badInput + document.getElementById("undo").disabled)(document.getElementById("t-bitterness-min"))`, &half)))
	assert.Equal(t, "truetrue", half, "nothing is changed yet")
	require.NoError(t, chromedp.Run(ctx,
		setValue("#t-bitterness-min", ""), chromedp.Evaluate(`document.getElementById("t-bitterness-min").dispatchEvent(new Event("input"))`, nil),
		chromedp.Poll(`document.getElementById("state").textContent === "Changed, not saved"`, nil),
		textOf("#cost", &kept)))
	least := 0.0
	assert.Contains(t, kept, costOf(t, server, &Question{File: "brief.toml", Targets: map[string]Span{"bitterness": {&least, nil}}}))
	require.NoError(t, chromedp.Run(ctx,
		click(`//a[@href="#label/brief.toml"]`), visible("#label-recipe"), settled(), setValue("#label-recipe", "house.toml"), changed("label-recipe"),
		chromedp.Poll(`document.getElementById("state").textContent === "Drafting…"`, nil), settled(), visible(".label")))
	photograph(t, ctx, "label-own")
}
