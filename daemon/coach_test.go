package daemon

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"pawl/rules"
	"pawl/rules/desk"
)

// screen is one page that looks, and every frame that it was sent.
type screen struct {
	coach  bool
	conn   *websocket.Conn
	frames [][]byte
	ledger []byte // the newest that it was told
	book   []byte
}

func openScreen(t *testing.T, page string, coach bool) *screen {
	t.Helper()
	address := strings.Replace(page, "http", "ws", 1) + "live"
	if coach {
		address += "?as=coach"
	}
	conn, _, err := websocket.DefaultDialer.Dial(address, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	if deadline, ok := t.Deadline(); ok {
		conn.SetReadDeadline(deadline.Add(-time.Second))
	}
	return &screen{coach: coach, conn: conn}
}

// until reads to the frame that has this text in it, and answers to so many presses.
func (s *screen) until(text string, answers int) error {
	var f struct {
		Frame  string          `json:"frame"`
		Ledger json.RawMessage `json:"ledger"`
		Book   json.RawMessage `json:"book"`
	}
	for found := false; !found || answers > 0; {
		_, data, err := s.conn.ReadMessage()
		if err != nil {
			return fmt.Errorf("waiting for %q and %d answers: %w", text, answers, err)
		}
		f.Ledger, f.Book = nil, nil
		if err := json.Unmarshal(data, &f); err != nil {
			return err
		}
		if f.Frame == "answer" {
			answers--
			continue
		}
		s.frames = append(s.frames, data)
		if f.Ledger != nil {
			s.ledger = f.Ledger
		}
		if f.Book != nil {
			s.book = f.Book
		}
		found = found || bytes.Contains(data, []byte(text))
	}
	return nil
}

// anyPress is something that a coach or an operator may press, most of the time in vain.
func anyPress(r *rand.Rand, coach bool) rules.Press {
	does := []rules.Do{rules.Seen, rules.NotNow, rules.SetMark, rules.NewSegment, rules.Back, rules.TellSeen}
	if coach {
		does = rules.Presses
	}
	texts := []string{"reel", "jig", "march", "listen to the choir"}
	return rules.Press{
		Do: does[r.IntN(len(does))], Number: r.IntN(6), On: r.IntN(2) == 0, Kind: desk.SegmentKinds[r.IntN(3)], Text: texts[r.IntN(len(texts))], Next: r.IntN(2) == 0, Place: r.IntN(4),
	}
}

// TestEverybodySeesTheSame: two coaches and five watchers look at one service and press what
// they like at once. Every watcher is sent the same frames to the last byte, and every coach
// those with what coaches are told besides.
func TestEverybodySeesTheSame(t *testing.T) {
	const coaches, all, each = 2, 7, 12
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	d := start(t, h, Options{Clock: clock})
	screens := make([]*screen, all)
	for i := range screens {
		screens[i] = openScreen(t, d.Page(), i < coaches)
	}
	do := func(i int, p rules.Press) {
		if err := screens[i].conn.WriteJSON(p); err != nil {
			t.Error(err)
		}
	}
	// A press before the desk was heard is refused, so whoever begins has waited for it.
	if err := screens[0].until(`"phase":"hearing"`, 0); err != nil {
		t.Fatal(err)
	}
	together := func(text string, answers int) {
		t.Helper()
		do(0, rules.Press{Do: rules.Note, Text: text})
		var wait sync.WaitGroup
		for i, s := range screens {
			more := answers
			if i == 0 {
				more++
			}
			wait.Go(func() {
				if err := s.until(`"text":"`+text+`"`, more); err != nil {
					t.Errorf("screen %d: %v", i, err)
				}
			})
		}
		wait.Wait()
		if t.Failed() {
			t.FailNow()
		}
	}
	together("all are here", 0)
	for _, s := range screens {
		s.frames = nil
	}
	var hands sync.WaitGroup
	for i := range screens {
		r := rand.New(rand.NewPCG(7, uint64(i)))
		hands.Go(func() {
			for range each {
				do(i, anyPress(r, i < coaches))
			}
		})
	}
	hands.Wait()
	together("all is done", each)
	together("and seen", 0)
	for _, s := range screens {
		s.frames = before(s.frames, `"text":"and seen"`)
	}
	if n := len(screens[0].frames); n < 5 {
		t.Fatalf("only %d frames", n)
	}
	for i, s := range screens {
		like := screens[all-1]
		if s.coach {
			like = screens[0]
		}
		if len(s.frames) != len(like.frames) {
			t.Fatalf("screen %d was sent %d frames, want %d", i, len(s.frames), len(like.frames))
		}
		for n := range s.frames {
			if !bytes.Equal(s.frames[n], like.frames[n]) {
				t.Fatalf("screen %d, frame %d:\n%s\nwant\n%s", i, n, s.frames[n], like.frames[n])
			}
		}
		if !bytes.Equal(s.ledger, like.ledger) || !bytes.Equal(s.book, like.book) || s.coach != (s.book != nil) || s.coach != (s.ledger != nil) {
			t.Errorf("screen %d has another book or ledger than those like it, or one that it should not", i)
		}
	}
	for n, data := range screens[0].frames {
		if got := withoutCoach(t, data); got != withoutCoach(t, screens[all-1].frames[n]) {
			t.Fatalf("frame %d tells a coach something else of the service", n)
		}
	}
	// Whoever comes later gets what the others have.
	answer, err := http.Get(d.Page() + "api/state?as=coach")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	var whole struct {
		Book rules.Book `json:"book"`
	}
	if err := json.NewDecoder(answer.Body).Decode(&whole); err != nil || len(whole.Book.Notes) < 3 {
		t.Errorf("who comes later is told %d notes, %v", len(whole.Book.Notes), err)
	}
}

// before is the frames up to the one with this text. All frames bring what is now, so it is
// looked for among the entries, which come once.
func before(frames [][]byte, text string) [][]byte {
	for i, data := range frames {
		if _, entries, found := bytes.Cut(data, []byte(`"entries":`)); found && bytes.Contains(entries, []byte(text)) {
			return frames[:i+1]
		}
	}
	return frames
}

// withoutCoach is a frame without what only coaches are told.
func withoutCoach(t *testing.T, data []byte) string {
	t.Helper()
	var f map[string]json.RawMessage
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	delete(f, "ledger")
	delete(f, "book")
	out, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}
