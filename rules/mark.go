package rules

import "time"

// How a mark came to be.
const (
	MarkedByHand   = "you set it"
	MarkedStart    = "the music began"
	MarkedScene    = "the scene changed"
	MarkedAccepted = "the level was kept"
)

// mark is the mix that the page measures from.
type mark struct {
	set   bool
	at    time.Duration
	how   string
	total DBFS
	base  Balance

	due    time.Duration // when one is to be set of itself; 0 for never
	dueHow string
}

func (m *mark) dueAt(at time.Duration, how string) { m.due, m.dueHow = at, how }

// playing is how many inputs make a mix worth measuring from.
const playing = 3

// keepMark sets the first mark once music has stood for a while, and the next one
// once a new scene has.
func (j *Judge) keepMark() {
	m := &j.mark
	if !m.set && m.due == 0 && j.mix.playing() >= min(playing, len(j.roster.Inputs)) {
		m.dueAt(j.at+j.limits.Calm.MarkOver, MarkedStart)
	}
	if m.due > 0 && j.at >= m.due {
		j.setMark(m.dueHow)
	}
}

// Mark measures from here on from the mix as it stands, and lets every rule that
// was silenced with "not now" speak again.
func (j *Judge) Mark() {
	j.calm.unsilence()
	j.setMark(MarkedByHand)
}

func (j *Judge) setMark(how string) {
	m := &j.mark
	j.mix.balance(&m.base, j.limits.Mix.JudgeOver)
	*m = mark{set: true, at: j.at, how: how, base: m.base, total: m.base.total(j.mix.routes)}
}

// playing is how many inputs are in the mix now.
func (m *Mix) playing() int {
	m.refresh()
	n := 0
	for i := range m.inputs {
		if m.inputActive(i) {
			n++
		}
	}
	return n
}

// compareMain holds the model against the desk's own main meter, once a second.
func (j *Judge) compareMain() {
	if m := j.mix; m.main.heard && j.beats%int(time.Second/Beat) == 0 {
		var b Balance
		m.balance(&b, m.limits.ShowOver)
		m.mismatch.add(m.main.mean(m.limits.ShowOver).Level(), b.total(m.routes))
	}
}
