package oscmap

import (
	"math"
	"slices"
	"strconv"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// Explainer says of single messages what the map makes of them, for tables and
// pages that show a person what arrives. It counts apart from every Hearer and is
// used from one goroutine.
type Explainer struct {
	hearer *Hearer
	notes  notes
}

// NewExplainer makes an Explainer of the map.
func (m *Map) NewExplainer() *Explainer {
	e := &Explainer{hearer: m.NewHearer()}
	e.hearer.notes = &e.notes
	return e
}

// Explanation is what a map makes of one message.
type Explanation struct {
	// Signals are those of the lines that the message is for, each once, in the
	// order in which they were read. There may be some and yet no values: then all
	// were refused.
	Signals []desk.Signal

	// Values are the readings, each in the unit of its signal.
	Values []ExplainedValue

	// Args is what became of each argument of the message.
	Args []ExplainedArg
}

// ExplainedValue is a reading, and the argument that it was read from.
type ExplainedValue struct {
	desk.Reading
	Arg int // counted from 0; -1 if the value is no argument but in the address, or the message itself
}

// String is the value with its unit, as in "-12.5 dB", "2.5:1" or "on".
func (v ExplainedValue) String() string {
	switch v.Signal.Quantity() {
	case desk.Switch:
		if v.On() {
			return "on"
		}
		return "off"
	case desk.Words:
		return strconv.Quote(v.Text)
	case desk.Number:
		return figure(v.Value)
	case desk.Proportion:
		return figure(v.Value) + ":1"
	case desk.Duration:
		return figure(v.Value) + " ms"
	}
	return desk.OneDecimal(v.Value) + " " + v.Signal.Unit()
}

// figure is a number with at most two decimals.
func figure(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }

// ExplainedArg is what became of one argument.
type ExplainedArg struct {
	// Heard is true if some line at the message's address looks at the argument: for
	// a value, a strip, a condition or a count, even if it finds that the message is
	// not for it.
	Heard bool

	// Left is how many bytes of a blob come after the last that a line reads. It is
	// 0 for other arguments, and for a blob that nobody looks at or that was refused.
	Left int

	Refused int // values in the argument that could not be values of the signal
	Clamped int // values taken for the end of the signal's range, or of the taper
}

// Unheard lists the arguments that no line looks at, counted from 0.
func (e *Explanation) Unheard() (args []int) {
	for i, a := range e.Args {
		if !a.Heard {
			args = append(args, i)
		}
	}
	return args
}

// Whole reports whether the message is for some line, and every argument and
// every byte of a blob is heard.
func (e *Explanation) Whole() bool {
	return len(e.Signals) > 0 && !slices.ContainsFunc(e.Args, func(a ExplainedArg) bool { return !a.Heard || a.Left > 0 })
}

// Explain says what the map makes of a message. What it gives is good until the
// next call; nothing of the message is kept.
func (e *Explainer) Explain(msg *wire.Message) *Explanation {
	n := &e.notes
	n.begin(msg)
	n.readings = e.hearer.Hear(n.readings[:0], 0, msg)
	for i, r := range n.readings {
		n.Values = append(n.Values, ExplainedValue{r, n.arg[i]})
	}
	n.blobs(msg)
	return &n.Explanation
}

// Doubts lists the lines of which a value was clamped or refused, as those of a
// Hearer do.
func (e *Explainer) Doubts() []Doubt { return e.hearer.Doubts() }

// notes is what an Explainer's hearer writes down on its way through a message.
type notes struct {
	Explanation
	readings []desk.Reading
	arg      []int // of each reading
	end      []int // of each argument: the first byte of a blob that no line reads
	refused  int   // values, since an argument was last noted
	clamped  int
}

func (n *notes) begin(msg *wire.Message) {
	n.Signals, n.Values, n.Args = n.Signals[:0], n.Values[:0], n.Args[:0]
	n.arg, n.end, n.refused, n.clamped = n.arg[:0], n.end[:0], 0, 0
	for args := msg.Args(); args.Next(); {
		n.Args, n.end = append(n.Args, ExplainedArg{}), append(n.end, 0)
	}
}

// takes notes that the message is for a line.
func (n *notes) takes(l *line) {
	for _, s := range l.signals {
		if !slices.Contains(n.Signals, s) {
			n.Signals = append(n.Signals, s)
		}
	}
}

// address notes which arguments a line at the message's address looks at to find
// whether the message is for it.
func (n *notes) address(l *line) {
	for i := range l.when {
		n.looked(l.when[i].arg)
	}
	for i := range l.which {
		n.looked(l.which[i].arg)
	}
	if l.count != nil && l.count.layout == 0 {
		n.looked(l.count.arg)
	}
}

func (n *notes) looked(arg int) {
	if arg < len(n.Args) {
		n.Args[arg].Heard = true
	}
}

// doubtful notes a value that was not plainly taken, of the argument in hand.
func (n *notes) doubtful(v verdict) {
	if v == refused {
		n.refused++
	} else {
		n.clamped++
	}
}

// from notes that everything since the last note came from an argument.
func (n *notes) from(h *Hearer, arg int) {
	for len(n.arg) < len(h.dst) {
		n.arg = append(n.arg, arg)
	}
	if arg >= 0 && arg < len(n.Args) {
		a := &n.Args[arg]
		a.Heard, a.Refused, a.Clamped = true, a.Refused+n.refused, a.Clamped+n.clamped
	}
	n.refused, n.clamped = 0, 0
}

// blob notes up to where a line reads a blob. Where a count is believed, what
// comes after the values is known to be none.
func (n *notes) blob(l *line, values, bytes int) {
	end := bytes
	if l.count == nil {
		end = l.skip + (values-1)*l.stride + l.units().width
	}
	n.end[l.arg] = max(n.end[l.arg], end)
}

// rest notes where what else a line gave came from.
func (n *notes) rest(h *Hearer, l *line) {
	switch l.source {
	case fromPath, fromArrival:
		n.from(h, -1)
	case fromArgs: // noted one by one, but for what was refused before the first
		if n.refused > 0 {
			n.from(h, l.arg)
		}
	default:
		n.from(h, l.arg)
	}
}

// blobs notes what no line reads of blobs that some line reads.
func (n *notes) blobs(msg *wire.Message) {
	i := 0
	for args := msg.Args(); args.Next(); i++ {
		if n.end[i] > 0 {
			n.Args[i].Left = max(0, len(args.Arg().Bytes)-n.end[i])
		}
	}
}
