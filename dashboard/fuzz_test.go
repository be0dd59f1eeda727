package dashboard

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"
	"unicode/utf8"

	"pawl/daemon/timeline"
	"pawl/dashboard/keys"
	"pawl/rules"
	"pawl/rules/words"
)

// posts are all addresses that take a body, and examples of one.
var posts = []struct {
	first                bool // in the first hour
	path, kind, examples string
}{
	{path: "/api/segment", kind: "application/json", examples: `{"next":true} {"kind":"music","name":"a reel"} {"kind":"speech"}`},
	{path: "/api/linecheck", kind: "application/json", examples: `{"do":"line-check","on":true} {"do":"line-ask","number":3} {}`},
	{path: "/api/review/services", kind: "application/json", examples: `{"do":"begin"} {"do":"end"} {"do":"delete"}`},
	{path: "/api/review/services/7", kind: "application/json", examples: `{"do":"rename","text":"a"} {"do":"split","t":12.5} {"do":"join","with":-1} {"do":"note","t":1e400}`},
	{path: "/api/review/services/7/otherwise", kind: "application/yaml", examples: "limits:{ratchet:{up:3}} &a[*a,*a] \xff"},
	{path: "/api/pair", kind: "application/json", examples: `{"code":"AAAA-AAAA"} {"code":""} {"code":7}`},
	{path: "/api/keys", kind: "application/json", examples: `{"do":"invite","may":"watch"} {"do":"revoke","id":"abcde"} {"do":"invite","may":"king","called":"\u202e"}`},
	{first: true, path: "/api/first", kind: "application/json", examples: `{"do":"answer","text":"-10"} {"do":"write","inputs":[{"number":1,"name":"a"}]} [[[[`},
}

// anyReview takes every edit of service 7 that an edit can be, and has nothing to show.
type anyReview struct{ now **testing.T }

func (anyReview) List() ([]timeline.Service, error) { return nil, nil }
func (anyReview) One(int64, *words.Speaker) (timeline.One, error) {
	return timeline.One{}, timeline.ErrNoService
}
func (anyReview) Weeks(*words.Speaker) (timeline.Weeks, error) { return timeline.Weeks{}, nil }
func (anyReview) Curves(int64, rules.Moment, rules.Moment, int) (timeline.Curves, error) {
	return timeline.Curves{}, timeline.ErrNoService
}
func (r anyReview) Edit(id int64, e timeline.Edit) (int64, error) {
	if len(e.Text) > readLimit || !utf8.ValidString(e.Text) || (id != 0) == slices.Contains(ofNone, e.Do) {
		(*r.now).Errorf("service %d was asked for %+v", id, e)
	}
	return 7, nil
}

// FuzzBodies posts any body to every address that takes one, from this machine, with all
// behind it that a daemon has: the server never has a fault of its own, what it answers is
// text, and no press goes on that is none.
func FuzzBodies(f *testing.F) {
	for i, p := range posts {
		for _, body := range strings.Fields(p.examples) {
			f.Add(uint8(i), p.kind, []byte(body))
		}
	}
	var now *testing.T
	o := Options{
		Press:     func(p rules.Press) error { return p.Check() },
		Keys:      keys.Open(f.TempDir()+"/hall.keys", nil),
		Review:    anyReview{&now},
		LineCheck: func() (LineCheck, bool) { return LineCheck{}, true },
		Otherwise: func(_ context.Context, _ int64, limits []byte) (Compared, error) {
			if len(limits) > mostLimits {
				now.Errorf("%d bytes of limits were passed on", len(limits))
			}
			return Compared{}, ErrLimits.Because("they are none")
		},
	}
	first := Options{First: func() First { return First{} }, PressFirst: func(FirstPress) error { return errors.New("it is over") }}
	f.Add(uint8(0), "text/plain", []byte(`{"next":true}`))
	f.Add(uint8(1), "application/json; charset=utf-8", []byte(`{} {}`))
	f.Add(uint8(2), "APPLICATION/JSON;", bytes.Repeat([]byte(`{"a":`), 500))
	served := [2]*Server{New(o), New(first)} // making one for every body would be most of the work
	f.Fuzz(func(t *testing.T, which uint8, kind string, body []byte) {
		now = t
		p := posts[int(which)%len(posts)]
		s := served[0]
		if p.first {
			s = served[1]
		}
		s.presses, s.guesses = pressesOfAll(), newGuesses()
		r := httptest.NewRequest(http.MethodPost, "http://localhost"+p.path, bytes.NewReader(body))
		r.RemoteAddr = "127.0.0.1:50000"
		r.Header.Set("Content-Type", kind)
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		answer := w.Body.Bytes()
		if w.Code >= http.StatusInternalServerError {
			t.Errorf("%s: status %d, %s", p.path, w.Code, answer)
		}
		if w.Header().Get("Content-Type") == "application/json" && !json.Valid(answer) {
			t.Errorf("%s: no JSON: %q", p.path, answer)
		}
		if !utf8.Valid(answer) {
			t.Errorf("%s: no text: %q", p.path, answer)
		}
	})
}

// bytesConn is a connection on which some bytes come, and then its end.
type bytesConn struct {
	bytes.Reader
	closed atomic.Bool
}

