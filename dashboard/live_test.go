package dashboard

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"go.uber.org/goleak"

	"pawl/dashboard/keys"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// dial comes as a page would. The connection is closed with the test.
func dial(t testing.TB, s serving) *websocket.Conn {
	t.Helper()
	conn, _, err := websocket.DefaultDialer.Dial("ws://"+s.at+"/live", http.Header{"Origin": {"http://" + s.at}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return conn
}

// hear reads one frame.
func hear(t testing.TB, conn *websocket.Conn) heard {
	t.Helper()
	var f heard
	if err := conn.ReadJSON(&f); err != nil {
		t.Error(err)
	}
	return f
}

func TestWholeThenBeatsForFifty(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := serve(t, "127.0.0.1:0", Options{})
	defer s.stop()
	s.Publish(at(1), []rules.Entry{aSecond(1, desk.Split{})}, true)

	const pages, beats = 50, 20
	var heard, ready sync.WaitGroup
	ready.Add(pages)
	for range pages {
		conn := dial(t, s)
		heard.Go(func() {
			checkOrder(t, conn, beats+1, ready.Done)
			conn.Close()
		})
	}
	ready.Wait()
	for i := range beats {
		t := float64(i + 2)
		s.Publish(at(t), []rules.Entry{aSecond(t, desk.Split{})}, true)
	}
	heard.Wait()
}

// checkOrder wants a whole frame, then beats that add exactly one second each
// until there are last.
func checkOrder(t *testing.T, conn *websocket.Conn, last int, ready func()) {
	f := hear(t, conn)
	ready()
	if f.Frame != "whole" || f.Page != New(Options{}).assets.hash || len(f.Languages) == 0 {
		t.Errorf("the first frame is %q of page %q in one of %v, want whole, with this page and its languages", f.Frame, f.Page, f.Languages)
		return
	}
	for next := len(f.Entries) + 1; next <= last; next++ {
		f = hear(t, conn)
		if f.Frame != "beat" || len(f.Entries) != 1 || f.Entries[0].T != float64(next) {
			t.Errorf("got %s with %v, want a beat with that of %d s", f.Frame, f.Entries, next)
			return
		}
	}
}

// A tablet that stopped reading is sent away while another hears on, and is
// welcome back.
func TestSlowTabletIsDropped(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := serve(t, "127.0.0.1:0", Options{})
	defer s.stop()
	slow, quick := dial(t, s), dial(t, s)
	hear(t, slow)
	hear(t, quick)
	long := []Notice{{Says: quoted(strings.Repeat("the house file is wrong ", 20000))}}
	for second := 1.0; s.Stats().Dropped == 0; second++ {
		now := at(second)
		now.Notices = long
		s.Publish(now, nil, true)
		if f := hear(t, quick); f.Now.T != second {
			t.Fatalf("the quick tablet heard %v, want %v", f.Now.T, second)
		}
	}
	if got := s.Stats(); got.Clients != 1 {
		t.Errorf("%d tablets are in, want 1", got.Clients)
	}
	var err error
	for err == nil {
		_, _, err = slow.ReadMessage()
	}
	// Its last frame may have been cut short, and then no farewell can follow.
	if websocket.IsCloseError(err, websocket.CloseGoingAway, websocket.CloseNormalClosure) {
		t.Errorf("the slow tablet heard %v, want 1013 or a cut", err)
	}
	if f := hear(t, dial(t, s)); f.Frame != "whole" {
		t.Errorf("when it came back it heard %q, want whole", f.Frame)
	}
	quick.Close()
}

func TestDroppedTabletHearsWhy(t *testing.T) {
	s := serve(t, "127.0.0.1:0", Options{})
	conn := dial(t, s)
	hear(t, conn)
	s.hub.mu.Lock()
	for c := range s.hub.clients {
		s.hub.remove(c, websocket.CloseTryAgainLater)
	}
	s.hub.mu.Unlock()
	if _, _, err := conn.ReadMessage(); !websocket.IsCloseError(err, websocket.CloseTryAgainLater) {
		t.Errorf("heard %v, want close %d", err, websocket.CloseTryAgainLater)
	}
}

func TestResetReachesEveryone(t *testing.T) {
	s := serve(t, "127.0.0.1:0", Options{})
	s.Publish(at(1), []rules.Entry{aSecond(1, desk.Split{})}, true)
	conn := dial(t, s)
	hear(t, conn)
	s.Reset()
	s.Publish(at(2), []rules.Entry{aSecond(2, desk.Split{})}, true)
	if f := hear(t, conn); f.Frame != "whole" || len(f.Entries) != 1 {
		t.Errorf("after a reset came %s with %d entries, want whole with 1", f.Frame, len(f.Entries))
	}
	s.Publish(at(3), []rules.Entry{aSecond(3, desk.Split{})}, true)
	if f := hear(t, conn); f.Frame != "beat" {
		t.Errorf("then came %s, want beat", f.Frame)
	}
}

func TestStopSaysWhy(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := serve(t, "127.0.0.1:0", Options{})
	var pages []*websocket.Conn
	for range 10 {
		conn := dial(t, s)
		hear(t, conn)
		pages = append(pages, conn)
	}
	began := time.Now()
	s.stop()
	t.Logf("stopping took %v", time.Since(began))
	for _, conn := range pages {
		if _, _, err := conn.ReadMessage(); !websocket.IsCloseError(err, websocket.CloseGoingAway) {
			t.Errorf("a page heard %v, want close %d", err, websocket.CloseGoingAway)
		}
		conn.Close()
	}
	s.Publish(Now{}, nil, true) // after the end: nothing, and no panic
}

func TestServeReportsABrokenListener(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	if err := New(Options{}).Serve(context.Background(), l, nil); err == nil {
		t.Error("no error from a closed listener")
	}
}

func TestWhoMayConnect(t *testing.T) {
	s := serve(t, "127.0.0.1:0", Options{AllowedHosts: []string{"Pawl.local"}})
	_, port, _ := net.SplitHostPort(s.at)
	tests := []struct {
		name, host, origin string
		want               int
	}{
		{"its own page", s.at, "http://" + s.at, http.StatusSwitchingProtocols},
		{"no browser", s.at, "", http.StatusSwitchingProtocols},
		{"localhost", "localhost:" + port, "http://localhost:" + port, http.StatusSwitchingProtocols},
		{"an allowed name", "pawl.LOCAL:" + port, "http://pawl.local:" + port, http.StatusSwitchingProtocols},
		{"another page", s.at, "http://elsewhere.example", http.StatusForbidden},
		{"another port", s.at, "http://127.0.0.1:1", http.StatusForbidden},
		{"a name rebound to us", "elsewhere.example:" + port, "http://elsewhere.example:" + port, http.StatusForbidden},
		{"a port that is none", "localhost:1;script-src", "", http.StatusForbidden},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got := handshake(t, s, test.host, test.origin); got != test.want {
				t.Errorf("status %d, want %d", got, test.want)
			}
		})
	}
}

