package link

import (
	"context"
	"errors"
	"fmt"
	"net/netip"
	"os"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"pawl/oscmap"
)

func TestPhases(t *testing.T) {
	withRig(t, Options{}, func(r *rig) {
		r.wantPhase(Waiting, "")
		r.pass(5*s - 1)
		r.wantPhase(Waiting, "")
		r.pass(1)
		r.wantPhase(Waiting, "nothing has come from 192.0.2.10:10700 in 5s; the map asks it nothing, and most desks tell only who asks: see link.ask, or check that it is on")
		r.says(desk, "a")
		r.wantPhase(Hearing, "")
		r.pass(4 * s)
		r.says(desk, "b")
		r.pass(5*s - 1)
		r.wantPhase(Hearing, "")
		r.pass(1)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 5s; it is asked again until it answers")
		r.pass(time.Hour)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 1h0m5s; it is asked again until it answers")
		r.says(desk, "c")
		r.wantPhase(Hearing, "")
		if s := r.link.Status(); s.WentQuiet != 1 || s.Packets != 3 || s.Bytes != 3 || s.LastHeard != 9*time.Second+time.Hour+5*time.Second {
			t.Errorf("%+v; want one silence, 3 packets of 3 bytes, the last at 1h0m14s", s)
		}
	})
}

func TestPhasesInFasterTime(t *testing.T) {
	withRig(t, Options{Clock: Clock{Speed: 4}, StaleAfter: 8 * s, Asks: mapped(t, "{send: /listen, every: 4s}")}, func(r *rig) {
		r.says(desk, "a")
		r.pass(2*s - 1)
		r.wantPhase(Hearing, "")
		r.pass(1)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 8s; it is asked again until it answers")
		r.wantSent("0s /listen", "4s /listen", "8s /listen")
	})
}

func TestTakenWithTheTimeOfArrival(t *testing.T) {
	withRig(t, Options{}, func(r *rig) {
		r.pass(1500 * time.Millisecond)
		r.says(desk, "a")
		r.pass(s)
		r.says(desk, "")
		<-r.link.Ready()
		got, want := r.link.Take(nil), []Packet{{1500 * time.Millisecond, []byte("a"), desk}, {2500 * time.Millisecond, []byte{}, desk}}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("got %v, want %v", got, want)
		}
		select {
		case <-r.link.Ready():
			t.Error("ready with nothing there")
		default:
		}
	})
}

func TestWhoIsBelieved(t *testing.T) {
	otherPort := netip.AddrPortFrom(desk.Addr(), 1)
	stranger := netip.MustParseAddrPort("192.0.2.99:10700")
	mapped4 := netip.AddrPortFrom(netip.AddrFrom16(desk.Addr().As16()), desk.Port())
	tests := []struct {
		name    string
		anyPort bool
		from    netip.AddrPort
		want    bool
	}{
		{"the desk", false, desk, true},
		{"the desk, as a socket of both families sees it", false, mapped4, true},
		{"another port of it", false, otherPort, false},
		{"another port, which it may use", true, otherPort, true},
		{"a stranger", false, stranger, false},
		{"a stranger, whatever the port", true, stranger, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			withRig(t, Options{AnyPort: tt.anyPort}, func(r *rig) {
				r.says(tt.from, "a")
				st := r.link.Status()
				if got := st.Packets == 1 && len(r.link.Take(nil)) == 1; got != tt.want {
					t.Errorf("believed %v, want %v", got, tt.want)
				}
				if strange := st.Strangers == 1 && st.LastStranger == tt.from; strange == tt.want {
					t.Errorf("a stranger: %v (%v), want %v", strange, st.LastStranger, !tt.want)
				}
			})
		})
	}
}

func TestOnlyStrangers(t *testing.T) {
	withRig(t, Options{}, func(r *rig) {
		r.says(netip.MustParseAddrPort("192.0.2.99:10700"), "a")
		r.pass(5 * s)
		r.wantPhase(Waiting, "packets come from 192.0.2.99:10700, but none from 192.0.2.10:10700 in 5s; check the desk's address")
	})
}

// A desk that sends from another port after it was started anew is told of as that, and not
// only as quiet; and as before once it is silent there too.
func TestDeskChangesItsPort(t *testing.T) {
	moved := netip.MustParseAddrPort("192.0.2.10:10999")
	withRig(t, Options{}, func(r *rig) {
		r.says(moved, "a")
		r.says(desk, "a")
		r.pass(5 * s)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 5s; it is asked again until it answers")
		r.says(moved, "a")
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 5s, but packets come from its port 10999: write that port, or any-port: yes in the house file")
		r.says(netip.MustParseAddrPort("192.0.2.99:10700"), "a")
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 5s; it is asked again until it answers")
		r.says(desk, "a")
		r.wantPhase(Hearing, "")
	})
	withRig(t, Options{}, func(r *rig) {
		r.pass(s)
		r.says(moved, "a")
		r.pass(4 * s)
		r.wantPhase(Waiting, "nothing has come from 192.0.2.10:10700 for 5s, but packets come from its port 10999: write that port, or any-port: yes in the house file")
	})
}

