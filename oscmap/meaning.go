package oscmap

import (
	"bytes"
	"math"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// meaning turns what stands in a message into a value in the unit of a signal.
type meaning struct {
	quantity desk.Quantity
	lo, hi   float64 // of the signal

	words   []word  // if any, only these are known
	nothing []bound // the numbers that stand for minus infinity
	invert  bool
	bit     int  // the bit that counts, or -1
	linear  bool // scale and offset change something
	scale   float64
	offset  float64
	unit    unit
	taper   *taper
	outside outside // of the taper
	sign    sign
}

// word is one row of an enumeration.
type word struct {
	text     string
	number   float64
	isNumber bool
	value    float64
}

// verdict is what became of a value.
type verdict uint8

const (
	refused verdict = iota
	clamped
	beyond // the taper: the value is still the position, and what it counts for is to be settled
	taken
)

// arg is the value of an argument.
func (m *meaning) arg(a *wire.Arg) (float64, verdict) {
	switch {
	case a.IsText():
		return m.text(a.Bytes)
	case !a.IsNumber():
		return 0, refused
	case m.bit >= 0:
		return m.bitOf(0, a.Number, a.Bits)
	}
	return m.number(a.Number)
}

// bitOf is the value of a bit, counted from the first that counts. Bools and
// floats carry no bits, but whole numbers in them do.
func (m *meaning) bitOf(k int, x float64, bits uint64) (float64, verdict) {
	if bits == 0 {
		if x != math.Trunc(x) || math.Abs(x) > 1<<53 {
			return 0, refused
		}
		bits = uint64(int64(x))
	}
	return m.number(float64(bits >> (max(m.bit, 0) + k) & 1))
}

// text is the value of a string.
func (m *meaning) text(text []byte) (float64, verdict) {
	if m.words != nil {
		text = bytes.TrimSpace(text)
		return m.word(func(w *word) bool { return w.text == string(text) })
	}
	switch m.quantity {
	case desk.Switch:
		on, ok := SwitchText(text)
		if ok {
			return m.number(number(on))
		}
	case desk.Gain, desk.Level:
		if isMinusInfinity(text) {
			return math.Inf(-1), taken
		}
	}
	x, rest, ok := parseNumber(text)
	if ok && m.quantity == desk.Duration && len(rest) > 0 {
		return m.time(x, rest)
	}
	if !ok || !m.unitFits(rest) {
		return 0, refused
	}
	return m.number(x)
}

// time is the value of a time with its unit written after it, which counts for more
// than the map's: desks that write times for people go from 980 ms to 1.2 s.
func (m *meaning) time(x float64, rest []byte) (float64, verdict) {
	switch {
	case equalFold(rest, "ms"):
		return m.within(x, taken)
	case equalFold(rest, "s"):
		return m.within(1000*x, taken)
	}
	return 0, refused
}

// unitFits reports whether what follows a number in a text agrees with the map.
func (m *meaning) unitFits(rest []byte) bool {
	switch {
	case len(rest) == 0:
		return true
	case len(rest) > 1 && equalFold(rest[:2], "db"):
		return m.taper == nil && (m.unit == "dB" || m.unit == "dBFS" || m.unit == "dB(A)")
	case string(rest) == "%":
		return m.unit == "" || m.unit == amplitude
	}
	return m.quantity == desk.Proportion && string(rest) == ":1"
}

// word looks a text or a number up in the enumeration.
func (m *meaning) word(is func(*word) bool) (float64, verdict) {
	for i := range m.words {
		if is(&m.words[i]) {
			return m.words[i].value, taken
		}
	}
	return 0, refused
}

// number is the value of a number as it came.
func (m *meaning) number(x float64) (float64, verdict) {
	if x != x || x > math.MaxFloat64 {
		return 0, refused
	}
	if m.words != nil {
		return m.word(func(w *word) bool { return w.isNumber && w.number == x })
	}
	if m.quantity == desk.Switch {
		return number((x >= 0.5) != m.invert), taken
	}
	for _, b := range m.nothing {
		if b.holds(x) {
			return math.Inf(-1), taken
		}
	}
	if m.linear {
		x = x*m.scale + m.offset
	}
	switch {
	case m.taper != nil:
		if math.IsInf(x, 0) {
			return 0, refused
		}
		if !m.taper.holds(x) {
			return x, beyond
		}
		x = m.taper.at(x)
	case m.unit == amplitude, m.unit == power:
		if x < 0 {
			return 0, refused
		}
		x = bels * math.Log(x)
		if m.unit == amplitude {
			x *= 2
		}
	}
	return m.settled(x)
}

// pulledIn is the value of a position beyond the taper, if the map lets it count
// for the nearer end.
func (m *meaning) pulledIn(position float64) (float64, verdict) {
	end, ok := m.taper.end(position, m.outside)
	if !ok {
		return 0, refused
	}
	v, verdict := m.settled(m.taper.at(end))
	return v, min(verdict, clamped)
}

// settled gives a number of decibels its sign and keeps it in the signal's range.
func (m *meaning) settled(x float64) (float64, verdict) {
	if m.quantity == desk.Reduction {
		x = m.upwards(x)
	}
	return m.within(x, taken)
}

// upwards makes gain reduction count upwards. Where the map does not say how
// the desk writes it, either sign is a reduction: nobody's compressor expands.
func (m *meaning) upwards(x float64) float64 {
	switch m.sign {
	case "positive":
		return x
	case "negative":
		return -x + 0 // not -0
	}
	return math.Abs(x)
}

// within keeps a value in the range of its signal.
func (m *meaning) within(x float64, v verdict) (float64, verdict) {
	switch {
	case x >= m.lo && x <= m.hi:
		return x, v
	case math.IsInf(x, -1) && (m.quantity == desk.Gain || m.quantity == desk.Level):
		return x, v
	case math.IsInf(x, 0) || x != x:
		return 0, refused
	}
	return min(max(x, m.lo), m.hi), clamped
}

func number(on bool) float64 {
	if on {
		return 1
	}
	return 0
}
