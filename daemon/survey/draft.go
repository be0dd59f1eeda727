package survey

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"pawl/oscmap"
)

// DraftOptions say what goes into a draft besides what was heard.
type DraftOptions struct {
	// Desk is what the map calls the desk.
	Desk string

	// From is a sentence on where the traffic came from, for the head of the file.
	From string

	// Link and Strips are sections of a map that was given, as YAML, each beginning
	// with its key. They are taken over as they are.
	Link, Strips string

	// Transport is the map's word for how packets came, "" for udp. Port is where
	// the desk sends from, 0 if that is not known.
	Transport string
	Port      int
}

// Draft writes a map from what was heard and, if there was one, from the guided
// part; g may be nil. What could not be told is in it as comments.
func (s *Survey) Draft(g *Guide, o DraftOptions) string {
	d := newDrafter(s, g)
	if d.guide == nil {
		d.likelyStrips()
	} else {
		d.strips()
	}
	d.meters()
	text := d.write(o)
	for d.doubt(text) {
		text = d.write(o)
	}
	return text
}

// doubt makes comments of the entries that the map's own check finds a fault in, and reports
// whether there was one: what two answers that do not fit together led to is not known.
func (d *drafter) doubt(text string) (any bool) {
	m, faults := oscmap.Load("draft", []byte(text), nil)
	if m != nil {
		return false
	}
	var sure []*entry
	for i := range d.entries {
		if !d.entries[i].unsure {
			sure = append(sure, &d.entries[i])
		}
	}
	for _, f := range faults {
		var n int
		if _, err := fmt.Sscanf(f.Path, "signals[%d]", &n); err != nil || f.Advice || n >= len(sure) || sure[n].unsure {
			continue
		}
		sure[n].unsure, any = true, true
		sure[n].because("But it does not pass: %s.", f.Text)
	}
	return any
}

// drafter gathers the entries of a draft.
type drafter struct {
	survey  *Survey
	guide   steps // nil if they found no fader
	refused []refusal
	banked  verdictOf
	rows    []along
	shapes  []*shape
	claimed map[*slot]bool   // by an entry, also by one that is written as a comment
	means   map[*slot]string // the signal of one that is not
	bits    map[*slot]uint64 // of a number, that are strips' switches
	parted  map[*slot]bool   // it is of a part of the slot's values

	known    [4]family         // by strip
	scale    scale             // of the faders; zero if there is none
	units    map[string]string // of levels, by meter.sort
	learntBy map[string]string // whose meter told the unit
	linear   string            // the unit of levels that are factors, and the bits of their numbers
	precise  int
	entries  []entry
	missing  []string // what was asked for and not found, in plain words
}

func newDrafter(s *Survey, g *Guide) *drafter {
	d := &drafter{survey: s, shapes: s.shapes(), claimed: map[*slot]bool{}, means: map[*slot]string{}, parted: map[*slot]bool{}, bits: map[*slot]uint64{}, units: map[string]string{}, learntBy: map[string]string{}}
	for s := inputStrip; s <= mainStrip && g != nil; s++ {
		if _, ok := g.steps.control(s, zero, g.refused); ok {
			d.guide, d.refused, d.banked, d.rows = g.steps, g.refused, g.banked, g.rows
		}
	}
	return d
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
	part   bool     // it is of some of the values of a row or a blob
}

// because adds a reason, unless it is empty.
func (e *entry) because(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		e.why = append(e.why, text)
	}
}

func (d *drafter) add(e entry, slots []*slot) {
	for _, t := range slots {
		// One value has one meaning; the parts of a row or a blob are other values.
		if by := d.means[t]; by != "" && !e.unsure && !(e.part && d.parted[t]) {
			e.unsure = true
			e.because("But %s is written for it above, and it cannot be both.", by)
		}
	}
	d.entries = append(d.entries, e)
	for _, t := range slots {
		d.claimed[t] = true
		if !e.unsure {
			d.means[t], d.parted[t] = e.is, e.part
		}
	}
}

func (d *drafter) isClaimed(t *slot) bool { return d.claimed[t] }

func (d *drafter) miss(format string, args ...any) {
	d.missing = append(d.missing, fmt.Sprintf(format, args...))
}

