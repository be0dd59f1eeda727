package rules

import (
	"time"

	"pawl/rules/desk"
)

// lineCheck is one pass over every input before anybody arrives: each player in turn for
// ten seconds. It asks for one input after another, hears whether that one sounds and how
// loud, and looks at how the desk is set for it. It is asked for and not a rule: nothing
// of it is on the operator's screen. Begun before the service it begins a sound check, and else
// it changes nothing that the rules say.
type lineCheck struct {
	limits  Limits
	since   time.Duration
	touched time.Duration // when somebody last pressed, or an input was last done
	inputs  []lineInput
	asked   int // -1 for none

	waited  int    // beats since it was asked
	silent  int    // of them without a sound of it, since it last sounded
	answers []int  // by input: of them in which another was the loudest, and it was not heard
	before  []int  // by input: of one that played already, the beats of silence until it could answer
	pairs   []pair // by input
	paired  int    // beats that the pairs compare

	scratch []float64
}

// newLineCheck begins one. names are the roster's, "" where nobody gave one.
func newLineCheck(l Limits, names []string, at time.Duration) *lineCheck {
	c := &lineCheck{
		limits: l, since: at, touched: at, asked: -1, inputs: make([]lineInput, len(names)), answers: make([]int, len(names)), before: make([]int, len(names)),
		pairs: make([]pair, len(names)), scratch: make([]float64, beatsIn(l.LineCheck.Play)),
	}
	for i := range c.inputs {
		c.inputs[i] = lineInput{name: names[i], state: LineWaiting}
		c.inputs[i].anew()
	}
	return c
}

// beatsIn is how many beats there are in a time, at least one.
func beatsIn(d time.Duration) int { return max(int(d/desk.Beat), 1) }

// follow is the same line check by another house file: an input that is called as it was
// stays as far as it was.
func (c *lineCheck) follow(l Limits, names []string) *lineCheck {
	n := newLineCheck(l, names, c.since)
	n.touched = c.touched
	for i := range min(len(n.inputs), len(c.inputs)) {
		if was := c.inputs[i]; was.name == names[i] && len(c.scratch) == len(n.scratch) {
			n.inputs[i] = was
			if was.state == LineAsked {
				n.ask(i)
			}
		}
	}
	return n
}

// refuses gives why a press cannot be obeyed now; nil for one that is about something else.
func (c *lineCheck) refuses(p Press, inputs int) error {
	switch p.Do {
	case LineCheck:
		if p.On == (c != nil) {
			return map[bool]error{true: ErrChecking, false: ErrNoCheck}[p.On]
		}
		return nil
	case LineAsk, LineDone, LineLater:
	default:
		return nil
	}
	switch i := p.Number - 1; {
	case c == nil:
		return ErrNoCheck
	case i < 0 || i >= inputs:
		return ErrNoInput
	case p.Do == LineDone && c.inputs[i].state == LineFinished:
		return ErrInputDone
	case p.Do == LineLater && i != c.asked:
		return ErrNotAsked
	}
	return nil
}

// press does what a press about one input asks.
func (c *lineCheck) press(p Press, at time.Duration) {
	c.touched = at
	i := p.Number - 1
	switch p.Do {
	case LineAsk:
		if c.asked >= 0 && c.asked != i {
			c.inputs[c.asked].state = LineWaiting
		}
		c.inputs[i].anew()
		c.ask(i)
	case LineDone:
		c.put(i, LineFinished)
	case LineLater:
		c.put(i, LinePutOff)
	}
}

// put brings an input to another state than asked.
func (c *lineCheck) put(i int, s LineState) {
	c.inputs[i].state = s
	if c.asked == i {
		c.asked = -1
	}
}

// ask makes an input the one that should sound.
func (c *lineCheck) ask(i int) {
	c.asked = i
	in := &c.inputs[i]
	in.state = LineAsked
	if in.ring == nil {
		in.ring = make([]lineBeat, len(c.scratch))
	}
	c.listenAnew()
}

// listenAnew forgets what was heard beside the asked one.
func (c *lineCheck) listenAnew() {
	c.waited, c.silent, c.paired = 0, 0, 0
	clear(c.answers)
	clear(c.pairs)
}

// askNext asks for the first input that waits, or else for the first that was put off:
// the desk's order is the order in which people stand, more often than not.
func (c *lineCheck) askNext(v *desk.View) {
	for _, s := range []LineState{LineWaiting, LinePutOff} {
		for i := range c.inputs {
			if c.inputs[i].state == s && v.Metered(i) {
				c.ask(i)
				return
			}
		}
	}
}

