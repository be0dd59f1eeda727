package rules

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

// mutedStage is a judge of an open lead, a muted reader and a muted spare, all voices.
func mutedStage() *Judge {
	r := band(3, nil, nil)
	for i := range r.Inputs {
		r.Inputs[i].Voice = true
	}
	return silentDesk(r, 1, 2)
}

// silentDesk is a judge of inputs that stand open and bring nothing, some of them muted.
func silentDesk(r desk.Roster, muted ...int) *Judge {
	j := newJudge(r)
	for i := range r.Inputs {
		j.Hear(set(desk.InputFader, i, -5))
		j.Hear(set(desk.InputLevel, i, -62))
	}
	for _, i := range muted {
		j.Hear(set(desk.InputMute, i, 1))
	}
	return j
}

// voice draws fifteen seconds of a voice, a level every 50 ms: syllables of its own.
func voice(t *rapid.T, name string, level float64) []float64 {
	steps := rapid.SliceOfN(rapid.Float64Range(-9, 5), 60, 60).Draw(t, name)
	var all []float64
	for i := range 300 {
		from, to := steps[i/5], steps[min(i/5+1, 59)]
		all = append(all, level+from+(to-from)*float64(i%5)/5)
	}
	return all
}

// speak plays a level at each input from the second second on, and gives when the rule
// first spoke after that, false if it never did.
func speak(j *Judge, levels ...[]float64) (time.Duration, bool) {
	for n := range levels[0] {
		for i, l := range levels {
			h := set(desk.InputLevel, i, l[n])
			h.At = 2*time.Second + time.Duration(n)*50*ms
			j.Hear(h)
		}
	}
	for _, f := range said(j) {
		if f.Rule == "muted-voice" && f.State == Open {
			return time.Duration(f.T) - 2*time.Second, true
		}
	}
	return 0, false
}

// TestMutedVoiceIsNoCopy: whatever is sung into an open microphone, a muted one that
// hears it more quietly says nothing, with a little of its own at every moment.
func TestMutedVoiceIsNoCopy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lead := voice(t, "lead", -16)
		below := rapid.Float64Range(13, 30).Draw(t, "below")
		own := rapid.SliceOfN(rapid.Float64Range(-1, 1), 300, 300).Draw(t, "own")
		var bleed, far []float64
		for n, l := range lead {
			bleed = append(bleed, l-below+own[n])
			far = append(far, l-below-15)
		}
		if at, spoke := speak(mutedStage(), lead, bleed, far); spoke {
			t.Errorf("bleed %v dB below was taken for a voice at %v", below, at)
		}
	})
}

// TestMutedVoiceIsNoBand: a muted microphone that hears a band of whom some leave and others come in, each
// as far below its own level as ever, says nothing.
func TestMutedVoiceIsNoBand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const players = 5
		r := band(players+1, nil, nil)
		r.Inputs[players].Voice = true
		j := silentDesk(r, players)
		levels := make([][]float64, players+1)
		heard := make([]desk.Power, 300)
		for i := range players {
			below := rapid.Float64Range(16, 30).Draw(t, "below")
			from, until := rapid.IntRange(0, 200).Draw(t, "from"), rapid.IntRange(100, 300).Draw(t, "until")
			for n, l := range voice(t, "player", rapid.Float64Range(-18, -6).Draw(t, "level")) {
				if n < from || n >= until {
					l = -70
				}
				levels[i] = append(levels[i], l)
				heard[n] += desk.DBFS(l - below).Power()
			}
		}
		own := rapid.SliceOfN(rapid.Float64Range(-1, 1), 300, 300).Draw(t, "own")
		for n, p := range heard {
			levels[players] = append(levels[players], float64(p.Level())+own[n])
		}
		if at, spoke := speak(j, levels...); spoke {
			t.Errorf("a band was taken for a voice at %v", at)
		}
	})
}

