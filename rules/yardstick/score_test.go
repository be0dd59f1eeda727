package yardstick

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

// score is one service's label held against what was said in it.
type score struct {
	service string
	length  time.Duration
	lines   []line
	alarms  []alarm
	errs    figures
}

// line is one line of a label's say, and what came of it.
type line struct {
	practicetest.Due
	came    outcome
	at      time.Duration // when it was said, if it was met
	first   remark        // by which it was met
	weight  rules.Weight  // the heaviest that was said of it in its time
	besides []string      // strips that were named and are not among About
}

// outcome is what came of a line.
type outcome int

const (
	missed outcome = iota
	met
	early // only guessed at too early, and standing when it was due
	wrong // said in time of others only
	late
)

// alarm is a finding that ought not to have been said: false cards are counted by
// finding, however often one grew.
type alarm struct {
	remark
	why string // what made it one
}

// delay is how long after a careful engineer it was said; 0 if it was before.
func (l *line) delay() time.Duration { return max(l.at-l.Careful, 0) }

// shown reports whether it was on the screen by the latest time at which it is of use.
func (l *line) shown() bool {
	return l.came == met && l.first.shown != never && l.first.shown <= l.Latest
}

// is reports whether a remark is of the line's kind and names one whom it is about.
func (l *line) is(r *remark) bool {
	return shareOne(r.words, l.names()) && names(r, l.About)
}

// names are the words for what it is.
func (l *line) names() []string { return append([]string{l.What}, l.Or...) }

// names reports whether a remark names one of those. Who is told that a DCA is closed is
// told of all on it.
func names(r *remark, about []string) bool {
	return len(about) == 0 || shareOne(about, r.about) || shareOne(about, r.under)
}

// hold is the label of a service of that length held against what was said, in order of
// time. The rules are those of the yardstick's README.
func hold(service string, length time.Duration, label practicetest.Labels, said []remark) score {
	s := score{service: service, length: length}
	for _, d := range label.Say {
		s.lines = append(s.lines, line{Due: d})
	}
	right := make([][]string, len(said)) // the words of each remark that were
	for i := range said {
		r := &said[i]
		right[i] = s.right(r)
		if len(right[i]) == 0 && !covered(label.May, r) && (ban(label.Never, r) != nil || !s.after(r)) {
			s.alarm(label, r)
		}
	}
	for i := range s.lines {
		s.standing(&s.lines[i], label.May, said, right)
	}
	return s
}

// right meets the lines of which a remark is what ought to be said, and gives their words.
func (s *score) right(r *remark) (words []string) {
	for i := range s.lines {
		l := &s.lines[i]
		if !l.is(r) || r.at < l.Fair || r.at > l.Latest {
			continue
		}
		words = append(words, l.What)
		l.meet(r, r.at)
	}
	return words
}

func (l *line) meet(r *remark, at time.Duration) {
	if l.came != met {
		l.came, l.at, l.first = met, at, *r
	}
	l.weight = max(l.weight, r.weight)
	for _, who := range r.about {
		if len(l.About) > 0 && !slices.Contains(l.About, who) && !slices.Contains(l.besides, who) {
			l.besides = append(l.besides, who)
		}
	}
}

// standing looks for a line that nobody said in its time among what was said before. A
// remark that said two things, of which one was due and the other came to be while it
// stood, is not said again for that; nor is one that was no fault as early as that. One that
// was a guess is not made right by waiting.
func (s *score) standing(l *line, may []practicetest.Fair, said []remark, right [][]string) {
	for i := range said {
		r := &said[i]
		if l.came == met || !l.is(r) || r.at >= l.Fair || r.until <= l.Fair {
			continue
		}
		if len(right[i]) > 0 && !slices.Contains(right[i], l.What) || slices.ContainsFunc(l.names(), func(word string) bool { return coveredAs(may, r, word) }) {
			l.meet(r, l.Fair)
		} else if s.alarmed(r) {
			l.came = early
		}
	}
}

func (s *score) alarmed(r *remark) bool {
	return slices.ContainsFunc(s.alarms, func(a alarm) bool { return a.number == r.number })
}

// after reports whether a remark repeats a line whose time is over, which is no fault
// while it holds, and how long that is the label says by what must not be said. It does
// not meet the line.
func (s *score) after(r *remark) (any bool) {
	for i := range s.lines {
		l := &s.lines[i]
		if !l.is(r) || r.at <= l.Latest {
			continue
		}
		if s.guesses(r) {
			return false
		}
		any = true
		if l.came == missed {
			l.came, l.at = late, r.at
		}
	}
	return any
}

