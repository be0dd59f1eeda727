package dashboard

import (
	"fmt"
	"net/http"
	"time"

	"github.com/gorilla/websocket"
)

// The upgrader's own origin check is the one we want: a page may only connect to
// the host it came from, and guard has already checked that host. Compression
// stays off: on a local network it costs more than it saves.
var upgrader = websocket.Upgrader{
	HandshakeTimeout: 5 * time.Second,
	ReadBufferSize:   1 << 10,
	WriteBufferSize:  8 << 10,
}

// live is one page's connection, from upgrade to farewell. The request's own
// goroutine reads, one other writes, and both have ended when it returns.
func (s *Server) live(w http.ResponseWriter, r *http.Request) {
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		s.options.Log.Info("tablet refused", "tablet", r.RemoteAddr, "error", err)
		return
	}
	c := newClient(conn)
	if !s.hub.join(c) {
		c.code = websocket.CloseTryAgainLater
		c.part()
		_ = conn.Close()
		return
	}
	defer s.hub.finished()
	written := make(chan error, 1) // one value, from the writer
	go func() { written <- c.write() }()
	c.read(func(cmd Command) { s.obey(c, cmd) })
	s.hub.leave(c, written)
}

// obey passes a command on and tells the page that sent it how it went.
func (s *Server) obey(c *client, cmd Command) {
	a := answer{Frame: "answer", Do: cmd.Do, Number: cmd.Number}
	if err := s.pass(cmd); err != nil {
		a.Refused = err.Error()
	}
	if m, err := a.prepare(); err == nil {
		// A full outbox loses the answer; the next beat drops the client anyway.
		c.offer(m)
	}
}

func (s *Server) pass(cmd Command) error {
	switch cmd.Do {
	case "seen", "not-now", "mark":
	default:
		return fmt.Errorf("no such command %q; want seen, not-now or mark", cmd.Do)
	}
	if s.options.Commands == nil {
		return fmt.Errorf("this page only shows; nothing here takes %q", cmd.Do)
	}
	return s.options.Commands(cmd)
}
