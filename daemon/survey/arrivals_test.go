package survey

import (
	"strings"
	"testing"
)

// TestMuteArrives: two messages without arguments at the fader's address are its mute; one that
// comes for both, or comes by itself, or goes elsewhere is none.
func TestMuteArrives(t *testing.T) {
	for _, c := range []struct {
		name, shut, open string
		want             bool
	}{
		{"two of them", "/in/1/hush", "/in/1/speak", true},
		{"one for both", "/in/1/turn", "/in/1/turn", false},
		{"what comes by itself", "/in/1/tick", "/in/1/speak", false},
		{"elsewhere", "/out/1/hush", "/out/1/speak", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			g := b.Guide()
			for n := 0; g.Question() != "" && n < 60; n++ {
				q, typed := g.queue[0], ""
				switch {
				case q.strip != inputStrip:
					typed = "none"
				case q.act == mute:
					b.say(c.shut)
				case q.act == unmute:
					b.say(c.open)
				case q.act.isFader() && !q.more:
					b.say("/in/1/up", map[act]float32{bottom: 0, top: 1, zero: 0.7, mark: 0.5 - float32(n)/100}[q.act])
					typed = map[act]string{mark: map[bool]string{true: "-10", false: "-20"}[n == 4]}[q.act]
				}
				for range 10 {
					b.say("/in/1/tick")
					b.pass(5)
				}
				g.Answer(typed)
			}
			draft := b.Draft(g, DraftOptions{})
			checked(t, draft)
			shut, open := "\n  - hear: /in/{input:1-2}/hush\n    is: input.mute\n    value: {bang: on}", "\n  - hear: /in/{input:1-2}/speak\n    is: input.mute\n    value: {bang: off}"
			if got := strings.Contains(draft, shut) && strings.Contains(draft, open); got != c.want || !c.want && strings.Contains(draft, "bang:") {
				t.Errorf("told: %v, want %v\n%s", got, c.want, draft)
			}
		})
	}
}
