package dashboard

import (
	"time"

	"github.com/gorilla/websocket"
	"golang.org/x/time/rate"

	"pawl/rules"
)

const (
	outboxSize  = 32 // about three seconds of beats
	readLimit   = 2 << 10
	writeWait   = 5 * time.Second
	partingWait = 250 * time.Millisecond
	pingEvery   = 10 * time.Second
	pongWait    = 25 * time.Second
)

// client is one page that is looking. Only its writer writes to the connection.
type client struct {
	audience
	visitor visitor
	name    string
	conn    *websocket.Conn
	outbox  chan *websocket.PreparedMessage // full: the hub drops the client, which comes back by itself
	gone    chan struct{}                   // closed by dismiss, once
	code    int                             // the close code; set before gone is closed

	presses *rate.Limiter
}

func newClient(conn *websocket.Conn, a audience, v visitor) *client {
	return &client{
		audience: a,
		visitor:  v,
		name:     conn.RemoteAddr().String(),
		conn:     conn,
		outbox:   make(chan *websocket.PreparedMessage, outboxSize),
		gone:     make(chan struct{}),
		presses:  pressesOfOne(),
	}
}

// offer never blocks; false means that the outbox is full.
func (c *client) offer(m *websocket.PreparedMessage) bool {
	select {
	case c.outbox <- m:
		return true
	default:
		return false
	}
}

// dismiss ends the writer, and shortens a write that hangs on a sleeping tablet.
// The hub calls it once.
func (c *client) dismiss(code int) {
	c.code = code
	close(c.gone)
	if c.conn != nil {
		_ = c.conn.NetConn().SetWriteDeadline(time.Now().Add(partingWait))
	}
}

// write sends until the client is dismissed or the connection fails. It closes
// the connection, which ends the reader too, and returns why it could not send.
func (c *client) write() error {
	defer c.conn.Close()
	ping := time.NewTicker(pingEvery)
	defer ping.Stop()
	for {
		// A dismissed client is not sent what still waits in its outbox.
		select {
		case <-c.gone:
			c.part()
			return nil
		default:
		}
		select {
		case <-c.gone:
		case m := <-c.outbox:
			if err := c.send(m); err != nil {
				return err
			}
		case <-ping.C:
			if err := c.conn.WriteControl(websocket.PingMessage, nil, time.Now().Add(writeWait)); err != nil {
				return err
			}
		}
	}
}

func (c *client) send(m *websocket.PreparedMessage) error {
	if err := c.conn.SetWriteDeadline(time.Now().Add(writeWait)); err != nil {
		return err
	}
	return c.conn.WritePreparedMessage(m)
}

// part says why the connection ends; a failure no longer matters.
func (c *client) part() {
	text := websocket.FormatCloseMessage(c.code, partings[c.code])
	_ = c.conn.WriteControl(websocket.CloseMessage, text, time.Now().Add(partingWait))
}

var partings = map[int]string{
	websocket.CloseTryAgainLater:   "could not keep up; come back",
	websocket.CloseGoingAway:       "pawl is stopping",
	websocket.ClosePolicyViolation: "the key is no longer in force",
}

// read hands each press to do until the connection ends.
func (c *client) read(do func(rules.Press)) {
	c.conn.SetReadLimit(readLimit)
	c.awaitPong()
	c.conn.SetPongHandler(func(string) error { c.awaitPong(); return nil })
	for {
		var p rules.Press
		if c.conn.ReadJSON(&p) != nil {
			return
		}
		do(p)
	}
}

func (c *client) awaitPong() { _ = c.conn.SetReadDeadline(time.Now().Add(pongWait)) }
