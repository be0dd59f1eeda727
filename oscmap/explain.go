package oscmap

import (
	"slices"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// Explainer says of single messages what the map makes of them, for tables and
// pages that show a person what arrives. It counts apart from every Hearer and is
// used from one goroutine.
type Explainer struct {
	hearer *Hearer
	said   Explanation
}

// NewExplainer makes an Explainer of the map.
func (m *Map) NewExplainer() *Explainer {
	e := &Explainer{hearer: m.NewHearer()}
	e.hearer.notes = &e.said
	return e
}

// Explanation is what a map makes of one message.
type Explanation struct {
	// Signals are those of the lines that the message is for, each once, in the
	// order in which they were read. There may be some and yet no values: then all
	// were refused.
	Signals []desk.Signal

	// Values are the readings, each in the unit of its signal.
	Values []desk.Reading

	// Args is what became of each argument of the message.
	Args []ExplainedArg
	none ExplainedArg // of an argument that the message has not
}

// ExplainedArg is what became of one argument.
type ExplainedArg struct {
	// Heard is true if some line at the message's address looks at the argument: for
	// a value, a strip, a condition or a count, even if it finds that the message is
	// not for it.
	Heard bool

	// Left is how many bytes of a blob come after the last that a line reads. It is
	// 0 for other arguments, and for a blob that nobody looks at or that was refused.
	Left int
	read bool // as a blob

	Refused int // values in the argument that could not be values of the signal
}

// Packet begins another packet, as [Hearer.Packet] does.
func (e *Explainer) Packet() { e.hearer.Packet() }

// Explain says what the map makes of a message. What it gives is good until the
// next call; nothing of the message is kept.
func (e *Explainer) Explain(msg *wire.Message) *Explanation {
	s := &e.said
	s.Signals, s.Args = s.Signals[:0], s.Args[:0]
	for args := msg.Args(); args.Next(); {
		s.Args = append(s.Args, ExplainedArg{})
	}
	s.Values = e.hearer.Hear(s.Values[:0], 0, msg)
	return s
}

// Doubts lists the lines of which a value was clamped or refused, as those of a
// Hearer do.
func (e *Explainer) Doubts() []Doubt { return e.hearer.Doubts() }

// takes notes that the message is for a line.
func (e *Explanation) takes(l *line) {
	for _, s := range l.signals {
		if !slices.Contains(e.Signals, s) {
			e.Signals = append(e.Signals, s)
		}
	}
}

// asks notes which arguments a line looks at to find whether the message is for it.
// That one was not looked at because another had settled it makes no difference.
func (e *Explanation) asks(l *line) {
	for i := range l.when {
		e.arg(l.when[i].arg).Heard = true
	}
	for i := range l.which {
		e.arg(l.which[i].arg).Heard = true
	}
	if l.count != nil && l.count.layout == 0 {
		e.arg(l.count.arg).Heard = true
	}
}

// arg is what is noted of an argument.
func (e *Explanation) arg(i int) *ExplainedArg {
	if i < 0 || i >= len(e.Args) {
		return &e.none
	}
	return &e.Args[i]
}

// blob notes up to where a line reads a blob. Where a count is believed, what
// comes after the values is known to be none.
func (e *Explanation) blob(l *line, values, bytes int) {
	left := 0
	if l.count == nil {
		left = bytes - l.skip - (values-1)*l.stride - l.layout.Size()
	}
	a := e.arg(l.arg)
	if !a.read || left < a.Left {
		a.read, a.Left = true, left
	}
}
