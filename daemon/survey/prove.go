package survey

import (
	"fmt"
	"math"
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
	still05 = 0.5 // what one that nobody touches may wander
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
		if bySignal[l.is] == nil {
			order = append(order, l.is)
		}
		bySignal[l.is] = append(bySignal[l.is], l)
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
		for _, l := range bySignal[is] {
			if why := d.reads(l); why != "" {
				fail([]*playedLine{l}, "%s", why)
			}
		}
		for _, check := range []func(*playedLine) string{d.asAsked, d.switched, possible} {
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

// reads says what is wrong with a line that reads nothing, or knows not all of the words of a switch.
func (d *drafter) reads(l *playedLine) string {
	switch byName := strings.Contains(l.hear[0], "-name}"); {
	case len(l.readings) == 0 && !byName && !d.survey.tape.lost:
		return "it reads nothing at all."
	case l.refused > 0 && l.signal.Quantity() == desk.Switch && strings.Contains(l.value, "words: "):
		return fmt.Sprintf("%d values are none of its words.", l.refused)
	case l.refused > uint64(len(l.readings)) && !byName:
		return fmt.Sprintf("it reads %d values, and %d cannot be any.", len(l.readings), l.refused)
	}
	return ""
}

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
	within := max(offMark, d.scale.doubt+still05)
	for _, st := range d.guide {
		if st.strip != s || !st.act.isFader() {
			continue
		}
		v, ok := l.at(0, st.from, st.to)
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
	return ""
}

// movedToo is another strip that went elsewhere in a step and does not move by itself, 0 if none did.
func (d *drafter) movedToo(l *playedLine, st step, v float64) int {
	for _, k := range l.indices() {
		before, ok := l.at(k, -1, st.from)
		after, ok2 := l.at(k, st.from, st.to)
		if k == 0 || !ok || !ok2 || near(before, after) || near(after, v) || d.byItself(l, k) {
			continue
		}
		return k
	}
	return 0
}

// byItself reports whether a strip's fader moved while nobody was asked to move one.
func (d *drafter) byItself(l *playedLine, index int) bool {
	for _, st := range d.guide {
		if st.act != calm {
			continue
		}
		for i := range l.readings {
			if r := &l.readings[i]; r.Index == index && r.At > st.from && r.At <= st.to {
				if before, ok := l.at(index, -1, st.from); ok && !near(before, r.Value) {
					return true
				}
			}
		}
	}
	return false
}

// near reports whether two gains are the same to the eye.
func near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= still05 || max(a, b) < -60
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
		v, ok := l.at(0, st.from, st.to)
		switch done := map[act]string{mute: "muted", unmute: "unmuted"}[st.act]; {
		case !ok && !d.survey.tape.lost:
			return fmt.Sprintf("%s was %s, and it reads nothing.", s.first(), done)
		case ok && (v >= 0.5) != (st.act == mute):
			return fmt.Sprintf("%s was %s, and it reads the other.", s.first(), done)
		}
	}
	return ""
}

// Between what a level can lie, in dBFS, and how often it may lie above full scale.
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
	case top > overFull:
		return fmt.Sprintf("it reads up to %.1f dBFS, and full scale is the most there is: its numbers are counted from another mark.", top)
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
		at, ok := fader.at(0, -1, st.to)
		is, sum := main.mean(0, st.to-restTime, st.to), 0.0
		for _, k := range groups.indices() {
			if v := groups.mean(k, st.to-restTime, st.to); v == v {
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
