package dashboard

import (
	"errors"
	"log/slog"
	"net"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

const (
	beat        = 100 * time.Millisecond // the shortest time between frames that are not urgent
	mostClients = 128
)

// hub holds what has left for the pages and who they are. Whole frames and beats
// leave under one lock, so a beat can never overtake the whole frame it adds to.
type hub struct {
	page string
	log  *slog.Logger

	running sync.WaitGroup // one for each client that joined and has not finished

	mu      sync.Mutex // guards all below
	said    State      // what the last frame said
	history history    // and all it built on
	next    State      // published and not yet said
	fresh   history
	waiting bool // next holds something
	anew    bool // the next frame must be whole
	left    time.Time
	timer   *time.Timer // set while a beat waits for its turn
	clients map[*client]struct{}
	closed  bool
	counts  Stats // all but Clients
}

func newHub(page string, log *slog.Logger) *hub {
	waiting := State{Link: Link{Phase: "waiting"}}
	return &hub{page: page, log: log, said: waiting, clients: map[*client]struct{}{}}
}

func (h *hub) publish(st State, tide []Tide, steps []Step, urgent bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return
	}
	h.next, h.waiting = st, true
	h.fresh.add(st.T, tide, steps)
	wait := beat - time.Since(h.left)
	if urgent || wait <= 0 {
		h.flush()
	} else if h.timer == nil {
		h.timer = time.AfterFunc(wait, h.turn)
	}
}

// turn sends the beat that had to wait.
func (h *hub) turn() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.timer != nil && h.waiting && !h.closed {
		h.flush()
	}
}

func (h *hub) reset() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.history, h.fresh = history{}, history{}
	h.anew = true
}

// flush says what waits to everyone. The caller holds the lock.
func (h *hub) flush() {
	h.stopTimer()
	h.left = time.Now()
	f := frame{Frame: "beat", State: h.next, Tide: h.fresh.tide, Steps: h.fresh.steps}
	h.said, h.waiting = h.next, false
	h.history.add(h.next.T, h.fresh.tide, h.fresh.steps)
	if h.anew {
		f, h.anew = h.whole(), false
	}
	h.sendAll(f)
	h.fresh = history{tide: h.fresh.tide[:0], steps: h.fresh.steps[:0]}
}

func (h *hub) stopTimer() {
	if h.timer != nil {
		h.timer.Stop()
		h.timer = nil
	}
}

// whole is all that has been said so far. The caller holds the lock and encodes
// the frame before letting go of it.
func (h *hub) whole() frame {
	return frame{Frame: "whole", Page: h.page, State: h.said, Tide: h.history.tide, Steps: h.history.steps}
}

func (h *hub) sendAll(f frame) {
	if len(h.clients) == 0 {
		return
	}
	m, ok := h.prepare(f)
	if !ok {
		return
	}
	for c := range h.clients {
		if !c.offer(m) {
			h.drop(c)
		}
	}
}

func (h *hub) prepare(f frame) (*websocket.PreparedMessage, bool) {
	m, err := f.prepare()
	if err != nil {
		h.counts.Faults++
		h.log.Error("write a frame", "error", err)
		return nil, false
	}
	h.counts.Frames++
	return m, true
}

// join gives c the whole frame first and every beat from then on. It reports
// false, and c gets nothing, when the hub is closed or full. A client that
// joined must be finished.
func (h *hub) join(c *client) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.clients) >= mostClients {
		h.counts.Refused++
		return false
	}
	m, ok := h.prepare(h.whole())
	if !ok || !c.offer(m) {
		return false
	}
	h.clients[c] = struct{}{}
	h.running.Add(1)
	return true
}

// leave takes c out, if it is still in, and waits for its writer to end. A write
// that timed out while c was in is a tablet that could not keep up, too.
func (h *hub) leave(c *client, written <-chan error) {
	h.mu.Lock()
	_, in := h.clients[c]
	h.remove(c, websocket.CloseNormalClosure)
	h.mu.Unlock()
	var late net.Error
	if err := <-written; in && errors.As(err, &late) && late.Timeout() {
		h.mu.Lock()
		h.drop(c)
		h.mu.Unlock()
	}
}

// drop counts c as one that could not keep up and removes it if it is still in.
// The caller holds the lock.
func (h *hub) drop(c *client) {
	h.counts.Dropped++
	h.log.Info("tablet could not keep up and was asked to come back", "tablet", c.name)
	h.remove(c, websocket.CloseTryAgainLater)
}

// finished says that both goroutines of a client that joined have ended.
func (h *hub) finished() { h.running.Done() }

// remove expects the lock to be held.
func (h *hub) remove(c *client, farewell int) {
	if _, in := h.clients[c]; in {
		delete(h.clients, c)
		c.dismiss(farewell)
	}
}

// close sends every client away and waits until the last is gone.
func (h *hub) close() {
	h.mu.Lock()
	h.closed = true
	h.stopTimer()
	for c := range h.clients {
		h.remove(c, websocket.CloseGoingAway)
	}
	h.mu.Unlock()
	h.running.Wait()
}

func (h *hub) stats() Stats {
	h.mu.Lock()
	defer h.mu.Unlock()
	s := h.counts
	s.Clients = len(h.clients)
	return s
}

// snapshot is the whole frame as JSON.
func (h *hub) snapshot() ([]byte, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.whole().encode()
}
