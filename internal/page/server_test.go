package page

import (
	"context"
	"io"
	"io/fs"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/profile"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// copyOfDemos returns a folder with the demo briefs in it.
func copyOfDemos(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	demos, err := fs.Sub(profiles.FS, "demo")
	require.NoError(t, err)
	require.NoError(t, os.CopyFS(folder, demos))
	return folder
}

// serving starts a server that ends with the test.
func serving(t *testing.T, folder string) *Server {
	t.Helper()
	library, err := profile.Embedded()
	require.NoError(t, err)
	server, err := New(folder, library)
	require.NoError(t, err)
	listener, err := server.Listen(0)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, listener) }()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-ended)
	})
	return server
}

// client holds the cookie that the first address gives.
func client(t *testing.T, s *Server) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	c := &http.Client{Jar: jar}
	answer, err := c.Get(s.Address())
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusOK, answer.StatusCode)
	return c
}

func TestOnlyThePageItselfIsAnswered(t *testing.T) {
	s := serving(t, copyOfDemos(t))
	held := &http.Cookie{Name: cookie, Value: s.secret}
	for name, c := range map[string]struct {
		method, target, host, origin, fetched string
		cookie                                *http.Cookie
		want                                  int
	}{
		"the page":                       {method: "GET", target: "/", cookie: held, want: 200},
		"no cookie":                      {method: "GET", target: "/", want: 403},
		"another run's cookie":           {method: "GET", target: "/", cookie: &http.Cookie{Name: cookie, Value: "A" + s.secret[1:] + "x"}, want: 403},
		"another run's key":              {method: "GET", target: "/?key=wrong", want: 403},
		"the right key":                  {method: "GET", target: "/?key=" + s.secret, want: 303},
		"a key on another path":          {method: "GET", target: "/api/briefs?key=" + s.secret, want: 403},
		"a name that points here":        {method: "GET", target: "/", host: "evil.example:80", cookie: held, want: 421},
		"this host at another port":      {method: "GET", target: "/", host: "127.0.0.1:1", cookie: held, want: 421},
		"another origin asks":            {method: "POST", target: "/api/blend", origin: "http://evil.example", cookie: held, want: 403},
		"another site asks":              {method: "POST", target: "/api/save", fetched: "cross-site", cookie: held, want: 403},
		"another port of this machine":   {method: "POST", target: "/api/save", origin: "http://127.0.0.1:1", cookie: held, want: 403},
		"no such address":                {method: "GET", target: "/etc/passwd", cookie: held, want: 404},
		"a static file outside":          {method: "GET", target: "/static/../server.go", cookie: held, want: 404},
		"a method that is not served":    {method: "DELETE", target: "/api/save", cookie: held, want: 405},
		"saving by following an address": {method: "GET", target: "/api/save", cookie: held, want: 405},
	} {
		r := httptest.NewRequest(c.method, "http://"+s.hosts[0]+c.target, strings.NewReader("{}"))
		if c.host != "" {
			r.Host = c.host
		}
		if c.origin != "" {
			r.Header.Set("Origin", c.origin)
		}
		if c.fetched != "" {
			r.Header.Set("Sec-Fetch-Site", c.fetched)
		}
		if c.cookie != nil {
			r.AddCookie(c.cookie)
		}
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, r)
		if name == "a static file outside" {
			assert.NotEqual(t, 200, w.Code, name)
			continue
		}
		assert.Equal(t, c.want, w.Code, "%s: %s", name, w.Body)
		if w.Code != 403 || c.origin == "" && c.fetched == "" {
			assert.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'", name)
		}
	}
}

func TestTheCookieIsForThisSiteAndNotForScripts(t *testing.T) {
	s := serving(t, t.TempDir())
	r := httptest.NewRequest("GET", s.Address(), nil)
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	set := w.Result().Cookies()
	require.Len(t, set, 1)
	assert.True(t, set[0].HttpOnly)
	assert.Equal(t, http.SameSiteStrictMode, set[0].SameSite)
	assert.GreaterOrEqual(t, len(set[0].Value), 26, "130 bits")
}

// ask posts a question and returns the answer's code and body.
func ask(t *testing.T, c *http.Client, s *Server, path, body string) (int, string) {
	t.Helper()
	answer, err := c.Post("http://"+s.hosts[0]+path, "application/json", strings.NewReader(body))
	require.NoError(t, err)
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	return answer.StatusCode, string(data)
}

