package page

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTastings(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	for name, text := range map[string]string{
		"panel.toml": "attribute = \"aroma-citrus\"\nscale = 100\nscores = \"panel.csv\"\n[[reference]]\nname = \"R1\"\nstrength = 1\n[[reference]]\nname = \"R4\"\nstrength = 4\n[[reference]]\nname = \"R16\"\nstrength = 16\n[[sample]]\nname = \"peel\"\ningredient = \"orange-peel\"\ng_per_l = 0.5\n",
		"panel.csv":  "taster;sample;score\nAda;R1;10\nAda;R4;20\nAda;R16;41\nAda;peel;23\nBen;R1;9,5\nBen;R4;19\nBen;R16;38\nBen;peel;22\nCleo;R1;10,5\nCleo;R4;22\nCleo;R16;42\nCleo;peel;24\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
	}
	for name, q := range map[string]struct {
		body string
		code int
		says string
	}{
		"tasters":               {`{"ask":"tasters","test":"triangle","notice":30,"power":80}`, 200, "40 answers show with 80 % certainty"},
		"tasters of nothing":    {`{"ask":"tasters","test":"triangle","notice":0,"power":80}`, 400, "a percentage above 0"},
		"a test of no name":     {`{"ask":"tasters","test":"triangel","notice":30,"power":80}`, 400, "did you mean"},
		"a sheet":               {`{"ask":"sheet","test":"triangle","tasters":6,"seed":3,"a":"today","b":"new"}`, 200, "today"},
		"a sheet for nobody":    {`{"ask":"sheet","test":"triangle","tasters":0,"seed":3}`, 400, "tasters"},
		"a score":               {`{"ask":"score","test":"triangle","right":13,"of":24,"alike":30}`, 200, "13 right of 24"},
		"more right than there": {`{"ask":"score","test":"triangle","right":25,"of":24,"alike":30}`, 400, "25"},
		"a score kept":          {`{"ask":"score","test":"paired","right":18,"of":24,"alike":30,"keep":"answers.toml","attribute":"bitterness","base":40,"changed":50}`, 200, "18 right of 24"},
		"kept without a base":   {`{"ask":"score","test":"paired","right":18,"of":24,"alike":30,"keep":"answers.toml","attribute":"bitterness"}`, 400, "go together"},
		"kept outside":          {`{"ask":"score","test":"paired","right":18,"of":24,"alike":30,"keep":"../answers.toml"}`, 400, "no name of a .toml file"},
		"kept in a brief":       {`{"ask":"score","test":"paired","right":18,"of":24,"alike":30,"keep":"brief.toml"}`, 422, "brief.toml"},
		"two lines":             {`{"ask":"score","test":"paired","right":18,"of":24,"alike":30,"keep":"answers.toml","note":"a\nb"}`, 400, "a line of text"},
		"a panel":               {`{"ask":"panel","file":"panel.toml"}`, 200, "aroma-citrus"},
		"the method":            {`{"ask":"method"}`, 200, "quinine"},
		"a file of no tasting":  {`{"ask":"bitter","file":"brief.toml"}`, 422, "brief.toml"},
		"a file outside":        {`{"ask":"panel","file":"../panel.toml"}`, 404, "in this folder"},
		"nothing":               {`{"ask":"sleep","test":"paired"}`, 400, "nothing to ask"},
	} {
		code, body := ask(t, c, s, "/api/taste", q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
	}
	// What tasters just notice comes into the maker's own profiles, and the brief reads with it.
	code, body := ask(t, c, s, "/api/taste", `{"ask":"noticed","file":"answers.toml","into":true}`)
	require.Equal(t, 200, code, body)
	assert.FileExists(t, filepath.Join(folder, "profiles", "measured", "noticed.toml"))
	code, body = ask(t, c, s, "/api/blend", `{"file":"brief.toml"}`)
	assert.Equal(t, 200, code, body)
}

// Tastings are asked in the browser, and a question's boxes are those of its kind.
func TestTastingsInTheBrowser(t *testing.T) {
	s, _ := onDay(t, startFolder(t))
	ctx := browser(t)
	var said string
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(s.Address()), click("#tastings"), click("#t-ask"), textOf("#says", &said), settled()))
	assert.Contains(t, said, "40 answers")
	photograph(t, ctx, "tastings")
	require.NoError(t, chromedp.Run(ctx, chromedp.Evaluate(`{ const q = document.getElementById("t-question"); q.value = "score"; q.dispatchEvent(new Event("change")); }`, nil),
		setValue("#t-right", "13"), setValue("#t-of", "24"), click("#t-ask"), textOf("#says", &said), settled()))
	assert.Contains(t, said, "13 right of 24")
	photograph(t, ctx, "score")
}

// What a batch teaches is written over the profiles that the brief names, never outside of the folder.
func TestBatchesTeach(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bench.toml"), []byte("[[infusion]]\nname = \"G-1\"\ningredient = \"gentian-root\"\nlot = \"GE-1\"\ngrams = 2\nwater_g = 1000\nmeasured = { bitterness = 195 }\n"), 0o644))
	for name, q := range map[string]struct {
		body string
		code int
		says string
	}{
		"nothing measured":      {`{"file":"brief.toml","assumed":30}`, 400, "what was not measured tells nothing"},
		"no variation":          {`{"file":"brief.toml","infusions":["bench.toml"]}`, 400, "none is known, %: 0"},
		"infusions":             {`{"file":"brief.toml","infusions":["bench.toml"],"assumed":30}`, 200, `"bittersum/fit/1"`},
		"infusions outside":     {`{"file":"brief.toml","infusions":["../bench.toml"],"assumed":30}`, 404, "in this folder"},
		"a record that is none": {`{"file":"brief.toml","records":["brief.toml"],"assumed":30}`, 422, "brief.toml"},
		"a demo's profiles":     {`{"file":"demo:bitter-lemon","infusions":["bench.toml"],"assumed":30,"into":true}`, 409, "names no folder of profiles"},
		"left out":              {`{"file":"brief.toml","infusions":["bench.toml"],"assumed":30,"without":["G-2/ph"]}`, 400, "no such measurement"},
		"written":               {`{"file":"brief.toml","infusions":["bench.toml"],"assumed":30,"into":true}`, 200, "Wrote"},
	} {
		code, body := ask(t, c, s, "/api/fit", q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
	}
	assert.FileExists(t, filepath.Join(folder, "profiles", "measured", "fit.toml"))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "led-out.toml"), []byte("name = \"t\"\nmarkets = [\"us\"]\nprofiles = \"../elsewhere\"\nuse = [\"water\", \"sugar\", \"gentian-root\"]\n"), 0o644))
	require.NoError(t, os.Mkdir(filepath.Join(filepath.Dir(folder), "elsewhere"), 0o755))
	code, body := ask(t, c, s, "/api/fit", `{"file":"led-out.toml","infusions":["bench.toml"],"assumed":30,"into":true}`)
	assert.Equal(t, 409, code, body)
	ctx := browser(t)
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(s.Address()), click(`//a[text()="My first bitter lemon"]`), click("#learn"), setValue("#t-infusions", "bench.toml"), click("#t-ask"), visible("#says"), settled()))
	photograph(t, ctx, "learn")
}
