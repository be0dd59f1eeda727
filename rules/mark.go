package rules

import (
	"time"

	"pawl/rules/desk"
)

// How a mark came to be.
const (
	MarkedByHand   = "you set it"
	MarkedStart    = "the music began"
	MarkedScene    = "the scene changed"
	MarkedReroute  = "the routing changed"
	MarkedAccepted = "the level was kept"
)

// mark is the mix that the page measures from.
type mark struct {
	set   bool
	at    time.Duration
	how   string
	total desk.DBFS
	base  Balance

	next  string        // how the next one will have come to be; "" when none is wanted
	stood time.Duration // since when the mix that it is for has stood
}

// wantMark asks for a mark as soon as a mix has stood for over. In silence it
// waits for the music: measured from nothing, anything is a hundred decibels up.
func (j *Judge) wantMark(how string) {
	if j.mark.set || how == MarkedByHand {
		j.mark.next = how
	}
	j.mark.stood = j.at
}

// keepMark sets the first mark once music has stood for a while, and the next one
// once a new scene has.
func (j *Judge) keepMark() {
	m := &j.mark
	if m.set && m.next == "" {
		return
	}
	if !j.mix.music() {
		m.stood = j.at
		return
	}
	if j.at-m.stood >= j.limits.Calm.MarkOver {
		j.setMark(m.next)
	}
}

// Mark measures from here on from the mix as it stands, or in silence from what is
// played next, and lets every rule that was silenced with "not now" speak again.
func (j *Judge) Mark() {
	j.calm.unsilence()
	if !j.mix.music() {
		j.wantMark(MarkedByHand)
		return
	}
	j.setMark(MarkedByHand)
}

func (j *Judge) setMark(how string) {
	m := &j.mark
	j.mix.balance(&m.base, j.limits.Mix.JudgeOver)
	*m = mark{set: true, at: j.at, how: how, base: m.base, total: m.base.total(j.mix.routes)}
}

// accept makes the level as it stands the mark, or what next is played if nobody
// plays now.
func (j *Judge) accept() {
	if j.mix.music() {
		j.setMark(MarkedAccepted)
		return
	}
	j.wantMark(MarkedAccepted)
}

// compareMain holds the model against the desk's own main meter, once a second,
// while there is music: the noise of an idle desk is in no map.
func (j *Judge) compareMain() {
	if m := j.mix; m.main.heard && j.beats%int(time.Second/Beat) == 0 && m.music() {
		m.balance(&j.scratch, m.limits.ShowOver)
		m.mismatch.add(m.main.mean(m.limits.ShowOver).Level(), j.scratch.total(m.routes))
	}
}