// guesses reports whether a remark stands when a line becomes due that it came before.
func (s *score) guesses(r *remark) bool {
	return slices.ContainsFunc(s.lines, func(l line) bool { return l.is(r) && r.at < l.Fair && r.until > l.Fair })
}

// covered reports whether a remark is no fault, whichever of its words is.
func covered(may []practicetest.Fair, r *remark) bool {
	return slices.ContainsFunc(r.words, func(word string) bool { return coveredAs(may, r, word) })
}

func coveredAs(may []practicetest.Fair, r *remark, word string) bool {
	return slices.ContainsFunc(may, func(f practicetest.Fair) bool {
		return f.What == word && names(r, f.About) && within(r.at, f.From, f.Until)
	})
}

// ban is why a remark must not be made then, or nil.
func ban(never []practicetest.Wrong, r *remark) *practicetest.Wrong {
	var found *practicetest.Wrong
	for i := range never {
		n := &never[i]
		anything := n.What == "anything"
		if !anything && !slices.Contains(r.words, n.What) || !names(r, n.About) || !within(r.at, n.From, n.Until) {
			continue
		}
		if found == nil || !anything { // the nearer reason
			found = n
		}
	}
	return found
}

func within(at, from, until time.Duration) bool { return at >= from && (until == 0 || at <= until) }

// alarm enters a false alarm, with what is nearest to a reason.
func (s *score) alarm(label practicetest.Labels, r *remark) {
	why := "nobody expected it"
	if n := ban(label.Never, r); n != nil {
		why = "never: " + n.Why
	}
	for i := range slices.Backward(s.lines) { // the line that comes next is the one it is too early for
		l := &s.lines[i]
		switch {
		case !slices.Contains(r.words, l.What):
		case l.is(r) && r.at < l.Fair:
			why = fmt.Sprintf("too early: fair at %v", l.Fair)
		case !l.is(r) && r.at >= l.Fair && r.at <= l.Latest:
			why = "it is about " + strings.Join(l.About, ", ")
			if l.came == missed {
				l.came, l.at = wrong, r.at
			}
		}
	}
	i := slices.IndexFunc(s.alarms, func(a alarm) bool { return a.number == r.number })
	if i < 0 {
		s.alarms = append(s.alarms, alarm{*r, why})
		return
	}
	a := &s.alarms[i]
	a.weight = max(a.weight, r.weight)
	if a.shown == never {
		a.shown = r.shown
	}
}

// fault is one thing for which the judge may be blamed.
type fault struct{ service, what, word, detail string }

func (f fault) String() string {
	return fmt.Sprintf("%s: %s: %s: %s", f.service, f.what, f.word, f.detail)
}

// The words for what a fault is.
const (
	wasMissed = "missed"
	wasFalse  = "false alarm"
	wasSlow   = "slow"
)

// goal is how long after a careful engineer something may be said, or 0 where it is by
// the latest time alone.
func (l *line) goal() time.Duration {
	switch {
	case l.What == "ratchet" || strings.HasPrefix(l.What, "compressor "):
		return 3 * time.Second
	case l.How == rules.Now.String():
		return 2 * time.Second
	}
	return 0
}

// faults are all of them, in order of time.
func (s *score) faults() []fault {
	type timed struct {
		at time.Duration
		fault
	}
	var all []timed
	add := func(at time.Duration, what, word, detail string, args ...any) {
		all = append(all, timed{at, fault{s.service, what, word, fmt.Sprintf(detail, args...)}})
	}
	for i := range s.lines {
		switch l := &s.lines[i]; l.came {
		case missed:
			add(l.Latest, wasMissed, l.What, "not said from %v to %v", l.Fair, l.Latest)
		case early:
			add(l.Latest, wasMissed, l.What, "said before %v and not in its time", l.Fair)
		case wrong:
			add(l.Latest, wasMissed, l.What, "said at %v of others than %s", l.at, strings.Join(l.About, ", "))
		case late:
			add(l.Latest, wasMissed, l.What, "said at %v, latest %v", l.at, l.Latest)
		case met:
			if goal := l.goal(); goal > 0 && l.delay() > goal {
				add(l.at, wasSlow, l.What, "said at %v, a careful engineer at %v", l.at, l.Careful)
			}
		}
	}
	for _, a := range s.alarms {
		held := "shown"
		if a.shown == never {
			held = "held back"
		}
		add(a.at, wasFalse, a.words[0], "at %v, %v, %s, of %s: %s (%s)", a.at, a.weight, held, strings.Join(a.about, ", "), a.text, a.why)
	}
	slices.SortStableFunc(all, func(a, b timed) int { return cmp.Compare(a.at, b.at) })
	faults := make([]fault, len(all))
	for i, f := range all {
		faults[i] = f.fault
	}
	return faults
}