func (c *bytesConn) Write(b []byte) (int, error) {
	if c.closed.Load() {
		return 0, net.ErrClosed
	}
	return len(b), nil
}
func (c *bytesConn) Close() error                   { c.closed.Store(true); return nil }
func (*bytesConn) LocalAddr() net.Addr              { return &net.TCPAddr{} }
func (*bytesConn) RemoteAddr() net.Addr             { return &net.TCPAddr{} }
func (*bytesConn) SetDeadline(time.Time) error      { return nil }
func (*bytesConn) SetReadDeadline(time.Time) error  { return nil }
func (*bytesConn) SetWriteDeadline(time.Time) error { return nil }

// hijacked is an answer whose connection is taken over.
type hijacked struct {
	http.ResponseWriter
	conn *bytesConn
}

func (h hijacked) Hijack() (net.Conn, *bufio.ReadWriter, error) {
	return h.conn, bufio.NewReadWriter(bufio.NewReader(h.conn), bufio.NewWriter(h.conn)), nil
}

// maskedFrame is a frame as a browser sends one (RFC 6455, 5.2), masked with zeros.
func maskedFrame(first byte, payload string) []byte {
	head := []byte{first, 0x80 | byte(len(payload))}
	if len(payload) > 125 {
		head = binary.BigEndian.AppendUint16([]byte{first, 0x80 | 126}, uint16(len(payload)))
	}
	return append(append(head, 0, 0, 0, 0), payload...)
}

// FuzzFrames has a page's connection say any bytes after its handshake: no press goes on
// that is none, and when the bytes end the connection is closed and nobody waits for it.
func FuzzFrames(f *testing.F) {
	press := `{"do":"seen","number":3}`
	for _, frames := range [][]byte{
		maskedFrame(0x81, press),
		maskedFrame(0x82, press),
		append(maskedFrame(0x01, press[:9]), maskedFrame(0x80, press[9:])...),                                        // in two pieces
		slices.Concat(maskedFrame(0x01, press[:9]), maskedFrame(0x89, "still there?"), maskedFrame(0x80, press[9:])), // with a ping between
		append(maskedFrame(0x88, "\x03\xe8bye"), maskedFrame(0x81, press)...),                                        // after goodbye
		maskedFrame(0x81, `{"do":"note","text":"`+strings.Repeat("a", 2000)+`"}`),
		maskedFrame(0x81, strings.Repeat(" ", readLimit+1)),
		maskedFrame(0xC1, press), // compressed, which nobody agreed on
		{0x81, 0x05, 'p', 'l', 'a', 'i', 'n'},
		{0x81, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0, 0, 0, 0, 1}, // longer than anything
		maskedFrame(0x81, `{"do":"tell","text":"\u202e\u0000"}`),
	} {
		f.Add(frames)
	}
	s := New(Options{})
	f.Fuzz(func(t *testing.T, frames []byte) { sayOn(t, s, frames) })
}

// sayOn has a page's connection say bytes, and gives the presses that went on.
func sayOn(t *testing.T, s *Server, frames []byte) (presses []rules.Press) {
	t.Helper()
	s.presses = pressesOfAll()
	s.options.Press = func(p rules.Press) error {
		if err := p.Check(); err != nil {
			t.Errorf("%+v went on: %v", p, err)
		}
		presses = append(presses, p)
		return nil
	}
	r := httptest.NewRequest(http.MethodGet, "http://localhost/live", nil)
	for name, value := range map[string]string{"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ=="} {
		r.Header.Set(name, value)
	}
	conn := &bytesConn{Reader: *bytes.NewReader(frames)}
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(hijacked{w, conn}, r)
	if w.Code != http.StatusOK || w.Body.Len() > 0 {
		t.Fatalf("no connection was made: %d %s", w.Code, w.Body)
	}
	if !conn.closed.Load() {
		t.Error("the connection is open after its end")
	}
	if len(s.hub.clients) != 0 {
		t.Errorf("%d clients are left", len(s.hub.clients))
	}
	return presses
}

// What is whole goes on, however it was cut, and nothing else does.
func TestFramesOfAPage(t *testing.T) {
	s := New(Options{})
	press := `{"do":"seen","number":3}`
	whole := maskedFrame(0x81, press)
	for _, test := range []struct {
		name   string
		frames []byte
		want   int
	}{
		{"one", whole, 1},
		{"two", slices.Concat(whole, whole), 2},
		{"in two pieces, with a ping between", slices.Concat(maskedFrame(0x01, press[:9]), maskedFrame(0x89, "?"), maskedFrame(0x80, press[9:])), 1},
		{"cut off", whole[:len(whole)-1], 0},
		{"after goodbye", slices.Concat(maskedFrame(0x88, "\x03\xe8"), whole), 0},
		{"too long", slices.Concat(maskedFrame(0x81, strings.Repeat(" ", readLimit)+press), whole), 0},
		{"unmasked, as no browser sends (RFC 6455, 5.1)", slices.Concat([]byte{0x81, byte(len(press))}, []byte(press)), 0},
		{"no such press", maskedFrame(0x81, `{"do":"raise"}`), 0},
	} {
		if got := sayOn(t, s, test.frames); len(got) != test.want {
			t.Errorf("%s: %v, want %d", test.name, got, test.want)
		}
	}
}
