package page

import (
	"encoding/base64"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// houseRecipes puts recipes as makers write them into a folder.
func houseRecipes(t *testing.T) string {
	t.Helper()
	folder := startFolder(t)
	for name, text := range map[string]string{
		"house.csv":  "Zutat;Menge\nZucker;78 g/L\nZitronensaft;22 g/L\ncitric-acid;4,6 g/L\n",
		"syrup.toml": "name = \"Lemon syrup\"\nthrow = \"1+5\"\n[grams_per_litre]\nsugar = 450\ncitric-acid = 28\nlemon-juice = 130\ngentian-root = 2\n",
		"odd.toml":   "name = \"Odd\"\n[grams_per_litre]\nsugar = 80\nRhabarbersaft = 4\n",
		"strong.csv": "ingredient,grams_per_litre\nsugar,80\nquinine-hydrochloride,0.4\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
	}
	return folder
}

func TestBeginWithARecipe(t *testing.T) {
	folder := houseRecipes(t)
	s, c := onDay(t, folder)
	with := func(recipe, more string) string {
		return `{"recipe":"` + recipe + `","folder":"lemon","markets":["eu"],"currency":"EUR"` + more + `}`
	}
	for name, q := range map[string]struct {
		body string
		code int
		says string
	}{
		"what there is":         {`{}`, 200, `"recipes":["odd.toml","strong.csv","syrup.toml"]`},
		"words":                 {with("house.csv", ""), 200, `"word":"Menge","column":true`},
		"a name with its line":  {with("odd.toml", ""), 200, `"word":"Rhabarbersaft","column":false,"line":4`},
		"a column of none":      {with("house.csv", `,"columns":{"Menge":"amont"}`), 400, `did you mean \"amount\"`},
		"a name of none":        {with("odd.toml", `,"names":{"Rhabarbersaft":"rhubarb"}`), 400, `there is no ingredient \"rhubarb\"`},
		"a syrup":               {with("syrup.toml", ""), 200, `throw = \"1+5\"`},
		"a syrup said":          {with("strong.csv", `,"throw":"1+9"`), 200, `throw = \"1+9\"`},
		"no throw":              {with("syrup.toml", `,"throw":"5"`), 400, "Syrup for a throw of"},
		"a cap broken":          {with("strong.csv", ""), 200, `"keeps_caps":false`},
		"nowhere sold":          {`{"recipe":"syrup.toml","folder":"lemon","markets":[],"currency":"EUR"}`, 400, "nothing is ticked under For sale in"},
		"sold on mars":          {`{"recipe":"syrup.toml","folder":"lemon","markets":["mars"],"currency":"EUR"}`, 400, "no market"},
		"no money":              {`{"recipe":"syrup.toml","folder":"lemon","markets":["eu"]}`, 400, "no code of a currency"},
		"less than nothing":     {with("syrup.toml", `,"batch_l":-1`), 400, "are amounts"},
		"a folder outside":      {`{"recipe":"syrup.toml","folder":"../lemon","markets":["eu"],"currency":"EUR"}`, 400, "no name of a folder"},
		"the folder above":      {`{"recipe":"syrup.toml","folder":"..","markets":["eu"],"currency":"EUR"}`, 400, "no name of a folder"},
		"the profiles":          {`{"recipe":"syrup.toml","folder":"profiles","markets":["eu"],"currency":"EUR"}`, 400, "no name of a folder"},
		"a folder that is none": {`{"recipe":"syrup.toml","folder":"house.csv","markets":["eu"],"currency":"EUR"}`, 409, "is no folder"},
		"a recipe outside":      {with("../house.csv", ""), 404, "no recipe in this folder"},
		"a recipe that is none": {with("none.csv", ""), 422, "none.csv"},
	} {
		code, body := ask(t, c, s, "/api/begin", q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
		assert.NoDirExists(t, filepath.Join(folder, "lemon"), name)
		assert.NoFileExists(t, filepath.Join(folder, "house.csv.words.toml"), name)
	}
}

// What was shown is written, opens as a brief, and is not written over; the words stay beside the recipe.
func TestBegunIsWritten(t *testing.T) {
	folder := houseRecipes(t)
	s, c := onDay(t, folder)
	body := `{"recipe":"house.csv","folder":"lemon","markets":["eu"],"currency":"EUR","columns":{"Zutat":"ingredient","Menge":"amount"},"names":{"Zucker":"sugar","Zitronensaft":"lemon-juice"},"write":true}`
	code, answer := ask(t, c, s, "/api/begin", body)
	require.Equal(t, 200, code, answer)
	assert.Contains(t, answer, `"file":"lemon/brief.toml"`)
	code, answer = ask(t, c, s, "/api/blend", `{"file":"lemon/brief.toml","quick":true}`)
	assert.Equal(t, 200, code, answer)
	assert.Contains(t, answer, `"meets_brief": true`)
	kept, err := os.ReadFile(filepath.Join(folder, "house.csv.words.toml"))
	require.NoError(t, err)
	assert.Contains(t, string(kept), `"Zitronensaft" = "lemon-juice"`)
	before, err := os.ReadFile(filepath.Join(folder, "lemon", "brief.toml"))
	require.NoError(t, err)
	code, answer = ask(t, c, s, "/api/begin", body)
	assert.Equal(t, 422, code, answer)
	assert.Contains(t, answer, "is there already; nothing was written")
	after, err := os.ReadFile(filepath.Join(folder, "lemon", "brief.toml"))
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))
}