// strips writes down the faders, mutes and names.
func (d *drafter) strips() {
	faders, mutes := d.controls(zero), d.controls(mute)
	for s, c := range faders {
		c.place.bound(s, places(faders))
		d.layRow(s, &c, zero)
		d.known[s] = c
	}
	for s := inputStrip; s <= mainStrip; s++ {
		f := &d.known[s]
		if f.ok {
			d.fader(s, f)
		} else {
			d.miss("Where %s's fader is: nothing was seen to follow it, or it was left out. If the desk tells of it, its line has to be written by hand.", s.first())
		}
		if c, ok := mutes[s]; ok {
			c.place.bound(s, places(mutes))
			d.layRow(s, &c, mute)
			d.mute(s, c)
		} else {
			d.miss("Where %s's mute is: nothing was seen to follow it, or it was left out. If the desk tells of it, its line has to be written by hand.", s.first())
		}
		if f.ok && s != mainStrip {
			d.nameEntry(s, f.place)
		}
	}
	for s := inputStrip; s < mainStrip; s++ {
		if !slices.ContainsFunc(d.entries, func(e entry) bool { return e.is == s.String()+".name" }) {
			d.namesElsewhere(s)
		}
	}
}

// controls is what the guide has found for the faders or the mutes, where a map can
// hear it.
func (d *drafter) controls(a act) map[strip]family {
	all := map[strip]family{}
	for s := inputStrip; s <= mainStrip; s++ {
		if c, ok := d.guide.control(s, a, d.refused); ok {
			if p, ok := locate(d.shapes, c.slot); ok && p.shape.writable() {
				all[s] = family{true, c, p}
			}
		}
	}
	return all
}

// places is where they are, for telling where one kind of strip ends.
func places(families map[strip]family) (all []place) {
	for _, f := range families {
		all = append(all, f.place)
	}
	return all
}

// fader writes down a fader. The input's gives the scale; the others are taken to
// have the same if their 0 dB and their bottom agree with it.
func (d *drafter) fader(s strip, f *family) {
	p := &f.place
	e := entry{is: s.String() + ".fader", hear: p.hear(s)}
	e.because("It followed %s's fader through %s.", s.first(), plural(len(f.fader.moves), "move"))
	e.because("%s", p.counting(s))
	if others := f.fader.others; len(others) > 0 {
		var all []string
		for _, t := range others[:min(len(others), 3)] {
			all = append(all, t.name())
		}
		e.because("These followed it as well, and say the same in another way: %s.", strings.Join(all, ", "))
	}
	points, bottomAt := f.fader.points()
	own, ok := fit(points, bottomAt)
	points = slices.DeleteFunc(points, func(p point) bool { return p.db != p.db })
	keys := d.scale.keys
	switch {
	case s == inputStrip:
		d.scale, keys = own, own.keys
		e.because("%s", own.said)
	case keys == "":
	case worst(points, d.scale.db) <= 0.5: // about what two hands differ by at the same mark
		e.because("The scale is taken from input 1's fader; 0 dB is where it is there.")
	case ok && own.taper == "":
		keys = own.keys
		e.because("%s", own.said)
	default:
		e.unsure = true
		e.because("But its scale is another: by input 1's it would be %.1f dB off. Write a taper for it.", min(worst(points, d.scale.db), 200))
	}
	banks := p.banks(s)
	if banks != "" && d.banked == notAsked {
		e.unsure = true
		e.because("%s", banks)
	}
	if keys == "" {
		keys, e.unsure = "unit: dB", true
		e.because("No scale could be made of the marks: write a taper, or a unit, and take the # away.")
	}
	switch {
	case p.doubt != "":
		e.unsure = true
		e.because("%s", p.doubt)
	case p.row && p.stride > 0:
		e.because("The message has the faders of %d %s: %s 2's was where it is by the first.", p.n, s.several(), s)
	case p.index < 0 && s != mainStrip:
		e.unsure = true
		e.because("But nothing in it says which %s it is of: perhaps it is the main's, or a selected strip's.", s)
	}
	if banks != "" && d.banked == isSo {
		d.addBanks(e, s, p, keys)
		return
	}
	e.part = p.stride > 0 || p.cell != nil
	e.value = p.where(s) + ", " + keys
	d.add(e, p.claims())
	// What says the same in another way is neither a meter nor anything else.
	for _, o := range f.fader.others {
		if q, ok := locate(d.shapes, o); ok && !o.isCell() && o.stream == f.fader.slot.stream {
			for _, t := range q.slots {
				d.claimed[t] = true
			}
		}
	}
	d.addRows(e, s, p, ", "+keys)
}

