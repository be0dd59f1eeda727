package rules

import (
	"testing"

	"pawl/rules/desk"
)

// TestCuesAreNoRise: who is brought in is measured from where it comes in, unless it stood higher before it
// was taken out.
func TestCuesAreNoRise(t *testing.T) {
	who := inputMover(0)
	for _, c := range []struct {
		name   string
		stood  desk.DB
		stands []desk.DB // one cue after another
		want   desk.DB
	}{
		{"brought in for the first time", desk.Off, []desk.DB{-4}, -4},
		{"taken out", 0, []desk.DB{desk.Off}, desk.Off},
		{"comes back lower", 0, []desk.DB{desk.Off, -7}, 0},
		{"comes back higher", -5, []desk.DB{desk.Off, -2}, -2},
		{"comes and goes", 0, []desk.DB{desk.Off, -7, desk.Off, -3}, 0},
		{"told twice", 0, []desk.DB{desk.Off, desk.Off, -7, -7}, 0},
	} {
		j := newJudge(band(1, nil, nil))
		j.Hear(set(desk.InputFader, 0, float64(c.stood)))
		m := creepMark{mix: &desk.Balance{}}
		v := j.view()
		v.Balance(m.mix, desk.Syllable)
		for _, at := range c.stands {
			m.cue(who, at)
		}
		if got := m.mix.Fader(who); got != c.want {
			t.Errorf("%s: measured from %v, want %v", c.name, got, c.want)
		}
	}
}

// TestCreepWasElsewhere: words in the middle of a part that was named are heard as speech under the
// same number. Whoever is brought in for them has not crept up when the music goes on.
func TestCreepWasElsewhere(t *testing.T) {
	said, _ := serve(t, fourEqual+`
		input reader none voice
		input teller none voice
		0s teller fader -4
		0s teller level -70
		0s reader fader -4
		0s reader mute 1
		0s reader level -70
		1s press segment music
		20s piano fader -8.9
		25s accordion fader -8.9
		30s piano level -80
		30s accordion level -80
		30s fiddle level -80
		30s lead level -80
		32s teller speaks -20 over 40s
		60s reader mute 0
		75s reader speaks -20 over 40s
		115s piano level -20
		115s accordion level -20
		115s fiddle level -20
		115s lead level -20
		117s reader level -14
		190s end`)
	for _, f := range of(said, "creep") {
		t.Errorf("said of %v", f.Inputs)
	}
}