func TestUpload(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	upload := func(name, text, more string) (int, string) {
		data, err := json.Marshal(base64.StdEncoding.EncodeToString([]byte(text)))
		require.NoError(t, err)
		return ask(t, c, s, "/api/upload", `{"name":"`+name+`","data":`+string(data)+more+`}`)
	}
	const recipe = "ingredient,grams_per_litre\nsugar,80\n"
	for n, u := range []struct {
		name, text, more string
		code             int
	}{
		{"house.csv", recipe, "", 200}, {"house.csv", recipe, "", 200}, {"house.csv", recipe + "citric-acid,4\n", "", 409}, {"house.csv", recipe + "citric-acid,4\n", `,"replace":true`, 200},
		{"../house.csv", recipe, "", 400}, {"house.exe", recipe, "", 400}, {".house.csv", recipe, "", 400}, {"empty.csv", "", "", 400}, {"brief.toml", "name = \"x\"\n", "", 409},
	} {
		code, body := upload(u.name, u.text, u.more)
		assert.Equal(t, u.code, code, "%d: %s", n, body)
	}
	kept, err := os.ReadFile(filepath.Join(folder, "house.csv.bak"))
	require.NoError(t, err)
	assert.Equal(t, recipe, string(kept))
}

// The words of a table are asked for, answered and kept, as the command keeps them.
func TestWords(t *testing.T) {
	folder := houseRecipes(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "list.csv"), []byte("Artikel;Preis EUR/kg\nZucker;1,10\nZitronensaft;3,20\n"), 0o644))
	s, c := onDay(t, folder)
	for _, q := range []struct {
		body string
		code int
		says string
	}{
		{`{}`, 200, `"tables":["house.csv","list.csv","prices.csv","strong.csv"]`},
		{`{"file":"list.csv","as":"prices"}`, 200, `"word":"Artikel","column":true`},
		{`{"file":"list.csv","as":"prize"}`, 400, "ingredients, lots, prices, recipe"},
		{`{"file":"../list.csv","as":"prices"}`, 404, "no table in this folder"},
		{`{"file":"list.csv","as":"prices","columns":{"Artikel":"ingredent"}}`, 400, "ingredient"},
		{`{"file":"list.csv","as":"prices","currency":"euro"}`, 400, "Currency: "},
		{`{"file":"list.csv","as":"prices","decimal":"dot"}`, 400, "Decimal sign: "},
	} {
		code, body := ask(t, c, s, "/api/words", q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", q.body, body)
		assert.Contains(t, body, q.says, q.body)
		assert.NoFileExists(t, filepath.Join(folder, "list.csv.words.toml"))
	}
	code, body := ask(t, c, s, "/api/words", `{"file":"list.csv","as":"prices","columns":{"Artikel":"ingredient","Preis EUR/kg":"price_per_kg"},"names":{"Zucker":"sugar","Zitronensaft":"-"}}`)
	require.Equal(t, 200, code, body)
	assert.Contains(t, body, "2 rows of prices")
	kept, err := os.ReadFile(filepath.Join(folder, "list.csv.words.toml"))
	require.NoError(t, err)
	assert.Contains(t, string(kept), `"Zucker" = "sugar"`)
	code, body = ask(t, c, s, "/api/reprice", `{"file":"brief.toml","list":"list.csv"}`)
	assert.Equal(t, 200, code, body)
	assert.Contains(t, body, `"name":"sugar"`)
}