// claims are the slots that an entry of a place is about: of a part of a blob the whole.
func (p *place) claims() []*slot {
	if p.cell != nil && p.cell.isCell() {
		return []*slot{p.cell.in}
	}
	return p.slots
}

// addRows writes an entry for each further message of as many strips, and makes the place
// that of them all.
func (d *drafter) addRows(e entry, s strip, p *place, keys string) {
	n := p.n
	for i, t := range p.banked {
		one, ok := locate(d.shapes, t)
		if !ok {
			continue
		}
		one.spread(t, p.stride, n)
		of := e
		of.hear = one.hear(s)
		of.value = strings.Replace(one.where(s), fmt.Sprintf("%s:1-%d", s, n), fmt.Sprintf("%s:%d-%d", s, (i+1)*n+1, (i+2)*n), 1) + keys
		of.why = []string{fmt.Sprintf("The next bank, of %s %d to %d.", s.several(), (i+1)*n+1, (i+2)*n)}
		d.add(of, one.claims())
		p.n += n
	}
}

// addBanks writes an entry for each bank of strips, and makes the place that of them all.
func (d *drafter) addBanks(e entry, s strip, p *place, keys string) {
	var all []*slot
	for _, m := range p.shape.members {
		if number(m.at[p.index]) < p.from || !p.alike(m.at) {
			continue
		}
		row := m.slots[p.arg-m.from:]
		one, of := *p, e
		one.at = m.at
		of.hear = one.hear(mainStrip)
		first := (number(m.at[p.index])-p.from)*len(row) + 1
		of.value = fmt.Sprintf("args: %d, each: %s:%d-%d, %s", p.arg, s, first, first+len(row)-1, keys)
		if first > 1 {
			of.why = []string{fmt.Sprintf("The next bank: %s %d to %d are taken to follow in order.", s.several(), first, first+len(row)-1)}
		} else {
			of.because("A message has the faders of %d %s: input 2's was beside the first.", len(row), s.several())
		}
		d.add(of, row)
		all = append(all, row...)
	}
	p.column, p.row, p.n = p.with(all), true, len(all)
}