func TestAnyoneIsBelievedWithoutADesk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		withRunning(t, Options{}, func(l *Link) { l.opts.Desk, l.desk = "", target{} }, func(r *rig) {
			r.says(netip.MustParseAddrPort("192.0.2.99:10700"), "a")
			if got := r.link.Take(nil); len(got) != 1 {
				t.Errorf("%d packets, want 1", len(got))
			}
		})
	})
}

func TestAsks(t *testing.T) {
	asks := mapped(t, "{send: /listen, every: 8s}", "{send: /all, on: [connect, return]}", "{send: /poke, after-silence: 3s}")
	withRig(t, Options{Asks: asks}, func(r *rig) {
		r.wantSent("0s /listen", "0s /all")
		r.pass(2 * s)
		r.says(desk, "a")
		r.pass(2900 * time.Millisecond)
		r.wantSent()
		r.pass(200 * time.Millisecond)
		r.wantSent("5s /poke")
		r.pass(2 * s) // 7.1 s: quiet; the opening is tried again
		r.wantSent("7s /all")
		r.pass(1 * s)
		r.wantSent("8s /listen", "8s /poke")
		r.pass(400 * time.Millisecond)
		r.says(desk, "b") // back
		r.wantSent("8.5s /all")
		r.pass(400 * time.Millisecond)
		r.says(desk, "c")
		r.wantSent()
		if got := r.link.Status().Asked; got != 7 {
			t.Errorf("%d asked, want 7", got)
		}
	})
}

func TestDeskThatComesLate(t *testing.T) {
	asks := mapped(t, "{send: /hello, on: connect}", "{send: /all, on: return}")
	withRig(t, Options{Asks: asks}, func(r *rig) {
		r.pass(3 * time.Minute)
		// It was off: 5 s, then twice as long each time, at most a minute.
		r.wantSent("0s /hello", "5s /hello", "15s /hello", "35s /hello", "1m15s /hello", "2m15s /hello")
		r.says(desk, "a")
		r.wantSent("3m0s /hello", "3m0s /all")
		r.pass(4 * s)
		r.says(desk, "b")
		r.wantSent()
	})
	withRig(t, Options{Asks: asks}, func(r *rig) {
		r.says(desk, "a")
		r.wantSent("0s /hello") // it was there from the start
	})
}

func TestRefusedIsSaid(t *testing.T) {
	asks := mapped(t, "{send: /listen, every: 8s}")
	refused := &os.SyscallError{Syscall: "recvfrom", Err: syscall.ECONNREFUSED}
	withRig(t, Options{Asks: asks}, func(r *rig) {
		r.sock.in <- fakeRead{err: refused}
		synctest.Wait()
		r.wantPhase(Waiting, "nothing listens at 192.0.2.10:10700; check that the desk is on, and its port")
		r.says(desk, "a")
		r.wantPhase(Hearing, "")
		// A send may be told of the refusal instead, in place of being sent.
		r.sock.mu.Lock()
		r.sock.fail = []error{refused}
		r.sock.mu.Unlock()
		r.pass(8 * s)
		r.wantSent("0s /listen", "8s /listen")
		r.wantPhase(Quiet, "nothing listens at 192.0.2.10:10700; check that the desk is on, and its port")
		// What was said a minute ago is no news.
		r.pass(time.Minute)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 1m8s; it is asked again until it answers")
	})
}

func TestTroubleIsOverOnceHeard(t *testing.T) {
	withRig(t, Options{}, func(r *rig) {
		changed := r.link.Changed()
		r.sock.in <- fakeRead{err: syscall.ECONNREFUSED}
		synctest.Wait()
		select {
		case <-changed:
		default:
			t.Error("not told of the trouble")
		}
		r.says(desk, "a")
		r.pass(5 * s)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 5s; it is asked again until it answers")
	})
}

func TestAnEmptyAskIsNotSent(t *testing.T) {
	sock := &fakeSocket{}
	if err := (outlet{datagrams: sock, to: desk}).send(oscmap.Ask{}); err != nil || len(sock.sent) > 0 {
		t.Errorf("sent %v, %v; want nothing", sock.sent, err)
	}
}

func TestTroubleWithSending(t *testing.T) {
	tests := []struct {
		err  error
		want string
	}{
		{syscall.ENETUNREACH, "the network has no way to 192.0.2.10:10700; check the cable, and that this machine has an address in the desk's network"},
		{syscall.EACCES, "nothing may be sent to 192.0.2.10:10700, which is everybody's address in the network or forbidden here; write the desk's own"},
		{syscall.EPERM, "this machine's firewall lets nothing out to 192.0.2.10:10700; allow it there"},
		{errors.New("odd"), "the connection to 192.0.2.10:10700: odd"},
	}
	for _, tt := range tests {
		t.Run(tt.err.Error(), func(t *testing.T) {
			withRig(t, Options{Asks: mapped(t, "{send: /listen, every: 8s}")}, func(r *rig) {
				r.sock.mu.Lock()
				r.sock.fail = []error{tt.err}
				r.sock.mu.Unlock()
				r.pass(8 * s)
				r.wantPhase(Waiting, tt.want)
				r.pass(8 * s)
				if st := r.link.Status(); st.Asked != 2 || st.AskFailed != 1 {
					t.Errorf("%d asked and %d failed, want 2 and 1", st.Asked, st.AskFailed)
				}
			})
		})
	}
}

