package survey

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// How many strips the lines of a draft are for.

var (
	rowSpan  = regexp.MustCompile(`(each|bits): (input|dca|group):(\d+)-(\d+)`)
	oneSpan  = regexp.MustCompile(`\{(input|dca|group): ?([A-Za-z0-9-]+)(=\d+)?[,}]`)
	listSpan = regexp.MustCompile(`\{(?:input|dca|group):([^{}]*,[^{}]*)\}`)
)

// strips is which strips a line has the values of, from the first; none if it does not say.
func (e *entry) strips() (first, n int) {
	if m := rowSpan.FindStringSubmatch(e.value); m != nil {
		return number(m[3]), number(m[4]) - number(m[3]) + 1
	}
	for _, line := range e.hear {
		if m := listSpan.FindStringSubmatch(line); m != nil && strings.HasPrefix(line, "hear:") {
			return 1, strings.Count(m[1], ",") + 1
		}
		if m := oneSpan.FindStringSubmatch(line); m != nil {
			from, to, ranged := strings.Cut(m[2], "-")
			if first, n = number(from), 1; ranged {
				n = number(to) - first + 1
			}
			switch {
			case m[3] != "":
				first = number(m[3][1:])
			case first >= letters || first == 0:
				first = 1
			}
			return first, n
		}
	}
	return 0, 0
}

// count is for how many strips lines are together; 0 if one does not say.
func count(lines []*playedLine) int {
	all := map[int]bool{}
	for _, l := range lines {
		first, n := l.strips()
		if n <= 0 {
			return 0
		}
		for k := range min(n, maxIndex) {
			all[first+k] = true
		}
	}
	return len(all)
}

// byKind are the signals of a kind of strip, in the order in which they count.
func byKind(s strip, by map[string][]*playedLine) (all []string) {
	for _, what := range []string{"fader", "name", "mute", "level", "level" + behind, "level-in", "reduction"} {
		if is := s.String() + "." + what; count(by[is]) > 0 {
			all = append(all, is)
		}
	}
	return all
}

// narrowed leaves out the last places of rows that never held anything of a strip: a fader that
// cannot be, or one always closed beside a mute that is always on.
func (d *drafter) narrowed(s strip, by map[string][]*playedLine) bool {
	faders := by[s.String()+".fader"]
	n := count(faders)
	if n == 0 {
		return false
	}
	f := merged(faders)
	var mutes *playedLine
	if m := by[s.String()+".mute"]; len(m) > 0 {
		mutes = merged(m)
	}
	spare := func(k int) bool {
		vs := f.values(k)
		switch {
		case len(vs) == 0:
			return false
		case !slices.ContainsFunc(vs, func(v float64) bool { return v < 20 }):
			return true
		case slices.ContainsFunc(vs, func(v float64) bool { return v > -100 }) || mutes == nil:
			return false
		}
		on := mutes.values(k)
		return len(on) > 0 && !slices.Contains(on, 0)
	}
	to := n
	for to > 1 && spare(to-1) {
		to--
	}
	if to == n || to < 2 {
		return false
	}
	found := false
	for _, is := range byKind(s, by) {
		for _, l := range by[is] {
			found = l.narrow(s, to, "never held anything but what no strip has, or one that is closed and muted: taken for spare places.") || found
		}
	}
	return found
}

// values are all that was read of a strip.
func (l *playedLine) values(index int) (all []float64) {
	for i := range l.readings {
		if r := &l.readings[i]; r.Index == index {
			all = append(all, r.Value)
		}
	}
	return all
}

// narrow makes a row have strips up to one number only, and reports whether it had more. One that
// has none left becomes a comment.
func (e *entry) narrow(s strip, to int, why string) bool {
	m := rowSpan.FindStringSubmatch(e.value)
	if m == nil || m[2] != s.String() {
		return false
	}
	from, _ := strconv.Atoi(m[3])
	last, _ := strconv.Atoi(m[4])
	if last <= to {
		return false
	}
	if from > to {
		e.unsure = true
		e.because("But its places %s", why)
		return true
	}
	e.value = strings.Replace(e.value, m[0], fmt.Sprintf("%s: %s:%d-%d", m[1], s, from, to), 1)
	e.because("The places %d to %d of the %s %s", to+1, last, s.several(), why)
	return true
}

// counted makes comments of the lines that are for fewer strips than most of their kind are, and
// of those that are for more and cannot be made narrower.
func (d *drafter) counted(s strip, by map[string][]*playedLine, fail func([]*playedLine, string, ...any)) {
	all := byKind(s, by)
	votes := map[int]int{}
	for _, is := range all {
		votes[count(by[is])]++
	}
	if len(votes) < 2 {
		return
	}
	n := 0
	for _, is := range all { // of as many the first, which is the fader's
		if k := count(by[is]); n == 0 || votes[k] > votes[n] {
			n = k
		}
	}
	for _, is := range all {
		switch k := count(by[is]); {
		case k < n:
			fail(by[is], "it is for %d of the %d %s that the other lines are for.", k, n, s.several())
		case k > n:
			fail(by[is], "it is for %d %s, and the other lines are for %d.", k, s.several(), n)
		}
	}
}
