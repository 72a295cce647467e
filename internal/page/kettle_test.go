package page

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// startFolder returns a folder as bittersum init makes it, beside a file of somebody else.
func startFolder(t *testing.T) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "my-tonic")
	for _, name := range []string{"brief.toml", "lots.toml", "prices.csv", "profiles/ingredients/own.toml"} {
		data, err := profiles.FS.ReadFile("start/" + name)
		require.NoError(t, err)
		at := filepath.Join(folder, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, data, 0o644))
	}
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(folder), "lots.toml"), []byte("# somebody else's\n"), 0o644))
	return folder
}

// onDay starts a server whose clock stands at noon of the day that the start folder is good for.
func onDay(t *testing.T, folder string) (*Server, *http.Client) {
	t.Helper()
	s := serving(t, folder)
	s.now = func() time.Time { return time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC) }
	return s, client(t, s)
}

// planOf asks for a batch.
func planOf(t *testing.T, c *http.Client, s *Server, body string) (answer struct {
	Shown, Number, Sheet, Record, Says string
	Plan                               struct {
		Lines []struct {
			Ingredient, Lot string
			Grams           float64
		}
	}
}) {
	t.Helper()
	code, text := ask(t, c, s, "/api/batch", body)
	require.Equal(t, 200, code, text)
	require.NoError(t, json.Unmarshal([]byte(text), &answer))
	return answer
}

func TestBatchIsPlannedFromTheLotsChosen(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	lots := func(body string) (used []string) {
		for _, l := range planOf(t, c, s, body).Plan.Lines {
			used = append(used, l.Ingredient+"/"+l.Lot)
		}
		return used
	}
	assert.Contains(t, lots(`{"file":"brief.toml","litres":250}`), "lemon-juice/LJ-2611")
	assert.Contains(t, lots(`{"file":"brief.toml","litres":250,"without":["LJ-2611"]}`), "lemon-juice/")
	assert.Contains(t, lots(`{"file":"brief.toml","litres":250,"day":"2027-03-01"}`), "lemon-juice/", "past its date")
	for name, q := range map[string]struct {
		path, body string
		code       int
		says       string
	}{
		"the brief's own litres":   {"/api/batch", `{"file":"brief.toml"}`, 200, `"litres":100`},
		"the number of today":      {"/api/batch", `{"file":"brief.toml"}`, 200, `"number":"brief-2026-11-27-a"`},
		"a demo":                   {"/api/batch", `{"file":"demo:bitter-lemon","litres":250}`, 200, `"status":"planned"`},
		"no litres":                {"/api/batch", `{"file":"brief.toml","litres":0}`, 400, "no batch size"},
		"no day":                   {"/api/batch", `{"file":"brief.toml","day":"31.3."}`, 400, "is not a date such as"},
		"no such lot":              {"/api/batch", `{"file":"brief.toml","without":["LJ-2612"]}`, 400, `did you mean \"LJ-2611\"`},
		"a syrup":                  {"/api/batch", `{"file":"brief.toml","throw":"1+5"}`, 200, `"throw_parts_of_soda":5`},
		"no throw":                 {"/api/batch", `{"file":"brief.toml","throw":"five"}`, 400, "write it as in 1+5"},
		"other scales":             {"/api/batch", `{"file":"brief.toml","scale":"0.5"}`, 200, `"scale":"to 0.5 g"`},
		"no scale":                 {"/api/batch", `{"file":"brief.toml","scale":"fine"}`, 400, "no amount in grams"},
		"no allowance":             {"/api/batch", `{"file":"brief.toml","allowance":0}`, 200, `"allowance_asked_share":0`},
		"too much of an allowance": {"/api/batch", `{"file":"brief.toml","allowance":2}`, 400, "no share from 0 to 1"},
		"no such paper":            {"/api/batch", `{"file":"brief.toml","paper":"a3"}`, 400, "a4 or letter"},
		"too little for the scale": {"/api/batch", `{"file":"brief.toml","litres":0.002}`, 200, "coarse"},
		"no file":                  {"/api/batch", `{"file":"../brief.toml"}`, 404, "no brief in this folder"},
		"nothing to write":         {"/api/batch/write", `{"file":"brief.toml"}`, 400, "no file is named"},
		"another folder":           {"/api/batch/write", `{"file":"brief.toml","record":"../b.toml"}`, 400, "no name of a file beside"},
		"an absolute path":         {"/api/batch/write", `{"file":"brief.toml","sheet":"/tmp/b.html"}`, 400, "no name of a file beside"},
		"a hidden file":            {"/api/batch/write", `{"file":"brief.toml","sheet":".b.html"}`, 400, "no name of a file beside"},
		"a sheet of no kind":       {"/api/batch/write", `{"file":"brief.toml","sheet":"b.doc"}`, 400, "ends in none of"},
		"a record of no kind":      {"/api/batch/write", `{"file":"brief.toml","record":"b.csv"}`, 400, "ends in none of .toml"},
		"what was not shown":       {"/api/batch/write", `{"file":"brief.toml","record":"b.toml"}`, 409, "plan it again"},
		"over the brief":           {"/api/batch/write", `{"file":"brief.toml","record":"brief.toml"}`, 409, `"there":"brief.toml"`},
	} {
		code, body := ask(t, c, s, q.path, q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.True(t, strings.Contains(body, q.says), "%s: no %s in %.300s", name, q.says, body)
	}
}

func TestBatchIsWrittenAsItWasShown(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	p := planOf(t, c, s, `{"file":"brief.toml","litres":250}`)
	write := func(more string) (int, string) {
		return ask(t, c, s, "/api/batch/write", `{"file":"brief.toml","litres":250,"number":"`+p.Number+`","shown":"`+p.Shown+`"`+more+`}`)
	}
	files := `,"sheet":"` + p.Sheet + `","record":"` + p.Record + `"`
	code, body := write(files)
	require.Equal(t, 200, code, body)
	record, err := os.ReadFile(filepath.Join(folder, p.Record))
	require.NoError(t, err)
	assert.Contains(t, string(record), `batch = "brief-2026-11-27-a"`)
	sheet, err := os.ReadFile(filepath.Join(folder, p.Sheet))
	require.NoError(t, err)

	// The page shows the very sheet that is written, without a script.
	answer, err := c.Get("http://" + s.hosts[0] + "/sheet?file=brief.toml&litres=250&day=2026-11-27&number=" + p.Number + "&record=" + p.Record)
	require.NoError(t, err)
	defer answer.Body.Close()
	page, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	assert.True(t, string(sheet) == string(page), "%.500s", page)
	assert.Contains(t, answer.Header.Get("Content-Security-Policy"), "default-src 'none'")
	assert.NotContains(t, answer.Header.Get("Content-Security-Policy"), "script-src")
	code, _ = write(files) // its own blank form and sheet are written anew without a question
	assert.Equal(t, 200, code)

	// What holds something else is replaced only when that is agreed to, and kept.
	own := []byte("# my own page\n")
	require.NoError(t, os.WriteFile(filepath.Join(folder, p.Sheet), own, 0o644))
	code, body = write(files)
	assert.Equal(t, 409, code)
	assert.Contains(t, body, `"there":"`+p.Sheet+`"`)
	now, _ := os.ReadFile(filepath.Join(folder, p.Sheet))
	assert.Equal(t, own, now)
	code, body = write(files + `,"replace":true`)
	assert.Equal(t, 200, code, body)
	now, _ = os.ReadFile(filepath.Join(folder, p.Sheet))
	assert.Equal(t, sheet, now)
	kept, _ := os.ReadFile(filepath.Join(folder, p.Sheet+".bak"))
	assert.Equal(t, own, kept)

	// A brief that changed since is planned again first.
	brief := filepath.Join(folder, "brief.toml")
	text, err := os.ReadFile(brief)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(brief, []byte(string(text)+"\n[limits.sugar]\nmax_g_per_l = 75.9\n"), 0o644))
	p = planOf(t, c, s, `{"file":"brief.toml","litres":250}`)
	require.NoError(t, os.WriteFile(brief, text, 0o644))
	code, body = write(`,"record":"other.toml"`)
	assert.Equal(t, 409, code, body)
	assert.NoFileExists(t, filepath.Join(folder, "other.toml"))
}

