// Package page serves the drinks of one folder as a page on this machine: each view asks the same functions
// as the commands and shows what they answer.
package page

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"

	"bittersum/internal/profile"
)

//go:embed static
var static embed.FS

const (
	// mostBody bounds what a request may send; a brief is a few kilobytes.
	mostBody = 1 << 20
	// longest bounds the work of one question.
	longest = 60 * time.Second
	cookie  = "bittersum"
)

// Server answers for one folder. Make it with New.
type Server struct {
	folder  string
	root    *os.Root
	library *profile.Library
	secret  string
	hosts   []string
	handler http.Handler
	// now is the clock.
	now func() time.Time
	// writing lets one request change files at a time.
	writing sync.Mutex
	// solving bounds how many questions are worked at once, so that many windows cannot starve the machine.
	solving chan struct{}
}

// New returns the server of a folder, which must exist. Nothing outside of it is read by name or written.
func New(folder string, library *profile.Library) (*Server, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, err
	}
	s := &Server{folder: folder, root: root, library: library, secret: rand.Text(), now: time.Now, solving: make(chan struct{}, 4)}
	s.handler = s.guarded(s.routes())
	return s, nil
}

// Listen opens a port of the loopback address; 0 takes a free one.
func (s *Server) Listen(port int) (net.Listener, error) {
	listener, err := net.Listen("tcp4", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return nil, err
	}
	at := listener.Addr().(*net.TCPAddr).Port
	s.hosts = []string{fmt.Sprintf("127.0.0.1:%d", at), fmt.Sprintf("localhost:%d", at)}
	return listener, nil
}

// Address is what to open in a browser: it carries the secret once, which is exchanged for a cookie.
func (s *Server) Address() string { return "http://" + s.hosts[0] + "/?key=" + s.secret }

// Serve answers until the context ends, then finishes what is being written and closes the folder.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	server := &http.Server{
		Handler: s.handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second,
		WriteTimeout: longest + 10*time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10,
	}
	stopped := make(chan error, 1)
	go func() {
		<-ctx.Done()
		grace, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		stopped <- server.Shutdown(grace)
	}()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	err := <-stopped
	s.writing.Lock() // a write under way ends first
	defer s.writing.Unlock()
	return errors.Join(err, s.root.Close())
}

func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	files, _ := fs.Sub(static, "static")
	mux.Handle("GET /static/", http.StripPrefix("/static/", http.FileServerFS(files)))
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { http.ServeFileFS(w, r, files, "page.html") })
	mux.HandleFunc("GET /api/briefs", s.briefs)
	mux.HandleFunc("GET /api/brief", s.brief)
	mux.HandleFunc("POST /api/blend", question(s, s.blend))
	mux.HandleFunc("POST /api/reach", question(s, s.reach))
	mux.HandleFunc("POST /api/stress", question(s, s.stress))
	mux.HandleFunc("POST /api/sure", question(s, s.sure))
	mux.HandleFunc("POST /api/picture", question(s, s.picture))
	mux.HandleFunc("POST /api/batch", question(s, s.plan))
	mux.HandleFunc("POST /api/batch/write", question(s, s.writeBatch))
	mux.HandleFunc("POST /api/plan", s.decidePlan)
	mux.HandleFunc("POST /api/plan/begin", question(s, s.beginPlan))
	mux.HandleFunc("POST /api/taste", question(s, s.taste))
	mux.HandleFunc("POST /api/fit", question(s, s.learn))
	mux.HandleFunc("GET /sheet", s.sheet)
	mux.HandleFunc("GET /labels", s.labelPage)
	mux.HandleFunc("GET /api/papers", s.papers)
	mux.HandleFunc("POST /api/lots", question(s, s.shelf))
	mux.HandleFunc("POST /api/lots/change", question(s, s.changeLot))
	mux.HandleFunc("POST /api/lots/add", question(s, s.addLot))
	mux.HandleFunc("POST /api/lots/trace", question(s, s.trace))
	mux.HandleFunc("GET /trace", s.tracePage)
	mux.HandleFunc("POST /api/register", question(s, s.register))
	mux.HandleFunc("POST /api/label", question(s, s.label))
	mux.HandleFunc("POST /api/swap", question(s, s.swap))
	mux.HandleFunc("POST /api/reprice", question(s, s.reprice))
	mux.HandleFunc("POST /api/alternatives", question(s, s.others))
	mux.HandleFunc("POST /api/beside", question(s, s.beside))
	mux.HandleFunc("POST /api/known", question(s, s.known))
	mux.HandleFunc("POST /api/begin", question(s, s.begin))
	mux.HandleFunc("POST /api/words", question(s, s.words))
	mux.HandleFunc("POST /api/upload", question(s, s.upload))
	mux.HandleFunc("POST /api/markets", question(s, s.markets))
	mux.HandleFunc("POST /api/record", question(s, s.record))
	mux.HandleFunc("POST /api/changes", question(s, s.changes))
	mux.HandleFunc("POST /api/save", question(s, s.save))
	return mux
}

