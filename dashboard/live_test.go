package dashboard

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"go.uber.org/goleak"

	"pawl/rules/desk"
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
func hear(t testing.TB, conn *websocket.Conn) frame {
	t.Helper()
	var f frame
	if err := conn.ReadJSON(&f); err != nil {
		t.Error(err)
	}
	return f
}

func TestWholeThenBeatsForFifty(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := serve(t, "127.0.0.1:0", Options{})
	defer s.stop()
	s.Publish(State{T: 1}, []Tide{{T: 1}}, nil, true)

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
		at := float64(i + 2)
		s.Publish(State{T: at}, []Tide{{T: at}}, nil, true)
	}
	heard.Wait()
}

// checkOrder wants a whole frame, then beats that add exactly one second each
// until the tide reaches last.
func checkOrder(t *testing.T, conn *websocket.Conn, last int, ready func()) {
	f := hear(t, conn)
	ready()
	if f.Frame != "whole" {
		t.Errorf("the first frame is %q, want whole", f.Frame)
		return
	}
	for next := len(f.Tide) + 1; next <= last; next++ {
		f = hear(t, conn)
		if f.Frame != "beat" || len(f.Tide) != 1 || f.Tide[0].T != float64(next) {
			t.Errorf("got %s with tide %v, want a beat with that of %d s", f.Frame, f.Tide, next)
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
	long := []Notice{{Text: strings.Repeat("the house file is wrong ", 20000)}}
	for at := 1.0; s.Stats().Dropped == 0; at++ {
		s.Publish(State{T: at, Notices: long}, nil, nil, true)
		if f := hear(t, quick); f.State.T != at {
			t.Fatalf("the quick tablet heard %v, want %v", f.State.T, at)
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
	s.Publish(State{T: 1}, []Tide{{T: 1}}, nil, true)
	conn := dial(t, s)
	hear(t, conn)
	s.Reset()
	s.Publish(State{T: 2}, []Tide{{T: 2}}, nil, true)
	if f := hear(t, conn); f.Frame != "whole" || len(f.Tide) != 1 {
		t.Errorf("after a reset came %s with %d of tide, want whole with 1", f.Frame, len(f.Tide))
	}
	s.Publish(State{T: 3}, []Tide{{T: 3}}, nil, true)
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
	s.Publish(State{}, nil, nil, true) // after the end: nothing, and no panic
}

func TestServeReportsABrokenListener(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	if err := New(Options{}).Serve(context.Background(), l); err == nil {
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

func TestCommands(t *testing.T) {
	var passed []Command
	s := serve(t, "127.0.0.1:0", Options{Commands: func(c Command) error {
		passed = append(passed, c)
		if c.Number == 13 {
			return errors.New("that card is gone")
		}
		return nil
	}})
	conn := dial(t, s)
	hear(t, conn)
	tests := []struct {
		command Command
		refused string
		passed  bool
	}{
		{Command{"seen", 3}, "", true},
		{Command{"not-now", 13}, "that card is gone", true},
		{Command{"mark", 0}, "", true},
		{Command{"fader", 1}, `no such command "fader"; want seen, not-now or mark`, false},
	}
	for _, test := range tests {
		t.Run(test.command.Do, func(t *testing.T) {
			before := len(passed)
			if err := conn.WriteJSON(test.command); err != nil {
				t.Fatal(err)
			}
			var a answer
			if err := conn.ReadJSON(&a); err != nil {
				t.Fatal(err)
			}
			if want := (answer{"answer", test.command.Do, test.command.Number, test.refused}); a != want {
				t.Errorf("answered %+v, want %+v", a, want)
			}
			if got := len(passed) > before; got != test.passed {
				t.Errorf("passed on: %v, want %v", got, test.passed)
			}
		})
	}
}

func TestNobodyTakesCommands(t *testing.T) {
	if err := New(Options{}).pass(Command{Do: "mark"}); err == nil {
		t.Error("a command was taken and nobody was there")
	}
}

func TestNonsenseEndsTheConnection(t *testing.T) {
	for name, text := range map[string]string{
		"no JSON": "{", "too long": `{"do":"` + strings.Repeat("x", 2*readLimit) + `"}`, "another type": `{"number":"three"}`,
	} {
		t.Run(name, func(t *testing.T) {
			s := serve(t, "127.0.0.1:0", Options{Commands: func(Command) error { return nil }})
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
			st := ratchetStory("", "").state
			b.ReportAllocs()
			for b.Loop() {
				s.Publish(st, []Tide{{T: 1}}, nil, true)
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
	b.Run("beat", func(b *testing.B) {
		f := frame{Frame: "beat", State: st.state}
		var data []byte
		for b.Loop() {
			data, _ = f.encode()
		}
		b.ReportMetric(float64(len(data)), "bytes")
	})
	b.Run("whole", func(b *testing.B) {
		f := frame{Frame: "whole", State: st.state, Tide: st.tide, Steps: st.steps}
		var data []byte
		for b.Loop() {
			data, _ = f.encode()
		}
		b.ReportMetric(float64(len(data)), "bytes")
	})
}

// Silence and closed faders have no number in JSON.
func TestInfinitiesLeaveAsNull(t *testing.T) {
	data, err := frame{State: State{Total: desk.Silence, Rise: desk.Off}}.encode()
	if err != nil {
		t.Fatal(err)
	}
	var got struct{ State map[string]json.RawMessage }
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	for _, field := range []string{"total", "rise", "card", "line"} {
		if string(got.State[field]) != "null" {
			t.Errorf("%s is %s, want null", field, got.State[field])
		}
	}
	for _, field := range []string{"groups", "elements", "notices"} {
		if string(got.State[field]) != "[]" {
			t.Errorf("%s is %s, want []", field, got.State[field])
		}
	}
}