func handshake(t *testing.T, s serving, host, origin string) int {
	t.Helper()
	header := http.Header{"Host": {host}}
	if origin != "" {
		header.Set("Origin", origin)
	}
	conn, answer, err := websocket.DefaultDialer.Dial("ws://"+s.at+"/live", header)
	if err == nil {
		conn.Close()
	} else if answer == nil {
		t.Fatal(err)
	}
	return answer.StatusCode
}

func TestPresses(t *testing.T) {
	var passed []rules.Press
	s := serve(t, "127.0.0.1:0", Options{Press: func(p rules.Press) error {
		passed = append(passed, p)
		if p.Number == 13 {
			return rules.ErrGone
		}
		return nil
	}})
	conn := dial(t, s)
	hear(t, conn)
	tests := []struct {
		press   rules.Press
		refused string
		passed  bool
	}{
		{rules.Press{Do: rules.Seen, Number: 3}, "", true},
		{rules.Press{Do: rules.NotNow, Number: 13}, "that is no longer on the screen", true},
		{rules.Press{Do: rules.SetMark}, "", true},
		{rules.Press{Do: rules.NewSegment, Kind: desk.Speech, Text: "the reading"}, "", true},
		{rules.Press{Do: rules.NewSegment, Next: true}, "", true},
		{rules.Press{Do: rules.Back}, "", true},
		{rules.Press{Do: rules.Note, Text: "the fiddle is out of tune"}, "", true},
		{rules.Press{Do: rules.Hold, On: true}, "", true},
		{rules.Press{Do: rules.Note}, "there are no words in it", false},
		{rules.Press{Do: "fader", Number: 1}, `no such press "fader"; want one of [seen not-now bring-back mark mark-back segment back note question hold tell tell-seen tell-back order-add order-remove order-move order-rename order-kind order-reset line-check line-ask line-done line-later]`, false},
	}
	for _, test := range tests {
		t.Run(string(test.press.Do), func(t *testing.T) {
			before := len(passed)
			if err := conn.WriteJSON(test.press); err != nil {
				t.Fatal(err)
			}
			var a answer
			if err := conn.ReadJSON(&a); err != nil {
				t.Fatal(err)
			}
			if want := (answer{"answer", string(test.press.Do), test.press.Number, test.refused}); a != want {
				t.Errorf("answered %+v, want %+v", a, want)
			}
			if got := len(passed) > before && passed[before] == test.press; got != test.passed {
				t.Errorf("passed on as it was: %v, want %v", got, test.passed)
			}
		})
	}
}