// guarded refuses what does not come from the page itself: foreign hosts (a name that resolves to this
// machine), requests of other origins, and whoever does not hold the secret.
func (s *Server) guarded(next http.Handler) http.Handler {
	origins := http.NewCrossOriginProtection()
	return origins.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		header := w.Header()
		header.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; frame-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'")
		header.Set("X-Content-Type-Options", "nosniff")
		header.Set("Referrer-Policy", "no-referrer")
		header.Set("Cross-Origin-Opener-Policy", "same-origin")
		header.Set("Cross-Origin-Resource-Policy", "same-origin")
		header.Set("Cache-Control", "no-store")
		known := false
		for _, host := range s.hosts {
			known = known || r.Host == host
		}
		if !known {
			http.Error(w, "this page is served to this machine alone", http.StatusMisdirectedRequest)
			return
		}
		if key := r.URL.Query().Get("key"); key != "" && r.Method == http.MethodGet && r.URL.Path == "/" {
			if !s.holds(key) {
				http.Error(w, "this address is of another run: take the one that the program printed", http.StatusForbidden)
				return
			}
			http.SetCookie(w, &http.Cookie{Name: cookie, Value: s.secret, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
			http.Redirect(w, r, "/", http.StatusSeeOther)
			return
		}
		held, err := r.Cookie(cookie)
		if err != nil || !s.holds(held.Value) {
			http.Error(w, "open the address that the program printed", http.StatusForbidden)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		next.ServeHTTP(w, r)
	}))
}

func (s *Server) holds(key string) bool {
	return subtle.ConstantTimeCompare([]byte(key), []byte(s.secret)) == 1
}

// fault is an answer that is none: what is wrong, line by line.
type fault struct {
	status int
	lines  []string
	// there is a file that would be replaced if the maker agreed.
	there string
}

func (f fault) Error() string { return strings.Join(f.lines, "\n") }

func wrong(status int, format string, args ...any) error {
	return fault{status: status, lines: []string{fmt.Sprintf(format, args...)}}
}

// question makes a handler of a function that reads a question and writes an answer: nothing is sent when it
// fails, and it is given up when the browser asks anew.
func question[Q any](s *Server, answer func(ctx context.Context, q *Q, w io.Writer) (kind string, err error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), longest)
		defer cancel()
		q, err := readQuestion[Q](r.Body)
		if err != nil {
			refuse(w, err)
			return
		}
		ends, ok := s.turn(ctx)
		if !ok {
			return
		}
		defer ends()
		var out strings.Builder
		kind, err := answer(ctx, q, &out)
		if r.Context().Err() != nil {
			return // nobody waits any more
		}
		if err != nil {
			refuse(w, err)
			return
		}
		w.Header().Set("Content-Type", kind)
		_, _ = io.WriteString(w, out.String())
	}
}

// turn waits until there is room for another question, or until nobody waits for its answer any more.
func (s *Server) turn(ctx context.Context) (ends func(), ok bool) {
	select {
	case s.solving <- struct{}{}:
		return func() { <-s.solving }, true
	case <-ctx.Done():
		return nil, false
	}
}

// refuse sends what is wrong as JSON.
func refuse(w http.ResponseWriter, err error) {
	f := faultOf(err)
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(f.status)
	answer := map[string]any{"faults": f.lines}
	if f.there != "" {
		answer["there"] = f.there
	}
	_ = json.NewEncoder(w).Encode(answer)
}
