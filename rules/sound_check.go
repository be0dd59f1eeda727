package rules

import (
	"time"

	"pawl/rules/desk"
)

// soundCheck is whether a sound check goes on. No rule but the room's own level speaks in
// one, and no mix of it is a mark, unless somebody sets it by hand.
type soundCheck struct {
	on    bool
	since time.Duration
}

// checkSound begins a sound check with a line check, if the service has not begun: by its
// part of the running order, where that is what comes next.
func (j *Judge) checkSound() {
	s := &j.segments
	if j.marked.Set || s.now.How == desk.Tapped || s.now.How == desk.Recalled {
		return
	}
	next := Press{Do: NewSegment, Kind: desk.SoundCheck}
	if s.reached < len(s.order) && s.order[s.reached].Kind == desk.SoundCheck {
		next = Press{Do: NewSegment, Next: true}
	}
	s.tap(next, j.at, j.watched(), j.past.silenced)
	j.parted(desk.Tapped, true)
}

// soundChecked notes that a sound check began or ended. The service after it is measured
// from a mix of its own, unless that of the check was marked by hand.
func (j *Judge) soundChecked(how desk.Began) {
	is := j.segments.now.Kind == desk.SoundCheck
	switch {
	case is == j.sound.on:
		return
	case is:
		j.sound = soundCheck{true, j.segments.now.Since}
		return
	}
	kept := j.marked.How == desk.ByHand && j.marked.At >= j.sound.since
	j.sound.on = false
	if kept || how == desk.TakenBack {
		return
	}
	j.forgetMark()
	if j.mark.next != desk.ByHand {
		j.mark = wantedMark{desk.MusicBegan, j.watched()}
	}
}

// checkEnds ends a sound check that nobody ended: the players have left the stage, or
// somebody speaks to whoever came. Until then what is heard does not make it another part.
func (s *segments) checkEnds(v *desk.View) (changed, began bool) {
	s.over.take(v.Watched, true, s.limits.Check)
	on := s.over.lasted(v.Watched)
	quiet, speech := s.hearing.heard[quietSound].lasted(v.Watched), s.hearing.heard[speechSound].lasted(v.Watched)
	next := desk.Segment{How: desk.Overheard}
	switch {
	case min(on, quiet) >= s.limits.Check:
		next.Kind, next.Sounding = desk.Quiet, v.At-quiet
	case min(on, speech) >= s.limits.Over:
		next.Kind, next.Sounding = desk.Speech, v.At-speech
	default:
		return false, false
	}
	s.begin(next, v.At)
	return true, true
}
