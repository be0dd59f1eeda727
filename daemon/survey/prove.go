package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pawl/rules/desk"
)

// A draft proves itself before it is written. What was kept of the guided part is played to its
// own lines, and what they read is held against what the hand did and against what can be. A line
// that does not hold becomes a comment that says why.

// How far a fader may be read from the mark that it stood at, at least, and up to where it is closed, in dB.
const (
	offMark = 1.0
	closed  = -40.0
	wanders = 0.5 // what one that nobody touches may wander
)

// prove makes comments of the lines that do not hold, or makes them narrower, and reports whether
// there was one.
func (d *drafter) prove(o DraftOptions) (found bool) {
	if len(d.survey.tape.all()) == 0 {
		return false
	}
	lines := d.playback(o)
	bySignal := map[string][]*playedLine{}
	var order []string
	for _, l := range lines {
		is := l.is
		if l.post() {
			is += behind
		}
		if bySignal[is] == nil {
			order = append(order, is)
		}
		bySignal[is] = append(bySignal[is], l)
	}
	fail := func(lines []*playedLine, format string, args ...any) {
		for _, l := range lines {
			if !l.unsure {
				l.unsure, found = true, true
				l.because("But played to what was heard it does not hold: "+format, args...)
			}
		}
	}
	for _, is := range order {
		all := merged(bySignal[is])
		if len(all.readings) == 0 && !all.byName() && !d.survey.tape.lost {
			fail(bySignal[is], "it reads nothing at all.")
		}
		for _, l := range bySignal[is] {
			if why := refuses(l); why != "" {
				fail([]*playedLine{l}, "%s", why)
			}
		}
		for _, check := range []func(*playedLine) string{d.asAsked, d.switched, d.tapped, possible} {
			if why := check(all); why != "" {
				fail(bySignal[is], "%s", why)
			}
		}
	}
	if why := d.mainOff(bySignal); why != "" {
		fail(bySignal["main.level"], "%s", why)
	}
	if found {
		return true
	}
	return d.agree(bySignal, fail) || found
}

// refuses says that a line knows not all of the words of a switch, or little of what it looks at.
func refuses(l *playedLine) string {
	switch {
	case l.refused > 0 && l.signal.Quantity() == desk.Switch && strings.Contains(l.value, "words: "):
		return fmt.Sprintf("%s none of its words.", map[bool]string{true: "one value is", false: plural(int(l.refused), "value") + " are"}[l.refused == 1])
	case l.refused > uint64(len(l.readings)) && !l.byName():
		return fmt.Sprintf("it reads %s, and %d cannot be any.", plural(len(l.readings), "value"), l.refused)
	}
	return ""
}

// behind is added to the signal of levels that are taken behind a fader, where others may be before it.
const behind = " behind"

// post reports whether a line's levels are said to be taken behind the fader.
func (e *entry) post() bool {
	return slices.ContainsFunc(e.more, func(m string) bool { return strings.Contains(m, "post-fader") })
}

// byName reports whether a line has the names of the strips in its address, which may not be known yet.
func (e *entry) byName() bool { return strings.Contains(e.hear[0], "-name}") }

// stripOf is the kind of strip of a line, by its signal.
func stripOf(is string) (strip, bool) {
	word, _, _ := strings.Cut(is, ".")
	for s := inputStrip; s <= mainStrip; s++ {
		if s.String() == word {
			return s, true
		}
	}
	return 0, false
}

// asAsked says what a fader's line read that the hand had not done.
func (d *drafter) asAsked(l *playedLine) string {
	s, ok := stripOf(l.is)
	if !ok || !strings.HasSuffix(l.is, ".fader") {
		return ""
	}
	if f := &d.known[s]; f.ok {
		for _, t := range f.fader.others {
			if is := f.fader.slot; t.stream.shown == is.stream.shown && t.arg == is.arg && min(t.stream.first, is.stream.first) >= 0 {
				return fmt.Sprintf("%s followed the hand as well, so what %s hears is not all that is said of it.", t.name(), is.name())
			}
		}
	}
	within := max(offMark, d.scale.doubt+wanders)
	moves, read := 0, 0
	for _, st := range d.guide {
		if st.strip != s || !st.act.isFader() {
			continue
		}
		v, ok := l.at(0, st.asked, st.answered)
		if moves++; ok {
			read++
		}
		switch {
		case !ok:
		case st.act == bottom && v > closed:
			return fmt.Sprintf("%s's fader was closed, and it reads %.1f dB.", s.first(), v)
		case st.act != bottom && st.db == st.db && !math.IsInf(st.db, 0) && math.Abs(v-st.db) > within && v > d.scale.low:
			return fmt.Sprintf("%s's fader was at %.1f dB, and it reads %.1f dB.", s.first(), st.db, v)
		}
		if k := d.movedToo(l, st, v); ok && k > 0 {
			return fmt.Sprintf("when %s's fader was moved, %s %d's went elsewhere.", s.first(), s, k+1)
		}
	}
	if moves > 0 && read == 0 && !d.survey.tape.lost && !l.byName() {
		return fmt.Sprintf("%s's fader was moved, and it reads nothing.", s.first())
	}
	return ""
}

// movedToo is another strip that went elsewhere in a step and does not move by itself, 0 if none did.
func (d *drafter) movedToo(l *playedLine, st step, v float64) int {
	for _, k := range l.indices() {
		before, ok := l.at(k, beginning, st.asked)
		after, ok2 := l.at(k, st.asked, st.answered)
		if k == 0 || !ok || !ok2 || near(before, after) || near(after, v) || d.byItself(l, k) {
			continue
		}
		return k
	}
	return 0
}

