package survey

import (
	"fmt"
	"math/bits"

	"pawl/oscmap"
)

// How the mutes are written down.

// mute writes down a mute.
func (d *drafter) mute(s strip, c family) {
	p := &c.place
	muted, open := c.fader.at(mute), c.fader.at(unmute)
	e := entry{is: s.String() + ".mute", hear: p.hear(s)}
	e.because("Muting %s made it %s, unmuting it %s.", s.first(), muted.plain(), open.plain())
	e.because("%s", p.counting(s))
	keys, why := switchKeys(muted, open)
	// One value for all strips of a kind can only be bits.
	if p.index < 0 && !p.row && s != mainStrip {
		bit, isBit := oneBit(muted, open)
		counted := isBit && d.known[s].place.n > 1 // by the faders, of which each has a bit
		if counted {
			keys, why = d.maskKeys(s, c.fader.slot, bit, muted.num < open.num)
			e.part = d.ownBits(c.fader.slot, bit, d.known[s].place.n)
		}
		e.unsure = !counted
	}
	// The main's is one bit of a number that has others' too.
	if bit, isBit := oneBit(muted, open); s == mainStrip && isBit && p.cell == nil && d.bits[c.fader.slot] != 0 {
		keys, why = fmt.Sprintf(", bit: %d", bit), "One number holds the switches of several kinds of strips as its bits."
		if muted.num < open.num {
			keys, why = keys+", invert: yes", why+" A bit that is set means that it sounds."
		}
		e.part = d.ownBits(c.fader.slot, bit, 1)
	}
	e.because("%s", why)
	if banks := p.banks(s); banks != "" && d.asBanked(s, p) {
		e.because("A message has those of %d %s, as it has of their faders.", len(p.shape.rowFrom(p.arg)), s.several())
		d.addBanks(e, s, p, keys)
		return
	} else if banks != "" && d.banked != isNotSo {
		e.unsure = true
		e.because("%s", banks)
	} else if e.unsure {
		e.because("But nothing tells which %s it is about.", s)
	}
	if p.doubt != "" {
		e.unsure = true
		e.because("%s", p.doubt)
	}
	e.part = e.part || p.stride > 0 || p.cell != nil
	e.value = p.where(s) + keys
	d.add(e, p.claims())
	d.addRows(e, s, p, keys)
}

// ownBits notes the bits of a number that are a kind of strip's, and reports whether no other
// kind has any of them.
func (d *drafter) ownBits(t *slot, bit, n int) bool {
	own := (uint64(1)<<n - 1) << bit
	if d.bits[t]&own != 0 {
		return false
	}
	d.bits[t] |= own
	return true
}

// maskKeys is how a map says that the bits of one number are the switches of all
// strips.
func (d *drafter) maskKeys(s strip, t *slot, bit int, inverted bool) (keys, why string) {
	width := 64
	if t.tags == "i" { // which has 32, so a desk with more strips has another word for them
		width = 32
	}
	keys = fmt.Sprintf(", bits: %s:1-%d", s, min(d.known[s].place.n, width-bit))
	if bit > 0 {
		keys += fmt.Sprintf(", bit: %d", bit)
	}
	why = fmt.Sprintf("One number holds the switches of all %s as its bits: that of %s is the bit worth %d. "+
		"The others are taken to follow in order.", s.several(), s.first(), 1<<bit)
	if inverted {
		return keys + ", invert: yes", why + " A bit that is set means that it sounds."
	}
	return keys, why
}

// switchKeys is how a map says which value is muted.
func switchKeys(muted, open value) (keys, why string) {
	a, okA := oscmap.SwitchText([]byte(muted.text))
	b, okB := oscmap.SwitchText([]byte(open.text))
	texts := muted.text != "" || open.text != ""
	if !texts {
		a, b = muted.num >= 0.5, open.num >= 0.5
	}
	switch {
	case texts && !(okA && okB && a != b):
		return fmt.Sprintf(", words: {%q: 0, %q: 1}", open.text, muted.text), "The desk has its own words for it."
	case a == b:
		return fmt.Sprintf(", words: {%s: 0, %s: 1}", plainNumber(open.num), plainNumber(muted.num)), ""
	case b:
		return ", invert: yes", "On means that it sounds."
	}
	return "", ""
}

// oneBit reports whether two numbers differ in one bit, and in which.
func oneBit(a, b value) (bit int, ok bool) {
	if a.text != "" || b.text != "" || min(a.num, b.num) < 0 || max(a.num, b.num) > 1<<31 {
		return 0, false
	}
	x := uint64(a.num) ^ uint64(b.num)
	return bits.TrailingZeros64(x), bits.OnesCount64(x) == 1
}
