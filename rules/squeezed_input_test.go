package rules

import (
	"fmt"
	"strings"
	"testing"
)

// TestFlatVoice: a compressor that takes 5 to 10 dB is ordinary while it lets go between the loud words,
// or lets more than half of every accent through, or tells no ratio; one that never lets go leaves no loud and no soft.
func TestFlatVoice(t *testing.T) {
	lets := func(softest float64) string { // 9 dB, and that for a word of every five
		var s strings.Builder
		for at := 20; at < 80; at += 5 {
			fmt.Fprintf(&s, "%ds lead reduction %g\n%ds lead reduction 9\n", at, softest, at+1)
		}
		return s.String()
	}
	ratio := func(n float64) string { return fmt.Sprintf("0s lead comp-threshold -30\n0s lead comp-ratio %g\n", n) }
	const back = "80s lead reduction 4\n"
	for _, c := range []struct{ name, text, want string }{
		{"9 dB at 4:1 from the loud words, and 8 from the soft", ratio(4) + lets(8) + back, "48s open squeezed-input, 1m33s eased squeezed-input"},
		{"and 3 from the soft", ratio(4) + lets(3) + back, ""},
		{"as far as the way out aims at", ratio(4) + lets(7) + back, ""},
		{"at less than 2:1", ratio(1.8) + lets(8) + back, ""},
		{"on a desk that tells no ratio", lets(8) + back, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, _ := serve(t, `
input cajon foundation
input piano rhythm
input lead lead voice
0s cajon fader -8
0s piano fader -8
0s lead fader -3
0s cajon level -22
0s piano level -20
0s lead level -18
0s lead reduction 4
`+c.text+"120s end\n")
			if got := lives(of(said, "squeezed-input")); got != c.want {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}
