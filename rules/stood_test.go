package rules

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// movesSeen is a rule that says nothing of the moves that it is shown.
type movesSeen struct{ words []string }

func (r *movesSeen) Judge(v *desk.View, _ func(Claim)) {
	for _, m := range v.Moves {
		if m.Mover.Strip == desk.StripInput && m.Kind != desk.GainSet && v.At > 25*time.Second {
			r.words = append(r.words, fmt.Sprintf("%s %+.1f", m.Kind, float64(m.Adds)))
		}
	}
}

// TestWhatARaiseAdds: as far as it goes above where its mover stood at the mark, which is
// -10 dB, or before its last lowering in this segment.
func TestWhatARaiseAdds(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
	}{
		{"above the mark it is all of it", "30s piano fader -8", "raise +2.0"},
		{"up to the mark it is nothing, minutes later", "30s piano fader -14\n200s piano fader -10", "lower +0.0, return +0.0"},
		{"beyond the mark the rest", "30s piano fader -14\n200s piano fader -9", "lower +0.0, raise +1.0"},
		{"up to before its last lowering it is nothing", "30s piano fader -6\n60s piano fader -12\n200s piano fader -6", "raise +4.0, lower +0.0, return +0.0"},
		{"beyond that the rest", "30s piano fader -6\n60s piano fader -12\n200s piano fader -4.5", "raise +4.0, lower +0.0, raise +1.5"},
		{"a descent in strokes is one lowering", "30s piano fader -6\n60s piano fader -8\n62s piano fader -12\n200s piano fader -6",
			"raise +4.0, lower +0.0, lower +0.0, return +0.0"},
		{"half way up, and then on", "30s piano fader -6\n60s piano fader -12\n120s piano fader -9\n200s piano fader -5",
			"raise +4.0, lower +0.0, return +0.0, raise +1.0"},
		{"taken out is lowered", "30s piano fader -6\n60s piano fader -inf\n90s piano fader -16\n200s piano fader -5",
			"raise +4.0, take-out +0.0, bring-in +0.0, raise +1.0"},
		{"a scene in between forgets it", "30s piano fader -6\n60s piano fader -12\n90s scene number 2\n130s piano fader -8", "raise +4.0, lower +0.0, raise +4.0"},
		{"a new segment forgets it, but not the mark", "30s piano fader -6\n60s piano fader -12\n90s press segment music\n130s piano fader -8",
			"raise +4.0, lower +0.0, raise +2.0"},
		{"a mark set low counts on from the lowering", "30s piano fader -14\n60s press mark\n100s piano fader -9", "lower +0.0, raise +1.0"},
		{"a gain set right moves the mark", "20s piano source-gain 30\n30s piano source-gain 36\n32s piano fader -16\n60s piano fader -15", "raise +1.0"},
		{"and where it stood before its lowering", `
			20s piano source-gain 30
			30s piano fader -6
			60s piano fader -12
			90s piano source-gain 36
			92s piano fader -18
			200s piano fader -11`, "raise +4.0, lower +0.0, raise +1.0"},
		{"and where a return within 30 s goes", `
			20s piano source-gain 30
			30s piano fader -14
			45s piano source-gain 36
			47s piano fader -20
			58s piano fader -16`, "lower +0.0, return +0.0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := ScriptOf(t, "service", fourEqual+c.text+"\n260s end")
			j := newJudge(s.Roster)
			var got movesSeen
			j.rules = append(j.rules, newClaims(Kind{}, &got, j.limits, &j.number))
			s.Play(j)
			if w := strings.Join(got.words, ", "); w != c.want {
				t.Errorf("got %s\nwant %s", w, c.want)
			}
		})
	}
}

// TestARatchetCountsWhatRaisesAdd: three are up by enough only if ground that was gained
// again is no rise, and a fader that answers a source gain none either.
func TestARatchetCountsWhatRaisesAdd(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
	}{
		{"what was lowered minutes ago comes back", `
			25s piano fader -14
			27s accordion fader -14
			29s fiddle fader -14
			200s piano fader -10
			210s accordion fader -10
			220s fiddle fader -10
			250s end`, ""},
		{"and goes on beyond that", `
			25s piano fader -14
			27s accordion fader -14
			29s fiddle fader -14
			200s piano fader -6
			210s accordion fader -6
			220s fiddle fader -6
			250s end`, "open nudge"},
		{"a little beyond it", `
			25s piano fader -14
			27s accordion fader -14
			29s fiddle fader -14
			200s piano fader -9.2
			210s accordion fader -9.2
			220s fiddle fader -9.2
			250s end`, ""},
		{"lowered and raised again in the episode", `
			20s piano fader -8
			30s accordion fader -8
			40s piano fader -10
			71s piano fader -8
			73s lead fader -8
			110s end`, "open whisper"},
		{"three gains set right by the fader", `
			15s piano source-gain 30
			15s accordion source-gain 30
			15s fiddle source-gain 30
			20s piano source-gain 26
			20s piano level -24
			22s piano fader -6
			30s accordion source-gain 26
			30s accordion level -24
			32s accordion fader -6
			40s fiddle fader -6
			44s fiddle source-gain 26
			44s fiddle level -24
			70s end`, ""},
		{"two gains set right after their faders, and two raises", `
			15s piano source-gain 30
			15s accordion source-gain 30
			20s piano fader -6
			24s piano source-gain 26
			24s piano level -24
			30s accordion fader -6
			34s accordion source-gain 26
			34s accordion level -24
			40s fiddle fader -6
			45s lead fader -6
			70s end`, ""},
		{"the gain comes too late for one of them to be a gain set right", `
			15s fiddle source-gain 30
			20s piano fader -6
			30s accordion fader -6
			40s fiddle fader -6
			52s fiddle source-gain 26
			52s fiddle level -24
			70s end`, "open nudge"},
		{"raises while hardly anybody plays are settings", `
			20s fiddle level -80
			20s lead level -80
			30s piano fader -6
			35s accordion fader -6
			40s harp level -20
			45s fiddle level -20
			60s fiddle fader -6
			90s end`, ""},
		{"a talk of two minutes is no music without a raise", `
			20s piano fader -8
			25s accordion fader -8
			30s piano level -80
			30s accordion level -80
			30s fiddle level -80
			150s piano level -20
			150s accordion level -20
			150s fiddle level -20
			175s fiddle fader -8
			200s end`, "open whisper"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, _ := serve(t, fourEqual+c.text)
			if got := tellings(of(said, "ratchet")); got != c.want {
				t.Errorf("got %q, want %q: %+v", got, c.want, said)
			}
		})
	}
}
