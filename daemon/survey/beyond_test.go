package survey

import (
	"strings"
	"testing"
)

// deckDesk has two decks of four inputs, and knobs by colour.
type deckDesk struct{ *bench }

func (d deckDesk) move(address string) {
	for i := range 5 {
		d.say(address, float32(0.2+0.1*float32(i)))
		d.pass(5)
	}
	d.pass(20)
}

// TestDecksAndColours: what a hand shows of the strips beyond the first deck is a line of its
// own; what it does not show makes a comment of the line; and what somebody says is not there
// leaves it as it is.
func TestDecksAndColours(t *testing.T) {
	for _, c := range []struct {
		name, input5, dca2, dca3 string
		typed                    string
		want, not                []string
	}{
		{"shown", "/low/1/at", "/knob/amber/at", "/knob/blue/at", "", []string{"\n  - hear: /up/{input:1-4}/at", "\n  - hear: /low/{input:1-4=5}/at", "\n  - hear: /knob/{dca:red,amber,blue}/at"}, nil},
		{"not seen", "", "/knob/blue/at", "/knob/amber/at", "", []string{"# - hear: /up/{input:1-4}/at", "# - hear: /knob/{dca-name}/at"}, []string{"/low/{input"}},
		{"not there", "", "/knob/amber/at", "", "none", []string{"\n  - hear: /up/{input:1-4}/at", "# - hear: /knob/{dca-name}/at"}, []string{"/low/{input"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := deckDesk{newBench(t)}
			for _, deck := range []string{"/up/", "/low/"} {
				for _, n := range []string{"1", "2", "3", "4"} {
					d.say(deck+n+"/at", float32(0.7))
				}
			}
			for _, knob := range []string{"red", "amber", "blue"} {
				d.say("/knob/"+knob+"/at", float32(0.7))
			}
			d.pass(5)
			g := d.Guide()
			at := map[act]float32{bottom: 0, top: 1, zero: 0.7, mark: 0.5}
			for n := 0; g.Question() != "" && n < 60; n++ {
				q, typed := g.queue[0], ""
				first := map[strip]string{inputStrip: "/up/1/at", dcaStrip: "/knob/red/at"}[q.strip]
				switch {
				case q.act == another:
					move := map[int]string{5: c.input5, 2: c.dca2, 3: c.dca3}[q.n]
					if move == "" {
						typed = c.typed
					} else {
						d.move(move)
					}
				case q.more:
				case q.act == mark:
					at[mark] -= 0.1
					d.say(first, at[mark])
					typed = map[bool]string{true: "-10", false: "-20"}[at[mark] > 0.35]
				case q.act.isFader() && first != "":
					d.say(first, at[q.act])
				case q.act.isFader() || q.act == mute:
					typed = "none"
				}
				d.pass(40)
				g.Answer(typed)
			}
			draft := d.Draft(g, DraftOptions{})
			checked(t, draft)
			for _, want := range c.want {
				if !strings.Contains(draft, want) {
					t.Errorf("want %q in\n%s", want, draft)
				}
			}
			for _, not := range c.not {
				if strings.Contains(draft, not) {
					t.Errorf("want no %q in\n%s", not, draft)
				}
			}
		})
	}
}