// byItself reports whether a strip's fader moved while nobody was asked to move one of its kind.
func (d *drafter) byItself(l *playedLine, index int) bool {
	for _, st := range d.guide {
		if s, _ := stripOf(l.is); st.act.isFader() && st.strip == s {
			continue
		}
		for i := range l.readings {
			if r := &l.readings[i]; r.Index == index && r.At > st.asked && r.At <= st.answered {
				if before, ok := l.at(index, beginning, st.asked); ok && !near(before, r.Value) {
					return true
				}
			}
		}
	}
	return false
}

// near reports whether two gains are the same to the eye.
func near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= wanders || max(a, b) < -60
}

// switched says what a mute's line read that the hand had not done.
func (d *drafter) switched(l *playedLine) string {
	s, ok := stripOf(l.is)
	if !ok || !strings.HasSuffix(l.is, ".mute") {
		return ""
	}
	for _, st := range d.guide {
		if st.strip != s || st.act != mute && st.act != unmute {
			continue
		}
		v, ok := l.at(0, st.asked, st.answered)
		switch done := map[act]string{mute: "muted", unmute: "unmuted"}[st.act]; {
		case !ok && !d.survey.tape.lost && !l.byName():
			return fmt.Sprintf("%s was %s, and it reads nothing.", s.first(), done)
		case ok && (v >= 0.5) != (st.act == mute):
			return fmt.Sprintf("%s was %s, and it reads the other.", s.first(), done)
		}
	}
	return ""
}

// How far a level falls at least that is taken behind a fader which is closed, in dB, and how far
// one may fall that is taken before it, while somebody plays.
const (
	leastFall = 6.0
	mostFall  = 30.0
)

// tapped says that a level goes otherwise with its fader than where it is said to be taken.
func (d *drafter) tapped(l *playedLine) string {
	s, ok := stripOf(l.is)
	if !ok || s == dcaStrip || !strings.HasSuffix(l.is, ".level") || d.survey.tape.lost {
		return ""
	}
	shut, open := math.NaN(), math.Inf(1)
	for _, st := range d.guide {
		switch v := l.mean(0, st.asked, st.answered); {
		case st.strip != s || st.act == calm || v != v:
		case st.act == bottom:
			shut = l.last(0, st)
		case st.act == top || st.act == zero:
			open = min(open, v)
		}
	}
	before := s == inputStrip && !l.post()
	switch fell := open - shut; {
	case shut != shut || math.IsInf(open, 0) || open < -70:
	case before && fell > mostFall:
		return fmt.Sprintf("closing %s's fader made it fall by %.0f dB, though it is taken before it.", s.first(), min(fell, 200))
	case !before && fell < leastFall:
		return fmt.Sprintf("closing %s's fader made it fall by %.0f dB only, though it is taken behind it.", s.first(), fell)
	}
	return ""
}

// Between what a level can lie, in dBFS, and up to where the main's can, behind which there is
// nothing that a float could be turned down in.
const (
	mostLevel  = 24
	leastLevel = -150
	overFull   = 1.0
)

// possible says of levels that they cannot be.
func possible(l *playedLine) string {
	if l.signal.Quantity() != desk.Level || len(l.readings) == 0 || !strings.Contains(l.is, ".level") && !strings.Contains(l.is, ".peak") {
		return ""
	}
	top, low, finite := math.Inf(-1), 0, 0
	for i := range l.readings {
		v := l.readings[i].Value
		if math.IsInf(v, 0) {
			continue
		}
		if top = max(top, v); v < leastLevel {
			low++
		}
		finite++
	}
	switch {
	case top > mostLevel:
		return fmt.Sprintf("it reads %.1f dBFS, which no desk has.", top)
	case top > overFull && strings.HasPrefix(l.is, mainStrip.String()):
		return fmt.Sprintf("it reads up to %.1f dBFS, and nothing leaves a desk above full scale: its numbers are counted from another mark.", top)
	case finite > 0 && 2*low > finite:
		return fmt.Sprintf("most of what it reads is below %d dBFS.", leastLevel)
	}
	return ""
}

// How far the main's level may be from that of the groups together, in dB, and in how many steps
// it is held against it at least.
const (
	offSum     = 6.0
	fewestSums = 3
)

// mainOff says that the main's level is not what the groups make.
func (d *drafter) mainOff(by map[string][]*playedLine) string {
	if len(by["main.level"]) == 0 || len(by["group.level"]) == 0 || len(by["main.fader"]) == 0 {
		return ""
	}
	main, groups, fader := merged(by["main.level"]), merged(by["group.level"]), merged(by["main.fader"])
	off, n := 0.0, 0
	for _, st := range d.guide {
		if st.strip == mainStrip && st.act != zero || st.strip == dcaStrip || !(st.act == calm || st.act == zero || st.act == unmute) {
			continue
		}
		at, ok := fader.at(0, beginning, st.answered)
		is, sum := main.mean(0, st.asked, st.answered), 0.0
		for _, k := range groups.indices() {
			if v := groups.mean(k, st.asked, st.answered); v == v {
				sum += math.Pow(10, v/10)
			}
		}
		if should := 10*math.Log10(sum) + at; ok && is == is && !math.IsInf(is, 0) && !math.IsInf(should, 0) && should > -60 {
			off, n = off+is-should, n+1
		}
	}
	if off /= float64(n); n >= fewestSums && math.Abs(off) > offSum {
		return fmt.Sprintf("the main's level is %.0f dB off what the groups make behind their faders, so its unit is not known.", off)
	}
	return ""
}

// kinds of strips have lines that must agree on how many there are.
func (d *drafter) agree(by map[string][]*playedLine, fail func([]*playedLine, string, ...any)) bool {
	for s := inputStrip; s < mainStrip; s++ {
		if d.narrowed(s, by) {
			return true
		}
		d.counted(s, by, fail)
	}
	return false
}
