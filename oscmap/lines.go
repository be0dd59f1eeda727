package oscmap

import (
	"fmt"
	"slices"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// lines compiles the signals. All addresses are read before any is compiled,
// since a range written on the last line serves the first.
func (c *checker) lines() {
	parts := c.file.Signals.V
	if len(parts) == 0 && c.file.Signals.Place.Written() && !c.doubtful(c.file.Signals.Place) {
		c.wrong(c.file.Signals.Place, "begin with the input faders", "no signals; want at least one")
	}
	if len(parts) > maxLines {
		c.wrong(c.file.Signals.Place, "one line can hear a range of strips, as in /in/{input:1-64}", "%d signals; want at most %d", len(parts), maxLines)
		return
	}
	paths := make([]*path, len(parts))
	for i := range parts {
		paths[i] = c.path(&parts[i])
	}
	for i := range parts {
		if paths[i] == nil {
			continue
		}
		if l := c.line(&parts[i], *paths[i]); l != nil {
			l.number = len(c.m.lines)
			c.m.lines = append(c.m.lines, l)
		}
	}
	c.unusedTapers()
}

// path reads the address of a line and notes the ranges of the whole line.
func (c *checker) path(s *signalPart) *path {
	for _, w := range s.Which {
		if strip, at := w.strip(); strip != desk.NoStrip && w.Arg.Written() {
			c.note(strip, at.Place, at.V, 1)
		}
	}
	for _, e := range s.Value.Each {
		c.note(e.V.strip, e.Place, e.V.span, 2)
	}
	for _, of := range []sheet.At[eachSpan]{s.Value.Bits, s.Value.OneOf} {
		c.note(of.V.strip, of.Place, of.V.span, 2)
	}
	if s.Hear.V == "" {
		return nil // and that was said
	}
	p, fault, hint := parsePath(s.Hear.V, reserved)
	if fault != "" {
		c.wrong(s.Hear.Place, hint, "%s", fault)
		return nil
	}
	for _, pt := range p.indices() {
		c.note(pt.slot, s.Hear.Place, pt.span, 0)
	}
	return &p
}

// line compiles one entry, or reports why not. A line whose value is faulty is
// still one that hears an address, and the checks that follow want to know it.
func (c *checker) line(s *signalPart, p path) *line {
	l := &line{place: s.Hear.Place, path: p, post: s.Tap.V == "post-fader"}
	if !c.signals(l, s) {
		return nil
	}
	before := len(c.faults)
	c.bind(l, s)
	if len(c.faults) > before {
		l.unsure = true
	}
	c.value(l, s)
	c.metering(l, s)
	l.unsure = l.unsure || c.doubtful(s.Place)
	return l
}

// signals reads what the line is. Several signals share a line only if all
// else about them is the same.
func (c *checker) signals(l *line, s *signalPart) bool {
	for _, at := range s.Is {
		sig := desk.Signal(at.V)
		if sig == desk.NoSignal {
			return false // and that was said
		}
		if len(l.signals) > 0 && !l.shares(sig) && !(s.Value.OneOf.Written() && l.chooses(sig)) {
			c.wrong(at.Place, "give it an entry of its own", "%s is %s of the %s and cannot share an entry with %s",
				sig, sig.Quantity(), sig.Of(), l.signals[0])
			return false
		}
		l.signals = append(l.signals, sig)
		if slots := slotsOf(sig); len(slots) >= len(l.slots) {
			l.slots = slots
		}
		l.quantity = sig.Quantity()
	}
	if len(s.Is) == 0 && !c.doubtful(s.Place) {
		c.wrong(s.Place, "", "no signal; want at least one after \"is\"")
	}
	return len(l.signals) > 0
}

// shares reports whether a signal can be all that the line's signals are.
func (l *line) shares(s desk.Signal) bool {
	return s.Of() == l.signals[0].Of() && s.Quantity() == l.quantity && len(slotsOf(s)) == len(l.slots)
}

// chooses reports whether one number can say both the signal and the line's: that
// an input feeds one of the groups or none, and then the main.
func (l *line) chooses(s desk.Signal) bool {
	pair := []desk.Signal{l.signals[0], s}
	slices.Sort(pair)
	return len(l.signals) == 1 && slices.Equal(pair, []desk.Signal{desk.InputGroup, desk.InputMain})
}

// bind finds what tells each strip of the signal.
func (c *checker) bind(l *line, s *signalPart) {
	for i := range l.path.parts {
		switch p := &l.path.parts[i]; p.kind {
		case indexPart:
			c.tell(l, telling{by: byIndex, strip: p.slot}, &p.span, l.place)
		case namePart:
			c.tell(l, telling{by: byName, strip: p.slot}, &span{byName: true}, l.place)
		}
	}
	c.bindArgs(l, s)
	for _, e := range s.Value.Each {
		c.tell(l, telling{by: byPlace, strip: e.V.strip}, &e.V.span, e.Place)
	}
	c.tell(l, telling{by: byBit, strip: s.Value.Bits.V.strip}, &s.Value.Bits.V.span, s.Value.Bits.Place)
	c.tell(l, telling{by: byChoice, strip: s.Value.OneOf.V.strip}, &s.Value.OneOf.V.span, s.Value.OneOf.Place)
	l.named, l.which, l.each = l.by(byName), l.by(byArgument), l.by(byPlace)
	for _, t := range l.by(byBit) {
		l.bits = &t
	}
	for _, t := range l.by(byChoice) {
		l.choice = &choice{telling: t}
	}
	for _, strip := range l.slots {
		if !l.tells(strip) && !c.doubtful(s.Place) {
			c.wrong(l.place, fmt.Sprintf("write {%s} in the address, or which: {%s: 1-16, arg: 0}, or each: %s", strip, strip, strip),
				"nothing says which %s", strip)
		}
	}
}

// tell adds what tells a strip of the line, once for each strip that its signal has.
// The span is given what the map means by it. What is not written tells nothing.
func (c *checker) tell(l *line, t telling, of *span, at sheet.Place) {
	if t.strip == desk.NoStrip {
		return
	}
	t.slot = slices.Index(l.slots, t.strip)
	ok := t.slot >= 0 && !l.tells(t.strip)
	switch {
	case ok:
		c.fill(t.strip, of, at)
	case t.slot < 0:
		c.wrong(at, "leave it out, or write {any} where anything may stand", "%s has no %s", l.signals[0], t.strip)
	default:
		c.wrong(at, "keep one of them", "the %s is told twice", t.strip)
	}
	if t.span = *of; ok || t.by == byIndex { // an address with one too many is still an address
		l.told = append(l.told, t)
	}
}

// tells reports whether something already tells the strip.
func (l *line) tells(strip desk.Strip) bool {
	return slices.ContainsFunc(l.told, func(t telling) bool { return t.strip == strip })
}

// strip is the one strip of a part, or none if there are none or several.
func (w *whichPart) strip() (strip desk.Strip, at sheet.At[span]) {
	for i, a := range []sheet.At[span]{w.Input, w.DCA, w.Group} {
		switch {
		case !a.Written():
		case at.Written():
			return desk.NoStrip, at
		default:
			strip, at = indexed[i], a
		}
	}
	return strip, at
}

// bindArgs binds the strips that arguments tell, or the file itself.
func (c *checker) bindArgs(l *line, s *signalPart) {
	for i := range s.Which {
		w := &s.Which[i]
		strip, at := w.strip()
		t := telling{by: byArgument, strip: strip, arg: w.Arg.V}
		if !w.Arg.Written() {
			t.by = byMap
		}
		vague := t.by == byMap && at.V.n != 1
		if vague {
			at.V = span{}
		}
		before := len(l.told)
		c.tell(l, t, &at.V, at.Place)
		switch {
		case strip == desk.NoStrip && !c.doubtful(w.Place):
			c.wrong(w.Place, "as in {input: 1-16, arg: 0}", "want one of input, dca or group here")
		case vague && len(l.told) > before:
			c.wrong(at.Place, "say in which argument it is, as in {"+strip.String()+": 1-16, arg: 0}, or write one number", "a range without an argument that tells which")
		}
	}
	for _, w := range s.When {
		cond := condition{arg: w.Arg.V}
		for _, is := range w.Is {
			cond.is = append(cond.is, is.V)
		}
		l.when = append(l.when, cond)
	}
}

// metering checks the tap and the detector.
func (c *checker) metering(l *line, s *signalPart) {
	for _, sig := range l.signals {
		if s.Tap.Written() && sig != desk.InputLevel && sig != desk.InputPeak {
			c.wrong(s.Tap.Place, "leave it out", "a tap says nothing about %s; it belongs to input.level and input.peak", sig)
		}
		level := sig.Quantity() == desk.Level && !sig.Control()
		peak := sig == desk.InputPeak || sig == desk.GroupPeak || sig == desk.MainPeak
		switch {
		case s.Detector.Written() && !level:
			c.wrong(s.Detector.Place, "leave it out", "a detector says nothing about %s; it belongs to levels", sig)
		case s.Detector.V == "rms" && peak:
			c.wrong(s.Detector.Place, "is it "+strings.Replace(sig.String(), "peak", "level", 1)+"?", "%s is not an RMS level", sig)
		}
	}
}

func (c *checker) unusedTapers() {
	for _, e := range c.file.Tapers {
		if !c.used[e.Key] && c.taper[e.Key] != nil && !c.doubtful(c.file.Signals.Place) {
			c.advise(e.Place, "", "the taper \"%s\" is used by no signal", e.Key)
		}
	}
}
