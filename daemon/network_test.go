package daemon

import (
	"bytes"
	"context"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/netip"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// onRoad is a datagram between the desk and Pawl, either way.
type onRoad struct {
	came   time.Duration // on the daemon's clock
	toDesk bool
	data   []byte
}

// road is a network between Pawl and a desk. Carry is given each datagram, in one
// goroutine, and gives those that arrive now. It runs until the test ends.
func road(t *testing.T, c link.Clock, desk netip.AddrPort, carry func(onRoad) []onRoad) (address string) {
	t.Helper()
	near, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	far, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(desk))
	if err != nil {
		t.Fatal(err)
	}
	_, _ = near.SetReadBuffer(1<<20), far.SetReadBuffer(4<<20)
	var pawl atomic.Pointer[netip.AddrPort]
	come := make(chan onRoad, 1024)
	var reading, carrying sync.WaitGroup
	reading.Go(func() {
		buf := make([]byte, wire.MaxPacket)
		for {
			n, from, err := near.ReadFromUDPAddrPort(buf)
			if err != nil {
				return
			}
			pawl.Store(&from)
			come <- onRoad{c.Now(), true, bytes.Clone(buf[:n])}
		}
	})
	reading.Go(func() {
		buf := make([]byte, wire.MaxPacket)
		for {
			n, err := far.Read(buf)
			if err != nil {
				return
			}
			come <- onRoad{c.Now(), false, bytes.Clone(buf[:n])}
		}
	})
	carrying.Go(func() {
		for p := range come {
			for _, p := range carry(p) {
				if p.toDesk {
					_, _ = far.Write(p.data)
				} else {
					_, _ = near.WriteToUDPAddrPort(p.data, *pawl.Load())
				}
			}
		}
	})
	t.Cleanup(func() {
		near.Close()
		far.Close()
		reading.Wait()
		close(come)
		carrying.Wait()
	})
	return near.LocalAddr().String()
}

// toldAgain is Harbour Hall with a map that asks for everything every ten seconds, as the map
// of a desk behind a bad network should.
func toldAgain(t *testing.T) *house.House {
	t.Helper()
	h := harbourHall(t)
	src := strings.Replace(string(practice.MapFile()), "{send: /tell/all, on: [connect, return]}", "{send: /tell/all, on: [connect, return], every: 10s}", 1)
	return mappedHouse(t, h.File, []byte(src))
}

// standing is where every input's fader stands, as the loop knows it.
func standing(t *testing.T, d *Daemon) (faders []desk.DB) {
	t.Helper()
	if err := d.ask(func(s *session) error {
		for _, in := range s.engine.judge.Strips() {
			faders = append(faders, in.Fader)
		}
		return nil
	}); err != nil {
		t.Log(err)
		return nil
	}
	return faders
}

// atTheEnd is where they stand at the end of a service that was heard whole.
func atTheEnd(t *testing.T, h *house.House, script *practice.Script) (faders []desk.DB) {
	t.Helper()
	e := newEngine(h)
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		e.packet(at, packet)
	}
	for _, in := range e.judge.Strips() {
		faders = append(faders, in.Fader)
	}
	return faders
}

// turns is a band of which four are raised in turns. At the end all of it stays as it is.
const turns = `length 40s
expect elsewhere
0s   play cajon, upright bass, piano, accordion, fiddle, organ pad
15s  raise piano 3 dB over 1.5s
20s  raise accordion 3 dB over 1.2s
25s  raise fiddle 3 dB over 1.5s
30s  raise organ pad 3 dB over 2s
`

// playScript runs a practice desk until the test ends.
func playScript(t *testing.T, o practice.Options) *practice.Desk {
	t.Helper()
	desk, err := practice.New(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() {
		if err := desk.Run(ctx); err != nil {
			t.Errorf("practice desk: %v", err)
		}
	})
	t.Cleanup(func() {
		stop()
		run.Wait()
	})
	return desk
}