// beat lets one beat pass, and reports whether nothing is left to do.
func (c *lineCheck) beat(v *desk.View) (over bool) {
	if c.asked < 0 {
		c.askNext(v)
	}
	if i := c.asked; i >= 0 {
		c.listen(v, i)
		if c.inputs[i].checked() && !c.anyOf(v, i, lineSounds) {
			c.touched = v.At
			c.put(i, LineOpen)
			c.askNext(v)
		}
	}
	left := 0
	for i := range c.inputs {
		in := &c.inputs[i]
		if in.state == LineOpen && !c.anyOf(v, i, lineSettings) {
			c.touched, in.state = v.At, LineFinished
		}
		if in.state != LineFinished && !c.nobody(v, i) {
			left++
		}
	}
	return left == 0
}

// listen takes one beat of the asked input, and of the others beside it.
func (c *lineCheck) listen(v *desk.View, i int) {
	in := &c.inputs[i]
	c.regained(v, i)
	level, other := v.Level(i, desk.Syllable), c.loudest(v, i)
	c.goOn(v)
	c.waited++
	c.silent++
	switch {
	case v.Hears(i) && level > v.Gate(i) && (other < 0 || v.Level(other, desk.Syllable) < level+desk.DBFS(c.limits.LineCheck.Bleed)):
		c.silent = 0
		in.add(v, i, level)
		c.compare(v, i)
		if in.checked() {
			in.measure(c.scratch)
		}
	case other >= 0 && c.before[other] == 0:
		c.answers[other]++
	}
}

// goOn notes who still plays from before: whoever was asked last plays to the end of the
// phrase, and answers nobody.
func (c *lineCheck) goOn(v *desk.View) {
	for o := range c.before {
		switch sounds := v.Hears(o) && v.Level(o, desk.Syllable) > v.Gate(o); {
		case sounds && (c.waited == 0 || c.before[o] > 0):
			c.before[o] = beatsIn(breath)
		case c.before[o] > 0:
			c.before[o]--
		}
	}
}

// regained begins anew when the gain ahead of the input was set: what sounded before it
// says nothing of how loud it is now.
func (c *lineCheck) regained(v *desk.View, i int) {
	in := &c.inputs[i]
	gain, _ := v.Latest(desk.InputSourceGain, i)
	if gain != in.gain && in.beats > 0 {
		in.anew()
		c.listenAnew()
	}
	in.gain = gain
}

// loudest is the other input that sounds loudest at this moment; -1 if none does.
func (c *lineCheck) loudest(v *desk.View, i int) int {
	most, which := desk.Silence, -1
	for o := range c.inputs {
		if o == i || !v.Hears(o) {
			continue
		}
		if l := v.Level(o, desk.Syllable); l > v.Gate(o) && l > most {
			most, which = l, o
		}
	}
	return which
}

// compare holds all others against the asked input, and once it has sounded long enough
// finds the one that moves with it. A sound that hardly moves proves nothing.
func (c *lineCheck) compare(v *desk.View, i int) {
	level := v.Level(i, desk.Beat)
	for o := range c.pairs {
		if l := v.Level(o, desk.Beat); o != i && v.Hears(o) && l > v.Gate(o) && level > v.Gate(i) {
			c.pairs[o].add(l.Above(level))
		}
	}
	// A beat of the asked one below its gate compares with nobody, so most will do.
	if c.paired++; c.paired < len(c.scratch) {
		return
	}
	in := &c.inputs[i]
	in.measure(c.scratch)
	in.with = -1
	for o := range c.pairs {
		if c.pairs[o].alike(c.paired*3/4, c.limits.LineCheck.Together) && in.is.swing > c.limits.LineCheck.Steady {
			in.with = o
		}
	}
	c.paired = 0
	clear(c.pairs)
}

// answering is the input that answers in the place of the asked one; -1 if none does, or
// if several do: then somebody is just playing.
func (c *lineCheck) answering() int {
	which, most, all := -1, 0, 0
	for o, n := range c.answers {
		if all += n; n > most {
			which, most = o, n
		}
	}
	if c.inputs[c.asked].beats > 0 || most < beatsIn(c.limits.LineCheck.Answers) || most*4 < all*3 {
		return -1
	}
	return which
}