func TestNobodyTakesPresses(t *testing.T) {
	if err := New(Options{}).pass(visitor{may: keys.Installer}, rules.Press{Do: rules.SetMark}); err == nil {
		t.Error("a press was taken and nobody was there")
	}
}

func TestNonsenseEndsTheConnection(t *testing.T) {
	for name, text := range map[string]string{
		"no JSON": "{", "too long": `{"do":"` + strings.Repeat("x", readLimit) + `"}`, "another type": `{"number":"three"}`,
	} {
		t.Run(name, func(t *testing.T) {
			s := serve(t, "127.0.0.1:0", Options{Press: func(rules.Press) error { return nil }})
			conn := dial(t, s)
			hear(t, conn)
			if err := conn.WriteMessage(websocket.TextMessage, []byte(text)); err != nil {
				t.Fatal(err)
			}
			if _, data, err := conn.ReadMessage(); err == nil {
				t.Errorf("answered %s, want the end", data)
			}
		})
	}
}

// One encoding for all: this is what a beat costs the daemon's engine.
func BenchmarkFanOut(b *testing.B) {
	for _, pages := range []int{1, 10, 50} {
		b.Run(fmt.Sprintf("tablets=%d", pages), func(b *testing.B) {
			s := serve(b, "127.0.0.1:0", Options{})
			defer s.stop()
			var reading sync.WaitGroup
			for range pages {
				conn := dial(b, s)
				hear(b, conn)
				reading.Go(func() {
					for {
						if _, _, err := conn.ReadMessage(); err != nil {
							return
						}
					}
				})
			}
			now := ratchetStory("", "").now
			b.ReportAllocs()
			for b.Loop() {
				s.Publish(now, twoAt(1), true)
				for pending(s.hub) > outboxSize/2 {
					// Let the writers catch up, as a tenth of a second would.
				}
			}
			b.ReportMetric(float64(s.Stats().Dropped), "dropped")
			s.stop()
			reading.Wait()
		})
	}
}

// pending is the fullest outbox.
func pending(h *hub) int {
	h.mu.Lock()
	defer h.mu.Unlock()
	most := 0
	for c := range h.clients {
		most = max(most, len(c.outbox))
	}
	return most
}

func BenchmarkEncode(b *testing.B) {
	st := ratchetStory("", "")
	english := newVoice(words.Own().For(""))
	for _, f := range []frame{{Frame: "beat", Now: st.now}, {Frame: "whole", Now: st.now, Entries: st.entries}} {
		b.Run(f.Frame, func(b *testing.B) {
			var data []byte
			b.ReportAllocs()
			for b.Loop() {
				data, _ = f.encode(english)
			}
			b.ReportMetric(float64(len(data)), "bytes")
		})
	}
}

// Silence and closed faders have no number in JSON, and no list is null.
func TestInfinitiesLeaveAsNull(t *testing.T) {
	data, err := frame{Now: Now{Picture: rules.Picture{Total: desk.Silence, Rise: desk.Off}}}.encode(newVoice(words.Own().For("")))
	if err != nil {
		t.Fatal(err)
	}
	var got struct{ Now map[string]json.RawMessage }
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	for _, field := range []string{"total_dbfs", "rise_db", "card", "line"} {
		if string(got.Now[field]) != "null" {
			t.Errorf("%s is %s, want null", field, got.Now[field])
		}
	}
	for _, field := range []string{"groups", "parts", "notices"} {
		if string(got.Now[field]) != "[]" {
			t.Errorf("%s is %s, want []", field, got.Now[field])
		}
	}
}
