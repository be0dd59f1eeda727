package dashboard

import (
	"encoding/json"
	"net/http"
	"time"

	"github.com/gorilla/websocket"

	"pawl/rules"
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
	a := s.audience(r)
	if s.noCoach(w, r, a) {
		return
	}
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		s.options.Log.Info("tablet refused", "tablet", r.RemoteAddr, "error", err)
		return
	}
	c := newClient(conn, a, visitorOf(r))
	if !s.hub.join(c) {
		c.code = websocket.CloseTryAgainLater
		c.part()
		_ = conn.Close()
		return
	}
	defer s.hub.finished()
	written := make(chan error, 1) // one value, from the writer
	go func() { written <- c.write() }()
	c.read(func(p rules.Press) { s.obey(c, p) })
	s.hub.leave(c, written)
}

// obey passes a press on and tells the page that sent it how it went.
func (s *Server) obey(c *client, p rules.Press) {
	a := answer{Frame: "answer", Do: string(p.Do), Number: p.Number}
	var err error = errBusy
	if c.presses.Allow() {
		err = s.pass(c.visitor, p)
	}
	if err != nil {
		a.Refused = c.speaker.Why(err)
	}
	if m, err := prepare(json.Marshal(a)); err == nil {
		// A full outbox loses the answer; the next beat drops the client anyway.
		c.offer(m)
	}
}

func (s *Server) pass(v visitor, p rules.Press) error {
	if err := p.Check(); err != nil {
		return err
	}
	if err := v.mayPress(p); err != nil {
		return err
	}
	if s.options.Press == nil {
		return rules.Refuse("refused.only-shows")
	}
	if !s.presses.Allow() {
		return errBusy
	}
	return s.options.Press(p)
}
