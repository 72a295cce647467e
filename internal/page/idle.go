package page

import (
	"context"
	"net"
	"net/http"
	"time"
)

// ServeUntilIdle is Serve that also ends, without an error, when nothing was asked of the page for so long. A page
// that was started from a desktop has no terminal to be ended from.
func (s *Server) ServeUntilIdle(ctx context.Context, listener net.Listener, idle time.Duration) error {
	ctx, end := context.WithCancel(ctx)
	defer end()
	timer := time.AfterFunc(idle, end)
	defer timer.Stop()
	asked := s.handler
	s.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		timer.Reset(idle)
		asked.ServeHTTP(w, r)
	})
	return s.Serve(ctx, listener)
}