func TestKnown(t *testing.T) {
	s, c := onDay(t, startFolder(t))
	for name, q := range map[string]struct {
		body string
		code int
		says string
	}{
		"the names":                {`{}`, 200, `"gentian-root"`},
		"an ingredient":            {`{"name":"gentian-root"}`, 200, "gentian-root: Gentian root"},
		"one of the maker's own":   {`{"file":"brief.toml","name":"house-bitter-orange-peel"}`, 200, "house-bitter-orange-peel: "},
		"one of the folder's own":  {`{"name":"house-bitter-orange-peel"}`, 200, "house-bitter-orange-peel: "},
		"an attribute":             {`{"file":"demo:bitter-orange","name":"bitterness"}`, 200, "bitterness: "},
		"a market":                 {`{"name":"us"}`, 200, "United States"},
		"a name that nobody bears": {`{"name":"gentian-rot"}`, 404, "gentian-root"},
		"a brief that is none":     {`{"file":"none.toml","name":"us"}`, 404, "no brief in this folder"},
	} {
		code, body := ask(t, c, s, "/api/known", q.body)
		assert.Equal(t, q.code, code, "%s: %.200s", name, body)
		assert.Contains(t, body, q.says, name)
	}
}

func TestBeginInABrowser(t *testing.T) {
	ctx := browser(t)
	server, _ := onDay(t, houseRecipes(t))
	var says, cost string
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible("#begin"), settled(), click("#begin"),
		visible("#begin-recipe"), setValue("#begin-recipe", "house.csv"), setValue("#begin-folder", "lemon"), click(`#begin-markets input[value="eu"]`),
		click("#begin-ask"), visible("#word-0")))
	photograph(t, ctx, "begin-words")
	answer := func(heading, meaning string) chromedp.Action {
		return when(`//label[contains(., "“`+heading+`”")]`, `document.getElementById(e.htmlFor).value = "`+meaning+`"`)
	}
	require.NoError(t, chromedp.Run(ctx,
		answer("Zutat", "ingredient"), answer("Menge", "amount"), click("#words-on"),
		answer("Zucker", "sugar"), answer("Zitronensaft", "lemon-juice"), click("#words-on"),
		visible("#begin-says"), textOf("#begin-says", &says)))
	assert.Contains(t, says, "lemon-juice")
	photograph(t, ctx, "begin")
	require.NoError(t, chromedp.Run(ctx,
		click("#begin-write"), visible("#cost"), settled(), textOf("#cost", &cost)))
	assert.Contains(t, cost, costOf(t, server, &Question{File: "lemon/brief.toml"}))
	require.NoError(t, chromedp.Run(ctx,
		click(`//a[contains(@href, "known/") and contains(@href, "sugar")]`), visible("#known-says"), textOf("#known-says", &says)))
	assert.Contains(t, says, "sugar: ")
	photograph(t, ctx, "known")
	require.NoError(t, chromedp.Run(ctx,
		click("#home"), visible("#words-link"), settled(), click("#words-link"), visible("#words-file"), setValue("#words-file", "house.csv"), setValue("#words-as", "recipe"),
		click("#words-ask"), visible("#words-says"), textOf("#words-says", &says)))
	assert.Contains(t, says, "3 rows of recipe")
	photograph(t, ctx, "words")
}
