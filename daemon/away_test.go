package daemon

import (
	"fmt"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

// TestAwayIsNotHeard: a desk whose map does not say how long it may be quiet starts again after
// so much music, and is away for half a minute. Of that nothing has been heard: the mark comes
// once ten seconds of music were, as many later as it was away, and a card whose level was
// "kept" meanwhile stays. What the record then has of the time is that the desk was away.
func TestAwayIsNotHeard(t *testing.T) {
	const away = 30 * time.Second
	h := harbourHall(t)
	if h.Map.Link().StaleAfter != 0 {
		t.Fatal("the map says how long its desk may be quiet")
	}
	marked := func(reboot string) (at time.Duration, gone, unheard int) {
		s, err := practice.ParseScript("s.txt", fmt.Appendf(nil, "length 1m30s\nexpect nothing\n0s play cajon, upright bass, piano, accordion, organ pad, lead voice\n%s", reboot))
		if err != nil {
			t.Fatal(err)
		}
		e := newRecording(h, true)
		for at, packet := range practice.Play(s, practicetest.Dialects()[0], practice.Playing{}) {
			e.packet(at, packet)
		}
		e.advance(s.Length)
		for _, entry := range e.judge.Take(nil) {
			switch entry := entry.(type) {
			case *rules.Marked:
				at = time.Duration(entry.T)
			case *rules.Linked:
				if !entry.Heard {
					gone++
				}
			}
		}
		for _, l := range e.judge.TakeLevels(nil) {
			if !l.Heard {
				unheard++
			}
		}
		return at, gone, unheard
	}
	usual, gone, unheard := marked("")
	if usual == 0 || gone > 0 || unheard > 0 {
		t.Fatalf("marked at %v, away %d times for %d s; want a mark, and a desk that is there", usual, gone, unheard)
	}
	at, gone, unheard := marked("8s reboot 30s")
	if later := at - usual; later < away-2*time.Second || later > away {
		t.Errorf("marked at %v, without the reboot at %v; want it later by what was not heard of %v", at, usual, away)
	}
	if gone != 1 || unheard < 24 || unheard > 26 {
		t.Errorf("away %d times, for %d s of the record; want once, from the fifth second on", gone, unheard)
	}
}