func TestQuestions(t *testing.T) {
	folder := copyOfDemos(t)
	outside := filepath.Join(t.TempDir(), "outside.toml")
	require.NoError(t, os.WriteFile(outside, []byte("name = \"x\"\nuse = [\"water\"]\n"), 0o644))
	require.NoError(t, os.Symlink(outside, filepath.Join(folder, "link.toml")))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "slip.toml"), []byte("name = \"Slip\"\nmarkets = [\"eu\"]\nuse = [\"wather\"]\n"), 0o644))
	s := serving(t, folder)
	c := client(t, s)
	for name, q := range map[string]struct {
		path, body string
		code       int
		says       string
	}{
		"a recipe":                   {"/api/blend", `{"file":"bitter-orange.toml"}`, 200, `"schema": "bittersum/blend/1"`},
		"a demo":                     {"/api/blend", `{"file":"demo:bitter-lemon"}`, 200, `"status": "optimal"`},
		"a conflict":                 {"/api/blend", `{"file":"bitter-orange.toml","targets":{"bitterness":{"min":9000,"max":null}}}`, 200, `"relaxations"`},
		"crossed out":                {"/api/blend", `{"file":"bitter-orange.toml","without":["gentian-root"]}`, 200, `"status": "optimal"`},
		"a price":                    {"/api/blend", `{"file":"bitter-orange.toml","prices":{"sugar":9}}`, 200, `"status": "optimal"`},
		"a reading":                  {"/api/blend", `{"file":"bitter-orange.toml","targets":{"ph":{"min":2.7,"max":2.9}}}`, 200, `"status": "optimal"`},
		"a curve":                    {"/api/reach", `{"file":"bitter-orange.toml","attribute":"bitterness"}`, 200, `"bittersum/reach/1"`},
		"a picture":                  {"/api/picture", `{"file":"bitter-orange.toml","attribute":"bitterness","picture":"reach"}`, 200, "<svg"},
		"how sure":                   {"/api/stress", `{"file":"bitter-orange.toml"}`, 200, `"bittersum/stress/1"`},
		"no question":                {"/api/blend", `x`, 400, "cannot be read"},
		"an unknown field":           {"/api/blend", `{"fole":"x"}`, 400, "fole"},
		"no file":                    {"/api/blend", `{"file":"none.toml"}`, 404, "no brief in this folder"},
		"a way out of the folder":    {"/api/blend", `{"file":"../x.toml"}`, 404, "no brief in this folder"},
		"an absolute path":           {"/api/blend", `{"file":"` + filepath.ToSlash(outside) + `"}`, 404, "no brief in this folder"},
		"a link out of the folder":   {"/api/blend", `{"file":"link.toml"}`, 404, "no brief in this folder"},
		"no TOML":                    {"/api/blend", `{"file":"page.go"}`, 404, "no brief in this folder"},
		"no such demo":               {"/api/blend", `{"file":"demo:none"}`, 422, "no such file"},
		"faults of the file":         {"/api/blend", `{"file":"slip.toml"}`, 422, `did you mean \"water\"`},
		"a range inside out":         {"/api/blend", `{"file":"bitter-orange.toml","targets":{"bitterness":{"min":9,"max":1}}}`, 400, "exclude each other"},
		"a stranger asked for":       {"/api/blend", `{"file":"bitter-orange.toml","targets":{"joy":{"min":9,"max":null}}}`, 400, "no attribute"},
		"a stranger crossed out":     {"/api/blend", `{"file":"bitter-orange.toml","without":["gin"]}`, 400, "not in use"},
		"a price below zero":         {"/api/blend", `{"file":"bitter-orange.toml","prices":{"sugar":-1}}`, 400, "is none"},
		"a curve of nothing":         {"/api/reach", `{"file":"bitter-orange.toml","attribute":"joy"}`, 422, "joy"},
		"a picture of nothing":       {"/api/picture", `{"file":"bitter-orange.toml","picture":"x"}`, 400, "there is no picture"},
		"a body too large":           {"/api/blend", `{"file":"` + strings.Repeat("x", 2<<20) + `"}`, 413, "larger than"},
		"saving a demo":              {"/api/save", `{"file":"demo:bitter-lemon","prices":{"sugar":1}}`, 409, "copy it into the folder first"},
		"saving without having read": {"/api/save", `{"file":"bitter-orange.toml","prices":{"sugar":1}}`, 409, "changed by someone else"},
	} {
		code, body := ask(t, c, s, q.path, q.body)
		assert.Equal(t, q.code, code, "%s: %.300s", name, body)
		assert.Contains(t, body, q.says, name)
	}
	answer, err := c.Get("http://" + s.hosts[0] + "/api/briefs")
	require.NoError(t, err)
	defer answer.Body.Close()
	list, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	assert.Contains(t, string(list), `"file":"slip.toml","name":"slip.toml"`)
	assert.Contains(t, string(list), `"demo:bitter-orange"`)
	assert.Contains(t, string(list), `quassin, eu; 2 not shown to hold`)
	assert.NotContains(t, string(list), "link.toml", "a link out of the folder is no file of it")
}
