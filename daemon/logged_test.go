package daemon

import (
	"log/slog"
	"strings"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
)

// TestQuietIsLoggedOnce: not again each second for as long as it lasts, and again when it
// is another trouble.
func TestQuietIsLoggedOnce(t *testing.T) {
	var log strings.Builder
	s := &session{Daemon: &Daemon{options: Options{Log: slog.New(slog.NewTextHandler(&log, nil))}}, house: &house.House{Desk: "192.0.2.10:10700"}}
	for i := range 30 {
		s.logLink(link.Status{Phase: link.Quiet, Problem: link.Problem{Kind: link.WentSilent, At: "192.0.2.10:10700", For: time.Duration(5+i) * time.Second}})
	}
	s.logLink(link.Status{Phase: link.Quiet, Problem: link.Problem{Kind: link.NoWay, At: "192.0.2.10:10700"}})
	s.logLink(link.Status{Phase: link.Hearing})
	if got := strings.Count(log.String(), "\n"); got != 3 || !strings.Contains(log.String(), "for 5s") {
		t.Errorf("%d lines, want 3:\n%s", got, log.String())
	}
}