// TestBadNetwork has a band heard through networks that lose, double, exchange and hold up what
// goes either way. In the end every fader is known to be where it is, and what was captured
// says what was said. What is found, and how late, TestWornDesks has, where nothing hangs on how
// busy a machine is.
func TestBadNetwork(t *testing.T) {
	chance := func() func() bool {
		r := rand.New(rand.NewPCG(11, 7))
		return func() bool { return r.IntN(10) == 0 }
	}
	for name, carry := range map[string]func() func(onRoad) []onRoad{
		"one in ten lost": func() func(onRoad) []onRoad {
			lost := chance()
			return func(p onRoad) []onRoad {
				if lost() {
					return nil
				}
				return []onRoad{p}
			}
		},
		"all doubled": func() func(onRoad) []onRoad {
			return func(p onRoad) []onRoad { return []onRoad{p, p} }
		},
		"one in ten behind the next": func() func(onRoad) []onRoad {
			late := chance()
			var kept []onRoad
			return func(p onRoad) []onRoad {
				if len(kept) == 0 && late() {
					kept = []onRoad{p}
					return nil
				}
				out := append([]onRoad{p}, kept...)
				kept = nil
				return out
			}
		},
		// It is the traffic itself that drives this road, so nothing waits for a timer.
		"two seconds late": func() func(onRoad) []onRoad {
			var kept []onRoad
			return func(p onRoad) []onRoad {
				kept = append(kept, p)
				due := 0
				for due < len(kept) && p.came-kept[due].came >= 2*time.Second {
					due++
				}
				out := kept[:due]
				kept = kept[due:]
				return out
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			clock := link.Clock{Started: time.Now(), Speed: fast / 2} // three goroutines more have to keep up
			h := toldAgain(t)
			script, err := practice.ParseScript("turns.txt", []byte(turns))
			if err != nil {
				t.Fatal(err)
			}
			want := atTheEnd(t, h, script)
			desk := playScript(t, practice.Options{Clock: clock, Service: script})
			h.Desk = road(t, clock, desk.Addr(), carry())
			said, captured := &signalled{}, &signalled{}
			d, stop := stoppable(t, h, Options{Clock: clock, Lines: Lines{W: said, JSON: true}, Capture: captured})
			page := openTablet(t, d.Page())
			page.until("every fader where it is", func(s dashboard.Now) bool {
				return s.Link.Phase == "hearing" && slices.Equal(standing(t, d), want)
			})
			rest := rules.Moment(clock.Now() + 3*time.Second) // a frame may tell of earlier
			page.until("the last of them to have come to rest", func(s dashboard.Now) bool { return s.T >= rest })
			if m := metricsOf(t, d); m["pawl_messages_unmapped_total"] != 0 {
				t.Errorf("%v messages are unmapped", m["pawl_messages_unmapped_total"])
			}
			stop()
			var replayed bytes.Buffer
			if _, err := (Replay{House: h, Lines: Lines{W: &replayed, JSON: true}}).Run(bytes.NewReader(captured.bytes())); err != nil {
				t.Fatal(err)
			}
			sameEntries(t, replayed.String(), string(said.bytes()))
			t.Logf("said: a ratchet %v, a mark %v", strings.Contains(replayed.String(), `"rule":"ratchet"`), strings.Contains(replayed.String(), `"entry":"mark"`))
		})
	}
}

// stoppable runs a daemon until it is stopped.
func stoppable(t *testing.T, h *house.House, o Options) (d *Daemon, stop func()) {
	t.Helper()
	h.Page = "127.0.0.1:0"
	d = New(h, o)
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() {
		if err := d.Run(ctx); err != nil {
			t.Errorf("run: %v", err)
		}
	})
	stop = func() {
		cancel()
		run.Wait()
	}
	t.Cleanup(stop)
	return d, stop
}

