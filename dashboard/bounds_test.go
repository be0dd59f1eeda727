package dashboard

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/gorilla/websocket"

	"pawl/rules"
)

// One page that presses without end is told so, and the rest go on: nobody is thrown off,
// and what others press is passed on.
func TestPressesOfOneAreBounded(t *testing.T) {
	var passed atomic.Int64
	s := serve(t, "127.0.0.1:0", Options{Press: func(rules.Press) error { passed.Add(1); return nil }})
	flood, honest := dial(t, s), dial(t, s)
	hear(t, flood)
	hear(t, honest)
	const pressed, atOnce = 400, 20 // its outbox holds as many answers
	busy := 0
	for range pressed / atOnce {
		for range atOnce {
			if err := flood.WriteJSON(rules.Press{Do: rules.SetMark}); err != nil {
				t.Fatal(err)
			}
		}
		for range atOnce {
			var a answer
			if err := flood.ReadJSON(&a); err != nil {
				t.Fatal(err)
			}
			if a.Refused == "too much was pressed at once; try again" {
				busy++
			}
		}
	}
	if n := int(passed.Load()); busy == 0 || n < pressesEachBurst || n+busy != pressed {
		t.Errorf("of %d presses %d were passed on and %d refused, want at least %d passed on and some refused", pressed, n, busy, pressesEachBurst)
	}
	if err := honest.WriteJSON(rules.Press{Do: rules.SetMark}); err != nil {
		t.Fatal(err)
	}
	var a answer
	if err := honest.ReadJSON(&a); err != nil || a.Refused != "" {
		t.Errorf("another page's press: %+v, %v", a, err)
	}
}

// All presses together are bounded too, however many pages they come from.
func TestPressesOfAllAreBounded(t *testing.T) {
	passed := 0
	s := New(Options{Press: func(rules.Press) error { passed++; return nil }})
	refused := 0
	for range 4 * pressesInAllBurst {
		if err := s.pass(visitor{}, rules.Press{Do: rules.SetMark}); errors.Is(err, errBusy) {
			refused++
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if passed < pressesInAllBurst || passed+refused != 4*pressesInAllBurst || refused < 2*pressesInAllBurst {
		t.Errorf("%d passed on, %d refused", passed, refused)
	}
}

// One address never takes the last places.
func TestOneAddressLeavesRoom(t *testing.T) {
	h := testHub()
	join := func(name string) bool {
		c := onlooker()
		c.name = name
		return h.join(c)
	}
	for i := range mostClients {
		if got, want := join(fmt.Sprintf("10.0.0.66:%d", 2000+i)), i < mostClientsOfOne; got != want {
			t.Fatalf("client %d of one address: let in %v, want %v", i+1, got, want)
		}
	}
	for i := range mostClients - mostClientsOfOne {
		if !join(fmt.Sprintf("10.0.1.%d:2000", i)) {
			t.Fatalf("another's tablet is refused, %d are in", h.stats().Clients)
		}
	}
	if join("10.0.2.1:2000") {
		t.Error("one more than may be was let in")
	}
}

// What is more than so many connections is closed at once, and what ends makes room.
func TestConnectionsAreBounded(t *testing.T) {
	inner, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer inner.Close()
	l := bounded(inner, 8, 3)
	taken := make(chan net.Conn, 8)
	go func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				close(taken)
				return
			}
			taken <- conn
		}
	}()
	open := func() net.Conn {
		conn, err := net.Dial("tcp", inner.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { conn.Close() })
		return conn
	}
	var in []net.Conn
	for range 3 {
		open()
		in = append(in, <-taken)
	}
	if _, err := open().Read(make([]byte, 1)); err == nil {
		t.Error("a fourth connection of one address was let in")
	}
	in[0].Close()
	in[0].Close() // gives its place up once
	open()
	in = append(in, <-taken)
	if _, err := open().Read(make([]byte, 1)); err == nil {
		t.Error("a place was given away twice")
	}
	for _, conn := range in {
		conn.Close()
	}
	inner.Close()
	for range taken {
	}
	if l.all != 0 || len(l.from) != 0 {
		t.Errorf("%d connections are counted of %v, want none", l.all, l.from)
	}
}

// A live connection is bounded as any other, and its place is free when it ends.
func TestLiveConnectionsGiveTheirPlaceBack(t *testing.T) {
	inner, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l := bounded(inner, 4, 4)
	hs := httptest.NewUnstartedServer(New(Options{}).Handler())
	hs.Listener.Close()
	hs.Listener = l
	hs.Start()
	defer hs.Close()
	conn, _, err := websocket.DefaultDialer.Dial("ws://"+inner.Addr().String()+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	for range 8 { // one after another, each in the place of the last
		conn.Close()
		for err = errors.New("not yet"); err != nil; {
			conn, _, err = websocket.DefaultDialer.Dial("ws://"+inner.Addr().String()+"/live", nil)
		}
	}
	conn.Close()
}

// A flood of names that are not ours fills no log, and a long one is cut in it.
func TestRefusedHostsAreLoggedNowAndThen(t *testing.T) {
	r, w := io.Pipe()
	lines := make(chan int, 1)
	longest := 0
	go func() {
		n := 0
		for s := bufio.NewScanner(r); s.Scan(); n++ {
			longest = max(longest, len(s.Text()))
		}
		lines <- n
	}()
	s := New(Options{Log: slog.New(slog.NewTextHandler(w, nil))})
	for range 5000 {
		q := httptest.NewRequest("GET", "http://localhost/", nil)
		q.Host = strings.Repeat("long.", 2000) + "example"
		answer := httptest.NewRecorder()
		if s.Handler().ServeHTTP(answer, q); answer.Code != 403 || answer.Body.Len() > 400 {
			t.Fatalf("answered %d with %d bytes", answer.Code, answer.Body.Len())
		}
	}
	w.Close()
	if n := <-lines; n == 0 || n > 100 || longest > 300 {
		t.Errorf("%d lines were logged, the longest of %d bytes", n, longest)
	}
}