func TestAFileOutsideIsNotWritten(t *testing.T) {
	folder := startFolder(t)
	outside := filepath.Join(filepath.Dir(folder), "lots.toml")
	require.NoError(t, os.Symlink(outside, filepath.Join(folder, "b.toml")))
	s, c := onDay(t, folder)
	p := planOf(t, c, s, `{"file":"brief.toml"}`)
	code, body := ask(t, c, s, "/api/batch/write", `{"file":"brief.toml","record":"b.toml","replace":true,"shown":"`+p.Shown+`","number":"`+p.Number+`"}`)
	assert.Equal(t, 403, code, body)
	assert.Contains(t, body, "outside of this folder")
	for _, link := range []string{"n.toml", "k.toml.bak"} { // to what is not there yet
		none := filepath.Join(filepath.Dir(folder), "none.toml")
		require.NoError(t, os.Symlink(none, filepath.Join(folder, link)))
		code, body = ask(t, c, s, "/api/batch/write", `{"file":"brief.toml","record":"`+strings.TrimSuffix(link, ".bak")+`","shown":"`+p.Shown+`","number":"`+p.Number+`"}`)
		assert.Equal(t, 403, code, body)
		assert.NoFileExists(t, none)
	}
	text, err := os.ReadFile(filepath.Join(folder, "brief.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "brief.toml"), append([]byte("register = \"../register.txt\"\n"), text...), 0o644))
	code, body = ask(t, c, s, "/api/batch/write", `{"file":"brief.toml","record":"c.toml","shown":"x"}`)
	assert.Equal(t, 403, code, body)
	assert.NoFileExists(t, filepath.Join(filepath.Dir(folder), "register.txt"))
	now, _ := os.ReadFile(outside)
	assert.Equal(t, "# somebody else's\n", string(now))
}