// TestNetworkIsCut takes the cable out for a minute in the middle of a service: the page says
// since when and keeps its numbers, and what was moved meanwhile is known as soon as the
// desk is heard again.
func TestNetworkIsCut(t *testing.T) {
	clock := fastClock()
	h := harbourHall(t)
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	want := atTheEnd(t, h, script)
	var cut atomic.Bool
	h.Desk = road(t, clock, playDesk(t, clock, "ratchet").Addr(), func(p onRoad) []onRoad {
		if cut.Load() {
			return nil
		}
		return []onRoad{p}
	})
	d := start(t, h, Options{Clock: clock})
	page := openTablet(t, d.Page())
	before := page.until("a mark", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" && s.Mark.Set })
	cut.Store(true)
	s := page.until("a minute of quiet", func(s dashboard.Now) bool { return s.Link.Phase == "quiet" && s.Link.Age >= 60 })
	if !strings.HasPrefix(s.Link.Text, "Nothing from the desk for ") {
		t.Errorf("the page says %q", s.Link.Text)
	}
	if !s.Mark.Set || s.Basis != before.Basis {
		t.Errorf("in the quiet the mark is %+v on %q, before it was %+v on %q", s.Mark, s.Basis, before.Mark, before.Basis)
	}
	cut.Store(false)
	page.until("the desk, and every fader where it is", func(s dashboard.Now) bool {
		return s.Link.Phase == "hearing" && slices.Equal(standing(t, d), want)
	})
}

// TestDeskComesBackOnAnotherPort has a desk go on from another port than before: the page does
// not only call it quiet, but names the port that its packets come from, in each language.
func TestDeskComesBackOnAnotherPort(t *testing.T) {
	h, first := quietHouse(t)
	d := start(t, h, Options{})
	_, pawl, err := first.ReadFromUDPAddrPort(make([]byte, 100))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := first.WriteToUDPAddrPort(message(t, "/in/1/throw", float32(-10)), pawl); err != nil {
		t.Fatal(err)
	}
	page := openTablet(t, d.Page())
	page.until("the desk", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" })
	second, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(pawl))
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	_, port, _ := net.SplitHostPort(second.LocalAddr().String())
	page.until("the new port", func(s dashboard.Now) bool {
		_, _ = second.Write(message(t, "/in/1/throw", float32(-5)))
		return s.Link.Phase == "quiet" && strings.Contains(s.Link.Text, "packets come from its port "+port+": write that port, or any-port: yes")
	})
	if faders := standing(t, d); faders[0] != -10 {
		t.Errorf("the fader is at %v: somebody else was believed", faders[0])
	}
}

// TestConnectStorm has hundreds of screens come and go as fast as they can while a service is
// watched: live ones, half ones and ones that say nothing. A tablet that is there goes on
// hearing and is obeyed, and all that is left in the end is that tablet.
func TestConnectStorm(t *testing.T) {
	const screens, atOnce = 1000, 20
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	d := start(t, h, Options{Clock: clock})
	page := openTablet(t, d.Page())
	before := page.until("the desk", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" && s.Basis != "" })
	at := strings.TrimSuffix(strings.TrimPrefix(d.Page(), "http://"), "/")
	began := time.Now()
	var storm sync.WaitGroup
	var live atomic.Int64
	for k := range atOnce {
		storm.Go(func() {
			for i := k; i < screens; i += atOnce {
				if i%5 == 4 { // half a question
					if conn, err := net.Dial("tcp", at); err == nil {
						_, _ = conn.Write([]byte("GET /live HTTP/1.1\r\nHost: " + at + "\r\nUpgrade: web"))
						conn.Close()
					}
					continue
				}
				conn, _, err := websocket.DefaultDialer.Dial("ws://"+at+"/live", nil)
				if err != nil {
					continue // as many as are served are here
				}
				live.Add(1)
				if i%2 == 0 {
					_, _, _ = conn.ReadMessage()
				}
				conn.Close()
			}
		})
	}
	page.until("half a minute more", func(s dashboard.Now) bool { return s.T >= before.T+rules.Moment(30*time.Second) })
	storm.Wait()
	took := time.Since(began)
	page.until("only this tablet", func(dashboard.Now) bool { return metricsOf(t, d)["pawl_page_clients"] == 1 })
	s := page.until("the desk", func(s dashboard.Now) bool {
		return s.Link.Phase == "hearing" && s.T > before.T+rules.Moment(30*time.Second)
	})
	page.press(rules.Press{Do: rules.SetMark})
	page.until("a mark by hand", func(s dashboard.Now) bool { return s.Mark.How == desk.ByHand })
	if live.Load() < screens/10 || s.Link.Packets <= before.Link.Packets {
		t.Errorf("%d screens were live, and the desk was heard %v times after %v", live.Load(), s.Link.Packets, before.Link.Packets)
	}
	// On a busy machine the screens, which are here too, take the loop's time.
	t.Logf("%d screens in %v, %d of them live; %v packets of the desk were dropped", screens, took, live.Load(), metricsOf(t, d)["pawl_packets_dropped_total"])
}

// TestClockIsStepped sets the time of day forwards by an hour in the middle of a service, and
// back by two: what is said and when does not know of it, and the record says that it was.
func TestClockIsStepped(t *testing.T) {
	path := filepath.Join(t.TempDir(), "evening.record")
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	h.Page = "127.0.0.1:0"
	lines, captured := &printed{}, &signalled{}
	logged := &signalled{want: "the clock was put back"}
	d := New(h, Options{Clock: clock, Lines: Lines{W: lines, JSON: true}, Capture: captured, Record: path, Log: slog.New(slog.NewTextHandler(logged, nil))})
	var off atomic.Int64
	d.storing = store.Options{Every: 10 * time.Millisecond, Wall: func() time.Time { return time.Now().Add(time.Duration(off.Load())) }}
	startDaemon(t, d)
	page := openTablet(t, d.Page())
	page.until("a mark", func(s dashboard.Now) bool { return s.Mark.Set })
	off.Store(int64(time.Hour))
	page.until("a minute and more of raises", func(s dashboard.Now) bool { return s.T >= rules.Moment(110*time.Second) })
	off.Store(int64(-time.Hour))
	logged.wait(t)
	if err := d.record.Flush(); err != nil {
		t.Fatal(err)
	}
	heads := lines.heads(t)
	for i := 1; i < len(heads); i++ {
		if heads[i].T < heads[i-1].T || time.Duration(heads[i].T) > clock.Now() {
			t.Fatalf("entry %d is of %v, after one of %v", i, time.Duration(heads[i].T), time.Duration(heads[i-1].T))
		}
	}
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil || len(all) != 1 {
		t.Fatalf("services %+v, %v", all, err)
	}
}
