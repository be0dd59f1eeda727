package dashboard

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// Serve answers on l, by TLS if secure is not nil, until ctx ends, then sends every tablet away, closes l and
// returns nil, all in well under a second. Any other end is an error. A Server
// serves once.
func (s *Server) Serve(ctx context.Context, l net.Listener, secure *tls.Config) error {
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
	looking, stopLooking := context.WithCancel(ctx)
	defer stopLooking()
	go s.lookForRevoked(looking)
	var on net.Listener = bounded(l, mostConns, mostConnsFromOne)
	if secure != nil {
		on = tls.NewListener(on, secure)
	}
	go func() { failed <- srv.Serve(on) }()
	select {
	case err := <-failed:
		s.hub.close()
		_ = srv.Close()
		return fmt.Errorf("serve the page on %s: %w", l.Addr(), err)
	case <-ctx.Done():
	}
	return s.stop(srv, failed)
}

// lookForRevoked sends pages away whose key was revoked by a command beside this program.
func (s *Server) lookForRevoked(ctx context.Context) {
	every := time.NewTicker(time.Second)
	defer every.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-every.C:
			s.dismissRevoked()
		}
	}
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
