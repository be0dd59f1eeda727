package survey

import (
	"fmt"
	"slices"
	"strings"
)

// DraftOptions say what goes into a draft besides what was heard.
type DraftOptions struct {
	// Desk is what the map calls the desk.
	Desk string

	// Heard is a sentence on where the traffic came from, for the head of the file.
	Heard string

	// Link and Strips are sections of a map that the person has already, as YAML,
	// each beginning with its key. They are taken over as they are.
	Link, Strips string

	// Transport is the map's word for how packets came, "" for udp. Port is where
	// the desk sends from, 0 if that is not known.
	Transport string
	Port      int
}

// Draft writes a map from what was heard and, if there was one, from the guided
// part; g may be nil. What could not be told is in it as comments.
func (s *Survey) Draft(g *Guide, o DraftOptions) string {
	if g != nil && !g.foundAny() {
		g = nil
	}
	d := &drafter{survey: s, guide: g, shapes: s.Shapes(), claimed: map[*slot]bool{}, units: map[string]string{}}
	d.strips()
	d.meters()
	return d.write(o)
}

// drafter gathers the entries of a draft.
type drafter struct {
	survey  *Survey
	guide   *Guide
	shapes  []*Shape
	claimed map[*slot]bool // has an entry, be it as a comment

	known   [4]family // by strip
	scale   scale
	scaled  bool
	units   map[string]string // of levels, by meter.sort
	linear  string            // the unit of levels that are factors, and the bits of their numbers
	precise int
	entries []entry
	missing []string // what was asked for and not found, in plain words
}

// family is a kind of strip of which the fader is known.
type family struct {
	ok    bool
	fader control
	place place
}

// entry is one signal of the draft.
type entry struct {
	why    []string
	hear   []string
	is     string
	value  string
	more   []string // further lines, as "tap: pre-fader"
	unsure bool     // written as a comment
}

func (d *drafter) add(e entry, slots []*slot) {
	d.entries = append(d.entries, e)
	for _, t := range slots {
		d.claimed[t] = true
	}
}

// strips writes down the faders, mutes and names.
func (d *drafter) strips() {
	if d.guide == nil {
		d.likelyStrips()
		return
	}
	var stops []place
	for s := inputStrip; s <= mainStrip; s++ {
		c, ok := d.guide.found(s, zero)
		if !ok {
			continue
		}
		p, ok := locate(d.shapes, c.slot)
		if !ok || !p.shape.writable() {
			continue
		}
		d.known[s] = family{true, c, p}
		stops = append(stops, p)
	}
	for s := inputStrip; s <= mainStrip; s++ {
		f := &d.known[s]
		f.place.settle(s, stops)
		if f.ok {
			d.fader(s, f)
		} else {
			d.missing = append(d.missing, fmt.Sprintf("Where %s's fader is: nothing was seen to follow it, or it was left out.", s.first()))
		}
		d.mute(s, f)
		if f.ok && s != mainStrip {
			d.names(s, f.place)
		}
	}
}

// settle finds how many strips there are.
func (p *place) settle(s strip, stops []place) {
	switch {
	case p.shape == nil:
	case s == mainStrip:
		p.index = -1
	case p.index < 0 && p.shape.rowFrom(p.arg):
		p.row, p.n = true, p.shape.args()-p.arg
	default:
		p.count(stops)
	}
}

// slotsAll is the slots of all strips, those of a row included.
func (p *place) slotsAll() []*slot {
	if p.row {
		return p.shape.rowSlots(p.arg)
	}
	return p.slots()
}

// where is the beginning of an entry's value: which argument, and of whom.
func (p *place) where(s strip) string {
	if p.row {
		return fmt.Sprintf("args: %d, each: %s:1-%d", p.arg, s, p.n)
	}
	return fmt.Sprintf("arg: %d", p.arg)
}