func upper(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

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
		counted := isBit && d.known[s].ok // by the faders, of which each has a bit
		if counted {
			keys, why = d.maskKeys(s, c.fader.slot, bit, muted.num < open.num)
			e.part = d.ownBits(c.fader.slot, bit, d.known[s].place.n)
		}
		e.unsure = !counted
	}
	e.because("%s", why)
	if banks := p.banks(s); banks != "" && d.banked != isNotSo {
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
	own := uint64(1)<<n - 1<<bit
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

// nameEntry writes down the texts that stand beside a strip's fader and are all
// different. Of several it takes those whose address is nearest to the fader's, and
// leaves what is nearer to the fader of another kind of strip.
func (d *drafter) nameEntry(s strip, fader place) {
	var best []place
	contested := ""
	for _, sh := range d.shapes {
		for c := range sh.singles() {
			p, ok := fader.beside(c)
			// Strips without a name of their own may have sent none.
			if !ok || p.named || len(p.slots) < max(2, fader.n*3/4) || !p.differentTexts() || slices.ContainsFunc(p.slots, d.isClaimed) {
				continue
			}
			near := d.nearness(fader, p)
			other, as := d.nearestOther(s, p)
			if as > near {
				continue
			}
			if len(best) > 0 && near < d.nearness(fader, best[0]) {
				continue
			}
			if len(best) > 0 && near > d.nearness(fader, best[0]) {
				best = best[:0]
			}
			if best = append(best, p); len(best) == 1 {
				if contested = ""; as == near {
					contested = other
				}
			}
		}
	}
	if len(best) == 0 {
		return
	}
	p := best[0]
	e := entry{is: s.String() + ".name", hear: p.hear(s), value: p.where(s)}
	e.because("Texts, another for each %s: %s.", s, p.examples())
	switch {
	case len(best) > 1:
		var others []string
		for _, o := range best[1:min(len(best), 4)] {
			others = append(others, o.described())
		}
		e.because("But these may as well be the names: %s.", strings.Join(others, "; "))
	case contested != "":
		e.because("But they may as well be those of the %s.", contested)
	default:
		d.add(e, p.slots)
		return
	}
	e.unsure = true
	d.add(e, nil) // or the other kind of strip would have what is left for certain
}

// namesElsewhere writes down texts that are all different and as many as there are strips of a
// kind, where none stand beside their faders. If it cannot be any other kind's, and there are
// no others such, it is these strips' names.
func (d *drafter) namesElsewhere(s strip) {
	n := d.known[s].place.n
	if d.guide == nil || n < fewestNames {
		return
	}
	sole := true // no other kind has as many
	for o := inputStrip; o < mainStrip; o++ {
		sole = sole && (o == s || !d.known[o].ok || d.known[o].place.n != n)
	}
	var found []place
	for _, sh := range d.shapes {
		for c := range sh.singles() {
			p := placed(c, sh.lowest().at)
			if p.index < 0 || len(sh.vars) > 1 || sh.vars[0].named || !sh.writable() || slices.ContainsFunc(c.slots, d.isClaimed) {
				continue
			}
			beside := slices.ContainsFunc(d.known[:], func(f family) bool {
				if !f.ok {
					return false
				}
				_, ok := f.place.beside(c)
				return ok
			})
			if p.count(never); !beside && p.n == n && len(p.slots) == n && p.differentTexts() {
				found = append(found, p)
			}
		}
	}
	// Of the messages about strips, only some hold names; numbers, as in a place or a colour, are
	// texts with a common beginning, which no band gives itself.
	found = slices.DeleteFunc(found, func(p place) bool { return p.lettered() })
	for _, p := range found {
		e := entry{is: s.String() + ".name", hear: p.hear(s), value: p.where(s), unsure: !sole || len(found) > 1}
		e.because("Texts, all different and as many as there are %s: %s. %s", s.several(), p.examples(), p.counting(s))
		if e.unsure {
			e.because("But they may as well be of something else.")
		}
		d.add(e, p.slots)
	}
}

// lettered reports whether the texts are the same but for their last letter or number.
func (c *column) lettered() bool {
	stems := set{}
	for _, t := range c.slots {
		stems[strings.TrimRight(t.last.text, "0123456789")] = true
	}
	return len(stems) == 1
}

// nearness is how much of the beginnings of two addresses is the same, in segments.
// Where strips are counted by an argument, one that lies as deep is nearer. Without
// anybody's hand no fader is known, and all are equally near.
func (d *drafter) nearness(fader, p place) int {
	if d.guide == nil {
		return 0
	}
	a, b := strings.Split(strings.Join(fader.shape.parts, "*"), "/"), strings.Split(strings.Join(p.shape.parts, "*"), "/")
	shared := 0
	for shared < min(len(a), len(b)) && a[shared] == b[shared] {
		shared++
	}
	near := 2 * shared
	if p.byArgument() && len(a) == len(b) {
		near++
	}
	return near
}

// nearestOther is the kind of strip, but for one, whose fader the texts are nearest to of
// those beside which they stand too, and how near; -1 if there is none.
func (d *drafter) nearestOther(but strip, texts place) (who string, near int) {
	near = -1
	for s := inputStrip; s < mainStrip; s++ {
		f := &d.known[s]
		if s == but || !f.ok {
			continue
		}
		p, ok := f.place.beside(texts.column)
		if !ok || !slices.ContainsFunc(p.slots, func(t *slot) bool { return slices.Contains(texts.slots, t) }) {
			continue
		}
		if n := d.nearness(f.place, p); n > near {
			who, near = s.several(), n
		}
	}
	return who, near
}

// differentTexts reports whether most slots hold a text of their own.
func (c *column) differentTexts() bool {
	last := set{}
	for _, t := range c.slots {
		if !t.isText() || len(t.texts) == 0 || t.numeric() || t.isSwitch() {
			return false
		}
		last[t.last.text] = true
	}
	return 2*len(last) > len(c.slots)
}
