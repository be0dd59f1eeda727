package dashboard

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// Serve answers on l until ctx ends, then sends every tablet away, closes l and
// returns nil, all in well under a second. Any other end is an error. A Server
// serves once.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	srv := &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       readTimeout,      // of a body; a live connection has a deadline of its own
		WriteTimeout:      15 * time.Second, // not of live connections: those have their own
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.options.Log.Handler(), slog.LevelInfo),
	}
	failed := make(chan error, 1) // one value, from the goroutine below
	go func() { failed <- srv.Serve(bounded(l, mostConns, mostConnsFromOne)) }()
	select {
	case err := <-failed:
		s.hub.close()
		_ = srv.Close()
		return fmt.Errorf("serve the page on %s: %w", l.Addr(), err)
	case <-ctx.Done():
	}
	return s.stop(srv, failed)
}

func (s *Server) stop(srv *http.Server, failed <-chan error) error {
	s.hub.close()
	// Whoever is still being answered after this is cut off: a tablet asks again.
	brief, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	err := srv.Shutdown(brief)
	if errors.Is(err, context.DeadlineExceeded) {
		err = srv.Close()
	}
	<-failed
	if err != nil {
		return fmt.Errorf("close the page: %w", err)
	}
	return nil
}