// fader writes down a fader. The input's gives the scale; the others are taken to
// have the same if their 0 dB and their bottom agree with it.
func (d *drafter) fader(s strip, f *family) {
	e := entry{is: s.String() + ".fader", hear: f.place.hear(s)}
	e.why = append(e.why, fmt.Sprintf("It followed %s's fader through %s.", s.first(), plural(uint64(len(f.fader.moves)), "move")))
	if n := f.place.counting(s); n != "" {
		e.why = append(e.why, upper(n)+".")
	}
	if len(f.fader.others) > 0 {
		e.why = append(e.why, alsoFollowed(f.fader.others))
	}
	points, bottomAt := f.fader.points()
	if s == inputStrip {
		d.scale, d.scaled = fit(points, bottomAt)
		if d.scaled {
			e.why = append(e.why, d.scale.said)
		}
	} else if own, ok := fit(points, bottomAt); d.scaled {
		e.why = append(e.why, "The scale is taken from input 1's fader; 0 dB is where it is there.")
		if w := worst(finite(points), d.scale.db); w > 0.5 {
			e.unsure = true
			e.why[len(e.why)-1] = fmt.Sprintf("But its scale is another: by input 1's it would be %.1f dB off. Write a taper for it.", w)
			if ok && own.taper == "" {
				d.scaled, e.unsure, e.why[len(e.why)-1] = true, false, own.said
				e.value = f.place.where(s) + ", " + own.value
			}
		}
	}
	if e.value == "" {
		e.value = f.place.where(s) + ", " + d.scale.value
	}
	if !d.scaled {
		e.unsure = true
		e.why = append(e.why, "No scale could be made of the marks: write a taper, or a unit, and take the # away.")
		e.value = f.place.where(s) + ", unit: dB"
	}
	if f.place.row {
		e.why = append(e.why, fmt.Sprintf("The message holds %d values; the first is taken for strip 1.", f.place.n))
	}
	d.add(e, f.place.slotsAll())
}

func finite(points []point) (out []point) {
	for _, p := range points {
		if p.db == p.db {
			out = append(out, p)
		}
	}
	return out
}

func alsoFollowed(others []*slot) string {
	var names []string
	for _, t := range others[:min(len(others), 3)] {
		names = append(names, t.name())
	}
	return "These followed it as well, and say the same in another way: " + strings.Join(names, ", ") + "."
}

