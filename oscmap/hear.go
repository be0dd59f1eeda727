package oscmap

import (
	"time"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// Hearer turns messages into readings by a map. It keeps what that needs
// between messages (counts, names already seen, buffers), so that hearing does
// not allocate. A Hearer is used from one goroutine; a Map has as many as are
// wanted.
type Hearer struct {
	finder
	counts Counts
	last   []byte        // of the addresses that no line heard
	texts  []seen        // by signal and index, as each line's names say
	doubts []doubtCounts // of each line of the map

	order order // of the addresses that were heard

	// Of an Explainer's hearer; nil in one that only hears.
	notes *Explanation

	// Of the message being heard.
	dst    []desk.Reading
	at     time.Duration
	walker *wire.Args
	walked int        // arguments that the walker has given
	inHand int        // the argument that a value is now read from
	args   []wire.Arg // those of them that it has gone past
	took   bool
}

// NewHearer makes a Hearer that has heard nothing yet.
func (m *Map) NewHearer() *Hearer {
	h := &Hearer{args: make([]wire.Arg, 0, 64), texts: make([]seen, m.texts), doubts: make([]doubtCounts, len(m.lines)), last: make([]byte, 0, mostOfAddress), order: m.table.order()}
	h.finder = finder{m: m, arrive: h.arrive, plain: make([]byte, 0, 128)}
	return h
}

// maxMet is how many places of a map the patterns of one packet are held against, before
// the next of them is passed over. No desk is known to send one; 64 kB of /*/*/*/* held
// the daemon for seconds, and anybody who can reach its port could send that. A pattern
// that is begun is heard to its end: it meets each place of a map once at most.
const maxMet = 1 << 15

// Packet begins another packet. Whoever never calls it has the patterns of all that is
// heard bounded together.
func (h *Hearer) Packet() { h.met = 0 }

// Hear appends to dst a reading for each value that the map finds in a message,
// and returns the longer slice. The time at is given to every reading. A
// message that no signal hears appends nothing and is counted as unmapped; a
// value that cannot be one of its signal is clamped or refused, and counted.
//
// The address may be a pattern, and then means every address of the map that it
// matches. Nothing of the message is kept.
func (h *Hearer) Hear(dst []desk.Reading, at time.Duration, msg *wire.Message) []desk.Reading {
	h.counts.Messages++
	h.dst, h.at, h.took = dst, at, false
	h.walker, h.walked, h.args = msg.Args(), 0, h.args[:0]
	routes := h.m.table.find(msg.Address, &h.order)
	switch {
	case routes != nil && !h.m.mixed:
		h.arrive(routes)
	case wire.IsPattern(msg.Address):
		if h.met < maxMet {
			h.search(msg.Address)
		} else {
			h.counts.Passed++
		}
	case h.m.open:
		h.search(msg.Address)
	}
	if !h.took {
		h.counts.Unmapped++
		h.last = append(h.last[:0], msg.Address[:min(len(msg.Address), mostOfAddress)]...)
	}
	dst, h.dst = h.dst, nil
	return dst
}

// arrive takes the message as one to an address with these routes.
func (h *Hearer) arrive(routes []route) {
	for i := range routes {
		r := &routes[i]
		h.take(r.line, [2]int{int(r.at[0]), int(r.at[1])})
	}
}

// take reads the message by one line of the map. It is not for this line if
// its arguments name another strip or say something else than `when`.
func (h *Hearer) take(l *line, at [2]int) {
	if h.notes != nil {
		h.notes.asks(l)
	}
	for _, n := range l.named {
		at[n.slot] = h.capture.names[n.strip]
	}
	for i := range l.when {
		if a := h.arg(l.when[i].arg); a == nil || !l.when[i].holds(a) {
			return
		}
	}
	for i := range l.which {
		w := &l.which[i]
		a := h.arg(w.arg)
		if a == nil {
			return
		}
		index, ok := h.index(w, a)
		if !ok {
			return
		}
		at[w.slot] = index
	}
	h.took = true
	if h.notes != nil {
		h.notes.takes(l)
	}
	h.inHand = l.arg
	switch l.source {
	case fromArg:
		h.one(l, at, h.arg(l.arg))
	case fromArgs:
		h.list(l, at)
	case fromBlob:
		h.blob(l, at)
	case fromPath:
		h.one(l, at, &wire.Arg{Tag: 's', Bytes: h.capture.value})
	case fromArrival:
		h.emit(l, at, l.constant, taken)
	}
}

// arg gives argument i, or nil, valid until the next call. Arguments are walked
// once for all lines. The one in hand is left where it lies and copied only when
// the walk goes past it, which for most messages it never does.
func (h *Hearer) arg(i int) *wire.Arg {
	if h.notes != nil {
		h.notes.arg(i).Heard = true
	}
	for h.walked <= i {
		if h.walked > len(h.args) {
			h.args = append(h.args, *h.walker.Arg())
		}
		if !h.walker.Next() {
			return nil
		}
		h.walked++
	}
	if i < len(h.args) {
		return &h.args[i]
	}
	return h.walker.Arg()
}

// index is the strip that an argument names.
func (h *Hearer) index(w *telling, a *wire.Arg) (int, bool) {
	switch {
	case a.IsText() && w.span.byName:
		return h.m.names.find(w.strip, a.Bytes, &h.plain)
	case a.IsText():
		return w.span.worded(a.Bytes)
	case a.IsNumber():
		return w.span.numbered(a.Number)
	}
	return 0, false
}

// one reads the single value that a message carries.
func (h *Hearer) one(l *line, at [2]int, a *wire.Arg) {
	switch {
	case a == nil:
		h.emit(l, at, 0, refused)
	case l.quantity == desk.Words:
		h.text(l, at, a)
	case l.bits != nil:
		h.mask(l, at, a.Number, a.Bits, a.IsNumber())
	case l.choice != nil:
		h.choose(l, at, a)
	default:
		v, verdict := l.meaning.arg(a)
		h.emit(l, at, v, verdict)
	}
}

// list reads one value from each of several arguments, as many as there are.
func (h *Hearer) list(l *line, at [2]int) {
	n, ok := h.values(l, nil)
	if !ok {
		h.emit(l, at, 0, refused)
	}
	for k := range n {
		a := h.arg(l.arg + k*l.stride)
		if a == nil {
			if k == 0 || l.count != nil {
				h.inHand = l.arg // what is missing is noted at the first
				h.emit(l, at, 0, refused)
			}
			return
		}
		h.inHand = l.arg + k*l.stride
		h.one(l, l.element(at, k), a)
	}
}

// blob reads one value from each element of a blob. One that is too short for
// what the map or its own count field says is refused whole: it is another
// sort of blob, and its bytes would be noise.
func (h *Hearer) blob(l *line, at [2]int) {
	a := h.arg(l.arg)
	if a == nil || !a.IsBlob() {
		h.emit(l, at, 0, refused)
		return
	}
	blob := a.Bytes
	n, ok := h.values(l, blob)
	if !ok || n > 0 && l.skip+(n-1)*l.stride+l.layout.Size() > len(blob) {
		h.emit(l, at, 0, refused)
		return
	}
	if h.notes != nil {
		h.notes.blob(l, n, len(blob))
	}
	for k := range n {
		x, to := l.layout.Read(blob[l.skip+k*l.stride:]), l.element(at, k)
		// A number needs no argument made for it, which would take a fifth as long again.
		if l.bits != nil || l.choice != nil || l.meaning.bit >= 0 {
			h.one(l, to, &wire.Arg{Tag: 'd', Number: x})
			continue
		}
		v, verdict := l.meaning.number(x)
		h.emit(l, to, v, verdict)
	}
}

// values is how many values there are to read: as many as the map says, or fewer if
// the message counts them. It is none, and false, if the count cannot be right.
func (h *Hearer) values(l *line, blob []byte) (n int, ok bool) {
	if n = l.elements(); l.count == nil {
		return n, true
	}
	counted, ok := h.counted(l, blob)
	return min(n, counted), ok
}

// counted reads the count field. It is false if there is none, or it promises
// more than the message holds.
func (h *Hearer) counted(l *line, blob []byte) (int, bool) {
	c, x := l.count, 0.0
	switch {
	case c.layout == 0:
		a := h.arg(c.arg)
		if a == nil || !a.IsNumber() {
			return 0, false
		}
		x = a.Number
	case c.at+c.layout.Size() > len(blob):
		return 0, false
	default:
		x = c.layout.Read(blob[c.at:])
	}
	most := wire.MaxPacket
	if l.source == fromBlob {
		most = 0
		if room := len(blob) - l.skip - l.layout.Size(); room >= 0 {
			most = room/l.stride + 1
		}
	}
	if !(x >= 0 && x <= float64(most)) {
		return 0, false
	}
	return int(x), true
}

// mask gives one reading for each bit.
func (h *Hearer) mask(l *line, at [2]int, x float64, bits uint64, isNumber bool) {
	if !isNumber {
		h.emit(l, at, 0, refused)
		return
	}
	for k := range l.bits.span.n {
		m := &l.meaning
		to := at
		to[l.bits.slot] = l.bits.span.first + k
		v, verdict := m.bitOf(k, x, bits)
		h.emit(l, to, v, verdict)
		if verdict == refused {
			return
		}
	}
}

// emit appends the reading, for each signal of the line, or counts why not.
func (h *Hearer) emit(l *line, at [2]int, v float64, verdict verdict) {
	if verdict != taken {
		if v, verdict = h.doubt(l, v, verdict); verdict == refused {
			return
		}
	}
	for _, s := range l.signals {
		n := len(h.dst)
		if n == cap(h.dst) {
			h.dst = append(h.dst, desk.Reading{})
		}
		// Field by field where it is to lie: a reading made elsewhere and copied
		// costs as much again as everything else here.
		h.dst = h.dst[:n+1]
		r := &h.dst[n]
		r.At, r.Signal, r.Post, r.Index, r.To, r.Value, r.Text = h.at, s, l.post, at[0], at[1], v, ""
	}
}
