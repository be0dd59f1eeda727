package dashboard

import (
	"encoding/json"
	"io"
	"log/slog"
	"os"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"

	"pawl/rules/desk"
)

// A client without a connection: the hub only fills its outbox and dismisses it.
func onlooker() *client {
	return &client{name: "test", outbox: make(chan *websocket.PreparedMessage, outboxSize), gone: make(chan struct{})}
}

func testHub() *hub { return newHub("page", slog.New(slog.DiscardHandler)) }

func second(t float64) ([]Tide, []Step) { return []Tide{{T: t}}, []Step{{T: t, Who: "piano"}} }

func TestBeatsArePaced(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, c := testHub(), onlooker()
		h.join(c)
		<-c.outbox
		for i := range 500 { // one every 2 ms for a second
			h.publish(State{T: float64(i) / 500}, nil, nil, false)
			time.Sleep(2 * time.Millisecond) // the bubble's clock, not the wall's
		}
		synctest.Wait()
		if got := len(c.outbox); got < 9 || got > 11 {
			t.Errorf("%d beats left in a second, want 10", got)
		}
		h.windUp(t, c)
	})
}

func TestUrgentLeavesAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, c := testHub(), onlooker()
		h.join(c)
		h.publish(State{T: 1}, nil, nil, false)
		for len(c.outbox) > 0 {
			<-c.outbox
		}
		h.publish(State{T: 1.01}, nil, nil, false)
		if got := len(c.outbox); got != 0 {
			t.Fatalf("%d beats left early, want none", got)
		}
		h.publish(State{T: 1.02}, nil, nil, true)
		if got := len(c.outbox); got != 1 {
			t.Errorf("%d beats left at once for an urgent state, want 1", got)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		if got := len(c.outbox); got != 1 {
			t.Errorf("the urgent beat was followed by %d more with nothing new, want none", got-1)
		}
		h.windUp(t, c)
	})
}

// What is published while a beat waits belongs to the beat, and a page that comes
// in between must not get it twice.
func TestNothingIsSaidTwice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := testHub()
		tide, steps := second(1)
		h.publish(State{T: 1}, tide, steps, false)
		tide, steps = second(2)
		h.publish(State{T: 2}, tide, steps, false) // waits
		f := decoded(t, h)
		if len(f.Tide) != 1 || len(f.Steps) != 1 || f.State.T != 1 {
			t.Errorf("whole has %d tide, %d steps and t %v before the beat left, want 1, 1 and 1", len(f.Tide), len(f.Steps), f.State.T)
		}
		time.Sleep(beat)
		synctest.Wait()
		f = decoded(t, h)
		if len(f.Tide) != 2 || len(f.Steps) != 2 || f.State.T != 2 {
			t.Errorf("whole has %d tide, %d steps and t %v after it left, want 2, 2 and 2", len(f.Tide), len(f.Steps), f.State.T)
		}
	})
}

func TestResetSendsTheWhole(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := testHub()
		tide, steps := second(1)
		h.publish(State{T: 1}, tide, steps, true)
		h.reset()
		tide, steps = second(2)
		h.publish(State{T: 2}, tide, steps, true)
		if f := decoded(t, h); len(f.Tide) != 1 || f.Tide[0].T != 2 {
			t.Errorf("after a reset the tide is %v, want only that of 2 s", f.Tide)
		}
	})
}

func TestFullOutboxDrops(t *testing.T) {
	h, c := testHub(), onlooker()
	h.join(c)
	for i := range outboxSize + 1 {
		h.publish(State{T: float64(i)}, nil, nil, true)
	}
	select {
	case <-c.gone:
	default:
		t.Fatal("a client whose outbox is full is still in")
	}
	if c.code != websocket.CloseTryAgainLater {
		t.Errorf("its close code is %d, want %d", c.code, websocket.CloseTryAgainLater)
	}
	if got := h.stats(); got.Dropped != 1 || got.Clients != 0 {
		t.Errorf("stats are %+v, want 1 dropped and nobody in", got)
	}
	h.finished()
}

func TestWhoLeftAndWhoWasSlow(t *testing.T) {
	for _, test := range []struct {
		name    string
		ended   error
		dropped uint64
	}{
		{"went away", nil, 0},
		{"was cut off", io.ErrClosedPipe, 0},
		{"took too long", os.ErrDeadlineExceeded, 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			h, c := testHub(), onlooker()
			h.join(c)
			written := make(chan error, 1)
			written <- test.ended
			h.leave(c, written)
			if got := h.stats(); got.Dropped != test.dropped || got.Clients != 0 {
				t.Errorf("stats are %+v, want %d dropped and nobody in", got, test.dropped)
			}
		})
	}
}

func TestAsManyAsWeServe(t *testing.T) {
	h := testHub()
	for range mostClients {
		if !h.join(onlooker()) {
			t.Fatal("refused while there was room")
		}
	}
	if h.join(onlooker()) {
		t.Error("one more than we serve was let in")
	}
	if got := h.stats().Refused; got != 1 {
		t.Errorf("%d refused, want 1", got)
	}
}

func TestHistoryKeepsTenMinutes(t *testing.T) {
	var h history
	for i := range 2000 {
		tide, steps := second(float64(i))
		h.add(float64(i), tide, steps)
	}
	if len(h.tide) != 601 || h.tide[0].T != 1399 || len(h.steps) != 601 {
		t.Errorf("kept %d tide from %v and %d steps, want 601 from 1399 and 601", len(h.tide), h.tide[0].T, len(h.steps))
	}
	h.add(1e6, nil, nil)
	if len(h.tide)+len(h.steps) != 0 {
		t.Errorf("kept %d of long ago, want none", len(h.tide)+len(h.steps))
	}
	h.add(1e6, make([]Tide, 5000), nil)
	if len(h.tide) > mostKept {
		t.Errorf("kept %d, want at most %d", len(h.tide), mostKept)
	}
}

func TestHistoryOfAFlood(t *testing.T) {
	var h history
	flood := make([]Tide, 5000)
	for i := range flood {
		flood[i].T = 10
	}
	h.add(10, flood, nil)
	if len(h.tide) != mostKept {
		t.Errorf("kept %d, want %d", len(h.tide), mostKept)
	}
}

// A state that cannot be written is counted, and the next one is sent.
func TestUnwritableState(t *testing.T) {
	h, c := testHub(), onlooker()
	h.join(c)
	h.publish(State{T: float64(desk.Off)}, nil, nil, true)
	h.publish(State{T: 1}, nil, nil, true)
	if got := h.stats(); got.Faults != 1 || len(c.outbox) != 2 {
		t.Errorf("%d faults and %d frames, want 1 and 2", got.Faults, len(c.outbox))
	}
}

func decoded(t *testing.T, h *hub) frame {
	t.Helper()
	data, err := h.snapshot()
	if err != nil {
		t.Fatal(err)
	}
	var f frame
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

// windUp ends the hub as Serve would, with the client's part played here.
func (h *hub) windUp(t *testing.T, c *client) {
	t.Helper()
	h.finished()
	h.close()
	if c.code != websocket.CloseGoingAway {
		t.Errorf("close code %d, want %d", c.code, websocket.CloseGoingAway)
	}
}
