package dashboard

import (
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"math"
	"os"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"

	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// A client without a connection: the hub only fills its outbox and dismisses it.
func onlooker() *client {
	return &client{name: "test", audience: audience{speaker: words.Own().For("")}, outbox: make(chan *websocket.PreparedMessage, outboxSize), gone: make(chan struct{})}
}

func testHub() *hub { return newHub("0123456789abcdef", words.Own(), slog.New(slog.DiscardHandler)) }

// twoAt are two entries of a time.
func twoAt(t float64) []rules.Entry {
	return []rules.Entry{aSecond(t, desk.Split{}), moved(t, "piano", 2)}
}

func at(t float64) Now { return Now{Picture: rules.Picture{T: moment(t)}} }

func TestBeatsArePaced(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, c := testHub(), onlooker()
		h.join(c)
		<-c.outbox
		for i := range 500 { // one every 2 ms for a second
			h.publish(at(float64(i)/500), nil, false)
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
		h.publish(at(1), nil, false)
		for len(c.outbox) > 0 {
			<-c.outbox
		}
		h.publish(at(1.01), nil, false)
		if got := len(c.outbox); got != 0 {
			t.Fatalf("%d beats left early, want none", got)
		}
		h.publish(at(1.02), nil, true)
		if got := len(c.outbox); got != 1 {
			t.Errorf("%d beats left at once for an urgent moment, want 1", got)
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
		h.publish(at(1), twoAt(1), false)
		h.publish(at(2), twoAt(2), false) // waits
		f := decoded(t, h)
		if len(f.Entries) != 2 || f.Now.T != 1 {
			t.Errorf("whole has %d entries and t %v before the beat left, want 2 and 1", len(f.Entries), f.Now.T)
		}
		time.Sleep(beat)
		synctest.Wait()
		f = decoded(t, h)
		if len(f.Entries) != 4 || f.Now.T != 2 {
			t.Errorf("whole has %d entries and t %v after it left, want 4 and 2", len(f.Entries), f.Now.T)
		}
	})
}

func TestResetSendsTheWhole(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := testHub()
		h.publish(at(1), twoAt(1), true)
		h.reset()
		h.publish(at(2), twoAt(2), true)
		if f := decoded(t, h); len(f.Entries) != 2 || f.Entries[0].T != 2 {
			t.Errorf("after a reset the entries are %v, want only those of 2 s", f.Entries)
		}
	})
}

func TestFullOutboxDrops(t *testing.T) {
	h, c := testHub(), onlooker()
	h.join(c)
	for i := range outboxSize + 1 {
		h.publish(at(float64(i)), nil, true)
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
	one := func(i int) *client { // of an address of its own: one alone has not so many
		c := onlooker()
		c.name = fmt.Sprintf("10.0.0.%d:2000", i)
		return c
	}
	for i := range mostClients {
		if !h.join(one(i)) {
			t.Fatal("refused while there was room")
		}
	}
	if h.join(one(mostClients)) {
		t.Error("one more than we serve was let in")
	}
	if got := h.stats().Refused; got != 1 {
		t.Errorf("%d refused, want 1", got)
	}
}

func TestHistoryKeepsTenMinutes(t *testing.T) {
	var h history
	for i := range 2000 {
		h.add(moment(float64(i)), twoAt(float64(i)))
	}
	if len(h) != 2*601 || h[0].Head().T != moment(1399) {
		t.Errorf("kept %d from %v, want 1202 from 1399 s", len(h), h[0].Head().T)
	}
	h.add(moment(1e6), nil)
	if len(h) != 0 {
		t.Errorf("kept %d of long ago, want none", len(h))
	}
}

func TestHistoryOfAFlood(t *testing.T) {
	var h history
	flood := make([]rules.Entry, 5000)
	for i := range flood {
		flood[i] = moved(10, fmt.Sprint("input ", i), 1)
	}
	h.add(moment(10), flood)
	if len(h) != mostKept || h[mostKept-1] != flood[4999] {
		t.Errorf("kept %d, want the newest %d", len(h), mostKept)
	}
}

// What cannot be written is counted, and the next moment is sent.
func TestUnwritableMoment(t *testing.T) {
	h, c := testHub(), onlooker()
	h.join(c)
	h.publish(Now{Link: Link{Age: math.NaN()}}, nil, true)
	h.publish(at(1), nil, true)
	if got := h.stats(); got.Faults != 1 || len(c.outbox) != 2 {
		t.Errorf("%d faults and %d frames, want 1 and 2", got.Faults, len(c.outbox))
	}
}

// heard is a frame as one reads it who wants the facts alone.
type heard struct {
	Frame, Page, Language string
	Languages             []words.Language
	Now                   struct {
		T     float64
		At    float64
		Card  *struct{ Words *rules.Words }
		Words NowWords
	}
	Entries []struct {
		T     float64
		Entry rules.EntryKind
		Who   desk.Who
		Words *rules.Words
	}
}

func decoded(t *testing.T, h *hub) heard {
	t.Helper()
	data, err := h.snapshot(audience{speaker: words.Own().For("")})
	if err != nil {
		t.Fatal(err)
	}
	var f heard
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

// A page is told what the time is at T, from the start, by the caller or else by the
// clock.
func TestTimeOfWhatIsSaid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := testHub()
		clock := func() float64 { return float64(time.Now().UnixMilli()) / 1000 }
		if got := decoded(t, h).Now.At; got != clock() {
			t.Errorf("before anything was published it is %v, want %v", got, clock())
		}
		time.Sleep(time.Hour) // the bubble's clock
		h.publish(at(1), nil, true)
		if got := decoded(t, h).Now.At; got != clock() {
			t.Errorf("the time is %v, want %v", got, clock())
		}
		h.publish(calmStory().now, nil, true)
		if got, want := decoded(t, h).Now.At, evening(19, 32, 5); got != want {
			t.Errorf("the time is %v, want the caller's %v", got, want)
		}
	})
}
