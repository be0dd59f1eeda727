package survey

import (
	"fmt"
	"iter"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
)

// minute is what is played before the hand begins: the reel of the service
// "ratchet", with everybody else coming in for a moment.
const minute = `
0s   play cajon, upright bass, piano, accordion, fiddle, organ pad
5s   play trumpet, horn, lead voice, harmony high, reader's mic
30s  rest trumpet, horn, reader's mic
40s  raise piano 3 dB over 1.5s
47s  raise accordion 3 dB over 1.2s
54s  raise fiddle 3 dB over 1.5s
`

// line is one answer of the simulated person: a move on the practice desk, in the
// words of its scripts, and what is typed after it.
type line struct{ move, typed string }

// printed are the marks beside the practice desk's faders.
var printed = []string{"3", "-6", "-12", "-24", "-36", "-48"}

// hand answers every question, going to marks besides the top, the bottom and 0.
func hand(marks []string) []line {
	all := []line{{}, {"fader cajon to closed over 1s", ""}, {"fader cajon to 6 dB over 1s", "6"}, {"fader cajon to 0 dB over 1s", ""}}
	for _, m := range marks {
		all = append(all, line{"fader cajon to " + m + " dB over 1s", m})
	}
	all = append(all, line{"", ""}, line{"mute cajon", ""}, line{"unmute cajon", ""},
		line{"main to closed over 1s", ""}, line{"main to -10 dB over 1s", ""}, line{"main to 0 dB over 1s", ""},
		line{"mute main", ""}, line{"unmute main", ""})
	for _, who := range []string{"group rhythm", "dca low end"} {
		all = append(all, line{who + " to closed over 1s", ""}, line{who + " to 0 dB over 1s", ""},
			line{"mute " + who, ""}, line{"unmute " + who, ""})
	}
	return all
}

const (
	handBegins = 62 * time.Second
	handPause  = 5 * time.Second // from one Enter to the next
)

// played is a script of the minute and the hand's moves.
func played(t *testing.T, lines []line) *practice.Script {
	t.Helper()
	return playedAfter(t, minute, lines)
}

// playedAfter is a script of something played and the hand's moves.
func playedAfter(t *testing.T, before string, lines []line) *practice.Script {
	t.Helper()
	at := handBegins
	var moves strings.Builder
	for _, l := range lines {
		if l.move != "" {
			fmt.Fprintf(&moves, "%v %s\n", at+500*time.Millisecond, l.move)
		}
		at += handPause
	}
	text := fmt.Sprintf("length %v\nexpect nothing\n%s%s", at+handPause, before, moves.String())
	script, err := practice.ParseScript("guided.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return script
}

// guided plays the script in a dialect to a Survey and answers its Guide. The
// talk is what the person saw and typed.
func guided(t *testing.T, packets iter.Seq2[time.Duration, []byte], lines []line) (s *Survey, g *Guide, talk string) {
	t.Helper()
	s = New(Options{})
	var b strings.Builder
	next := handBegins
	for at, packet := range packets {
		for at >= next {
			s.Elapse(next)
			switch {
			case g == nil:
				g = s.Guide()
			case len(lines) > 0:
				fmt.Fprintf(&b, "%s\n> %s\n", g.Question(), lines[0].typed)
				sayable(t, g.Ask())
				told := g.Tell(lines[0].typed)
				sayable(t, told)
				for _, said := range inLines(told) {
					fmt.Fprintln(&b, said)
				}
				lines = lines[1:]
			}
			next += handPause
		}
		s.Hear(at, packet)
	}
	if g.Question() != "" {
		t.Errorf("the guide still asks %q after\n%s", g.Question(), b.String())
	}
	return s, g, b.String()
}
