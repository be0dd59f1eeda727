package dashboard

import (
	"errors"
	"log/slog"
	"net"
	"reflect"
	"sync"
	"time"

	"github.com/gorilla/websocket"

	"pawl/rules"
	"pawl/rules/words"
)

const (
	beat        = 100 * time.Millisecond // the shortest time between frames that are not urgent
	mostClients = 128
)

// hub holds what has left for the pages and who they are. Whole frames and beats
// leave under one lock, so a beat can never overtake the whole frame it adds to.
type hub struct {
	page  string
	words *words.Catalogues
	log   *slog.Logger

	running sync.WaitGroup // one for each client that joined and has not finished

	mu      sync.Mutex // guards all below
	said    Now        // what the last frame said
	history history    // and all it built on
	next    Now        // published and not yet said
	fresh   history
	waiting bool     // next holds something
	anew    bool     // the next frame must be whole
	coached coaching // what the last frame said to coaches besides
	coach   coaching // published and not yet said, or the same
	left    time.Time
	timer   *time.Timer // set while a beat waits for its turn
	clients map[*client]struct{}
	closed  bool
	voices  map[*words.Speaker]*voice
	counts  Stats // all but Clients
}

func newHub(page string, w *words.Catalogues, log *slog.Logger) *hub {
	waiting := Now{Link: Link{Phase: Waiting, Says: rules.Say("link.starting")}}.dated()
	return &hub{page: page, words: w, log: log, said: waiting, clients: map[*client]struct{}{}, voices: map[*words.Speaker]*voice{}}
}

func (h *hub) publish(now Now, entries []rules.Entry, urgent bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return
	}
	h.next, h.waiting = now.dated(), true
	h.fresh.add(now.T, entries)
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
	h.history, h.fresh = nil, nil
	h.coach = coaching{}
	h.anew = true
}

// coaching is what coaches' pages are told besides. A pointer that was said before says
// that nothing of it is new.
type coaching struct {
	Ledger *rules.Ledger
	Book   *rules.Book
}

// publishCoach takes what the next frame says to coaches besides.
func (h *hub) publishCoach(c coaching) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if reflect.DeepEqual(c.Book, h.coach.Book) {
		c.Book = h.coach.Book
	}
	h.coach = c
}

// news is what of it was not said yet.
func (c coaching) news(said coaching) coaching {
	if c.Ledger == said.Ledger {
		c.Ledger = nil
	}
	if c.Book == said.Book {
		c.Book = nil
	}
	return c
}

// audience is whom a frame is made for.
type audience struct {
	speaker *words.Speaker
	coach   bool
}

// flush says what waits to everyone. The caller holds the lock.
func (h *hub) flush() {
	h.stopTimer()
	h.left = time.Now()
	f := frame{Frame: "beat", Now: h.next, Entries: h.fresh}
	f.coaching = h.coach.news(h.coached)
	h.said, h.waiting, h.coached = h.next, false, h.coach
	h.history.add(h.next.T, h.fresh)
	if h.anew {
		f, h.anew = h.whole(), false
	}
	h.sendAll(f)
	clear(h.fresh)
	h.fresh = h.fresh[:0]
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
	return frame{Frame: "whole", Page: h.page, Languages: h.words.Languages(), Now: h.said, Entries: h.history, coaching: h.coached}
}

// sendAll sends a frame to everyone, made once for each kind of page and language that
// somebody reads.
func (h *hub) sendAll(f frame) {
	made := map[audience]*websocket.PreparedMessage{}
	for c := range h.clients {
		m, ok := made[c.audience]
		if !ok {
			m = h.prepare(f, c.audience)
			made[c.audience] = m
		}
		if m != nil && !c.offer(m) {
			h.drop(c)
		}
	}
}

// voice is the one of a language. The caller holds the lock.
func (h *hub) voice(s *words.Speaker) *voice { return keep(h.voices, s, newVoice) }

// prepare is nil for a frame that cannot be written, which is said in the log.
func (h *hub) prepare(f frame, a audience) *websocket.PreparedMessage {
	f.coach = a.coach
	m, err := prepare(f.encode(h.voice(a.speaker)))
	if err != nil {
		h.counts.Faults++
		h.log.Error("write a frame", "error", err)
		return nil
	}
	h.counts.Frames++
	return m
}

// join gives c the whole frame first and every beat from then on. It reports
// false, and c gets nothing, when the hub is closed or full. A client that
// joined must be finished.
func (h *hub) join(c *client) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.clients) >= mostClients || h.from(addressOf(c.name)) >= mostClientsOfOne {
		h.counts.Refused++
		return false
	}
	m := h.prepare(h.whole(), c.audience)
	if m == nil || !c.offer(m) {
		return false
	}
	h.clients[c] = struct{}{}
	h.running.Add(1)
	return true
}

// from counts the clients of an address. The caller holds the lock.
func (h *hub) from(address string) (n int) {
	for c := range h.clients {
		if addressOf(c.name) == address {
			n++
		}
	}
	return n
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

// dismiss sends away the clients whose key says so.
func (h *hub) dismiss(gone func(key string) bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for c := range h.clients {
		if gone(c.visitor.key) {
			h.remove(c, websocket.ClosePolicyViolation)
		}
	}
}

// byKey counts the clients of each key.
func (h *hub) byKey() map[string]int {
	h.mu.Lock()
	defer h.mu.Unlock()
	n := map[string]int{}
	for c := range h.clients {
		n[c.visitor.key]++
	}
	return n
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

// snapshot is the whole frame as JSON, as that audience would get it.
func (h *hub) snapshot(a audience) ([]byte, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	f := h.whole()
	f.coach = a.coach
	return f.encode(h.voice(a.speaker))
}
