package survey

import (
	"fmt"
	"slices"
	"strings"

	"pawl/oscmap"
	"pawl/rules/desk"
)

// Heard is a signal that a map reads from a kind of message.
type Heard struct {
	Signal string `json:"signal"`
	Values string `json:"values"` // in its unit: "-36.0 to 3.0 dB"; "" if all were refused
}

// hearing is what a map made of the messages of a stream, or of several. The zero
// value is that it heard none.
type hearing struct {
	signals []desk.Signal
	values  []tally       // of each of them, in its unit
	left    map[rest]bool // what no line of the map read
}

// rest is what was left of a message that was heard: an argument, bytes at the end of
// one, values in one that were refused, or if it has no number all of it.
type rest struct {
	arg, bytes int
	refused    bool
}

const (
	wholeMessage = -1
	mostRests    = 8 // a bound for blobs that are longer each time
)

func (h *hearing) add(e *oscmap.Explanation) {
	// Before the first that is heard, a line may have waited for a name or a word.
	if len(e.Signals) == 0 && len(h.signals) > 0 {
		h.leave(rest{arg: wholeMessage})
	}
	if len(e.Signals) == 0 {
		return
	}
	for _, s := range e.Signals {
		h.tally(s)
	}
	var t *tally
	for i := range e.Values {
		v := &e.Values[i]
		if i == 0 || v.Signal != e.Values[i-1].Signal {
			t = h.tally(v.Signal)
		}
		if v.Signal.Quantity() == desk.Words {
			t.addText(v.Text)
		} else {
			t.addNumber(v.Value)
		}
	}
	for i, a := range e.Args {
		switch {
		case !a.Heard:
			h.leave(rest{arg: i})
		case a.Refused > 0:
			h.leave(rest{arg: i, refused: true})
		case a.Left > 0:
			h.leave(rest{arg: i, bytes: a.Left})
		}
	}
}

// tally is that of a signal.
func (h *hearing) tally(s desk.Signal) *tally {
	i := slices.Index(h.signals, s)
	if i < 0 {
		i = len(h.signals)
		h.signals, h.values = append(h.signals, s), append(h.values, tally{})
	}
	return &h.values[i]
}

func (h *hearing) leave(r rest) {
	if h.left == nil {
		h.left = map[rest]bool{}
	}
	if len(h.left) < mostRests {
		h.left[r] = true
	}
}

func (h *hearing) merge(o *hearing) {
	for i, s := range o.signals {
		h.tally(s).merge(&o.values[i])
	}
	for r := range o.left {
		h.leave(r)
	}
}

// rows are the columns of a Row.
func (h *hearing) rows() (heard []Heard, left []string) {
	heard, left = []Heard{}, []string{}
	for i, s := range h.signals {
		heard = append(heard, Heard{s.String(), h.values[i].inUnit(s)})
	}
	for r := range h.left {
		switch {
		case r.arg == wholeMessage:
			left = append(left, "some messages")
		case r.refused:
			left = append(left, fmt.Sprintf("argument %d, refused", r.arg))
		case r.bytes > 0:
			left = append(left, fmt.Sprintf("argument %d, its last %s", r.arg, plural(r.bytes, "byte")))
		default:
			left = append(left, fmt.Sprintf("argument %d", r.arg))
		}
	}
	slices.Sort(left)
	return heard, left
}

// inUnit is the range of a signal's values.
func (t *tally) inUnit(s desk.Signal) string {
	switch q := s.Quantity(); {
	case q == desk.Words:
		return t.examples()
	case t.numbers+t.off == 0:
		return ""
	case q == desk.Switch:
		return strings.TrimSuffix(map[float64]string{0: "off, "}[t.lo]+map[float64]string{1: "on"}[t.hi], ", ")
	}
	text := figures(t.lo, t.hi, t.whole)
	if s.Unit() != "" { // one decimal, as the page writes decibels
		text = ranged("%.1f", t.lo, t.hi)
	}
	switch {
	case t.numbers == 0:
		text = "-inf"
	case t.off > 0:
		text = "-inf, " + text
	}
	if s.Quantity() == desk.Proportion {
		return text + ":1"
	}
	return strings.TrimSpace(text + " " + s.Unit())
}

// Shown is the values in words: as the map reads them, in the units of its signals,
// or where it reads none, as they came.
func (r *Row) Shown() string {
	if len(r.Heard) == 1 && r.Heard[0].Values != "" {
		return r.Heard[0].Values
	}
	var values []string
	for _, h := range r.Heard {
		if h.Values != "" {
			values = append(values, h.Signal+" "+h.Values)
		}
	}
	if len(values) == 0 {
		values = r.Values
	}
	return strings.Join(values, "; ")
}

// HeardAs is what a map hears the messages as, "" if it does not.
func (r *Row) HeardAs() string {
	var all []string
	for _, h := range r.Heard {
		all = append(all, h.Signal)
	}
	if len(r.Left) > 0 {
		all = append(all, "in part")
	}
	return strings.Join(all, ", ")
}
