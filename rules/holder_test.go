package rules

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// scripted is a rule that claims what it is told to, one list a frame.
type scripted struct {
	frames [][]Claim
	n      int
}

func (s *scripted) Observe(Frame) []Claim {
	if s.n++; s.n > len(s.frames) {
		return nil
	}
	return s.frames[s.n-1]
}

func TestHolder(t *testing.T) {
	claim := func(key int, w Weight, size desk.DB) Claim {
		return Claim{Key: key, About: []desk.Mover{{Strip: desk.StripInput, Index: key}}, Weight: w, Size: size,
			Say: func() Said { return Said{Text: fmt.Sprintf("%v of %v", w, size), Accepted: true} }}
	}
	eased := func(c Claim) Claim {
		c.Eased, c.Say = true, func() Said { return Said{Text: "over", Accepted: true} }
		return c
	}
	for _, c := range []struct {
		name   string
		frames [][]Claim
		want   string
	}{
		{"said once while it holds", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Nudge, 3)}, {claim(1, Nudge, 3.9)}}, "open 1: nudge of 3.0 dB"},
		{"grown by a dB", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Nudge, 4)}, {claim(1, Nudge, 4.5)}},
			"open 1: nudge of 3.0 dB, grew 1: nudge of 4.0 dB"},
		{"grown heavier", [][]Claim{{claim(1, Whisper, 2)}, {claim(1, Nudge, 2)}}, "open 1: whisper of 2.0 dB, grew 1: nudge of 2.0 dB"},
		{"lighter again is not said", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Whisper, 2)}}, "open 1: nudge of 3.0 dB"},
		{"eased with its own words", [][]Claim{{claim(1, Nudge, 3)}, {eased(claim(1, Nudge, 3))}, {}},
			"open 1: nudge of 3.0 dB, eased 1: over accepted"},
		{"no longer claimed: eased with the last words", [][]Claim{{claim(1, Nudge, 3)}, {claim(1, Nudge, 3.5)}, {}},
			"open 1: nudge of 3.0 dB, eased 1: nudge of 3.0 dB accepted"},
		{"eased before it was said", [][]Claim{{eased(claim(1, Nudge, 3))}}, ""},
		{"two at once keep their numbers", [][]Claim{{claim(1, Nudge, 3), claim(2, Nudge, 3)}, {claim(2, Nudge, 3)}, {}},
			"open 1: nudge of 3.0 dB, open 2: nudge of 3.0 dB, eased 1: nudge of 3.0 dB accepted, eased 2: nudge of 3.0 dB accepted"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := &holder{kind: Kinds[0], rule: &scripted{frames: c.frames}, grew: 1}
			policy := newCalm(DefaultLimits().Calm)
			var got []string
			for i := range c.frames {
				h.observe(Frame{At: time.Duration(i) * time.Second}, policy, func(f Finding) {
					line := fmt.Sprintf("%s %d: %s", f.Phase, f.Number, f.Text)
					if f.Accepted {
						line += " accepted"
					}
					got = append(got, line)
				})
			}
			if all := strings.Join(got, ", "); all != c.want {
				t.Errorf("got  %s\nwant %s", all, c.want)
			}
		})
	}
}

// TestHeldBackIsShownOnceItMatters: a whisper that found no room is shown when it
// grows into a nudge that does.
func TestHeldBackIsShownOnceItMatters(t *testing.T) {
	policy := newCalm(DefaultLimits().Calm)
	asked{0, "other", 1, 1, Nudge, 9}.put(policy)
	policy.count = 1
	say := func() Said { return Said{Text: "x"} }
	about := []desk.Mover{{Strip: desk.StripInput, Index: 1}}
	h := &holder{kind: Kinds[0], grew: 1, rule: &scripted{frames: [][]Claim{
		{{Key: 1, About: about, Weight: Whisper, Size: 1, Say: say}}, {{Key: 1, About: about, Weight: Nudge, Size: 1, Say: say}}, {},
	}}}
	var got []string
	for i := range 3 {
		h.observe(Frame{At: time.Duration(i+1) * time.Second}, policy, func(f Finding) {
			got = append(got, fmt.Sprintf("%s held %v", f.Phase, f.Held))
		})
	}
	if all := strings.Join(got, ", "); all != "open held true, grew held false, eased held false" {
		t.Errorf("got %s", all)
	}
}
