package page

import (
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestShelf(t *testing.T) {
	folder := startFolder(t)
	s, c := onDay(t, folder)
	file := filepath.Join(folder, "lots.toml")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	lot := func(body string) (left float64, state, why string) {
		code, text := ask(t, c, s, "/api/lots", body)
		require.Equal(t, 200, code, text)
		var answer struct {
			Lots struct {
				Items []struct {
					Number, State string
					Left          float64 `json:"left_kg"`
					WhyNot        string  `json:"not_usable_because"`
				}
			}
		}
		require.NoError(t, json.Unmarshal([]byte(text), &answer))
		one := answer.Lots.Items[0]
		return one.Left, one.State, one.WhyNot
	}
	left, state, why := lot(`{"file":"lots.toml"}`)
	assert.Equal(t, 12.0, left)
	assert.Equal(t, "accepted", state)
	assert.Empty(t, why)
	_, _, why = lot(`{"file":"lots.toml","day":"2027-03-01"}`)
	assert.Equal(t, "expired on 2027-02-28", why)

	for _, step := range []struct {
		what string
		more string
		left float64
		why  string
	}{
		{"hold", "", 12, "is held (a smell)"},
		{"release", "", 12, ""},
		{"write-off", `,"kg":0.5`, 11.5, ""},
		{"adjust", `,"kg":11`, 11, ""},
		{"refuse", "", 11, "is refused (a smell)"},
	} {
		code, body := ask(t, c, s, "/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"`+step.what+`","reason":"a smell","by":"Ines"`+step.more+`}`)
		assert.Equal(t, 200, code, "%s: %.300s", step.what, body)
		left, _, why := lot(`{"file":"lots.toml"}`)
		assert.Equal(t, step.left, left, step.what)
		assert.Equal(t, step.why, why, step.what)
	}
	now, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(now), string(text)), "what stood there stays")
	assert.Equal(t, 5, strings.Count(string(now), `by = "Ines"`))

	// A delivery, with an ingredient of the folder's own profiles, and its certificate.
	code, body := ask(t, c, s, "/api/lots/add", `{"file":"lots.toml","lot":{"number":"OP-1","ingredient":"house-bitter-orange-peel","kg":3,"price":9.5,"best_before":"2027-09-01","supplier":"Quay Stores","contents":{}}}`)
	assert.Equal(t, 200, code, body)
	assert.Contains(t, body, "Added lot OP-1: 3 kg of house-bitter-orange-peel. lots.toml now holds 2 lots.")
	// A file that is not there is made.
	code, body = ask(t, c, s, "/api/lots/add", `{"file":"more.csv","lot":{"number":"S-1","ingredient":"sugar","kg":25}}`)
	assert.Equal(t, 200, code, body)
	assert.FileExists(t, filepath.Join(folder, "more.csv"))

	for name, q := range map[string]struct {
		path, body string
		code       int
		says       string
	}{
		"no reason":            {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"hold"}`, 400, "needs Why"},
		"no amount":            {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"adjust","reason":"x"}`, 400, "needs kg"},
		"nothing written off":  {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"write-off","kg":0,"reason":"x"}`, 400, "needs kg"},
		"more than there is":   {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"write-off","kg":99,"reason":"x"}`, 422, "cannot be written off"},
		"a day to come":        {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"hold","reason":"x","day":"2026-12-01"}`, 400, "has not come yet"},
		"no such change":       {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"eat","reason":"x"}`, 400, "there is no change"},
		"no such lot":          {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2612","what":"hold","reason":"x"}`, 422, `did you mean \"LJ-2611\"`},
		"control characters":   {"/api/lots/change", `{"file":"lots.toml","name":"LJ-2611","what":"hold","reason":"x\u0007"}`, 400, "control characters"},
		"a number twice":       {"/api/lots/add", `{"file":"lots.toml","lot":{"number":"LJ-2611","ingredient":"sugar","kg":1}}`, 422, "there is a lot"},
		"a slip of units":      {"/api/lots/add", `{"file":"lots.toml","lot":{"number":"LJ-9","ingredient":"lemon-juice","kg":1,"contents":{"acidity":{"per_g":52.5}}}}`, 422, "acidity"},
		"no ingredient":        {"/api/lots/add", `{"file":"lots.toml","lot":{"number":"X","ingredient":"suger","kg":1}}`, 422, `did you mean \"sugar\"`},
		"no kg":                {"/api/lots/add", `{"file":"lots.toml","lot":{"number":"X","ingredient":"sugar"}}`, 400, "a lot needs Lot"},
		"less than none":       {"/api/lots/add", `{"file":"lots.toml","lot":{"number":"X","ingredient":"sugar","kg":-1}}`, 400, "is no amount"},
		"no lot":               {"/api/lots/add", `{"file":"lots.toml"}`, 400, "no lot to add"},
		"outside":              {"/api/lots", `{"file":"../lots.toml"}`, 404, "no lots file in this folder"},
		"a change outside":     {"/api/lots/change", `{"file":"../lots.toml","name":"X","what":"hold","reason":"x"}`, 404, "no lots file"},
		"an addition outside":  {"/api/lots/add", `{"file":"/tmp/lots.toml","lot":{"number":"X","ingredient":"sugar","kg":1}}`, 404, "no lots file"},
		"of another kind":      {"/api/lots/add", `{"file":"lots.xlsx","lot":{"number":"X","ingredient":"sugar","kg":1}}`, 404, "no lots file"},
		"a name nobody bears":  {"/api/lots/trace", `{"file":"lots.toml","name":"nobody"}`, 422, "there is no lot and no batch"},
		"a lot nobody touched": {"/api/lots/trace", `{"file":"lots.toml","name":"OP-1"}`, 200, `"items": []`},
	} {
		before, _ := os.ReadFile(file)
		code, body := ask(t, c, s, q.path, q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.True(t, strings.Contains(body, q.says), "%s: no %s in %.300s", name, q.says, body)
		after, _ := os.ReadFile(file)
		assert.Equal(t, string(before), string(after), name)
	}
}

func TestTraceBothWays(t *testing.T) {
	folder := startFolder(t)
	brief := filepath.Join(folder, "brief.toml")
	text, err := os.ReadFile(brief)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(brief, append([]byte("register = \"register.txt\"\n"), text...), 0o644))
	s, c := onDay(t, folder)
	name := plannedBatch(t, c, s)
	batch := strings.TrimSuffix(name, ".toml")
	fill(t, c, s, name, `,"weighed":{"lemon-juice/LJ-2611":2009,"sugar":7580},"goods":{"sugar":"S-77"},"draw":true`)
	for _, asked := range []string{"LJ-2611", "S-77", batch} {
		code, body := ask(t, c, s, "/api/lots/trace", `{"file":"lots.toml","name":"`+asked+`"}`)
		assert.Equal(t, 200, code, body)
		assert.Contains(t, body, batch)
		assert.Contains(t, body, "LJ-2611")
		assert.Contains(t, body, "S-77")
	}
	answer, err := c.Get("http://" + s.hosts[0] + "/trace?file=lots.toml&name=LJ-2611")
	require.NoError(t, err)
	defer answer.Body.Close()
	page, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	assert.Contains(t, string(page), batch)
	assert.Contains(t, answer.Header.Get("Content-Security-Policy"), "default-src 'none'")
}