func upper(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// mute writes down a mute.
func (d *drafter) mute(s strip, f *family) {
	c, ok := d.guide.found(s, mute)
	if !ok {
		d.missing = append(d.missing, fmt.Sprintf("Where %s's mute is: nothing was seen to follow it, or it was left out.", s.first()))
		return
	}
	p, ok := locate(d.shapes, c.slot)
	if !ok || !p.shape.writable() {
		return
	}
	p.settle(s, d.mutePlaces())
	muted, _ := c.at(mute)
	open, _ := c.at(unmute)
	e := entry{is: s.String() + ".mute", hear: p.hear(s)}
	e.why = []string{fmt.Sprintf("Muting %s made it %s, unmuting it %s.", s.first(), muted.is.plain(), open.is.plain())}
	if n := p.counting(s); n != "" {
		e.why = append(e.why, upper(n)+".")
	}
	value, why := switchValue(muted.is, open.is)
	bit, isBit := oneBit(muted.is, open.is)
	if p.index < 0 && !p.row && s != mainStrip && isBit && f.ok {
		width := 64
		if c.slot.tags == "i" {
			width = 32
		}
		value = fmt.Sprintf(", bits: %s:1-%d", s, min(f.place.n, width-bit))
		if bit > 0 {
			value += fmt.Sprintf(", bit: %d", bit)
		}
		why = fmt.Sprintf("One number holds the switches of all %s as its bits: that of %s is the bit worth %d. "+
			"The others are taken to follow in order.", s.several(), s.first(), 1<<bit)
		if muted.is.num < open.is.num {
			value += ", invert: yes"
			why += " A bit that is set means that it sounds."
		}
	}
	if why != "" {
		e.why = append(e.why, why)
	}
	e.value = p.where(s) + value
	e.unsure = p.index < 0 && !p.row && s != mainStrip && !isBit
	if e.unsure {
		e.why = append(e.why, "But nothing tells which "+s.String()+" it is about.")
	}
	d.add(e, p.slotsAll())
}

// mutePlaces is where the mutes of all strips are, for telling where one kind of
// strip ends.
func (d *drafter) mutePlaces() (all []place) {
	for s := inputStrip; s <= mainStrip; s++ {
		if c, ok := d.guide.found(s, mute); ok {
			if p, ok := locate(d.shapes, c.slot); ok {
				all = append(all, p)
			}
		}
	}
	return all
}

// switchValue is how a map says which value is muted.
func switchValue(muted, open value) (text, why string) {
	a, okA := switchWord(muted.text)
	b, okB := switchWord(open.text)
	switch {
	case muted.text != "" && okA && okB && a != b:
		if a {
			return "", ""
		}
		return ", invert: yes", "On means that it sounds."
	case muted.text != "" || open.text != "":
		return fmt.Sprintf(", words: {%q: 0, %q: 1}", open.text, muted.text), "The desk has its own words for it."
	case muted.num >= 0.5 && open.num < 0.5:
		return "", ""
	case muted.num < 0.5 && open.num >= 0.5:
		return ", invert: yes", "On means that it sounds."
	}
	return fmt.Sprintf(", words: {%s: 0, %s: 1}", plainNumber(open.num), plainNumber(muted.num)), ""
}

// oneBit reports whether two numbers differ in one bit, and in which.
func oneBit(a, b value) (bit int, ok bool) {
	if a.text != "" || b.text != "" || a.num < 0 || b.num < 0 || a.num > 1<<31 || b.num > 1<<31 {
		return 0, false
	}
	x := uint64(a.num) ^ uint64(b.num)
	if x == 0 || x&(x-1) != 0 {
		return 0, false
	}
	for x > 1 {
		x, bit = x>>1, bit+1
	}
	return bit, true
}

// names writes down the texts that stand beside a strip's fader and are all
// different.
func (d *drafter) names(s strip, fader place) {
	for _, sh := range d.shapes {
		p, ok := fader.beside(sh)
		if !ok || p.named {
			continue
		}
		for arg := range sh.args() {
			if p.arg = arg; sh.byArgument && arg == 0 {
				continue
			}
			slots := p.slots()
			if len(slots) < max(2, fader.n*3/4) || !differentTexts(slots) || slices.ContainsFunc(slots, d.taken) {
				continue
			}
			d.add(entry{is: s.String() + ".name", hear: p.hear(s), value: p.where(s),
				why: []string{fmt.Sprintf("Texts, another for each %s: %s.", s, examples(slots))}}, slots)
			return
		}
	}
}

func (d *drafter) taken(t *slot) bool { return d.claimed[t] }

// beside is the same strips in another shape: the same numbers, and if they stand
// in the address, after the same beginning.
func (p *place) beside(sh *Shape) (place, bool) {
	if p.index < 0 || p.row || len(sh.vars) != len(p.shape.vars) || sh.byArgument != p.shape.byArgument || !sh.writable() {
		return place{}, false
	}
	if !p.byArgument() && !slices.Equal(sh.parts[:p.index+1], p.shape.parts[:p.index+1]) {
		return place{}, false
	}
	for _, m := range sh.members {
		if slices.Equal(m.at, p.at) {
			o := *p
			o.shape = sh
			if o.byArgument() {
				o.count(nil) // nothing in the address says that both are of one kind
				return o, o.n == p.n
			}
			o.count([]place{{shape: sh, at: p.endAt(), index: p.index}})
			enough := 4*o.n >= 3*p.n
			o.n = p.n
			return o, enough
		}
	}
	return place{}, false
}

// endAt is what would stand in the variables for the strip after the last.
func (p *place) endAt() []string {
	at := slices.Clone(p.at)
	if !p.named {
		at[p.index] = fmt.Sprint(p.lo + p.n)
	}
	return at
}

func differentTexts(slots []*slot) bool {
	seen := map[string]bool{}
	for _, t := range slots {
		if !t.isText() || len(t.texts) == 0 || t.numbers == t.count || t.isSwitch() {
			return false
		}
		seen[t.last.text] = true
	}
	return 2*len(seen) > len(slots)
}