// TestMutedVoiceInTime: whoever speaks into a muted microphone is noticed within three and a
// half seconds in the mean, of which two or three are what those who label services still take
// for a cough, and soon after whoever pauses goes on, whether others are silent, sing at an open
// microphone, or hear it at theirs.
func TestMutedVoiceInTime(t *testing.T) {
	var sum, most time.Duration
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		reader := voice(t, "reader", rapid.Float64Range(-28, -14).Draw(t, "level"))
		quiet := make([]float64, len(reader))
		var near []float64
		for i, l := range reader {
			quiet[i] = -62
			near = append(near, l-rapid.Float64Range(9, 10).Draw(t, "near"))
		}
		lead := quiet
		switch rapid.IntRange(0, 2).Draw(t, "lead") {
		case 1:
			lead = voice(t, "lead", -18)
		case 2:
			lead = near
		}
		at, spoke := speak(mutedStage(), lead, reader, near)
		if !spoke {
			t.Fatal("nobody noticed")
		}
		sum, n, most = sum+at, n+1, max(most, at)
	})
	if mean := sum / time.Duration(max(n, 1)); mean > 3500*time.Millisecond || most > 12*time.Second {
		t.Errorf("noticed after %v in the mean and %v at most, want 3.5 s and 12 s", mean, most)
	}
	t.Logf("%d voices: after %v in the mean, %v at most", n, sum/time.Duration(max(n, 1)), most)
}

// TestMutedVoiceKnowsNothingOfLevels: with every meter, and every gate, at the same
// distance from where it was, the same is said.
func TestMutedVoiceKnowsNothingOfLevels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		by := rapid.Float64Range(-10, 10).Draw(t, "by")
		reader := voice(t, "reader", -22)
		var told [2]time.Duration
		for k, up := range []float64{0, by} {
			r := band(1, nil, nil)
			r.Inputs[0].Voice, r.Inputs[0].Gate = true, desk.DBFS(-50+up)
			j := newJudge(r)
			j.Hear(set(desk.InputMute, 0, 1))
			levels := make([]float64, len(reader))
			for n, l := range reader {
				levels[n] = l + up
			}
			told[k], _ = speak(j, levels)
		}
		if math.Abs(float64(told[0]-told[1])) > 0 {
			t.Errorf("%v and, all of it %v dB louder, %v", told[0], by, told[1])
		}
	})
}

// choirStage plays 25 seconds of six who sing into open microphones, and of a player who is louder, before
// two microphones that are muted and hear them all. After eight some leave, or two begin to sing into the muted ones.
func choirStage(draw func(from, to float64) float64, leave, begin bool) (time.Duration, bool) {
	const open, singers, middle, frames = 6, 8, 160, 500
	r := band(singers+1, nil, nil)
	for i := range r.Inputs {
		r.Inputs[i].Voice = i < singers
	}
	r.Inputs[singers].Mic = true
	j := silentDesk(r, open, open+1)
	levels, heard := make([][]float64, singers+1), make([]desk.Power, frames)
	sings := func(i int, about, below float64, from, until int) {
		level := about
		for n := range frames {
			if n%10 == 0 { // half a second
				level = about + draw(-1.5, 1.5)
			}
			l := -70.0
			if n >= from && n < until {
				l = level
			}
			levels[i] = append(levels[i], l)
			heard[n] += desk.DBFS(l - below).Power()
		}
	}
	for i := range open {
		until := frames
		if leave && draw(0, 1) > 0.5 {
			until = middle
		}
		sings(i, -22, draw(18, 21), 0, until)
	}
	sings(singers, -14, 22, 0, frames)
	before := slices.Clone(heard)
	for i := open; i < singers; i++ {
		from := frames
		if begin {
			from = middle
		}
		sings(i, -22, 100, from, frames)
		for n, p := range before {
			levels[i][n] = float64((p + desk.DBFS(levels[i][n]).Power()).Level())
		}
	}
	return speak(j, levels...)
}

// TestMutedVoiceInAChoir: two who begin to sing into muted microphones amid a choir, whom these had heard,
// are heard, though the whole choir might bring as much there. Where the others come and go, and nobody
// stands before those two, nothing is said.
func TestMutedVoiceInAChoir(t *testing.T) {
	t.Run("two begin", func(t *testing.T) {
		random := rand.New(rand.NewPCG(1, 2))
		for range 20 {
			at, spoke := choirStage(func(from, to float64) float64 { return from + (to-from)*random.Float64() }, false, true)
			if !spoke || at < 8*time.Second {
				t.Errorf("spoke at %v: %v, want after 8s", at, spoke)
			}
		}
	})
	t.Run("others come and go", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			at, spoke := choirStage(func(from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, "draw") }, true, false)
			if spoke {
				t.Errorf("a choir was taken for a voice at %v", at)
			}
		})
	})
}
