package rules

import (
	"maps"
	"time"

	"pawl/rules/desk"
)

// wantedMark is the mark that is to be set once a mix has stood.
type wantedMark struct {
	next  desk.How      // how it will have come to be; "" when none is wanted
	stood time.Duration // since when the mix that it is for has stood, as the desk was watched
}

// wantMark asks for a mark as soon as a mix has stood for over. In silence it
// waits for the music: measured from nothing, anything is a hundred decibels up.
func (j *Judge) wantMark(how desk.How) {
	if j.marked.Set || how == desk.ByHand {
		j.mark.next = how
	}
	j.mark.stood = j.watched()
}

func (j *Judge) watched() time.Duration { return j.link.watched(j.at) }

// keepMark sets the first mark once music has stood for a while, and the next one
// once a new scene has.
func (j *Judge) keepMark() {
	if j.mark.next == "" {
		return
	}
	v := j.view()
	if !v.Music() || v.Segment.Kind == desk.SoundCheck && j.mark.next != desk.ByHand {
		j.mark.stood = v.Watched
		return
	}
	if v.Watched-j.mark.stood >= j.limits.Calm.MarkOver {
		j.setMark(j.mark.next)
	}
}

// beforeMark is what was so before somebody set a mark, so that it can be taken back.
type beforeMark struct {
	at       time.Duration
	marked   desk.Mark
	wanted   wantedMark
	silenced map[string]time.Duration
}

// forgetMark leaves nothing to measure from.
func (j *Judge) forgetMark() { j.marked, j.unmarked, j.gains = desk.Mark{}, nil, gains{} }

// markByHand measures from here on from the mix as it stands, or in silence from
// what is played next, and lets every rule that was silenced with "not now" speak again.
func (j *Judge) markByHand() {
	before := &beforeMark{j.at, j.marked, j.mark, maps.Clone(j.past.silenced)}
	clear(j.past.silenced)
	j.markOr(desk.ByHand)
	j.unmarked = before
}

// canMarkBack reports whether the mark is the newest that somebody set, and freshly so. One
// that came by itself since then is no less right for that press.
func (j *Judge) canMarkBack() bool {
	return j.unmarked != nil && j.at-j.unmarked.at <= bringBackFor
}

// markBack takes the newest mark by hand back: what it ended is measured from again, and
// what was silenced is so as though it had not been. A change of scene since then still
// wants the mark that it asked for.
func (j *Judge) markBack() {
	b := j.unmarked
	j.unmarked = nil
	if j.mark.next == "" || j.mark.next == desk.ByHand {
		j.mark = b.wanted
	}
	for rule, until := range b.silenced {
		j.past.silenced[rule] = max(until, j.past.silenced[rule])
	}
	if j.marked.At == b.marked.At && j.marked.Set == b.marked.Set {
		return // it was for what is played next
	}
	j.marked = b.marked
	j.say(&Marked{How: j.marked.How, Total: j.marked.Total, Back: true}, MarkEntry)
}

// accept makes the level as it stands the mark, or what next is played if nobody
// plays now.
func (j *Judge) accept() { j.markOr(desk.LevelKept) }

func (j *Judge) markOr(how desk.How) {
	if v := j.mix.View(); v.Music() {
		j.setMark(how)
		return
	}
	j.wantMark(how)
}

func (j *Judge) setMark(how desk.How) {
	v := j.mix.View()
	base := &desk.Balance{} // a new one: what was said of the old mark may still look at it
	v.Balance(base, j.limits.Mix.JudgeOver)
	j.marked = desk.Mark{Set: true, At: j.at, How: how, Total: base.Total(), Base: base}
	j.mark.next, j.unmarked = "", nil
	j.gains = gains{}
	j.say(&Marked{How: how, Total: j.marked.Total}, MarkEntry)
}