func TestReaderRestsAfterAnOddError(t *testing.T) {
	withRig(t, Options{}, func(r *rig) {
		r.sock.in <- fakeRead{err: errors.New("odd")}
		read := make(chan struct{})
		go func() { r.sock.in <- fakeRead{from: desk, data: "a"}; close(read) }()
		r.pass(s - 1)
		select {
		case <-read:
			t.Error("read again within a second")
		default:
		}
		r.pass(1)
		<-read
		r.wantPhase(Hearing, "")
	})
}

func TestDeskByName(t *testing.T) {
	first, second := netip.MustParseAddr("192.0.2.10"), netip.MustParseAddr("192.0.2.11")
	six := netip.MustParseAddr("2001:db8::10")
	asks := mapped(t, "{send: /hello, on: connect}", "{send: /all, on: return}", "{send: /listen, every: 1h}")
	var answers [][]netip.Addr
	look := func(context.Context, string) ([]netip.Addr, error) {
		a := answers[0]
		if len(answers) > 1 {
			answers = answers[1:]
		}
		if a == nil {
			return nil, errors.New("no such host")
		}
		return a, nil
	}
	synctest.Test(t, func(t *testing.T) {
		answers = [][]netip.Addr{nil, {netip.MustParseAddr("239.1.2.3"), six, netip.AddrFrom16(first.As16())}, {second}}
		o := Options{Desk: "desk.example:10700", Asks: asks}
		withRunning(t, o, func(l *Link) { l.lookUp = look }, func(r *rig) {
			r.wantPhase(Waiting, "the name desk.example is not known (no such host); check it, or write the desk's number")
			r.says(desk, "a") // not yet known to be the desk
			r.wantSent()
			r.pass(5 * s)
			r.wantSent("5s /hello", "5s /listen")
			r.says(netip.AddrPortFrom(six, 10700), "b") // it has two addresses
			r.says(desk, "c")
			if st := r.link.Status(); st.Strangers != 1 || st.Packets != 2 || r.link.deskAt != desk {
				t.Errorf("%+v; want 1 stranger, 2 packets, and %v", st, desk)
			}
			r.wantSent("5s /hello", "5s /all")
			r.pass(5 * s) // quiet: looked up again, and it has moved
			r.wantSent("10s /hello", "10s /hello to 192.0.2.11:10700", "10s /all to 192.0.2.11:10700", "10s /listen to 192.0.2.11:10700")
			r.says(desk, "d")
			r.says(netip.AddrPortFrom(second, 10700), "e")
			if st := r.link.Status(); st.Strangers != 2 || st.Packets != 3 {
				t.Errorf("%d strangers and %d packets, want 2 and 3", st.Strangers, st.Packets)
			}
		})
	})
}

func TestFullQueueIsCounted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		withRunning(t, Options{}, func(l *Link) { l.queue.init(2, 100) }, func(r *rig) {
			for i := range 5 {
				r.says(desk, fmt.Sprint(i))
			}
			got := r.link.Take(nil)
			if st := r.link.Status(); len(got) != 2 || string(got[0].Data) != "3" || st.Dropped != 3 || st.Packets != 5 {
				t.Errorf("%v with %d dropped, want 3 and 4 with 3 dropped", got, st.Dropped)
			}
		})
	})
}

func TestOpenRefuses(t *testing.T) {
	tests := []struct {
		name string
		o    Options
		want string
	}{
		{"asks to nobody", Options{Asks: mapped(t, "{send: /hello, on: connect}")}, "the desk's address is missing; want host:port"},
		{"a stream from nobody", Options{Transport: 1}, "the desk's address is missing; want host:port"},
		{"no port", Options{Desk: "192.0.2.10"}, `the desk's address "192.0.2.10"; want host:port, as in 192.0.2.10:10700`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := Open(tt.o); err == nil || err.Error() != tt.want {
				t.Errorf("got %v, want %s", err, tt.want)
			}
		})
	}
}

func TestHearingDoesNotAllocate(t *testing.T) {
	l, err := prepare(Options{Desk: desk.String(), Clock: Clock{Started: time.Now()}})
	if err != nil {
		t.Fatal(err)
	}
	l.moveTo([]netip.Addr{desk.Addr()})
	data := make([]byte, 400)
	var taken []Packet
	once := func() {
		for range 50 {
			l.receive(l.clock.Now(), desk, data)
			l.receive(l.clock.Now(), netip.AddrPortFrom(desk.Addr(), 1), data)
		}
		taken = l.Take(taken[:0])
	}
	once()
	once()
	if n := testing.AllocsPerRun(100, once); n != 0 {
		t.Errorf("%v allocations for 100 packets, want 0", n)
	}
}
